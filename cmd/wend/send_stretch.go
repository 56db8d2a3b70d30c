package main

import (
	"context"
	"errors"
	"math"
	"os"
	"strconv"

	"wend/cmd/wend/operate"
	"wend/runtime/link"
	"wend/runtime/preview"
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

// possiblePicture is the name of the picture that shows where the stylus may
// stand.
func (s *sender) possiblePicture() string { return outputBase(s.Name, "") + ".stopped.png" }

// MayStand is that of sending.Seat: it writes a picture of what is planned, of what
// surely is drawn, and of where the stylus may stand.
func (s *sender) MayStand(picture preview.Picture, stretch *link.Stretch) {
	name := s.possiblePicture()
	png, err := operate.WhereItMayStand(context.Background(), picture, stretch)
	if err == nil {
		err = commit([]output{{name: name, data: png}}, []string{s.Name})
	}
	if err != nil {
		s.c.say("%s", err)
		return
	}
	s.c.say("%s", operate.Shows(name, stretch))
}

// forgetPossible removes that picture: the drawing is done.
func (s *sender) forgetPossible() {
	if name := s.possiblePicture(); names(name, s.Program.Source()) {
		os.Remove(name) //nolint:errcheck // it says itself what it is
	}
}
