package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/plan"
)

// step takes a program file as one entry, statement by statement. The whole of
// it is tried first, as any entry. Left in the middle, nothing of it counts but
// what the machine has drawn: that is written down as it lies there.
//
// A program that cannot go on from the line at hand, such as one that says where
// its line begins, is stepped by itself: the entries stay as they are, and no
// machine moves.
func (p *Prompt) step(ctx context.Context, name string) error {
	if name == "" {
		return refusal("name the file: `/step pinwheel.wend`")
	}
	file, err := p.Load(name)
	if err != nil {
		return err
	}
	onMachine := p.mode() == link.Armed
	if onMachine && p.pending() {
		return refusal("there is line that is not drawn yet; `/draw` draws it, `/forget` takes it back")
	}
	change, err := p.try(ctx, file.Name, file.Text)
	var faults diag.List
	switch {
	case err == nil:
	case !errors.As(err, &faults) || len(p.session.now.entries) == 1:
		return err
	case onMachine:
		return notFromHere(faults)
	default:
		return p.stepApart(ctx, file, faults)
	}
	if onMachine {
		length := change.Length(change.From, change.End())
		if err := p.talk.Consent(ctx, fmt.Sprintf("each step will move the machine at once, %s in all; type `step` to start, Enter alone not to: ", gcode.Length(length)), "step", true); err != nil {
			return p.notDone(err, "not started")
		}
		p.granted = true
		defer func() { p.granted = false }()
	}
	p.accept(change)
	s := &stepping{p: p, change: change, onMachine: onMachine}
	s.run(ctx)
	switch {
	case s.failed == nil && onMachine:
		if err := p.follow(ctx); err != nil {
			return err
		}
		p.shown(change)
		return nil
	case s.failed == nil:
		p.shown(change)
		p.remind()
		return nil
	}
	return errors.Join(p.leftAt(ctx, change, s.at), ignoring(s.failed))
}

// notFromHere points a program that says where its line begins to the way in
// which it can be stepped all the same.
func notFromHere(list diag.List) diag.List {
	for i, d := range list {
		if d.Code == "begin-late" || d.Code == "begin-twice" {
			list[i].Hint = "`/disarm` first: then it is stepped by itself, and the machine stands still"
		}
	}
	return list
}

// stepApart steps a program in a session of its own, since there are faults if
// it goes on from the entries.
func (p *Prompt) stepApart(ctx context.Context, file *source.File, faults diag.List) error {
	own, list := NewSession(ctx, p.Settings)
	if list.Failed() {
		return list
	}
	change, err := p.tryIn(ctx, own, file.Name, file.Text)
	if errors.As(err, &list) {
		// What is wrong with it by itself comes first; but without the entries
		// it may also lack what they define.
		for _, d := range list {
			if slices.ContainsFunc(faults, func(f diag.Diagnostic) bool { return f.Code == d.Code && f.Message == d.Message }) {
				return diag.List{d}
			}
		}
		return faults
	}
	if err != nil {
		return err
	}
	p.say("%s cannot go on from your line: %s. It is stepped by itself; your entries stay as they are.", file.Name, faults.Sorted()[0].Message)
	s := &stepping{p: p, change: change}
	s.run(ctx)
	if s.failed == nil {
		p.shown(change)
	} else if err := ignoring(s.failed); err != nil {
		return err
	}
	p.say("that was %s by itself; your entries: %s", file.Name, p.standing(&p.session.now))
	return nil
}

// errLeft says that the person left a stepped program.
var errLeft = errors.New("left")

func ignoring(err error) error {
	if errors.Is(err, errLeft) {
		return nil
	}
	return err
}

// run goes through the program, from stop to stop.
func (s *stepping) run(ctx context.Context) {
	change := s.change
	s.wanted, s.pauses = "into", pausesOf(change.drawn)
	s.p.say("into: the next statement; over: past this one; on: to the next pause; values; leave. Enter repeats.")
	earlier := len(change.drawn.Said) - len(change.Said)
	change.Said = nil // it is said on the way
	change.program.Steps(ctx, func(at eval.Step) error {
		s.failed = s.before(ctx, at)
		return s.failed
	}, func(said plan.Saying) {
		if earlier--; earlier < 0 {
			s.p.say("%s", said.Text)
		}
	})
}

// stepping is one run of a program statement by statement.
type stepping struct {
	p         *Prompt
	change    *Change
	onMachine bool
	wanted    string // what to do until the next stop
	last      eval.Step
	begun     bool
	pauses    map[source.Span]bool
	at        Mark       // where the line was at the last stop
	stylus    geom.Point // where it stood on the sheet then
	failed    error
}

func pausesOf(drawn *plan.Plan) map[source.Span]bool {
	pauses := map[source.Span]bool{}
	for _, sheet := range drawn.Sheets {
		for _, pause := range sheet.Pauses {
			pauses[pause.Span] = true
		}
	}
	return pauses
}

// own reports whether a text is one that a person wrote, not the library's.
func (s *stepping) own(file *source.File) bool {
	for _, e := range s.change.entries {
		if e.source == file {
			return true
		}
	}
	for _, used := range s.change.files {
		if used == file {
			return true
		}
	}
	return false
}

// before is called before each statement. It stops where that is wanted, lets
// the machine catch up, shows the place and asks what to do.
func (s *stepping) before(ctx context.Context, at eval.Step) error {
	newest := s.change.entries[len(s.change.entries)-1].source
	switch {
	case !s.begun && (at.Span.File != newest || at.Depth > 0), !s.own(at.Span.File):
		return nil
	case !s.begun:
	case s.wanted == "over" && (at.Depth > s.last.Depth || at.Depth == s.last.Depth && within(at.Span, s.last.Span)):
		return nil
	case s.wanted == "on" && !s.pauses[at.Span]:
		return nil
	}
	s.begun, s.last = true, at
	s.at = Mark{at.Sheet, at.Vertex}
	if at.OnSheet {
		s.stylus = at.At
	}
	if s.onMachine {
		if err := s.p.followTo(ctx, s.at); err != nil {
			return err
		}
	}
	s.show(at)
	for {
		line, err := s.p.readLine(ctx, "step, "+s.wanted+"> ", "> ")
		switch {
		case errors.Is(err, tty.ErrCleared), errors.Is(err, tty.ErrIdle), errors.Is(err, io.EOF):
			return errLeft
		case err != nil:
			return err
		}
		switch word := strings.TrimSpace(line); word {
		case "":
			return nil
		case "into", "over", "on":
			s.wanted = word
			return nil
		case "values":
			s.values(at)
		case "leave":
			return errLeft
		default:
			s.p.say("here the words are into, over, on, values and leave")
		}
	}
}

func within(inner, outer source.Span) bool {
	return inner.File == outer.File && outer.Start < inner.Start && inner.End <= outer.End
}

// contextLines is how many lines of the source are shown around a statement.
const contextLines = 2

// show shows a statement in its source, the line up to it, and where the
// stylus stands.
func (s *stepping) show(at eval.Step) {
	p := s.p
	partial := s.change.state.upTo(s.at, s.stylus, at.Heading)
	fmt.Fprint(p.out, p.picture(&partial, rowsOfSource))
	file, line := at.Span.File, at.Span.From().Line
	inside := ""
	if at.Body != "" {
		inside = " in " + at.Body
	}
	if p.Plain {
		p.say("%s, line %d%s: %s", file.Name, line, inside, strings.TrimSpace(file.Line(line)))
	} else {
		p.say("%s%s", file.Name, inside)
		for n := max(1, line-contextLines); n <= min(file.Lines(), line+contextLines); n++ {
			sign := " "
			if n == line {
				sign = "▶"
			}
			p.say("%s %4d  %s", sign, n, file.Line(n))
		}
	}
	if at.OnSheet {
		p.say("at %s, %s", place(at.At), p.facing(at.Heading))
	} else {
		p.say("in the frame of a path: at %s, %s", place(at.At), p.facing(at.Heading))
	}
}

// valueWidth is how much of a long value is shown.
const valueWidth = 200

func (s *stepping) values(at eval.Step) {
	variables := at.Variables()
	if len(variables) == 0 {
		s.p.say("no variable has a value here")
	}
	for _, v := range variables {
		text := []rune(v.Value)
		if len(text) > valueWidth {
			text = append(text[:valueWidth], []rune(" …")...)
		}
		s.p.say("%s = %s", v.Name, string(text))
	}
}

// upTo is the state with its line cut off at a mark, where the stylus stood. A
// line that is not begun yet has that one point: its own first point is where a
// later statement lets it begin.
func (s state) upTo(m Mark, stylus geom.Point, heading float64) state {
	drawn := *s.drawn
	drawn.Sheets = append([]*plan.Sheet(nil), s.drawn.Sheets[:m.Sheet+1]...)
	cut := *drawn.Sheets[m.Sheet]
	cut.Points = cut.Points[:m.Vertex+1]
	cut.Place = cut.Place[:m.Vertex]
	if m == (Mark{}) {
		cut.Points = []geom.Point{stylus}
	}
	drawn.Sheets[m.Sheet] = &cut
	drawn.Heading = heading
	s.drawn = &drawn
	return s
}

// leftAt takes back a program that was left in the middle. What the machine has
// drawn of it stays, as an entry of its own.
func (p *Prompt) leftAt(ctx context.Context, change *Change, at Mark) error {
	from, scratched := change.From, p.drawn
	stoppedAt := p.partway
	if _, err := p.session.Forget(1, Mark{}); err != nil {
		return err
	}
	if !from.before(p.scratched()) {
		p.say("left; nothing of it counts")
		p.show()
		return nil
	}
	text := p.asReaches(&change.state, from, scratched, stoppedAt)
	kept, list := p.session.Try(ctx, "", text)
	if kept == nil {
		return list
	}
	p.accept(kept)
	p.drawn, p.partway = kept.End(), nil
	p.say("left; what the machine has drawn of it is kept as an entry of its own")
	p.show()
	return nil
}

// asReaches is the line of a state between two marks, and on to where it was
// stopped, as statements that draw the same.
func (p *Prompt) asReaches(line *state, from, to Mark, stoppedAt *partway) string {
	var text strings.Builder
	for sheet := from.Sheet; sheet <= to.Sheet; sheet++ {
		if sheet > from.Sheet {
			text.WriteString("erase\n")
		}
		points := line.points(from, to, sheet)
		if sheet == 0 && from == (Mark{}) && line.drawn.Sheets[0].Begun && !p.session.now.drawn.Sheets[0].Begun {
			fmt.Fprintf(&text, "begin %s, %s\n", number(points[0].X), number(points[0].Y))
		}
		for _, at := range points[1:] {
			fmt.Fprintf(&text, "reach %s, %s\n", number(at.X), number(at.Y))
		}
	}
	if stoppedAt != nil {
		fmt.Fprintf(&text, "reach %s, %s\n", number(stoppedAt.at.X), number(stoppedAt.at.Y))
	}
	return text.String()
}
