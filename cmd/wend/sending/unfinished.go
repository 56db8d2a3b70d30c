package sending

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// memory is what is kept of the machine, for looking; nil where nothing is.
func (s *Sending) memory() *link.Memory {
	if s.List.files == nil {
		return nil
	}
	return link.Remember(s.List.files, s.Profile.Name, s.Profile)
}

// journal is the record of the drawing that was cut off; nil if there is none.
func (s *Sending) journal() (*link.Record, error) {
	if memory := s.memory(); memory != nil {
		return memory.Journal()
	}
	return s.left, nil
}

// Unfinished is the drawing, or the list, that was cut off on this machine; nil if
// there is none. What the prompt left of a line is the prompt's own.
func (s *Sending) Unfinished() (*operate.Unfinished, error) {
	record, err := s.journal()
	if err != nil {
		return nil, err
	}
	if record != nil && record.Name == operate.PromptJob {
		record = nil
	}
	kept := s.List.kept()
	if record == nil && kept == nil {
		return nil, nil
	}
	u := &operate.Unfinished{Drop: s.drop}
	if record != nil {
		u.Name, u.Drawn, u.Moves = record.Name, record.Drawn, record.Moves
		u.Resumable = len(s.List.Files) == 1 && s.Name == record.Name
	}
	if kept != nil {
		u.Name, u.Resumable = kept.atHand(), slices.Equal(kept.Files, s.List.Files)
		if len(kept.Files) == 1 {
			u.File = kept.Files[0]
		}
	}
	return u, nil
}

// drop forgets the drawing that was cut off, unless another process draws it.
func (s *Sending) drop() error {
	s.record, s.left, s.between = nil, nil, false
	if memory := s.memory(); memory != nil {
		if s.Machine == nil { // else it is this one's already
			var err error
			if memory, err = link.OpenMemory(s.List.files, s.Profile.Name, s.Profile); err != nil {
				return err
			}
			defer memory.Close()
		}
		if err := memory.Abandon(); err != nil {
			return err
		}
	}
	s.List.Forget()
	return nil
}

// Settle decides what becomes of a drawing that was cut off, before another begins.
// It reports whether that one is to be gone on with.
func (s *Sending) Settle(ctx context.Context) (resume bool, err error) {
	u, err := s.Unfinished()
	if err != nil || u == nil {
		return false, err
	}
	return s.Talk.CutOff(ctx, u)
}

// Abandon drops what is left of the drawing that was cut off.
func (s *Sending) Abandon() error {
	u, err := s.Unfinished()
	switch {
	case err != nil:
		return err
	case u == nil:
		return &diag.Fault{Code: "resume-none", Hint: "there is nothing to drop either"}
	}
	return s.Talk.Abandon(u)
}

// Recall finds out what to go on with.
func (s *Sending) Recall() error {
	known, err := s.List.recall()
	if err != nil {
		return err
	}
	if s.record, err = s.journal(); err != nil {
		return err
	}
	switch {
	case s.record != nil:
		return nil
	case !known:
		return &diag.Fault{Code: "resume-none"}
	case s.List.Begun && s.List.Single:
		s.List.Forget() // the journal ended with its one sheet
		return &diag.Fault{Code: "resume-none"}
	case s.List.Begun && s.memory().Written().After(s.List.Time):
		// The journal ended with the sheet, and the next one had not begun.
		s.List.Sheet++
	}
	s.List.Begun, s.between = false, s.List.Sheet > 0
	return nil
}

// Began is where the line of the drawing that was cut off began, page mm.
func (s *Sending) Began() geom.Point {
	if r := s.record; r != nil && r.Sheet == 0 {
		return link.StylusAt(s.Profile, r.Start.Steps, r.Start.Gap)
	}
	if s.List.Sheet > 0 || s.List.Begun {
		return s.List.Start
	}
	return s.Profile.Area.StartMM
}

// Remembered is where the stylus stood when the machine was used last; nil if that is
// not known.
func (s *Sending) Remembered() *geom.Point {
	at, certainty, _ := s.memory().Recall()
	if certainty == link.Lost {
		return nil
	}
	page := link.StylusAt(s.Profile, at.Steps, at.Gap)
	return &page
}

// Resumes reports whether the drawing at hand was cut off and is gone on with.
func (s *Sending) Resumes() bool { return s.record != nil || s.between }

// Drained waits until the motors of the drawing that was cut off surely stand:
// opening the port may reset the board.
func (s *Sending) Drained(ctx context.Context) error {
	record, err := s.journal()
	if err != nil || record == nil {
		return nil //nolint:nilerr // who goes on with it is told
	}
	wait := record.Drains(s.Now())
	if wait <= 0 {
		return nil
	}
	s.Talk.Say("waiting %s until the motors surely stand", gcode.Duration(wait.Seconds()))
	waiting, done := s.Talk.Interruptible(ctx)
	defer done()
	select {
	case <-time.After(wait):
		return nil
	case <-waiting.Done():
		return context.Cause(waiting)
	}
}

// ShowLeft shows how far the drawing that was cut off came, and where the stylus may
// stand.
func (s *Sending) ShowLeft(ctx context.Context) error {
	if s.record == nil {
		return nil
	}
	text, _, err := s.again(ctx, s.record)
	if err == nil {
		s.mayStand(text)
	}
	return err
}

// goOn goes on with a drawing that was cut off.
func (s *Sending) goOn(ctx context.Context) error {
	r := s.record
	s.List.Start = s.Began()
	text, seconds, err := s.again(ctx, r)
	if err != nil {
		return err
	}
	from, err := s.Machine.GoOn(ctx, r, text, func(passes []link.Pass) (link.Pass, error) { return s.pass(ctx, passes) })
	if err != nil {
		var fault *diag.Fault
		if errors.As(err, &fault) && fault.Code == "resume-uncertain" {
			s.mayStand(text)
		}
		return err
	}
	// Taking up slack would lead away from the line.
	if err := s.Talk.Look(ctx, s.Machine); err != nil {
		return err
	}
	what := fmt.Sprintf("to go on with: %s, after %d of %d moves", r.Name, from.Drawn, r.Moves)
	if n := len(from.Back); n > 0 {
		left := s.Profile.ToPage(from.Back[n-1])
		what += fmt.Sprintf("; the stylus is led back first to where the line was left, about (%.1f, %.1f)", left.X, left.Y)
		if from.OffMM > 0 {
			what += fmt.Sprintf(", and a stroke of up to %.2f mm beside the line stays to be seen", from.OffMM)
		}
	}
	if err := s.Talk.Arm(ctx, s.Machine, what, "draw"); err != nil {
		return err
	}
	if err := s.draw(ctx, link.Job{Name: s.Name, Text: text, Sheet: r.Sheet, Seconds: seconds, From: from}); err != nil {
		return err
	}
	if s.List.Single {
		return s.Seat.Ended()
	}
	return s.sheetsFrom(ctx, r.Sheet+1)
}

// again reads the drawing that was cut off once more, and gives the instructions of
// its sheet and their seconds.
func (s *Sending) again(ctx context.Context, r *link.Record) (string, float64, error) {
	if err := s.load(ctx, s.Began()); err != nil {
		return "", 0, err
	}
	if r.Sheet >= len(s.Plan.Sheets) {
		return "", 0, &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": r.Name}}
	}
	var text bytes.Buffer
	known, list := s.Program.Lower(ctx, s.Plan, r.Sheet, r.Start.Gap, &text)
	if list.Failed() {
		return "", 0, list
	}
	return text.String(), known.Seconds, nil
}

// pass finds the place of the line at which a drawing goes on.
func (s *Sending) pass(ctx context.Context, passes []link.Pass) (link.Pass, error) {
	_, said, _ := s.Machine.Where()
	seen := operate.Sighting{Said: said, Passes: passes, LineWidthMM: s.Profile.Drawing.LineWidthMM, MeantMM: s.MeantMM}
	pass, err := s.Talk.Pass(ctx, seen, s.Talk.Word != operate.Unsaid)
	if errors.Is(err, operate.ErrDeclined) {
		s.Talk.Say("%s", s.Talk.Remedy)
	}
	return pass, err
}
