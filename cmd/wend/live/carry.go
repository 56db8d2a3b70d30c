package live

import (
	"bytes"
	"context"
	"errors"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/plan"
)

// pending reports whether there is line, or a sheet to be wiped, that the machine
// has not done.
func (p *Prompt) pending() bool { return p.drawn.before(p.session.now.End()) }

// follow draws on the machine what is not drawn yet, if it is armed.
func (p *Prompt) follow(ctx context.Context) error {
	if p.mode() != link.Armed {
		return nil
	}
	return p.followTo(ctx, p.session.now.End())
}

// followTo draws on the machine up to a mark.
func (p *Prompt) followTo(ctx context.Context, to Mark) error {
	for p.drawn.before(to) {
		now := &p.session.now
		sheet := now.drawn.Sheets[p.drawn.Sheet]
		if p.drawn.Vertex == 0 && p.partway == nil && p.farFromBeginning(sheet) {
			if err := p.walk(ctx, sheet.Points[0]); err != nil {
				return err
			}
		}
		end := Mark{p.drawn.Sheet, len(sheet.Points) - 1}
		if to.before(end) {
			end = to
		}
		if p.drawn.before(end) {
			if err := p.piece(ctx, end); err != nil {
				return err
			}
		}
		if p.drawn.Sheet < to.Sheet {
			next := Mark{p.drawn.Sheet + 1, 0}
			if !p.farFromBeginning(now.drawn.Sheets[next.Sheet]) { // else it is wiped after the walk there
				if err := p.wipe(ctx); err != nil {
					return err
				}
			}
			p.drawn = next
		}
	}
	return nil
}

// farFromBeginning reports whether a sheet begins where the program says, and the
// stylus stands elsewhere.
func (p *Prompt) farFromBeginning(sheet *plan.Sheet) bool {
	return sheet.Begun && p.stylus().Distance(sheet.Points[0]) >= p.grain()
}

// walk goes straight to where a program begins its line, and has the sheet
// wiped, so that nothing of the way is left.
func (p *Prompt) walk(ctx context.Context, to geom.Point) error {
	p.say("the line begins at %s: the stylus walks there first, then the sheet is wiped", place(to))
	_, err := p.send(ctx, &plan.Sheet{Points: []geom.Point{p.stylus(), to}, Place: make([]uint32, 1)}, "walk")
	if err != nil {
		return err
	}
	return p.wipe(ctx)
}

// piece draws from what is drawn to a mark of the same sheet.
func (p *Prompt) piece(ctx context.Context, end Mark) error {
	now := &p.session.now
	sheet := now.drawn.Sheets[end.Sheet]
	from := p.drawn.Vertex
	piece := &plan.Sheet{
		Points: append([]geom.Point(nil), sheet.Points[from:end.Vertex+1]...),
		Place:  append([]uint32(nil), sheet.Place[from:end.Vertex]...),
	}
	shift := -from
	if p.partway != nil {
		piece.Points[0] = p.partway.at
	}
	if at := p.stylus(); at.Distance(piece.Points[0]) >= p.grain() {
		p.say("the stylus stands at %s, the line goes on at %s: the way there will be seen", place(at), place(piece.Points[0]))
		piece.Points = append([]geom.Point{at}, piece.Points...)
		piece.Place = append(piece.Place[:1:1], piece.Place...)
		shift++
	}
	for _, pause := range sheet.Pauses {
		if pause.Vertex >= from && pause.Vertex < end.Vertex && (p.partway == nil || pause.Vertex > from) {
			pause.Vertex += shift
			piece.Pauses = append(piece.Pauses, pause)
		}
	}
	p.unsure = nil // the way there is seen
	outcome, err := p.send(ctx, piece, "draw")
	if outcome == nil {
		return err
	}
	if err == nil {
		p.drawn, p.partway = end, nil
		if p.possible != "" {
			p.Remove(p.possible)
			p.possible = ""
		}
		return nil
	}
	sent := sentLine{points: piece.Points, shift: shift, drawn: p.drawn, partway: p.partway}
	p.drawn, p.partway = sent.reached(outcome.At, outcome.DrawnMM, outcome.Certainty == link.Lost, p.grain())
	if outcome.Certainty == link.Lost {
		p.mayStand(ctx, outcome, sent)
	}
	return err
}

// sentLine is a piece of line that was sent. Its points are those of the sheet
// from a mark on, the first a bit further where it was stopped before, and that
// many more (or, below 0, so many fewer) before each.
type sentLine struct {
	points  []geom.Point
	shift   int
	drawn   Mark
	partway *partway
}

// reached is how far the line is drawn if the stylus came to a place of it: the
// mark before, and where after it if that is more than a grain.
func (s *sentLine) reached(at geom.Point, drawnMM float64, lost bool, grain float64) (Mark, *partway) {
	vertex, on, mm := along(s.points, at, drawnMM, lost)
	vertex -= s.shift
	if vertex < s.drawn.Vertex || vertex == s.drawn.Vertex && mm <= grain {
		return s.drawn, s.partway
	}
	if s.partway != nil && vertex == s.drawn.Vertex {
		mm += s.partway.mm
	}
	return Mark{s.drawn.Sheet, vertex}, &partway{on, mm}
}

// along finds where on a line a stylus stopped: the piece that it is nearest
// to, of several the one at the length that was drawn. It gives the vertex
// before, the place on the line, and its distance from that vertex.
func along(points []geom.Point, at geom.Point, drawnMM float64, lost bool) (vertex int, on geom.Point, mm float64) {
	best, length := -1.0, 0.0
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		d := b.Sub(a)
		whole := d.Length()
		t := 0.0
		switch {
		case whole == 0: // a stop exactly at a corner leaves such a piece
		case lost:
			t = max(0, min(1, (drawnMM-length)/whole))
		default:
			t = max(0, min(1, at.Sub(a).Dot(d)/float64(whole*whole)))
		}
		foot := a.Add(d.Times(t))
		cost := length + float64(t*whole) - drawnMM
		if cost < 0 {
			cost = -cost
		}
		if !lost {
			// What is off the line weighs far more than what is far along it.
			cost = cost/100 + foot.Distance(at)
		}
		if best < 0 || cost < best {
			best, vertex, on, mm = cost, i-1, foot, float64(t*whole)
		}
		length += whole
	}
	return vertex, on, mm
}

// send shows what a piece of line comes to, asks, and draws it. The outcome is
// nil if nothing was sent.
func (p *Prompt) send(ctx context.Context, piece *plan.Sheet, word string) (*sent, error) {
	now := &p.session.now
	whole := &plan.Plan{Seed: now.drawn.Seed, Places: now.drawn.Places, ToleranceMM: now.drawn.ToleranceMM, Sheets: []*plan.Sheet{piece}}
	if len(whole.Places) == 0 {
		whole.Places = []plan.Place{{Span: now.program.Checked.Main.File.Place()}}
	}
	at, _, _ := p.machine.Where()
	var text bytes.Buffer
	known, list := now.program.Lower(ctx, whole, 0, at.Gap, &text)
	if list.Failed() {
		return nil, list
	}
	b := known.Bounds
	p.say("%s %s in %s, within x %s to %s, y %s to %s", map[string]string{"draw": "to draw:", "walk": "to walk:", "steer": "to draw:"}[word],
		gcode.Length(known.LineMM), gcode.Duration(known.Seconds), diag.Tenths(b.Min.X), diag.Tenths(b.Max.X), diag.Tenths(b.Min.Y), diag.Tenths(b.Max.Y))
	if err := p.starts(ctx, known.LineMM, word); err != nil {
		return nil, p.notDone(err, "not started; `/draw` asks again")
	}
	return p.run(ctx, link.Job{Name: operate.PromptJob, Text: text.String(), Seconds: known.Seconds})
}

// run lets the machine draw, while the person may hold, resume and stop it.
func (p *Prompt) run(ctx context.Context, job link.Job) (*sent, error) {
	var outcome link.Outcome
	err := p.talk.Watched(ctx, "drawn", func(ctx context.Context, op link.Operator) (err error) {
		outcome, err = p.machine.Draw(ctx, job, op)
		return err
	})
	if err != nil {
		p.unasked = 0
	}
	var fault *diag.Fault
	if errors.As(err, &fault) && outcome.Complete {
		p.Diagnose(diag.List{fault.At(source.Span{})}) // what stays to be seen
		err = nil
	}
	switch {
	case errors.Is(err, link.ErrStopped) && outcome.Certainty == link.Lost:
		err = stopped("stopped at once; nobody knows where the stylus is now. Look, and say it: `/here X Y`")
	case errors.Is(err, link.ErrStopped):
		p.say("stopped at %s, %s drawn; the position is %s", place(outcome.At), gcode.Length(outcome.DrawnMM), outcome.Certainty)
		err = stopped("what is left of the line waits: `/arm`, then `/draw`, go on with it; `/abandon` drops it")
	case err == nil && !outcome.Complete:
		err = ofMachine(refusal("the machine did not come to the end of the line"))
	case err == nil:
		p.say("drawn; %s", p.modeInWords())
	default:
		err = ofMachine(err)
	}
	return &sent{outcome, job.Text}, err
}

// sent is how the drawing of some instructions ended.
type sent struct {
	link.Outcome
	text string
}

// wipe has the sheet wiped.
func (p *Prompt) wipe(ctx context.Context) error {
	if err := p.talk.Wipe(ctx, p.machine, false); err != nil {
		if !errors.Is(err, operate.ErrDeclined) {
			p.machine.Disarm() // somebody has to look at it first
		}
		return p.notDone(err, "the sheet is not wiped; `/draw` asks again")
	}
	if err := p.talk.Confirm(ctx, p.machine); err != nil {
		p.machine.Disarm()
		return p.notDone(err, "say where it stands with `/here X Y`, then `/arm`")
	}
	return ofMachine(p.talk.Rearm(p.machine))
}
