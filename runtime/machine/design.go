package machine

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wend/runtime/elementary"
)

// Drive is the design of one axis: a motor that turns a knob through gears.
type Drive struct {
	StepsPerTurn int // full steps of the motor in one turn
	Microsteps   int
	// GearRatio is motor turns in one knob turn: teeth of the knob's gear
	// divided by those of the motor's.
	GearRatio         float64
	GearEfficiency    float64 // share of the torque that comes through the gears, above 0, at most 1
	LineMMPerKnobTurn float64
	KnobTorqueMNM     float64 // what the knob needs, mN·m
	Motor             Motor
	SlackMM           float64
	StepRateLimitHz   float64
	// Reserve is by how many times the motor's torque must exceed what is
	// needed; 2 is common practice (no source).
	Reserve             float64
	MaxAccelerationMMS2 float64 // for what slack costs
}

// Motor is what a motor can turn. Either PullOut is given (from its maker's
// curve for the supply in use), or the figures of its winding.
type Motor struct {
	// PullOut is the largest torque at some speeds, in order of speed. Between
	// two points it goes straight; below the first it is that of the first;
	// beyond the last there is none: what was not measured is not promised.
	PullOut []Torque

	HoldingMNM   float64 // holding torque, mN·m
	InductanceMH float64 // of one winding
	CurrentA     float64 // of one winding, as the driver is set
	SupplyV      float64
}

// Torque is a point of a motor's curve.
type Torque struct {
	TurnsPerS float64
	MNM       float64 // mN·m
}

// check tells what is wrong with a design.
func (d *Drive) check() error {
	for _, v := range []struct {
		name  string
		value float64
	}{
		{"steps per turn", float64(d.StepsPerTurn)}, {"microsteps", float64(d.Microsteps)}, {"gear ratio", d.GearRatio},
		{"gear efficiency", d.GearEfficiency}, {"line of a knob turn", d.LineMMPerKnobTurn}, {"knob torque", d.KnobTorqueMNM},
		{"step rate", d.StepRateLimitHz}, {"reserve", d.Reserve}, {"acceleration", d.MaxAccelerationMMS2},
	} {
		if !(v.value > 0) || math.IsInf(v.value, 0) {
			return fmt.Errorf("the %s must be a number above 0", v.name)
		}
	}
	switch {
	case d.GearEfficiency > 1:
		return errors.New("gears cannot pass on more than they are given: their efficiency is at most 1")
	case !(d.SlackMM >= 0):
		return errors.New("slack cannot be below 0")
	}
	return d.Motor.check()
}

func (m *Motor) check() error {
	winding := m.HoldingMNM > 0 && m.InductanceMH > 0 && m.CurrentA > 0 && m.SupplyV > 0
	switch {
	case len(m.PullOut) == 0 && !winding:
		return errors.New("the motor needs two points of its torque curve, or holding torque, inductance, current and supply")
	case len(m.PullOut) == 1:
		return errors.New("one point is no curve: give the motor's torque at two speeds or more")
	}
	for i, t := range m.PullOut {
		if !(t.TurnsPerS >= 0) || !(t.MNM >= 0) || math.IsInf(t.TurnsPerS, 0) || math.IsInf(t.MNM, 0) {
			return errors.New("speeds and torques of the curve are not below 0")
		}
		if i > 0 && t.TurnsPerS <= m.PullOut[i-1].TurnsPerS {
			return errors.New("the points of the torque curve stand in order of speed")
		}
	}
	return nil
}

// FadingTurnsPerS is the speed, in turns a second, beyond which the current of
// a winding does not reach its value within a step: about U/(2 L I N), with N
// full steps a turn. Beyond it torque falls as one over speed. A rule of thumb,
// from memory.
func (m *Motor) FadingTurnsPerS(stepsPerTurn int) float64 {
	return m.SupplyV / (2 * m.InductanceMH / 1000 * m.CurrentA * float64(stepsPerTurn))
}

// torque is the largest torque at a speed, mN·m.
func (m *Motor) torque(turnsPerS float64, stepsPerTurn int) float64 {
	if len(m.PullOut) == 0 {
		if fading := m.FadingTurnsPerS(stepsPerTurn); turnsPerS > fading {
			return m.HoldingMNM * fading / turnsPerS
		}
		return m.HoldingMNM
	}
	at, found := slices.BinarySearchFunc(m.PullOut, turnsPerS, func(t Torque, speed float64) int {
		switch {
		case t.TurnsPerS < speed:
			return -1
		case t.TurnsPerS > speed:
			return 1
		}
		return 0
	})
	switch {
	case found || at == 0:
		return m.PullOut[at].MNM
	case at == len(m.PullOut):
		return 0
	}
	a, b := m.PullOut[at-1], m.PullOut[at]
	return a.MNM + float64((b.MNM-a.MNM)*((turnsPerS-a.TurnsPerS)/(b.TurnsPerS-a.TurnsPerS)))
}

// fastest is the largest speed up to which the torque is never below a need,
// in turns a second; known is false where PullOut ends there with torque to
// spare.
func (m *Motor) fastest(needMNM float64, stepsPerTurn int) (turnsPerS float64, known bool) {
	if len(m.PullOut) == 0 {
		if m.HoldingMNM < needMNM {
			return 0, true
		}
		return m.FadingTurnsPerS(stepsPerTurn) * m.HoldingMNM / needMNM, true
	}
	if m.PullOut[0].MNM < needMNM {
		return 0, true
	}
	for i := 1; i < len(m.PullOut); i++ {
		a, b := m.PullOut[i-1], m.PullOut[i]
		if b.MNM < needMNM {
			return a.TurnsPerS + float64((b.TurnsPerS-a.TurnsPerS)*((a.MNM-needMNM)/(a.MNM-b.MNM))), true
		}
	}
	return m.PullOut[len(m.PullOut)-1].TurnsPerS, false
}

// standing is the torque of the motor at rest, mN·m.
func (m *Motor) standing() float64 {
	if m.HoldingMNM > 0 {
		return m.HoldingMNM
	}
	return m.PullOut[0].MNM
}

// SpeedLimit is what limits a speed.
type SpeedLimit uint8

// The limits.
const (
	ByTorque SpeedLimit = iota
	ByStepRate
	ByPullOutList // the motor's list of torques ends there, with torque to spare
)

func (l SpeedLimit) String() string {
	return [...]string{"the torque", "the board's step rate", "the end of the list of pull-out torques"}[l]
}

// Designed is what a drive can do.
type Designed struct {
	LineMMPerMotorTurn float64
	StepsPerMM         float64
	ResolutionMM       float64
	LoadMNM            float64 // what the motor must turn, through the gears
	// TorqueSpeedMMS is the largest speed at which the motor has Reserve times
	// the load, StepSpeedMMS the one at which the board's step rate ends, and
	// TopSpeedMMS the smaller of the two.
	TorqueSpeedMMS, StepSpeedMMS, TopSpeedMMS float64
	// Limit is what keeps the axis from being faster.
	Limit          SpeedLimit
	StepRateHz     float64 // at TopSpeedMMS
	MotorTurnsPerS float64 // at TopSpeedMMS
	// ReserveStanding and ReserveAtTop are the motor's torque divided by the
	// load; at the top speed 0 if there is none.
	ReserveStanding, ReserveAtTop float64
	// MicrostepMNM is the torque of one microstep: sin(90°/m) of the holding
	// torque. Where the load is larger, single microsteps do not turn the knob.
	MicrostepMNM float64
	// LagMM is how far the load holds the stylus behind the motor's field at
	// rest: asin(load ÷ holding) ÷ 90° of a full step. It shows as slack of
	// twice that.
	LagMM float64
	Slack SlackCost
}

// SlackCost is what slack does to drawings.
type SlackCost struct {
	TakeUpS    float64 // seconds that each reversal of the axis takes longer, made up for
	CircleMM   float64 // radius of the circle that FlatMM speaks of
	FlatMM     float64 // the flat it leaves at each of four reversals, not made up for
	StepsTaken int
}

// Design works out what a drive can do. The error says what is wrong with it.
func (d *Drive) Design() (Designed, error) {
	if err := d.check(); err != nil {
		return Designed{}, err
	}
	a := Axis{StepsPerTurn: d.StepsPerTurn, Microsteps: d.Microsteps, LineMMPerKnobTurn: d.LineMMPerKnobTurn, GearRatio: d.GearRatio}
	out := Designed{
		LineMMPerMotorTurn: a.MMPerMotorTurn(), StepsPerMM: a.StepsPerMM(), ResolutionMM: a.ResolutionMM(),
		LoadMNM:      d.KnobTorqueMNM / (d.GearRatio * d.GearEfficiency),
		StepSpeedMMS: a.LargestSpeedMMS(d.StepRateLimitHz),
	}
	turns, known := d.Motor.fastest(d.Reserve*out.LoadMNM, d.StepsPerTurn)
	out.TorqueSpeedMMS = turns * out.LineMMPerMotorTurn
	out.TopSpeedMMS = min(out.TorqueSpeedMMS, out.StepSpeedMMS)
	switch {
	case out.StepSpeedMMS < out.TorqueSpeedMMS:
		out.Limit = ByStepRate
	case !known:
		out.Limit = ByPullOutList
	}
	out.StepRateHz = out.TopSpeedMMS * out.StepsPerMM
	out.MotorTurnsPerS = out.TopSpeedMMS / out.LineMMPerMotorTurn
	standing := d.Motor.standing()
	out.ReserveStanding = standing / out.LoadMNM
	if out.TopSpeedMMS > 0 {
		out.ReserveAtTop = d.Motor.torque(out.MotorTurnsPerS, d.StepsPerTurn) / out.LoadMNM
	}
	out.MicrostepMNM = MicrostepTorque(d.Microsteps) * standing
	fullStep := out.LineMMPerMotorTurn / float64(d.StepsPerTurn)
	lag, _ := elementary.AsinDegrees(min(1, out.LoadMNM/standing))
	out.LagMM = fullStep * lag / 90
	speed := out.TopSpeedMMS
	if speed == 0 {
		speed = out.StepSpeedMMS
	}
	const radius = 20
	out.Slack = SlackCost{
		TakeUpS: RestToRest(d.SlackMM, speed, d.MaxAccelerationMMS2), CircleMM: radius,
		FlatMM:     FlatMM(radius, d.SlackMM),
		StepsTaken: int(math.Round(d.SlackMM * out.StepsPerMM)),
	}
	return out, nil
}

// MicrostepTorque is the share of the holding torque that moves a rotor by one
// of m microsteps: sin(90°/m), since torque goes with the sine of the angle
// between rotor and field (from memory).
func MicrostepTorque(microsteps int) float64 { return elementary.SinDegrees(90 / float64(microsteps)) }

// RestToRest is the time for a way from rest to rest: L/v + v/a, or 2 √(L/a)
// where v is not reached (Siciliano et al., Robotics, 2009, section 4.2; from
// memory).
func RestToRest(lengthMM, speedMMS, accelerationMMS2 float64) float64 {
	if lengthMM >= speedMMS*speedMMS/accelerationMMS2 {
		return lengthMM/speedMMS + speedMMS/accelerationMMS2
	}
	return 2 * math.Sqrt(lengthMM/accelerationMMS2)
}

// FlatMM is the length of the flat that slack leaves on a circle where an axis
// reverses: √(2 r B - B²), the half chord at depth B (elementary geometry).
func FlatMM(radiusMM, slackMM float64) float64 {
	if slackMM >= 2*radiusMM {
		return 0
	}
	return math.Sqrt(float64(2*radiusMM*slackMM) - float64(slackMM*slackMM))
}
