// Package calibrate finds out what a machine really is by having it draw
// patterns that an operator reads by eye and ruler: which way it turns, how
// long its millimetres are, where its edges are, how much play its knobs have,
// how square it stands, how fast it can be, and how often to wipe.
//
// The patterns and the arithmetic of the answers are pure. A Session puts them
// to a machine and an operator, both of them interfaces, and changes a copy of
// the profile as the answers come in.
//
// Patterns speak to the motors, not to the stylus: slack and skew are what is
// looked for, so nothing makes up for them unless it is said.
package calibrate

import (
	"context"
	"errors"
	"fmt"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Machine is what a calibration moves. Every motion goes through whatever
// guards the port.
type Machine interface {
	// Declare takes a profile for true: the board is set to it where it differs,
	// by it the motors stand at a place, in machine mm, and no motion may leave a
	// box from now on.
	Declare(ctx context.Context, p *machine.Profile, at geom.Point, guard geom.Box) error
	// Follow goes straight from place to place, in machine mm, at most with so
	// many mm/s along the way, and returns when the motors stand.
	Follow(ctx context.Context, path []geom.Point, speedMMS float64) error
	// Where is where the motors stand, in machine mm by the profile that was
	// declared last, and whether that is known.
	Where() (at geom.Point, sure bool)
	// Lose says that nobody knows any more where the motors stand.
	Lose(why string) error
}

// Eraser wipes the sheet once and tells how many seconds that took.
type Eraser interface {
	Wipe(ctx context.Context) (seconds float64, err error)
}

// ErrLeft is what an operator answers who leaves a part.
var ErrLeft = errors.New("the part is left")

// Operator is whoever stands at the machine. ErrLeft leaves the part under way.
type Operator interface {
	// Ready asks for something to be done, and returns when it is.
	Ready(ctx context.Context, q Question) error
	// Measure asks for a number.
	Measure(ctx context.Context, q Question) (float64, error)
	// Choose asks for one of q.Options and gives its index.
	Choose(ctx context.Context, q Question) (int, error)
	// Approach has the stylus brought to a mark. Either the operator moves it,
	// press by press, by some mm towards the mark or, below 0, away from it, and
	// says when it is there; or tells how many mm are left.
	Approach(ctx context.Context, q Question, press func(ctx context.Context, mm float64) error) (left float64, there bool, err error)
}

// Question is what an operator is asked.
type Question struct {
	Part    Part
	Ask     string   // one sentence
	More    string   // how to go about it; may be empty
	Options []string // for Choose
	// Low and High are the smallest and the largest answer that can be true,
	// for Measure; Unit is what it is counted in.
	Low, High float64
	Unit      string
	Look      Look
	Wipe      bool // the sheet is to be wiped: an eraser may do that unasked
}

// Look is what the answer is to be read from.
type Look struct {
	Kind Kind
	Axis Axis
	// From and To are the marks between which to measure, counted in the order
	// in which they were drawn since the last Ready.
	From, To int
	Edge     Edge
	// FarEnd says that teeth are counted from the other end of the comb.
	FarEnd bool
}

// Kind is what is looked at.
type Kind uint8

// The kinds.
const (
	None     Kind = iota
	Heading       // which way the stylus went since the last question
	Ticks         // two ticks across an axis
	ToMark        // the stylus and the mark of an edge
	Comb          // which tooth of a comb lines up with its partner
	Corners       // two corners of the rectangle that was drawn last
	Returned      // whether the second mark lies on the first
	Clean         // whether the sheet is clean
	Stands        // whether the stylus stands where it did
)

// Axis is one of the two knobs.
type Axis uint8

// The axes.
const (
	X Axis = iota
	Y
)

func (a Axis) String() string { return [...]string{"x", "y"}[a] }

// Edge is one side of the area.
type Edge uint8

// The edges.
const (
	Left Edge = iota
	Right
	Lower
	Upper
)

func (e Edge) String() string { return [...]string{"left", "right", "lower", "upper"}[e] }

// Part is one part of a calibration.
type Part string

// The parts, in the order of a first calibration.
const (
	Direction  Part = "direction"
	Scale      Part = "scale"
	Area       Part = "area"
	Slack      Part = "slack"
	Squareness Part = "squareness"
	Length     Part = "length"
	Pace       Part = "pace"
	Erasing    Part = "eraser"
)

// Parts is every part, in order.
func Parts() []Part {
	return []Part{Direction, Scale, Area, Slack, Squareness, Length, Pace, Erasing}
}

// Finding is what a part found out, in a sentence, and as figures.
type Finding struct {
	Part    Part
	Text    string
	Figures []Figure
}

// Figure is a thing that was measured: the truth is within Bound of Value, if
// readings are off by readingSigmaMM and not many of them are wrong.
type Figure struct {
	Name         string // such as "x scale"
	Value, Bound float64
	Unit         string
}

// Trouble is why a part found nothing: a fault of the machine, or readings that
// do not go together.
type Trouble struct {
	Text string
	// From is the part to begin again with, empty if it is the one that failed.
	From Part
}

func (t *Trouble) Error() string { return t.Text }

// The speeds at which patterns are drawn, mm/s, where the profile allows them.
const (
	creepMMS   = 5.0
	patternMMS = 15.0
)

// Session is a calibration under way.
type Session struct {
	machine  Machine
	operator Operator
	eraser   Eraser
	profile  machine.Profile
	declared machine.Profile // as the machine knows it, where it took it
	refused  bool            // the machine did not take the last one
	failed   bool            // nothing was declared yet, or the part before did not come to its end
	known    *geom.Point     // where the motors stand at first, nil if not known
	brought  bool            // the stylus is in the middle by hand, and nothing has moved since
	at       geom.Point      // where the motors stand, machine mm
	guard    geom.Box
	done     map[Part]bool
	halfDone map[Part]bool // x is done, y is not
	// taken is the slack that was taken off the area, mm by axis; 0 where the
	// area was not looked at.
	taken    [2]float64
	findings []Finding
}

// Begin begins a calibration, and moves and asks nothing yet. Before its first
// part the operator is asked to bring the stylus to the middle of the sheet; or,
// for parts that need no middle, the motors are known to stand somewhere, in
// machine mm. Until the area is confirmed, motions keep to a box around that
// place which grows as the scale becomes known.
func Begin(m Machine, o Operator, e Eraser, p *machine.Profile, known *geom.Point) *Session {
	return &Session{machine: m, operator: o, eraser: e, profile: *p, declared: *p, known: known, failed: true, done: map[Part]bool{}, halfDone: map[Part]bool{}}
}

// FromMiddle reports whether a part must begin in the middle of the sheet: those
// that come before the area is known.
func (p Part) FromMiddle() bool { return p == Direction || p == Scale || p == Area }

// Needs are the parts without which a part could lead astray, where the profile
// is not calibrated.
func (p Part) Needs() []Part {
	switch p {
	case Direction, Erasing:
		return nil
	case Scale:
		return []Part{Direction}
	case Area:
		return []Part{Direction, Scale}
	}
	return []Part{Direction, Scale, Area}
}

// Profile is the profile as it is known by now.
func (s *Session) Profile() *machine.Profile {
	p := s.profile
	return &p
}

// Findings are what was found so far.
func (s *Session) Findings() []Finding { return s.findings }

func (s *Session) found(part Part, figures []Figure, format string, args ...any) {
	s.findings = append(s.findings, Finding{part, fmt.Sprintf(format, args...), figures})
}

// Lacks is the first part that must come before another and was not done, empty
// if none is lacking.
func (s *Session) Lacks(part Part) Part {
	for _, before := range part.Needs() {
		if !s.profile.Calibrated && !s.done[before] {
			return before
		}
	}
	return ""
}

// Run goes through one part. Where it fails, or is left, what it found of one
// axis by then stays, and it can be run again, or another part: what was
// declared and where the motors stand are known, or the operator is asked to
// bring the stylus to the middle.
func (s *Session) Run(ctx context.Context, part Part) error {
	if s.failed && part != Erasing {
		if err := s.recover(ctx); err != nil {
			return err
		}
	}
	before, findings := s.profile, len(s.findings)
	run := map[Part]func(context.Context) error{
		Direction: s.direction, Scale: s.scale, Area: s.area, Slack: s.slack,
		Squareness: s.squareness, Length: s.length, Pace: s.pace, Erasing: s.erasing,
	}[part]
	err := run(ctx)
	if err == nil {
		s.done[part] = true
		s.profile.Calibrated = s.profile.Calibrated || s.done[Direction] && s.done[Scale] && s.done[Area]
		// What the eraser is like says nothing about where the stylus is.
		known := s.profile.Calibrated && s.guard != s.profile.AreaBox()
		if part != Erasing && (known || s.profile != s.declared) {
			err = s.declare(ctx, s.at, s.profile.AreaBox())
		}
	}
	if err != nil {
		s.failed, s.profile = s.failed || part != Erasing, s.declared
		if part == Pace || part == Erasing {
			// The speeds of a rung, and rounds that were not enough, are no findings.
			s.profile, s.findings = before, s.findings[:findings]
		}
	}
	return err
}

// recover makes ready for the first part, or for one after a part that failed:
// back to the middle, on the way on which the stylus came, or by hand if nobody
// knows where it is.
func (s *Session) recover(ctx context.Context) error {
	if s.known != nil {
		err := s.declare(ctx, *s.known, s.profile.AreaBox())
		if err == nil {
			s.known, s.failed = nil, false
		}
		return err
	}
	at, sure := s.machine.Where()
	if !sure || s.brought {
		err := s.declareMiddle(ctx, "bring the stylus to the middle of the sheet, by eye, with the motors' power off; then switch it on")
		s.failed = err != nil
		return err
	}
	if s.refused {
		// Nothing has moved since the profile before.
		at = s.at
	}
	if err := s.declare(ctx, at, geom.Bounds([]geom.Point{at, s.middle()}).Grow(1)); err != nil {
		return err
	}
	s.failed = false
	if err := s.follow(ctx, creepMMS, s.middle()); err != nil || !s.profile.Calibrated {
		return err
	}
	return s.declare(ctx, s.at, s.profile.AreaBox())
}

// eachAxis goes through both axes. Where y failed, x is not asked for again.
func (s *Session) eachAxis(ctx context.Context, part Part, of func(context.Context, Axis) error) error {
	if !s.halfDone[part] {
		if err := of(ctx, X); err != nil {
			return err
		}
		s.halfDone[part] = true
	}
	if err := of(ctx, Y); err != nil {
		return err
	}
	s.halfDone[part] = false
	return nil
}

// middle is the middle of the area, in machine mm.
func (s *Session) middle() geom.Point {
	return geom.Point{X: s.profile.Area.WidthMM / 2, Y: s.profile.Area.HeightMM / 2}
}

func (s *Session) declareMiddle(ctx context.Context, ask string) error {
	if !s.brought {
		if err := s.machine.Lose("the stylus was to be brought to the middle by hand"); err != nil {
			return err
		}
		if err := s.operator.Ready(ctx, Question{Ask: ask}); err != nil {
			return err
		}
		s.brought = true
	}
	return s.declare(ctx, s.middle(), s.profile.AreaBox())
}

func (s *Session) declare(ctx context.Context, at geom.Point, guard geom.Box) error {
	profile, at := s.profile, s.whole(at)
	if err := s.machine.Declare(ctx, &profile, at, guard); err != nil {
		s.refused = true
		return err
	}
	s.at, s.guard, s.declared, s.refused = at, guard, s.profile, false
	return nil
}

// whole is the whole step nearest to a place: rounding on the board must not
// push a tooth aside.
func (s *Session) whole(at geom.Point) geom.Point {
	return s.profile.AtSteps(s.profile.NearestStep(at))
}

// axis is the profile's axis.
func (s *Session) axis(a Axis) *machine.Axis {
	if a == X {
		return &s.profile.X
	}
	return &s.profile.Y
}

// along is the coordinate of a place on an axis.
func along(p geom.Point, a Axis) float64 {
	if a == X {
		return p.X
	}
	return p.Y
}

// on is a place by its coordinate on an axis and the one across.
func on(a Axis, u, v float64) geom.Point {
	if a == X {
		return geom.Point{X: u, Y: v}
	}
	return geom.Point{X: v, Y: u}
}

// follow draws a path.
func (s *Session) follow(ctx context.Context, speedMMS float64, path ...geom.Point) error {
	speed := min(speedMMS, s.profile.X.MaxSpeedMMS, s.profile.Y.MaxSpeedMMS)
	steps := make([]geom.Point, len(path))
	for i, at := range path {
		steps[i] = s.whole(at)
	}
	s.brought = false
	if err := s.machine.Follow(ctx, steps, speed); err != nil {
		return err
	}
	s.at = steps[len(steps)-1]
	return nil
}

// shift moves by some mm along an axis.
func (s *Session) shift(ctx context.Context, a Axis, mm float64) error {
	return s.follow(ctx, creepMMS, on(a, along(s.at, a)+mm, along(s.at, 1-a)))
}

// wiped goes to where a pattern begins and asks for a clean sheet there.
func (s *Session) wiped(ctx context.Context, part Part, begin geom.Point) error {
	if err := s.follow(ctx, patternMMS, begin); err != nil {
		return err
	}
	return s.operator.Ready(ctx, Question{Part: part, Ask: "wipe the sheet; the next pattern begins where the stylus stands now", Wipe: true})
}

// direction: one move of 2 mm along each axis, and which way it went.
func (s *Session) direction(ctx context.Context) error {
	const step = 2.0
	around := geom.Bounds([]geom.Point{s.at}).Grow(3*step + 1)
	if err := s.declare(ctx, s.at, around); err != nil {
		return err
	}
	options := []string{"right", "left", "up", "down", "it did not move"}
	for _, a := range []Axis{X, Y} {
		begin, moved := s.at, 0.0
		way := 4
		for try := 0; way == 4; try++ {
			if try == 3 {
				return &Trouble{Text: fmt.Sprintf("the %s motor does not move the stylus: see that it has power, that its coupling holds, and that its plug is in (power off first)", a)}
			}
			if err := s.shift(ctx, a, step); err != nil {
				return err
			}
			moved += step
			var err error
			way, err = s.operator.Choose(ctx, Question{
				Part: Direction, Ask: fmt.Sprintf("which way did the stylus just go? (motor %s, 2 mm)", a),
				More:    "with much slack the first moves may not show",
				Options: options, Look: Look{Kind: Heading, Axis: a},
			})
			if err != nil {
				return err
			}
		}
		if (way >= 2) != (a == Y) {
			return &Trouble{Text: fmt.Sprintf("motor %s turns the other knob: switch the power off, then let the two motors change places at the driver", a)}
		}
		if way%2 == 0 {
			s.found(Direction, nil, "%s runs the right way", a)
			continue
		}
		axis := s.axis(a)
		axis.Reversed = !axis.Reversed
		// What went to the other side counts to that side from now on.
		if err := s.declare(ctx, on(a, along(begin, a)-moved, along(begin, 1-a)), s.guard); err != nil {
			return err
		}
		s.found(Direction, nil, "%s ran the wrong way and is turned round: reversed = %v", a, axis.Reversed)
	}
	return nil
}
