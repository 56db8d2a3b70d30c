package machine_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/machine"
)

// bench is a drive with figures of its own: an invented motor.
func bench() machine.Drive {
	return machine.Drive{
		StepsPerTurn: 200, Microsteps: 16, GearRatio: 2, GearEfficiency: 0.8, LineMMPerKnobTurn: 64, KnobTorqueMNM: 80,
		Motor:   machine.Motor{PullOut: []machine.Torque{{0, 300}, {5, 200}, {10, 100}}},
		SlackMM: 1, StepRateLimitHz: 30000, Reserve: 2, MaxAccelerationMMS2: 400,
	}
}

func TestADriveIsWorkedOutFromItsTeethAndItsMotor(t *testing.T) {
	d := bench()
	out, err := d.Design()
	require.NoError(t, err)
	require.Equal(t, 32.0, out.LineMMPerMotorTurn)
	require.Equal(t, 100.0, out.StepsPerMM) // 200 × 16 ÷ 32
	require.Equal(t, 0.01, out.ResolutionMM)
	require.InDelta(t, 50, out.LoadMNM, 1e-12) // 80 ÷ (2 × 0.8)
	// Twice the load is there up to 10 turns a second, 320 mm/s; the step rate
	// ends at 300 mm/s, where the motor turns 9.375 times a second and has
	// 112.5 mN·m left.
	require.InDelta(t, 320, out.TorqueSpeedMMS, 1e-9)
	require.Equal(t, 300.0, out.StepSpeedMMS)
	require.Equal(t, 300.0, out.TopSpeedMMS)
	require.InDelta(t, 30000, out.StepRateHz, 1e-6)
	require.InDelta(t, 112.5/50, out.ReserveAtTop, 1e-12)
	require.InDelta(t, 6, out.ReserveStanding, 1e-12)

	require.Equal(t, machine.ByStepRate, out.Limit)

	// Where the list ends with torque to spare, it is the list that ends.
	d.StepRateLimitHz, d.Reserve = 1e6, 1.5
	out, err = d.Design()
	require.NoError(t, err)
	require.Equal(t, machine.ByPullOutList, out.Limit)
	require.InDelta(t, 320, out.TopSpeedMMS, 1e-9)
	d.StepRateLimitHz = 30000

	d.Reserve = 3 // 150 mN·m are there up to 7.5 turns a second
	out, err = d.Design()
	require.NoError(t, err)
	require.InDelta(t, 240, out.TopSpeedMMS, 1e-9)
	require.Equal(t, machine.ByTorque, out.Limit)
	d.Reserve = 7
	out, err = d.Design()
	require.NoError(t, err)
	require.Zero(t, out.TopSpeedMMS)
	require.Zero(t, out.ReserveAtTop)
}

// U/(2 L I N) turns a second for N full steps a turn: 12 V, 3 mH and 1.25 A
// fade at 8 turns a second with 200 steps; beyond, torque goes as one over
// speed (a rule of thumb, from memory).
func TestTheInductanceLimitsTheSpeedOfAWinding(t *testing.T) {
	d := bench()
	d.Motor = machine.Motor{HoldingMNM: 200, InductanceMH: 3, CurrentA: 1.25, SupplyV: 12}
	require.InDelta(t, 8, d.Motor.FadingTurnsPerS(200), 1e-12)
	d.StepRateLimitHz = 1e6
	out, err := d.Design()
	require.NoError(t, err)
	require.InDelta(t, 8*200/100.0*32, out.TopSpeedMMS, 1e-9) // half the torque at twice the speed
	require.InDelta(t, 2, out.ReserveAtTop, 1e-12)
	d.Motor.SupplyV = 24
	twice, err := d.Design()
	require.NoError(t, err)
	require.InDelta(t, 2*out.TopSpeedMMS, twice.TopSpeedMMS, 1e-9)
}

// sin(90°/m): .7071, .3827, .1951, .0980, .0491 (from memory, recomputed).
func TestAMicrostepHasAShareOfTheHoldingTorque(t *testing.T) {
	for m, share := range map[int]float64{1: 1, 2: 0.7071, 4: 0.3827, 8: 0.1951, 16: 0.0980, 32: 0.0491} {
		require.InDelta(t, share, machine.MicrostepTorque(m), 0.00005)
	}
	out, err := func() (machine.Designed, error) { d := bench(); return d.Design() }()
	require.NoError(t, err)
	require.InDelta(t, 300*0.0980171, out.MicrostepMNM, 1e-4)
	// asin(50/300) = 9.594° of the 90° that are a full step of 0.16 mm.
	require.InDelta(t, 0.16*9.594068/90, out.LagMM, 1e-7)
}

// r = 50, B = 1: flats of √(2 r B - B²) = 9.94987 mm (elementary geometry); rest
// to rest over 1 mm at 400 mm/s²: 2 √(L/a) = 0.1 s.
func TestSlackCostsTimeWhereItIsMadeUpForAndFlatsWhereNot(t *testing.T) {
	require.InDelta(t, 9.94987, machine.FlatMM(50, 1), 5e-6)
	require.InDelta(t, 3.16, machine.FlatMM(50, 0.1), 0.005)
	require.Zero(t, machine.FlatMM(1, 2))
	require.Equal(t, 2.1, machine.RestToRest(100, 50, 500))
	require.InDelta(t, 0.178885, machine.RestToRest(4, 50, 500), 1e-6)
	d := bench()
	out, err := d.Design()
	require.NoError(t, err)
	require.InDelta(t, 0.1, out.Slack.TakeUpS, 1e-12)
	require.Equal(t, 100, out.Slack.StepsTaken)
	require.InDelta(t, math.Sqrt(39), out.Slack.FlatMM, 1e-12)
}

func TestMoreTorqueOrLessLoadNeverMakesADriveSlower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := bench()
		speed, torque := 0.0, rapid.Float64Range(100, 1000).Draw(t, "torque")
		d.Motor.PullOut = nil
		for range rapid.IntRange(2, 5).Draw(t, "points") {
			d.Motor.PullOut = append(d.Motor.PullOut, machine.Torque{TurnsPerS: speed, MNM: torque})
			speed += rapid.Float64Range(0.5, 5).Draw(t, "faster")
			torque *= rapid.Float64Range(0.3, 1.1).Draw(t, "share")
		}
		before, err := d.Design()
		require.NoError(t, err)
		if before.TopSpeedMMS > 0 {
			require.GreaterOrEqual(t, before.ReserveAtTop, d.Reserve-1e-9)
		}
		d.KnobTorqueMNM *= rapid.Float64Range(0.1, 1).Draw(t, "easier")
		after, err := d.Design()
		require.NoError(t, err)
		require.GreaterOrEqual(t, after.TopSpeedMMS, before.TopSpeedMMS-1e-9)
		require.LessOrEqual(t, after.LagMM, before.LagMM+1e-12)
	})
}

func TestADesignThatCannotBeSaysWhy(t *testing.T) {
	for why, spoil := range map[string]func(*machine.Drive){
		"gear ratio":        func(d *machine.Drive) { d.GearRatio = 0 },
		"at most 1":         func(d *machine.Drive) { d.GearEfficiency = 1.2 },
		"two points":        func(d *machine.Drive) { d.Motor.PullOut = nil },
		"no curve":          func(d *machine.Drive) { d.Motor.PullOut = d.Motor.PullOut[:1] },
		"in order of speed": func(d *machine.Drive) { d.Motor.PullOut[1].TurnsPerS = 0 },
		"knob torque":       func(d *machine.Drive) { d.KnobTorqueMNM = math.NaN() },
		"slack":             func(d *machine.Drive) { d.SlackMM = -1 },
	} {
		d := bench()
		spoil(&d)
		_, err := d.Design()
		require.ErrorContains(t, err, why)
	}
}
