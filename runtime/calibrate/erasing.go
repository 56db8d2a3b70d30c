package calibrate

import (
	"context"
	"fmt"
	"math"

	"wend/runtime/machine"
)

// erasing finds out how many rounds wipe the sheet clean, how long one takes
// and whether it moves the stylus.
func (s *Session) erasing(ctx context.Context) error {
	e := &s.profile.Eraser
	if e.Kind == machine.EraserNone {
		s.found(Erasing, nil, "there is no eraser")
		return nil
	}
	const most = 10
	slowest, clean := 0.0, false
	for round := 1; round <= most && !clean; round++ {
		var seconds float64
		var err error
		if e.Kind == machine.EraserSerial {
			seconds, err = s.eraser.Wipe(ctx)
		} else {
			err = s.operator.Ready(ctx, Question{Part: Erasing, Ask: "wipe the sheet once"})
		}
		if err != nil {
			return err
		}
		slowest = max(slowest, seconds)
		said, err := s.operator.Choose(ctx, Question{
			Part: Erasing, Ask: "is the sheet clean?", Options: []string{"yes", "no"}, Look: Look{Kind: Clean},
		})
		if err != nil {
			return err
		}
		e.Rounds, clean = round, said == 0
	}
	if !clean {
		return &Trouble{Text: fmt.Sprintf("the sheet is not clean after %d rounds", most)}
	}
	stands, err := s.operator.Choose(ctx, Question{
		Part: Erasing, Ask: "does the stylus stand where it stood before?", Options: []string{"yes", "no", "I cannot tell"}, Look: Look{Kind: Stands},
	})
	if err != nil {
		return err
	}
	e.DisturbsStylus = stands != 0
	if stands == 1 {
		if err := s.machine.Lose("the eraser moved the stylus"); err != nil {
			return err
		}
	}
	if e.Kind == machine.EraserSerial {
		// Twice what it took, since a wiping that is late must not look like one that failed.
		e.TimeoutS = max(5, math.Ceil(2*slowest))
	}
	look := "the stylus stays where it is"
	if e.DisturbsStylus {
		look = "the stylus is to be looked at afterwards"
	}
	s.found(Erasing, nil, "rounds until the sheet is clean: %d; %s", e.Rounds, look)
	return nil
}
