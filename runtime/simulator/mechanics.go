package simulator

import (
	"math"

	"wend/runtime/geom"
)

// Mechanics is what hangs on the motors, as it truly is. The board knows
// nothing of it.
type Mechanics struct {
	// StepsPerMM is how many steps really move the string one millimetre.
	StepsPerMM [2]float64
	// SlackMM is how far the knob turns after a reversal before the stylus
	// follows, as length of string.
	SlackMM [2]float64
	// Reversed axes run the other way for a positive step.
	Reversed [2]bool
	// SquarenessDeg is the angle from the x axis to the y axis; 0 means 90.
	SquarenessDeg float64
	// WidthMM, HeightMM are the walls: the stylus can be in 0 … width, 0 … height.
	WidthMM, HeightMM float64
	// StartMM is where the stylus stands at first, within the walls.
	StartMM geom.Point
	// Side is the flank of the slack each axis rests on at first: +1 after a
	// move to larger coordinates, -1 after one to smaller; 0 means +1.
	Side [2]int
}

// Contact is the stylus held back by a wall while the motor turned on.
type Contact struct {
	TimeS     float64
	Axis      Axis
	Beyond    bool    // at the far wall, not the one at 0
	OverrunMM float64 // how far the motor pulled on
}

// mechanism is the state of the mechanics.
type mechanism struct {
	Mechanics
	cos, sin float64
	steps    [2]int64   // of the motors, since the beginning
	drive    [2]float64 // where the string is pulled to, mm along each axis
	rest     [2]float64 // where the carriage is, mm along each axis
	contacts []Contact
	touching [2]bool
	trace    []geom.Point
}

func newMechanism(m Mechanics) *mechanism {
	m.SquarenessDeg = orElse(m.SquarenessDeg, 90)
	m.WidthMM, m.HeightMM = orElse(m.WidthMM, 150), orElse(m.HeightMM, 110)
	for a := range m.StepsPerMM {
		m.StepsPerMM[a] = orElse(m.StepsPerMM[a], 100)
		m.Side[a] = orElse(m.Side[a], 1)
	}
	k := &mechanism{Mechanics: m}
	k.sin, k.cos = math.Sincos(m.SquarenessDeg * math.Pi / 180)
	k.rest[Y] = m.StartMM.Y / k.sin
	k.rest[X] = m.StartMM.X - k.rest[Y]*k.cos
	for a := range k.drive {
		k.drive[a] = k.rest[a] + float64(m.Side[a])*m.SlackMM[a]/2
	}
	k.trace = []geom.Point{k.stylus()}
	return k
}

// stylus is where the stylus is, in mm from the walls' lower left corner.
func (k *mechanism) stylus() geom.Point {
	return geom.Point{X: k.rest[X] + k.rest[Y]*k.cos, Y: k.rest[Y] * k.sin}
}

// turn makes steps on one motor.
func (k *mechanism) turn(a Axis, steps int64, now float64) {
	if steps == 0 {
		return
	}
	k.steps[a] += steps
	mm := float64(steps) / k.StepsPerMM[a]
	if k.Reversed[a] {
		mm = -mm
	}
	k.pull(a, mm, now)
}

// pull moves the string of one axis: the carriage follows when the slack is
// used up (the play operator: the carriage stays within half the slack of the
// string), and stands still at a wall, where the string slips.
func (k *mechanism) pull(a Axis, mm, now float64) {
	half := k.SlackMM[a] / 2
	k.drive[a] += mm
	k.rest[a] = max(k.drive[a]-half, min(k.drive[a]+half, k.rest[a]))
	low, high := k.walls(a)
	over := 0.0
	switch {
	case k.rest[a] < low-touch:
		over = low - k.rest[a]
		k.rest[a], k.drive[a] = low, low-half
	case k.rest[a] > high+touch:
		over = k.rest[a] - high
		k.rest[a], k.drive[a] = high, high+half
	default:
		k.touching[a] = false
		return
	}
	if k.touching[a] {
		k.contacts[len(k.contacts)-1].OverrunMM += over
		return
	}
	k.touching[a] = true
	k.contacts = append(k.contacts, Contact{TimeS: now, Axis: a, Beyond: mm > 0, OverrunMM: over})
}

// touch is how far, in mm, rounding may take the stylus over a wall before
// that counts as running into it.
const touch = 1e-9

// walls is the range of one axis, given where the other one is.
func (k *mechanism) walls(a Axis) (low, high float64) {
	if a == Y {
		return 0, k.HeightMM / k.sin
	}
	lean := k.rest[Y] * k.cos
	return -lean, k.WidthMM - lean
}

// record adds the stylus' place to the trace when it has moved.
func (k *mechanism) record() {
	p := k.stylus()
	last := k.trace[len(k.trace)-1]
	if p == last {
		return
	}
	// A third point on the way from the second last goes straight on: the
	// second is not needed.
	if n := len(k.trace); n >= 2 {
		before := k.trace[n-2]
		u, v := last.Sub(before), p.Sub(last)
		if math.Abs(u.Cross(v)) < 1e-12 && u.Dot(v) > 0 {
			k.trace[n-1] = p
			return
		}
	}
	k.trace = append(k.trace, p)
}
