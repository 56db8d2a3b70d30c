package live

import (
	"context"
	"fmt"
	"strings"

	"wend/cmd/wend/operate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/plan"
)

// strides are how far one key press goes, in mm.
var strides = [...]float64{0.1, 0.2, 0.5, 1, 2, 5, 10}

// steer draws with the arrow keys until Enter; what was steered becomes an
// entry.
func (p *Prompt) steer(ctx context.Context, _ string) error {
	if p.Keys == nil {
		return refusal("steering reads single key presses, which this terminal does not give")
	}
	onMachine := p.mode() == link.Armed
	switch {
	case p.machine != nil && !onMachine:
		return refusef("the machine is %s; `/arm` lets it draw, `/disconnect` lets you steer dry", p.mode())
	case onMachine && p.pending():
		return refusal("there is line that is not drawn yet; `/draw` draws it, `/forget` takes it back")
	case onMachine:
		if err := p.talk.Consent(ctx, "each arrow key will move the stylus at once, by at most 10 mm; type `steer` to start, Enter alone not to: ", "steer", true); err != nil {
			return p.notDone(err, "not started")
		}
	}
	p.say("arrow keys draw; + and - change how far; Enter keeps what was drawn%s", map[bool]string{false: ", Escape drops it"}[onMachine])
	s := &steering{p: p, onMachine: onMachine, at: p.session.now.Here(), stride: 3}
	keep, err := s.run(ctx)
	s.endLine()
	if !keep || len(s.shifts) == 0 {
		if err == nil {
			err = refusal("nothing was steered")
		}
		return err
	}
	change, list := p.session.Try(ctx, "", s.text())
	if change == nil {
		return list
	}
	p.accept(change)
	if onMachine {
		p.drawn, p.partway = change.End(), nil
	}
	p.say("%s\n%s", s.text(), p.standing(&change.state))
	return err
}

// steering is one run of the arrow keys.
type steering struct {
	p         *Prompt
	onMachine bool
	at        geom.Point
	stride    int // index into strides
	shifts    []geom.Point
	rows      int // of the picture that stands on the screen
	line      bool
}

func (s *steering) run(ctx context.Context) (keep bool, err error) {
	p := s.p
	s.show("")
	keys, cancel := context.WithCancel(ctx)
	defer cancel()
	go func() {
		select {
		case <-p.Interrupted:
			cancel()
		case <-keys.Done():
		}
	}()
	for {
		key, err := p.Keys.Key(keys)
		if err != nil {
			return s.onMachine, ctx.Err() // Ctrl-C: as Escape
		}
		var to geom.Point
		switch mm := strides[s.stride]; key {
		case operate.KeyUp:
			to = geom.Point{Y: mm}
		case operate.KeyDown:
			to = geom.Point{Y: -mm}
		case operate.KeyRight:
			to = geom.Point{X: mm}
		case operate.KeyLeft:
			to = geom.Point{X: -mm}
		case '+':
			s.stride = min(s.stride+1, len(strides)-1)
			s.show("")
			continue
		case '-':
			s.stride = max(s.stride-1, 0)
			s.show("")
			continue
		case operate.KeyEnter:
			return true, nil
		case operate.KeyEscape, operate.KeyCtrlC, operate.KeyCtrlD:
			return s.onMachine, nil
		default:
			continue
		}
		if !p.Settings.Profile.Page().Grow(geom.SamePoint).Contains(s.at.Add(to)) {
			s.show("the edge of the page is nearer than that")
			continue
		}
		if s.onMachine {
			if err := s.move(ctx, to); err != nil {
				return true, err
			}
		}
		s.add(to)
		s.show("")
	}
}

// move lets the machine follow a key press.
func (s *steering) move(ctx context.Context, by geom.Point) error {
	p := s.p
	s.endLine()
	keys := p.Keys
	p.granted = true // the word for all of it was typed
	p.Keys = nil     // no key is taken for anything while the stylus moves
	defer func() {
		p.granted, p.Keys = false, keys
		// One motion for one key press: those pressed meanwhile are dropped.
		p.Lines.Drop()
	}()
	piece := &plan.Sheet{Points: []geom.Point{s.at, s.at.Add(by)}, Place: make([]uint32, 1)}
	outcome, err := p.send(ctx, piece, "steer")
	if err != nil && outcome != nil && outcome.Certainty != link.Lost {
		// What was drawn is written down, not what was meant.
		if done := outcome.At.Sub(s.at); done.Length() > p.grain() {
			s.add(done)
		}
	}
	return err
}

// add writes down a shift. One that goes on in the direction of the last
// becomes part of it.
func (s *steering) add(by geom.Point) {
	s.at = s.at.Add(by)
	if n := len(s.shifts); n > 0 {
		last := s.shifts[n-1]
		if last.Cross(by) == 0 && last.Dot(by) > 0 {
			s.shifts[n-1] = last.Add(by)
			return
		}
	}
	s.shifts = append(s.shifts, by)
}

// text is what was steered, as statements.
func (s *steering) text() string {
	var out strings.Builder
	for i, by := range s.shifts {
		if i > 0 {
			out.WriteByte('\n')
		}
		fmt.Fprintf(&out, "shift %s, %s", number(by.X), number(by.Y))
	}
	return out.String()
}

// show shows where the stylus is, over what was shown before.
func (s *steering) show(problem string) {
	p := s.p
	if problem == "" {
		problem = fmt.Sprintf("one key press draws %s mm", number(strides[s.stride]))
	}
	line := fmt.Sprintf("at %s; %s", place(s.at), problem)
	if p.Plain {
		p.say("%s", line)
		return
	}
	picture := s.picture()
	if s.line && s.rows > 0 {
		fmt.Fprintf(p.out, "\r\x1b[%dA", s.rows)
	}
	fmt.Fprintf(p.out, "\r%s\x1b[K%s", strings.ReplaceAll(picture, "\n", "\x1b[K\n"), line)
	s.rows, s.line = strings.Count(picture, "\n"), true
}

// picture is the sheet with what was steered so far.
func (s *steering) picture() string {
	now := s.p.session.now
	sheets := append([]*plan.Sheet(nil), now.drawn.Sheets...)
	last := *sheets[len(sheets)-1]
	at := last.Points[len(last.Points)-1]
	last.Points = append([]geom.Point(nil), last.Points...)
	last.Place = append([]uint32(nil), last.Place...)
	for _, by := range s.shifts {
		at = at.Add(by)
		last.Points = append(last.Points, at)
		last.Place = append(last.Place, 0)
	}
	sheets[len(sheets)-1] = &last
	drawn := *now.drawn
	drawn.Sheets = sheets
	now.drawn = &drawn
	return s.p.picture(&now, 0)
}

func (s *steering) endLine() {
	if s.line {
		fmt.Fprintln(s.p.out)
		s.line = false
	}
}
