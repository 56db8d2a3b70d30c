package live

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/plan"
)

// Machine is a motion board that is connected: its modes, its position and how
// well that is known. *link.Link is one.
type Machine interface {
	Mode() link.Mode
	Where() (at link.Place, stylus geom.Point, certainty link.Certainty)
	WhyLost() string
	Declare(ctx context.Context, page geom.Point) error
	Confirm() error
	Doubt() error
	Mismatches() []link.Mismatch
	Arm() error
	Disarm()
	Draw(ctx context.Context, job link.Job, op link.Operator) (link.Outcome, error)
}

// Connection is a machine with what else belongs to it.
type Connection struct {
	Machine
	// Name is what people call it: a port, or the simulated machine.
	Name string
	// CheckList is what a person is shown before arming, line by line.
	CheckList []string
	// Wipe has an eraser wipe the sheet; nil where the operator does that.
	Wipe func(ctx context.Context) error
	// Calibrated tells that the machine may draw.
	Calibrated bool
	// Disturbs tells that wiping may move the stylus.
	Disturbs bool
	Close    func() error
}

// partway is where a piece of line was stopped: at, so many mm after the mark.
type partway struct {
	at geom.Point
	mm float64
}

// mode is what may move.
func (p *Prompt) mode() link.Mode {
	if p.machine == nil {
		return link.Dry
	}
	return p.machine.Mode()
}

// promptText carries mode, certainty, position and heading.
func (p *Prompt) promptText() string {
	now := &p.session.now
	mark := "°"
	if p.Plain {
		mark = ""
	}
	if p.machine == nil {
		return fmt.Sprintf("dry %s %s%s> ", place(now.Here()), degrees(now.drawn.Heading), mark)
	}
	_, at, certainty := p.machine.Where()
	if certainty == link.Lost {
		return fmt.Sprintf("%s, lost> ", p.mode())
	}
	return fmt.Sprintf("%s, %s %s %s%s> ", p.mode(), certainty, place(at), degrees(now.drawn.Heading), mark)
}

// modeInWords says the mode, and the position with its certainty.
func (p *Prompt) modeInWords() string {
	if p.machine == nil {
		return "dry: no machine is connected, nothing moves"
	}
	_, at, certainty := p.machine.Where()
	line := fmt.Sprintf("%s (%s); the position is %s", p.mode(), p.machine.Name, certainty)
	if certainty == link.Lost {
		return line + ": " + p.machine.WhyLost()
	}
	return line + ", " + place(at)
}

// scratched is the mark up to which line is on the sheet for good.
func (p *Prompt) scratched() Mark {
	m := p.drawn
	if p.partway != nil {
		m.Vertex++
	}
	return m
}

// beyond is how much line after the mark is scratched already, in mm.
func (p *Prompt) beyond() float64 {
	if p.partway == nil {
		return 0
	}
	return p.partway.mm
}

func (p *Prompt) connect(ctx context.Context, port string) error {
	switch {
	case p.machine != nil:
		return refusef("%s is connected already", p.machine.Name)
	case p.Connect == nil:
		return refusal("no machine can be connected here")
	case port == "":
		port = p.Port
	}
	ctx, done := p.interruptible(ctx)
	defer done()
	c, err := p.Connect(ctx, port)
	if err != nil {
		return err
	}
	p.machine = c
	p.say("%s", p.modeInWords())
	_, _, certainty := c.Where()
	switch certainty {
	case link.Lost:
		p.say("look where the stylus stands and say it: `/here X Y`, in mm of the page")
	case link.Assumed:
		p.say("look whether the stylus stands there: `/confirm`, or say where it is: `/here X Y`")
	}
	return nil
}

func (p *Prompt) connected() error {
	if p.machine == nil {
		return refusal("no machine is connected; `/connect` does that")
	}
	return nil
}

func (p *Prompt) declare(ctx context.Context, rest string) error {
	if err := p.connected(); err != nil {
		return err
	}
	words := strings.Fields(strings.ReplaceAll(rest, ",", " "))
	if len(words) != 2 {
		return refusal("it is written `/here 20 15`: x and y in mm of the page")
	}
	var at geom.Point
	for i, v := range []*float64{&at.X, &at.Y} {
		mm, err := strconv.ParseFloat(words[i], 64)
		if err != nil || mm-mm != 0 {
			return refusef("`%s` is no length in mm", words[i])
		}
		*v = mm
	}
	if err := p.machine.Declare(ctx, at); err != nil {
		return err
	}
	p.say("%s", p.modeInWords())
	return p.begins(ctx)
}

func (p *Prompt) confirm(ctx context.Context, _ string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if err := p.machine.Confirm(); err != nil {
		return err
	}
	p.say("%s", p.modeInWords())
	return p.begins(ctx)
}

// begins lets a line of which nothing is drawn yet begin where the stylus is,
// unless the program says where it begins.
func (p *Prompt) begins(ctx context.Context) error {
	now := &p.session.now
	if p.drawn != (Mark{}) || p.partway != nil || now.drawn.Sheets[0].Begun {
		return nil
	}
	_, at, _ := p.machine.Where()
	if at.Distance(now.At(Mark{})) < p.grain() {
		return nil
	}
	if list := p.session.StartAt(ctx, at); list.Failed() {
		p.say("what was entered does not stay on the page from where the stylus stands:")
		return list
	}
	p.say("the line begins where the stylus stands, %s", place(at))
	return nil
}

// grain is what counts as the same place for motors, in mm.
func (p *Prompt) grain() float64 {
	scale := p.Settings.Profile.StepsPerMM()
	return 1.5 / min(scale.X, scale.Y)
}

func (p *Prompt) arm(ctx context.Context, _ string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if p.mode() == link.Armed {
		return refusal("it is armed already")
	}
	if !p.machine.Calibrated {
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": p.Settings.Profile.Name}}
	}
	if different := p.machine.Mismatches(); len(different) > 0 {
		for _, m := range different {
			p.say("the board is set otherwise: %s is %s, the profile says %s", m.Name, m.Is, m.Should)
		}
	}
	_, _, certainty := p.machine.Where()
	if certainty == link.Assumed && p.Armed {
		// The script's word stands for having looked, never for a lost position.
		if err := p.machine.Confirm(); err != nil {
			return err
		}
		certainty = link.Confirmed
	}
	if certainty == link.Confirmed && !p.Armed {
		now := &p.session.now
		for _, line := range p.machine.CheckList {
			p.say("%s", line)
		}
		p.say("the stylus stands at %s, confirmed; not drawn yet: %s", place(p.stylus()), millimetres(now.Length(p.drawn, now.End())-p.beyond()))
		if p.Script {
			return refusal("a script that moves a machine is started with --armed")
		}
		answer, err := p.ask(ctx, "type `arm` to let drawings start, anything else not to: ")
		if err != nil {
			return err
		}
		if answer != "arm" {
			return refusal("not armed")
		}
	}
	if err := p.machine.Arm(); err != nil {
		return err
	}
	if err := p.begins(ctx); err != nil {
		p.machine.Disarm()
		return err
	}
	p.say("%s", p.modeInWords())
	return p.follow(ctx)
}

func (p *Prompt) stylus() geom.Point {
	_, at, _ := p.machine.Where()
	return at
}

func (p *Prompt) disarm(context.Context, string) error {
	if err := p.connected(); err != nil {
		return err
	}
	p.machine.Disarm()
	p.say("%s", p.modeInWords())
	return nil
}

// disconnect goes back to dry. What the machine has drawn stays drawn.
func (p *Prompt) disconnect(context.Context, string) error {
	if err := p.connected(); err != nil {
		return err
	}
	p.release()
	p.say("%s", p.modeInWords())
	return nil
}

// release lets the machine go. Nothing moves then.
func (p *Prompt) release() {
	if p.machine != nil {
		p.machine.Disarm()
		if err := p.machine.Close(); err != nil {
			p.complain(err)
		}
		p.machine = nil
	}
}

func (p *Prompt) drawOrder(ctx context.Context, _ string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if p.mode() != link.Armed {
		return refusef("the machine is %s; `/arm` lets drawings start", p.mode())
	}
	if !p.pending() {
		return refusal("everything is drawn")
	}
	return p.follow(ctx)
}

// pending tells whether there is line, or a sheet to be wiped, that the machine
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
		if p.drawn == (Mark{}) && p.partway == nil && sheet.Begun && p.stylus().Distance(sheet.Points[0]) >= p.grain() {
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
			if err := p.wipe(ctx); err != nil {
				return err
			}
			p.drawn = Mark{p.drawn.Sheet + 1, 0}
		}
	}
	return nil
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
	outcome, err := p.send(ctx, piece, "draw")
	if outcome == nil {
		return err
	}
	if err == nil {
		p.drawn, p.partway = end, nil
		return nil
	}
	vertex, at, mm := along(piece.Points, outcome.At, outcome.DrawnMM, outcome.Certainty == link.Lost)
	if vertex -= shift; vertex >= from {
		if p.partway != nil && vertex == from {
			mm += p.partway.mm
		}
		p.drawn.Vertex = vertex
		p.partway = &partway{at, mm}
	}
	return err
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
		if lost {
			t = max(0, min(1, (drawnMM-length)/whole))
		} else {
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
func (p *Prompt) send(ctx context.Context, piece *plan.Sheet, word string) (*link.Outcome, error) {
	now := &p.session.now
	whole := &plan.Plan{Seed: now.drawn.Seed, Places: now.drawn.Places, ToleranceMM: now.drawn.ToleranceMM, Sheets: []*plan.Sheet{piece}}
	if len(whole.Places) == 0 {
		whole.Places = []plan.Place{{Span: now.program.Checked.Main.File.Place()}}
	}
	at, _, _ := p.machine.Where()
	var text bytes.Buffer
	known, list := now.program.Lower(ctx, whole, 0, at.Side, &text)
	if list.Failed() {
		return nil, list
	}
	b := known.Bounds
	p.say("%s %s in %s, within x %s to %s, y %s to %s", map[string]string{"draw": "to draw:", "walk": "to walk:", "steer": "to draw:"}[word],
		millimetres(known.LineMM), duration(known.Seconds), coordinate(b.Min.X), coordinate(b.Max.X), coordinate(b.Min.Y), coordinate(b.Max.Y))
	if !p.Armed {
		answer, err := p.ask(ctx, fmt.Sprintf("type `%s` to start, anything else to leave it for later: ", word))
		if err != nil {
			return nil, err
		}
		if answer != word {
			return nil, refusal("not started; `/draw` asks again")
		}
	}
	return p.run(ctx, link.Job{Name: "live", Text: text.String(), Seconds: known.Seconds})
}

// run lets the machine draw, while the person may hold, resume and stop it.
func (p *Prompt) run(ctx context.Context, job link.Job) (*link.Outcome, error) {
	op := p.watch(ctx)
	outcome, err := p.machine.Draw(ctx, job, op)
	op.close()
	switch {
	case errors.Is(err, link.ErrStopped):
		p.say("stopped at %s, %s drawn; the position is %s", place(outcome.At), millimetres(outcome.DrawnMM), outcome.Certainty)
		err = refusal("what is left of the line waits: `/arm`, then `/draw`, go on with it")
	case err == nil && !outcome.Complete:
		err = refusal("the machine did not come to the end of the line")
	case err == nil:
		p.say("drawn; %s", p.modeInWords())
	}
	return &outcome, err
}

// wipe has the sheet wiped.
func (p *Prompt) wipe(ctx context.Context) error {
	if p.machine.Wipe == nil {
		if p.Armed {
			p.say("the sheet has to be wiped by hand")
		} else {
			answer, err := p.ask(ctx, "wipe the sheet now, then type `wiped`: ")
			if err != nil {
				return err
			}
			if answer != "wiped" {
				return refusal("the sheet is not wiped; `/draw` asks again")
			}
		}
	} else {
		if !p.Armed {
			answer, err := p.ask(ctx, "the eraser will turn the toy over; hands away. Type `wipe` to start it: ")
			if err != nil {
				return err
			}
			if answer != "wipe" {
				return refusal("the sheet is not wiped; `/draw` asks again")
			}
		}
		ctx, done := p.interruptible(ctx)
		defer done()
		if err := p.machine.Wipe(ctx); err != nil {
			return err
		}
		p.say("the sheet is wiped")
	}
	if p.machine.Disturbs {
		if err := p.machine.Doubt(); err != nil {
			return err
		}
		p.machine.Disarm()
		return refusal("wiping may have moved the stylus: look, `/confirm` or `/here X Y`, then `/arm`")
	}
	return nil
}

var _ Machine = (*link.Link)(nil)
