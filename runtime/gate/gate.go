// Package gate is the last thing before the port, and the only maker of what
// the link may write. It is small, pure and meant to be read in one sitting.
//
// A gate is given lines of RS-274/NGC (NISTIR 6556) from anywhere: a file of
// ours, a file of somebody else's, a jog. It reads each line whole, works out
// from its own modes and its own position what motion is meant, judges that
// motion against the area, and then writes lines of its own: absolute
// millimetres, G1, nothing else. Not a byte of its input is forwarded. What it
// does not know, it refuses by name.
//
// Three things hold for every Line that a gate makes, whatever it was given:
//
//   - the straight way to its end, from where the line before ended, stays in
//     the area (a box is convex: both ends inside is enough);
//   - while the position is lost there is none, but for nudges, which are
//     short, slow, one at a time and counted;
//   - it consists of a few characters that no board takes for a command that
//     acts at once.
package gate

import (
	"fmt"
	"math"

	"wend/runtime/machine"
)

// Limits are what a gate guards.
type Limits struct {
	// Left, Right, Bottom, Top are the edges of the area, in machine mm; for a
	// machine that is being calibrated, of a small box around a declared place.
	Left, Right, Bottom, Top float64
	// SpeedMMS is the largest speed of each axis, x then y.
	SpeedMMS [2]float64
	// StepMM is the length of a step on each axis: how closely places can be
	// told apart.
	StepMM [2]float64
	// ToleranceMM is how far the chords of an arc may be from it.
	ToleranceMM float64
	// LineBytes is the longest line the board takes.
	LineBytes int
}

// LimitsOf are the limits of a machine with its whole area.
func LimitsOf(p *machine.Profile) Limits {
	area := p.AreaBox()
	return Limits{
		Left: area.Min.X, Right: area.Max.X, Bottom: area.Min.Y, Top: area.Max.Y,
		SpeedMMS:    [2]float64{p.X.MaxSpeedMMS, p.Y.MaxSpeedMMS},
		StepMM:      [2]float64{1 / p.Board.StepsPerMM.X, 1 / p.Board.StepsPerMM.Y},
		ToleranceMM: p.Drawing.ToleranceMM / 4,
		LineBytes:   p.Board.LineLimitBytes,
	}
}

// Gate judges what may be sent to one machine. The zero Gate is not usable;
// New makes one whose position is lost.
type Gate struct {
	limits Limits

	lost bool
	at   place // where the last line leads: what the board will be at
	want place // where the program means to be: at, before rounding

	modes modes
	ended bool

	nudged       float64 // mm since Declare or AskedAgain
	nudgeRunning bool
}

// place is a place in machine mm; while the position is lost, mm from where it
// was lost.
type place struct{ x, y float64 }

// New makes a gate that does not know where the stylus is.
func New(limits Limits) (*Gate, error) {
	for _, v := range []float64{limits.SpeedMMS[0], limits.SpeedMMS[1], limits.StepMM[0], limits.StepMM[1], limits.ToleranceMM, limits.Right - limits.Left, limits.Top - limits.Bottom} {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("a limit of the machine is not a positive number")
		}
	}
	if limits.LineBytes < longestLine {
		return nil, fmt.Errorf("the board takes lines of %d bytes; %d are needed", limits.LineBytes, longestLine)
	}
	return &Gate{limits: limits, lost: true, modes: startModes()}, nil
}

// Declare says where the motors stand, in machine mm: somebody looked, or it
// was computed from what is remembered. A place outside the area is refused,
// and nothing changes.
func (g *Gate) Declare(x, y float64) error {
	p := place{round(x), round(y)}
	if !g.inside(p) {
		return &Refusal{Word: "position", Reason: fmt.Sprintf("(%.3f, %.3f) is not in the area", x, y)}
	}
	g.lost, g.at, g.want = false, p, p
	g.nudged, g.nudgeRunning = 0, false
	g.Restart()
	return nil
}

// Lose says that nobody knows where the stylus is. Only nudges pass until
// Declare.
func (g *Gate) Lose() {
	g.lost, g.at, g.want = true, place{}, place{}
	g.nudged, g.nudgeRunning = 0, false
	g.Restart()
}

// Lost tells whether the position is lost.
func (g *Gate) Lost() bool { return g.lost }

// At is where the last line that was made leads, in machine mm.
func (g *Gate) At() (x, y float64) { return g.at.x, g.at.y }

// Restart forgets the modes and the end of a program: what comes next is
// another one.
func (g *Gate) Restart() { g.modes, g.ended = startModes(), false }

// Preamble states modes and position to a board that has just greeted.
func (g *Gate) Preamble() []Line {
	return []Line{{text: "G21 G90 G94 G17"}, {text: "G92 X" + number(g.at.x) + " Y" + number(g.at.y)}}
}

// Read takes one line of RS-274/NGC text, without its end, and gives what it
// asks for: none, one or (for arcs) many items. If anything about the line is
// refused, nothing of it passes and nothing about the gate changes.
func (g *Gate) Read(line string) ([]Item, error) {
	if g.ended {
		return nil, nil
	}
	block, err := parse(line)
	if err != nil {
		return nil, err
	}
	// Work on a copy: a refused line leaves no trace.
	next := *g
	items, err := next.carryOut(block)
	if err != nil {
		return nil, err
	}
	*g = next
	return items, nil
}

// carryOut does what a line says, in the order that the standard sets (NISTIR
// 6556, table 8).
func (g *Gate) carryOut(b block) ([]Item, error) {
	if err := g.modes.take(b); err != nil {
		return nil, err
	}
	var items []Item
	if b.has(dwell) {
		seconds := b.value['P']
		if !b.given['P'] || seconds < 0 || seconds > longestDwell {
			return nil, refuse("G4", "it needs P with 0 to %d seconds", longestDwell)
		}
		items = append(items, Item{Kind: Dwell, Line: Line{text: "G4 P" + number(seconds)}, Seconds: seconds})
	}
	switch {
	case b.has(assertPlace):
		if err := g.assert(b); err != nil {
			return nil, err
		}
	case b.given['X'] || b.given['Y']:
		moves, err := g.motion(b)
		if err != nil {
			return nil, err
		}
		items = append(items, moves...)
	case b.motion != none:
		return nil, refuse(b.motion.String(), "it needs X or Y")
	case b.given['I'] || b.given['J'] || b.given['R']:
		return nil, refuse("I, J or R", "there is no arc on the line")
	}
	switch {
	case b.has(pause):
		items = append(items, Item{Kind: Pause})
	case b.has(end):
		g.ended = true
		items = append(items, Item{Kind: End})
	}
	return items, nil
}

// assert is G92: the only position that a program may state is the true one.
func (g *Gate) assert(b block) error {
	if !b.given['X'] && !b.given['Y'] {
		return refuse("G92", "it needs X or Y")
	}
	if g.lost {
		return refuse("G92", "nobody knows where the stylus is")
	}
	for i, axis := range [...]struct {
		letter byte
		is     float64
	}{{'X', g.at.x}, {'Y', g.at.y}} {
		said := b.value[axis.letter] * g.modes.unit
		if b.given[axis.letter] && !(math.Abs(said-axis.is) <= g.limits.StepMM[i]) {
			return refuse("G92", "it says %c%s, but the stylus is at %c%s", axis.letter, number(said), axis.letter, number(axis.is))
		}
	}
	return nil
}

// motion is a straight motion or an arc to where the line says.
func (g *Gate) motion(b block) ([]Item, error) {
	if g.lost {
		return nil, refuse(g.modes.motion.String(), "nobody knows where the stylus is")
	}
	to := g.want
	g.target(&to.x, b, 'X')
	g.target(&to.y, b, 'Y')
	switch g.modes.motion {
	case rapid, straight:
		if b.given['I'] || b.given['J'] || b.given['R'] {
			return nil, refuse("I, J or R", "the motion is straight")
		}
		feed := math.Inf(1)
		if g.modes.motion == straight {
			var err error
			if feed, err = g.feed(b, math.Hypot(to.x-g.want.x, to.y-g.want.y)); err != nil {
				return nil, err
			}
		}
		item, err := g.move(to, feed)
		if err != nil || item == nil {
			return nil, err
		}
		return []Item{*item}, nil
	case clockwise, counterclockwise:
		return g.arc(b, to)
	}
	return nil, refuse("X or Y", "no motion was chosen before: G0, G1, G2 or G3")
}

func (g *Gate) target(coordinate *float64, b block, letter byte) {
	switch {
	case !b.given[letter]:
	case g.modes.relative:
		*coordinate += b.value[letter] * g.modes.unit
	default:
		*coordinate = b.value[letter] * g.modes.unit
	}
}

// feed is the speed asked for, in mm/min, along a motion of so many mm.
func (g *Gate) feed(b block, lengthMM float64) (float64, error) {
	feed := g.modes.feed
	if g.modes.inverseTime {
		if !b.given['F'] {
			return 0, refuse("G93", "each motion needs an F of its own")
		}
		feed = lengthMM * b.value['F']
	}
	if lengthMM > 0 && !(feed > 0) {
		return 0, refuse("F", "no speed above 0 is set")
	}
	return feed, nil
}

// move is the one place where a line that moves is made while the position is
// known. It gives no item if the place is the one where the stylus is.
func (g *Gate) move(to place, feed float64) (*Item, error) {
	written := place{round(to.x), round(to.y)}
	if !g.almostInside(to) || !g.inside(written) {
		return nil, refuse("X and Y", "(%.3f, %.3f) is not in the area, x %g to %g and y %g to %g mm",
			to.x, to.y, g.limits.Left, g.limits.Right, g.limits.Bottom, g.limits.Top)
	}
	from := g.at
	g.want = to
	if written == from {
		return nil, nil
	}
	g.at = written
	item := lineTo(from, written, min(feed, g.fastest(from, written)))
	return &item, nil
}

// inside is false for what is not a number.
func (g *Gate) inside(p place) bool {
	return g.limits.Left <= p.x && p.x <= g.limits.Right && g.limits.Bottom <= p.y && p.y <= g.limits.Top
}

// almostInside forgives what computing in binary adds to a place on the edge;
// what is written is judged without it.
func (g *Gate) almostInside(p place) bool {
	const rounding = 1e-6
	return g.limits.Left-rounding <= p.x && p.x <= g.limits.Right+rounding &&
		g.limits.Bottom-rounding <= p.y && p.y <= g.limits.Top+rounding
}

// fastest is the largest speed in mm/min that both axes allow on a way.
func (g *Gate) fastest(from, to place) float64 {
	dx, dy := math.Abs(to.x-from.x), math.Abs(to.y-from.y)
	length := math.Hypot(dx, dy)
	return 60 * min(g.limits.SpeedMMS[0]*length/dx, g.limits.SpeedMMS[1]*length/dy)
}
