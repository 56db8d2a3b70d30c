package simulator

import (
	"math"

	"wend/runtime/geom"
)

// Mechanics is what hangs on the motors, as it truly is. The board knows
// nothing of it.
type Mechanics struct {
	// StepsPerMM is how many steps really move the string one millimetre;
	// 0 means 100.
	StepsPerMM [2]float64
	// SlackMM is how far the knob turns after a reversal before the stylus
	// follows, as length of string: play of gears, and the stretch of a string
	// under friction.
	SlackMM [2]float64
	// Reversed axes run the other way for a positive step.
	Reversed [2]bool
	// SquarenessDeg is the angle from the x axis to the y axis; 0 means 90.
	SquarenessDeg float64
	// WidthMM, HeightMM are the walls: the stylus can be in 0 … width, 0 … height.
	// 0 means 150 and 110.
	WidthMM, HeightMM float64
	// StartMM is where the stylus stands at first, within the walls.
	StartMM geom.Point
	// GapMM is how far each string is pulled to larger coordinates at first
	// before the stylus follows: 0 after a move that way, the whole slack after
	// one to smaller coordinates.
	GapMM [2]float64
	// PullOutMMS is the speed of an axis above which its motor has not the
	// torque to follow: all steps made faster are lost. 0 means never.
	PullOutMMS [2]float64
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
	perStep  [2]float64 // mm of string, signed
	turned   [2]int64   // steps that the motors followed, since the beginning
	origin   [2]float64 // where the string is at step 0, mm along each axis
	rest     [2]float64 // where the carriage is, mm along each axis
	lost     [2]int64   // steps that the motors did not follow
	contacts []Contact
	touching [2]bool
	slipping [2]bool
	trail    trail
}

func newMechanism(m Mechanics, directions int) *mechanism {
	m.SquarenessDeg = orElse(m.SquarenessDeg, 90)
	m.WidthMM, m.HeightMM = orElse(m.WidthMM, 150), orElse(m.HeightMM, 110)
	k := &mechanism{Mechanics: m}
	for a := range m.StepsPerMM {
		k.StepsPerMM[a] = orElse(m.StepsPerMM[a], 100)
		k.perStep[a] = 1 / k.StepsPerMM[a]
	}
	axis := geom.Direction(m.SquarenessDeg)
	k.cos, k.sin = axis.X, axis.Y
	k.rest[Y] = m.StartMM.Y / k.sin
	k.rest[X] = m.StartMM.X - float64(k.rest[Y]*k.cos)
	for a := range k.origin {
		k.origin[a] = k.rest[a] + float64(k.SlackMM[a]/2) - k.GapMM[a]
	}
	k.trail.begin(k.stylus())
	k.direct(directions)
	return k
}

// direct sets which way each motor turns; the string stays where it is.
func (k *mechanism) direct(mask int) {
	for a := range k.perStep {
		drive := k.drive(Axis(a))
		k.perStep[a] = math.Abs(k.perStep[a])
		if k.Reversed[a] != (mask>>a&1 == 1) {
			k.perStep[a] = -k.perStep[a]
		}
		k.origin[a] += drive - k.drive(Axis(a))
	}
}

// drive is where the string of an axis is pulled to, in mm along it.
func (k *mechanism) drive(a Axis) float64 {
	return k.origin[a] + float64(float64(k.turned[a])*k.perStep[a])
}

// stylus is where the stylus is, in mm from the walls' lower left corner.
func (k *mechanism) stylus() geom.Point {
	return geom.Point{X: k.rest[X] + float64(k.rest[Y]*k.cos), Y: float64(k.rest[Y] * k.sin)}
}

// turn makes steps on both motors at once, at a speed in mm/s of each axis.
func (k *mechanism) turn(steps [2]int64, speed [2]float64, now float64) {
	for a, limit := range k.PullOutMMS {
		slips := limit > 0 && math.Abs(speed[a]) > limit
		if slips != k.slipping[a] {
			k.slipping[a] = slips
			k.trail.turn()
		}
		if slips {
			k.lost[a] += steps[a]
			steps[a] = 0
		}
	}
	if steps == [2]int64{} {
		return
	}
	if k.follows(X, steps[X]) && k.follows(Y, steps[Y]) && k.clear(steps) {
		for a, n := range steps {
			k.turned[a] += n
			if n != 0 {
				k.rest[a] = k.drive(Axis(a)) - math.Copysign(k.SlackMM[a]/2, float64(n)*k.perStep[a])
			}
		}
		k.touching = [2]bool{}
		k.trail.slide(k.stylus())
		return
	}
	// Where the slack is being used up, or a wall is near, step by step, so
	// that the line bends where it really does.
	count := max(abs(steps[X]), abs(steps[Y]))
	var done [2]int64
	for i := int64(1); i <= count; i++ {
		for a, n := range steps {
			// n·i/count rounded; n and count are far below 2³¹.
			upTo := (2*n*i + sign(n)*count) / (2 * count)
			if upTo != done[a] {
				k.turned[a] += upTo - done[a]
				done[a] = upTo
				k.pull(Axis(a), now)
			}
		}
		k.trail.add(k.stylus())
	}
}

// follows reports whether the carriage rests on the flank that steps push.
func (k *mechanism) follows(a Axis, steps int64) bool {
	if steps == 0 || k.SlackMM[a] == 0 {
		return true
	}
	flank := k.drive(a) - math.Copysign(k.SlackMM[a]/2, float64(steps)*k.perStep[a])
	return math.Abs(k.rest[a]-flank) < touch
}

// clear reports whether the stylus stays off the walls, a step kept free, when
// it follows straight on.
func (k *mechanism) clear(steps [2]int64) bool {
	x := k.rest[X] + float64(float64(steps[X])*k.perStep[X])
	y := k.rest[Y] + float64(float64(steps[Y])*k.perStep[Y])
	keepX, keepY := math.Abs(k.perStep[X]), math.Abs(k.perStep[Y])
	x += float64(y * k.cos)
	y *= k.sin
	return x >= keepX && x <= k.WidthMM-keepX && y >= keepY && y <= k.HeightMM-keepY
}

// pull lets the carriage of one axis follow its string: it does when the slack
// is used up (the play operator: the carriage stays within half the slack of
// the string; Krasnosel'skii & Pokrovskii, Systems with Hysteresis, 1989; from
// memory), and stands still at a wall, where the motor slips.
func (k *mechanism) pull(a Axis, now float64) {
	half, drive := float64(k.SlackMM[a]/2), k.drive(a)
	before := k.rest[a]
	k.rest[a] = max(drive-half, min(drive+half, before))
	low, high := k.walls(a)
	over := 0.0
	switch {
	case k.rest[a] < low-touch && k.rest[a] < before:
		over = min(low, before) - k.rest[a]
		k.rest[a] = min(low, before)
		k.origin[a] += over
	case k.rest[a] > high+touch && k.rest[a] > before:
		over = k.rest[a] - max(high, before)
		k.rest[a] = max(high, before)
		k.origin[a] -= over
	default:
		if k.rest[a] != before {
			k.touching[a] = false
		}
		return
	}
	if k.touching[a] {
		k.contacts[len(k.contacts)-1].OverrunMM += over
		return
	}
	k.touching[a] = true
	k.contacts = append(k.contacts, Contact{TimeS: now, Axis: a, Beyond: k.rest[a] >= high, OverrunMM: over})
}

// touch is how far, in mm, rounding may take the stylus over a wall before
// that counts as running into it.
const touch = 1e-9

// walls is the range of one axis, given where the other one is.
func (k *mechanism) walls(a Axis) (low, high float64) {
	if a == Y {
		return 0, k.HeightMM / k.sin
	}
	lean := float64(k.rest[Y] * k.cos)
	return -lean, k.WidthMM - lean
}

// shift moves the string of an axis without its motor: a knob turned by hand,
// or a motor that was pushed off its steps.
func (k *mechanism) shift(a Axis, mm, now float64) {
	for piece := k.perStepMM(a); mm != 0; {
		by := max(-piece, min(piece, mm))
		mm -= by
		k.origin[a] += by
		k.pull(a, now)
		k.trail.add(k.stylus())
	}
}

// bring moves the string of an axis without its motor until its carriage is at
// a place, in mm along it: the slack is taken up on the way.
func (k *mechanism) bring(a Axis, to, now float64) {
	if way := to - k.rest[a]; way != 0 {
		k.shift(a, to+math.Copysign(k.SlackMM[a]/2, way)-k.drive(a), now)
	}
}

func (k *mechanism) perStepMM(a Axis) float64 { return math.Abs(k.perStep[a]) }

func abs(n int64) int64 { return max(n, -n) }

func sign(n int64) int64 {
	if n < 0 {
		return -1
	}
	return 1
}
