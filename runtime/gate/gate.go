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
// Four things hold for every Line that a gate makes, whatever it was given:
//
//   - the whole step that it leads to is in the area, and so is the straight
//     way there from where the line before ended, or from any place on the way
//     of an earlier line (a box is convex: both ends inside is enough, and a
//     line that gets lost on the wire leads nowhere else);
//   - while the position is lost there is none that moves, but for nudges,
//     which are short, slow, one at a time and counted;
//   - it takes a fraction of a second, so that there is never much to call back;
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
	// StepsPerMM is what the board multiplies by. It makes whole steps, so all
	// places are judged as those.
	StepsPerMM [2]float64
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
		StepsPerMM:  [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
		ToleranceMM: p.Drawing.ToleranceMM / 4,
		LineBytes:   p.Board.LineLimitBytes,
	}
}

// Gate judges what may be sent to one machine. New makes one whose position is
// lost. A Gate is a value: a copy goes on by itself.
type Gate struct {
	limits    Limits
	low, high [2]float64 // the first and the last whole step of each axis
	decimals  int        // with which places are written

	lost bool
	at   point // where the last line leads: what the board will be at
	want point // where the program means to be: at, before rounding

	modes   modes
	started bool // something other than blanks and comments was read
	framed  bool // by a "%" at the beginning
	ended   bool

	nudged       float64 // mm since Lose or AskedAgain
	nudgeRunning bool
}

// point is a place in machine mm; while the position is lost, mm from where it
// was lost.
type point struct{ x, y float64 }

// New makes a gate that does not know where the stylus is.
func New(limits Limits) (*Gate, error) {
	for _, v := range []float64{
		limits.SpeedMMS[0], limits.SpeedMMS[1], limits.StepsPerMM[0], limits.StepsPerMM[1],
		limits.ToleranceMM, limits.Right - limits.Left, limits.Top - limits.Bottom,
	} {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("a limit of the machine is not a positive number")
		}
	}
	if limits.LineBytes < longestLine {
		return nil, fmt.Errorf("the board takes lines of %d bytes; %d are needed", limits.LineBytes, longestLine)
	}
	g := &Gate{limits: limits, lost: true, modes: startModes(), decimals: decimalsFor(limits.StepsPerMM)}
	for i, edges := range [2][2]float64{{limits.Left, limits.Right}, {limits.Bottom, limits.Top}} {
		// Half a micron of a step: what computing in binary may be off by.
		g.low[i] = math.Ceil(edges[0]*limits.StepsPerMM[i] - 1e-6)
		g.high[i] = math.Floor(edges[1]*limits.StepsPerMM[i] + 1e-6)
		if g.low[i] > g.high[i] {
			return nil, fmt.Errorf("the area is narrower than a step")
		}
	}
	return g, nil
}

// Declare says where the motors stand, in machine mm: somebody looked, or it
// was computed from what is remembered. What is read next is a new program.
// A place outside the area is refused, and nothing changes.
func (g *Gate) Declare(x, y float64) error {
	if err := g.Rejoin(x, y); err != nil {
		return err
	}
	g.want = g.at
	g.Restart()
	return nil
}

// Rejoin says where the motors stand on the way of a program that was stopped
// and goes on from there: its modes and where it means to go stay.
func (g *Gate) Rejoin(x, y float64) error {
	p := g.nearest(point{x, y})
	if !g.inside(p) {
		return refuse("position", "(%.3f, %.3f) is not in the area", x, y)
	}
	g.lost, g.at = false, p
	g.nudged, g.nudgeRunning = 0, false
	return nil
}

// Lose says that nobody knows where the stylus is. Only nudges pass until
// Declare.
func (g *Gate) Lose() {
	g.lost, g.at, g.want = true, point{}, point{}
	g.nudged, g.nudgeRunning = 0, false
	g.Restart()
}

// Lost reports whether the position is lost.
func (g *Gate) Lost() bool { return g.lost }

// At is where the last line that was made leads, in machine mm; while the
// position is lost, in mm from where it was when it was lost.
func (g *Gate) At() (x, y float64) { return g.at.x, g.at.y }

// Restart forgets the modes and the end of a program: what comes next is
// another one.
func (g *Gate) Restart() { g.modes, g.started, g.framed, g.ended = startModes(), false, false, false }

// Ended reports whether the program has ended: nothing more of it is read.
func (g *Gate) Ended() bool { return g.ended }

// Modes states modes to a board that has just greeted.
func (g *Gate) Modes() Line { return Line{text: "G21G90G94G17"} }

// Crawl leaves a board with the slowest of motions as its mode. After a reset
// that is the fastest one: a statement of position in which one byte is changed
// on the way could then be taken for a motion, at full speed. Some boards want
// axis words here, and refuse it.
func (g *Gate) Crawl() Line { return Line{text: "G1F1"} }

// Place states where the motors stand.
func (g *Gate) Place() Line {
	return Line{text: "G92X" + g.number(g.at.x) + "Y" + g.number(g.at.y)}
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
	if block.percent {
		return g.percent()
	}
	// Work on a copy: a refused line leaves no trace.
	next := *g
	items, err := next.carryOut(block)
	if err != nil {
		return nil, err
	}
	next.started = next.started || !block.blank
	*g = next
	return items, nil
}

// percent frames a program: what follows the second one is not read (NISTIR
// 6556, section 3.1).
func (g *Gate) percent() ([]Item, error) {
	switch {
	case g.framed:
		g.ended = true
		return []Item{{Kind: End}}, nil
	case g.started:
		return nil, refuse("%", "it stands at the beginning and at the end, or not at all")
	}
	g.framed, g.started = true, true
	return nil, nil
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
		if g.lost {
			return nil, refuse("G4", "nobody knows where the stylus is")
		}
		if !b.given['P'] || seconds < 0 || seconds > longestDwell {
			return nil, refuse("G4", "it needs P with 0 to %d seconds", longestDwell)
		}
		items = append(items, Item{Kind: Dwell, Line: Line{text: "G4P" + decimal(seconds, 3)}, Seconds: seconds})
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
	if b.given['I'] || b.given['J'] || b.given['R'] {
		return refuse("I, J or R", "there is no arc on the line")
	}
	if g.lost {
		return refuse("G92", "nobody knows where the stylus is")
	}
	for i, axis := range [...]struct {
		letter byte
		is     float64
	}{{'X', g.at.x}, {'Y', g.at.y}} {
		said := b.value[axis.letter] * g.modes.unit
		if b.given[axis.letter] && !(math.Abs(said-axis.is)*g.limits.StepsPerMM[i] <= 1+1e-6) {
			return refuse("G92", "it says %c%s, but the stylus is at %c%s", axis.letter, g.number(said), axis.letter, g.number(axis.is))
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
			if feed, err = g.feed(b, distance(g.want, to)); err != nil {
				return nil, err
			}
		}
		return g.move(to, feed)
	case clockwise, counterclockwise:
		return g.arc(b, to)
	}
	return nil, refuse("X or Y", "no motion was chosen before: G0, G1, G2 or G3")
}

func (g *Gate) target(coordinate *float64, b block, letter byte) {
	switch {
	case !b.given[letter]:
	case g.modes.relative:
		*coordinate += float64(b.value[letter] * g.modes.unit)
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

// To goes straight to a place, in machine mm, at most with so many mm/s: a jog,
// or the way to where a drawing begins. The modes of a program stay.
func (g *Gate) To(x, y, speedMMS float64) ([]Item, error) {
	if g.lost {
		return nil, refuse("motion", "nobody knows where the stylus is")
	}
	if !(speedMMS > 0) {
		return nil, refuse("motion", "its speed is not above 0")
	}
	return g.move(point{x, y}, speedMMS*60)
}

// move is the one place where lines that move are made while the position is
// known: none if the place is the one where the stylus is, several if the way
// takes long.
func (g *Gate) move(to point, feed float64) ([]Item, error) {
	end := g.written(to)
	if !g.almostInside(to) || !g.inside(end) {
		return nil, refuse("X and Y", "(%.3f, %.3f) is not in the area, x %g to %g and y %g to %g mm",
			to.x, to.y, g.limits.Left, g.limits.Right, g.limits.Bottom, g.limits.Top)
	}
	from := g.at
	g.want = to
	if end == from {
		return nil, nil
	}
	g.at = end
	feed = min(feed, g.fastest(from, end))
	// A piece shorter than two steps would bend the line more than cutting it is
	// worth.
	piece := max(feed/60*pieceS, 2*max(1/g.limits.StepsPerMM[0], 1/g.limits.StepsPerMM[1]))
	count := math.Ceil(distance(from, end)/piece - 1e-9)
	var items []Item
	last := from
	for i := 1.0; i <= count; i++ {
		p := end
		if i < count {
			t := i / count
			p = g.nearest(point{from.x + float64((end.x-from.x)*t), from.y + float64((end.y-from.y)*t)})
		}
		if p == last {
			continue
		}
		if !g.inside(p) {
			return nil, refuse("X and Y", "(%.3f, %.3f) is not in the area", p.x, p.y)
		}
		items = append(items, g.lineTo(last, p, feed))
		last = p
	}
	return items, nil
}

// pieceS is how long, in seconds, one line may keep the motors busy at its
// speed.
const pieceS = 0.25

// written is a place as it is written: a whole step. Half a step would be
// rounded by the board, and boards round from where they count. On the edge of
// an area that is no whole number of steps wide, it is the last step inside.
func (g *Gate) written(p point) point {
	inside := func(axis int, v float64) float64 {
		steps := g.limits.StepsPerMM[axis]
		return max(g.low[axis]/steps, min(v, g.high[axis]/steps))
	}
	return g.nearest(point{inside(0, p.x), inside(1, p.y)})
}

// nearest is the whole step nearest to a place, as it is written.
func (g *Gate) nearest(p point) point {
	return point{
		g.round(math.Round(p.x*g.limits.StepsPerMM[0]) / g.limits.StepsPerMM[0]),
		g.round(math.Round(p.y*g.limits.StepsPerMM[1]) / g.limits.StepsPerMM[1]),
	}
}

// inside judges what is written: the whole step that the board makes of it. It
// is false for what is not a number.
func (g *Gate) inside(p point) bool {
	x, y := math.Round(p.x*g.limits.StepsPerMM[0]), math.Round(p.y*g.limits.StepsPerMM[1])
	return g.low[0] <= x && x <= g.high[0] && g.low[1] <= y && y <= g.high[1]
}

// almostInside judges what is meant. It forgives what computing in binary adds
// to a place on the edge.
func (g *Gate) almostInside(p point) bool {
	const rounding = 1e-6
	return g.limits.Left-rounding <= p.x && p.x <= g.limits.Right+rounding &&
		g.limits.Bottom-rounding <= p.y && p.y <= g.limits.Top+rounding
}

// fastest is the largest speed in mm/min that both axes allow on a way.
func (g *Gate) fastest(from, to point) float64 {
	length := distance(from, to)
	return 60 * min(g.limits.SpeedMMS[0]*length/math.Abs(to.x-from.x), g.limits.SpeedMMS[1]*length/math.Abs(to.y-from.y))
}

// distance is in mm. The conversions keep the products from being fused, so
// that it is the same on every processor.
func distance(a, b point) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	return math.Sqrt(float64(dx*dx) + float64(dy*dy))
}

// Limits are what the gate guards.
func (g *Gate) Limits() Limits { return g.limits }
