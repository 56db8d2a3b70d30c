package main

import (
	"context"
	"slices"

	"wend/cmd/wend/live"
	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/link"
)

// unfinished is the drawing, or the list, that was cut off on this machine; nil if
// there is none. What the prompt left of a line is the prompt's own.
func (s *sending) unfinished() (*operate.Unfinished, error) {
	record, err := s.memory().Journal()
	if err != nil {
		return nil, err
	}
	if record != nil && record.Name == live.JobName {
		record = nil
	}
	kept := s.list.kept()
	if record == nil && kept == nil {
		return nil, nil
	}
	u := &operate.Unfinished{Drop: s.drop}
	if record != nil {
		u.Name, u.Drawn, u.Moves = record.Name, record.Drawn, record.Moves
		u.Resumable = slices.Equal(s.names, []string{record.Name})
	}
	if kept != nil {
		u.Name, u.Resumable = kept.atHand(), slices.Equal(kept.Files, s.list.Files)
	}
	return u, nil
}

// drop forgets the drawing that was cut off, unless another process draws it.
func (s *sending) drop() error {
	profile := s.settings.Profile
	memory, err := link.OpenMemory(link.Disk(s.c.stateFolder()), profile.Name, profile)
	if err != nil {
		return err
	}
	defer memory.Close()
	if err := memory.Abandon(); err != nil {
		return err
	}
	s.list.forget()
	return nil
}

// settleUnfinished decides what becomes of a drawing that was cut off, before
// another begins.
func (s *sending) settleUnfinished(ctx context.Context) error {
	u, err := s.unfinished()
	switch {
	case err != nil:
		return err
	case u == nil && s.f.abandon:
		return &diag.Fault{Code: "resume-none", Hint: "there is nothing to drop either"}
	case u == nil:
		return nil
	case s.f.abandon:
		return s.o.Abandon(u)
	}
	s.f.resume.on, err = s.o.CutOff(ctx, u)
	return err
}
