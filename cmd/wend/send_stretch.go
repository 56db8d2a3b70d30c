package main

import (
	"context"
	"errors"
	"math"
	"os"
	"strconv"

	"wend/cmd/wend/operate"
	"wend/runtime/link"
)

// resumeFlag is --resume, or --resume=MM where the line passes more than once
// near the place that was said: so many mm along the line it goes on.
type resumeFlag struct {
	on      bool
	said    bool
	alongMM float64
}

func (f *resumeFlag) String() string {
	if f.said {
		return operate.AlongText(f.alongMM)
	}
	return strconv.FormatBool(f.on)
}

// Type says that the flag needs no value: help shows it without one.
func (f *resumeFlag) Type() string { return "bool" }

func (f *resumeFlag) Set(text string) error {
	if on, err := strconv.ParseBool(text); err == nil && len(text) > 1 {
		*f = resumeFlag{on: on}
		return nil
	}
	mm, err := strconv.ParseFloat(text, 64)
	if err != nil || !(mm >= 0) || math.IsInf(mm, 0) {
		return errors.New("it is --resume or --resume=MM")
	}
	*f = resumeFlag{on: true, said: true, alongMM: mm}
	return nil
}

// passOf finds the place of the line at which a drawing goes on.
func (s *sending) passOf(ctx context.Context, passes []link.Pass) (link.Pass, error) {
	_, said, _ := s.link.Where()
	seen := operate.Sighting{Said: said, Passes: passes, LineWidthMM: s.settings.Profile.Drawing.LineWidthMM}
	if s.f.resume.said {
		seen.MeantMM = &s.f.resume.alongMM
	}
	pass, err := s.o.Pass(ctx, seen, s.o.Word != operate.Unsaid)
	if errors.Is(err, operate.ErrDeclined) {
		s.c.say("%s", remedy)
	}
	return pass, err
}

// possiblePicture is the name of the picture that shows where the stylus may
// stand.
func (s *sending) possiblePicture() string { return outputBase(s.name, "") + ".stopped.png" }

// possible has that picture written, and says so.
func (s *sending) possible(text string) {
	switch shows, err := s.showPossible(text); {
	case err != nil:
		s.c.say("%s", err)
	case shows != "":
		s.c.say("%s", shows)
	}
}

// showPossible writes a picture of what is planned, of what surely is drawn, and
// of where the stylus may stand. It says what it shows; empty where nothing is
// known of it.
func (s *sending) showPossible(text string) (string, error) {
	record, err := s.memory().Journal()
	if err != nil || record == nil || s.connection.simulated != nil || record.Sheet >= len(s.plan.Sheets) {
		return "", nil
	}
	stretch, err := link.StretchOf(s.settings.Profile, record, text)
	if err != nil {
		return "", nil // it is about another drawing
	}
	picture := s.program.Picture(s.plan, record.Sheet)
	png, err := operate.WhereItMayStand(context.Background(), picture, stretch)
	if err != nil {
		return "", err
	}
	name := s.possiblePicture()
	return operate.Shows(name, stretch), commit([]output{{name: name, data: png}}, []string{s.name})
}

// forgetPossible removes that picture: the drawing is done.
func (s *sending) forgetPossible() {
	if name := s.possiblePicture(); names(name, s.program.Source()) {
		os.Remove(name) //nolint:errcheck // it says itself what it is
	}
}
