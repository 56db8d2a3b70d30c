package sending

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"time"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// Sending is a list of drawings on its way to one machine.
type Sending struct {
	Talk    *operate.Conversation
	Machine *operate.Connection // nil until its port is open
	Profile *machine.Profile
	Now     func() time.Time
	Seat    Seat
	List    *List
	// Name is what people call the drawing at hand.
	Name string
	// MeantMM is how far along the line a drawing that was cut off goes on, if that
	// was said beforehand.
	MeantMM *float64

	// What is known of the drawing at hand.
	Program *engine.Program
	Plan    *plan.Plan
	Outcome link.Outcome
	Sheets  int   // that were drawn
	Marked  error // the first stroke of the list that stays beside a line

	record  *link.Record // of the drawing to go on with
	between bool         // the list was left between two sheets
	left    *link.Record // of a drawing that was cut off on a machine of which nothing is kept
}

// Seat is where the operator sits.
type Seat interface {
	// Read reads the drawing at hand and runs it from a place of the page; what is
	// to be told of it but its errors, it tells.
	Read(ctx context.Context, start geom.Point) (*engine.Program, *plan.Plan, error)
	// ToStart brings the stylus to where a drawing begins that says so by itself.
	ToStart(ctx context.Context, at, start geom.Point) error
	// Begins is told of each sheet right before it is drawn.
	Begins(ctx context.Context, sheet int)
	// Ended is told that the drawing at hand is done.
	Ended() error
	// Stopped is told that it is not, and why, and reports whether nothing more is
	// to be said of it.
	Stopped(why error) bool
	// MayStand shows on which stretch of a sheet the stylus may stand.
	MayStand(picture preview.Picture, stretch *link.Stretch)
	// Stands is how to say here where the stylus stands: "say it with …". At is
	// where it surely does, if that is known.
	Stands(at *geom.Point) string
	// GoesOn is how to go on here with the drawing that was stopped, and how to drop
	// it; empty where that needs no words.
	GoesOn() string
	// Check is how to have here a whole file held against the machine; empty where
	// that is done all the time.
	Check() string
}

// Take takes the drawings of a list at hand, the first by a name.
func (s *Sending) Take(name string, list *List) {
	s.Name, s.List, s.Marked, s.record, s.between = name, list, nil, nil, false
}

// Draw draws the drawing at hand, or what is left of it. The word for a whole list is
// asked for with the first one.
func (s *Sending) Draw(ctx context.Context, first bool) error {
	s.Sheets, s.Outcome = 0, link.Outcome{}
	if first && s.record != nil {
		return s.goOn(ctx)
	}
	if err := s.Talk.Confirm(ctx, s.Machine); err != nil {
		return err
	}
	_, at, _ := s.Machine.Where()
	if s.between {
		at = s.Began()
	}
	s.List.Start = at
	if err := s.load(ctx, at); err != nil {
		return err
	}
	from := s.List.Sheet
	if from >= len(s.Plan.Sheets) {
		return s.Seat.Ended() // its last sheet was drawn
	}
	if s.Program.StartSaid() && from == 0 {
		if err := s.Seat.ToStart(ctx, at, s.Plan.Sheets[0].Points[0]); err != nil {
			return err
		}
	}
	what, err := s.toDraw(ctx, from, first)
	if err != nil {
		return err
	}
	if first {
		if err := s.Talk.Arm(ctx, s.Machine, what, "draw"); err != nil {
			return err
		}
	} else {
		s.Talk.Note("%s: %s", s.Name, what)
	}
	// A further drawing of a list wants a clean sheet, as one that was left between
	// two sheets does.
	if (!first || s.List.File > 0) && from == 0 && !s.Plan.Sheets[0].Begun {
		if err := s.wipe(ctx); err != nil {
			return err
		}
	}
	return s.sheetsFrom(ctx, from)
}

// load has the drawing at hand read, from where its line begins.
func (s *Sending) load(ctx context.Context, start geom.Point) error {
	program, drawn, err := s.Seat.Read(ctx, start)
	if err == nil {
		s.Program, s.Plan = program, drawn
	}
	return err
}

// until is the sheet before which to end.
func (s *Sending) until(from int) int {
	if s.List.Single {
		return from + 1
	}
	return len(s.Plan.Sheets)
}

// toDraw says what is about to be drawn.
func (s *Sending) toDraw(ctx context.Context, from int, first bool) (string, error) {
	low, high := 0, len(s.Plan.Sheets)
	if s.List.Single {
		low, high = from, from+1
	}
	total, lines, box := 0.0, 0, geom.EmptyBox()
	for i := low; i < high; i++ {
		known := s.Program.Describe(s.Plan, i)
		total += known.LineMM
		box = box.Union(known.Bounds)
		if len(s.Plan.Sheets[i].Points) > 1 {
			lines++
		}
	}
	within := fmt.Sprintf("within %s of the page", engine.Reach(box))
	what := fmt.Sprintf("to draw: %s on %s, %s", gcode.Length(total), diag.Counted(lines, "sheet"), within)
	begins := s.Plan.Sheets[low]
	switch begun := begins.Begun || low > 0; {
	case begun:
		what += fmt.Sprintf("; first a walk to (%.1f, %.1f), then the sheet is wiped", begins.Points[0].X, begins.Points[0].Y)
	case high == 1:
		_, known, err := s.lower(ctx, 0)
		if err != nil {
			return "", err
		}
		what = fmt.Sprintf("to draw: %s in %s, %s", gcode.Length(total), gcode.Duration(known.Seconds), within)
	}
	if more := len(s.List.Files) - s.List.File - 1; first && more > 0 {
		what += fmt.Sprintf("; then %s, the sheet wiped before each", map[bool]string{true: "one more drawing", false: fmt.Sprintf("%d more drawings", more)}[more == 1])
	}
	return what, nil
}

// sheetsFrom draws the sheets that are left.
func (s *Sending) sheetsFrom(ctx context.Context, from int) error {
	for i := from; i < s.until(from); i++ {
		if err := s.sheet(ctx, i); err != nil {
			return err
		}
	}
	return s.Seat.Ended()
}

func (s *Sending) sheet(ctx context.Context, i int) error {
	sheet := s.Plan.Sheets[i]
	if sheet.Begun || i > 0 {
		if sheet.Begun || s.List.Single {
			if err := s.Walk(ctx, sheet.Points[0]); err != nil {
				return err
			}
		}
		if err := s.wipe(ctx); err != nil {
			return err
		}
	}
	if len(sheet.Points) < 2 {
		return nil
	}
	text, known, err := s.lower(ctx, i)
	if err != nil {
		return err
	}
	return s.draw(ctx, link.Job{Name: s.Name, Text: text, Sheet: i, Seconds: known.Seconds})
}

// Walk walks for something that was agreed to.
func (s *Sending) Walk(ctx context.Context, page geom.Point) error {
	return walk(ctx, s.Talk, s.Machine, s.Profile, page)
}

// wipe has the sheet wiped for what was agreed to.
func (s *Sending) wipe(ctx context.Context) error {
	if err := s.Talk.Wipe(ctx, s.Machine, true); err != nil {
		return err
	}
	if err := s.Talk.Confirm(ctx, s.Machine); err != nil {
		return err
	}
	return s.Talk.Rearm(s.Machine)
}

// lower writes the instructions of a sheet, for the flanks as they are.
func (s *Sending) lower(ctx context.Context, sheet int) (string, engine.Sheet, error) {
	at, _, _ := s.Machine.Where()
	var text bytes.Buffer
	known, list := s.Program.Lower(ctx, s.Plan, sheet, at.Gap, &text)
	if list.Failed() {
		return "", known, list
	}
	return text.String(), known, nil
}

func (s *Sending) draw(ctx context.Context, job link.Job) error {
	if err := s.List.at(job.Sheet, true, s.Now()); err != nil {
		return err
	}
	s.Seat.Begins(ctx, job.Sheet)
	err := s.Talk.Watched(ctx, "drawn", func(ctx context.Context, op link.Operator) (err error) {
		s.Outcome, err = s.Machine.Draw(ctx, job, op)
		return err
	})
	if s.left = nil; s.List.files == nil {
		s.left = s.Outcome.Left
	}
	if s.isMarked(err) {
		if s.Marked == nil {
			s.Marked = err
		} else {
			s.Talk.Person.Diagnose(engine.Faults(err))
		}
		err = nil
	}
	switch {
	case err == nil && s.List.Single:
		s.List.Forget()
	case err == nil:
		err = s.List.at(job.Sheet+1, false, s.Now())
	}
	if err != nil {
		err = s.named(err)
		s.stopped(err, job.Text)
		return err
	}
	s.Sheets++
	if s.Outcome.Starved > 0 {
		s.Talk.Note("the motors stood %d times for want of moves: the link or this computer is slower than the drawing was planned for", s.Outcome.Starved)
	}
	return nil
}

// isMarked reports whether a drawing is complete, but for a stroke beside its
// line.
func (s *Sending) isMarked(err error) bool {
	var fault *diag.Fault
	return s.Outcome.Complete && errors.As(err, &fault) && fault.Code == "line-marked"
}

// named has the way out of a refusal name the file.
func (s *Sending) named(err error) error {
	var list diag.List
	if check := s.Seat.Check(); check != "" && errors.As(err, &list) {
		for i := range list {
			if list[i].Code == "gate-refused" {
				list[i] = list[i].WithHint("%s holds the whole file against the machine", check)
			}
		}
	}
	return err
}

// stopped says where a drawing was left, and how to go on.
func (s *Sending) stopped(why error, text string) {
	if s.Seat.Stopped(why) {
		return
	}
	out := s.Outcome
	if out.Certainty == link.Lost {
		s.Talk.Say("stopped after %s; nobody knows where the stylus is now: look, and %s", gcode.Length(out.DrawnMM), s.Seat.Stands(nil))
		s.mayStand(text)
		return
	}
	var fault *diag.Fault
	if errors.As(why, &fault) && fault.Code == "position-not-kept" {
		s.Talk.Say("stopped at (%.1f, %.1f) after %s, and that could not be written down: when there is room, %s", out.At.X, out.At.Y, gcode.Length(out.DrawnMM), s.Seat.Stands(&out.At))
		return
	}
	s.Talk.Say("stopped at (%.1f, %.1f) after %s; the position is %s", out.At.X, out.At.Y, gcode.Length(out.DrawnMM), out.Certainty)
	if record, err := s.journal(); err == nil && record != nil {
		if way := s.Seat.GoesOn(); way != "" {
			s.Talk.Say("%s", way)
		}
	}
}

// mayStand shows where the stylus may stand, where anything is known of it.
func (s *Sending) mayStand(text string) {
	record, err := s.journal()
	if err != nil || record == nil || record.Sheet >= len(s.Plan.Sheets) {
		return
	}
	stretch, err := link.StretchOf(s.Profile, record, text)
	if err != nil {
		return // it is about another drawing
	}
	s.Seat.MayStand(s.Program.Picture(s.Plan, record.Sheet), stretch)
}

// Drawn says that the drawing at hand is done.
func (s *Sending) Drawn() string {
	_, at, certainty := s.Machine.Where()
	return fmt.Sprintf("drawn: %s; the stylus stands at (%.1f, %.1f), %s", diag.Counted(s.Sheets, "sheet"), at.X, at.Y, certainty)
}
