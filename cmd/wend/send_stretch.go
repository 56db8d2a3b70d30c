package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/geom"
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
		return alongText(f.alongMM)
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

// alongText is a way along a line as it is typed.
func alongText(mm float64) string { return strconv.FormatFloat(mm, 'f', 1, 64) }

// meantWithinMM is how near what was typed must be to a pass of the line: its
// tenths are rounded.
const meantWithinMM = 0.15

// passOf finds the place of the line at which a drawing goes on: whoever looked
// said where the stylus is, and the line may pass there more than once, or a bit
// beside. What is not plain is asked, and a script has to say it.
func (s *sending) passOf(ctx context.Context, passes []link.Pass) (link.Pass, error) {
	_, said, _ := s.link.Where()
	pass := link.Nearest(passes)
	half := s.settings.Profile.Drawing.LineWidthMM / 2
	if s.f.resume.said {
		for _, p := range passes {
			if math.Abs(p.AlongMM-s.f.resume.alongMM) < math.Abs(pass.AlongMM-s.f.resume.alongMM) {
				pass = p
			}
		}
		if math.Abs(pass.AlongMM-s.f.resume.alongMM) <= meantWithinMM {
			s.moved(said, pass)
			return pass, nil
		}
	}
	plain := len(passes) == 1 && pass.OffMM <= half
	switch {
	case plain && !s.f.resume.said:
		s.moved(said, pass)
		return pass, nil
	case s.o.Alone || s.o.Word != operate.Unsaid || s.f.resume.said:
		var all []string
		for _, p := range passes {
			all = append(all, passInWords(p)+", --resume="+alongText(p.AlongMM))
		}
		return pass, &diag.Fault{Code: "resume-where", Args: diag.Args{"place": operate.Place(said), "passes": strings.Join(all, "; ")}}
	}
	s.c.say("the line passes %s near %s, where the stylus is said to stand:", map[bool]string{true: "once", false: fmt.Sprintf("%d times", len(passes))}[len(passes) == 1], operate.Place(said))
	for i, p := range passes {
		s.c.say("  %d  %s", i+1, passInWords(p))
	}
	for {
		answer, err := s.o.Ask(ctx, "type the number of the one on which it stands, Enter alone if on none: ")
		switch n, wrong := strconv.Atoi(strings.TrimSpace(answer)); {
		case errors.Is(err, operate.ErrLeft), err == nil && strings.TrimSpace(answer) == "":
			s.c.say("%s", remedy)
			return pass, operate.ErrDeclined
		case err != nil:
			return pass, err
		case wrong == nil && n >= 1 && n <= len(passes):
			s.moved(said, passes[n-1])
			return passes[n-1], nil
		}
		s.c.say("that is none of the numbers")
	}
}

// moved says by how much the place that was said is beside the line.
func (s *sending) moved(said geom.Point, p link.Pass) {
	if p.OffMM >= 0.005 {
		s.o.Note("(%.2f, %.2f), where the stylus is said to stand, is %.2f mm off the line: it goes on at (%.2f, %.2f)", said.X, said.Y, p.OffMM, p.At.X, p.At.Y)
	}
}

// passInWords describes a pass to whoever looks at the sheet.
func passInWords(p link.Pass) string {
	return fmt.Sprintf("at %s, %.2f mm from there, %s mm along the line, which goes %s", operate.Place(p.At), p.OffMM, alongText(p.AlongMM), wayInWords(p.Way))
}

// wayInWords names the nearest of eight ways on the page.
func wayInWords(way geom.Point) string {
	if way.Length() == 0 {
		return "no further"
	}
	eighth := int(math.Round(math.Atan2(way.Y, way.X)/(math.Pi/4)) + 8)
	return [...]string{"to the right", "up and to the right", "up", "up and to the left", "to the left", "down and to the left", "down", "down and to the right"}[eighth%8]
}

// possiblePicture is the name of the picture that shows where the stylus may
// stand.
func (s *sending) possiblePicture() string { return outputBase(s.name, "") + ".stopped.png" }

// possible has that picture written, and says so.
func (s *sending) possible(text string) {
	switch name, err := s.showPossible(text); {
	case err != nil:
		s.c.say("%s", err)
	case name != "":
		s.c.say("%s shows the stretch of the line on which it may stand", name)
	}
}

// showPossible writes a picture of what is planned, of what surely is drawn, and
// of the stretch on which the stylus may stand. It gives its name; empty where
// nothing is known of it.
func (s *sending) showPossible(text string) (string, error) {
	record, err := s.memory().Journal()
	if err != nil || record == nil || s.connection.simulated != nil || record.Sheet >= len(s.plan.Sheets) {
		return "", nil
	}
	profile := s.settings.Profile
	stretch, err := link.StretchOf(profile, record, text)
	if err != nil {
		return "", nil // it is about another drawing
	}
	page := profile.Page()
	picture := preview.Of(s.plan, record.Sheet, preview.Page{WidthMM: page.Width(), HeightMM: page.Height(), MarginMM: profile.Area.MarginMM}, profile.Drawing.LineWidthMM)
	picture.Source, picture.Title = s.program.Source(), "Where the stylus may stand"
	picture.Text = fmt.Sprintf("on the last %.1f mm", geom.Length(stretch.Possible))
	var png bytes.Buffer
	err = preview.PNG(context.Background(), &png, picture, preview.Options{Overlay: &preview.Overlay{
		Points: stretch.Drawn, Name: "surely drawn", Under: "planned", Unsure: stretch.Possible, UnsureName: "may stand here",
	}})
	if err != nil {
		return "", err
	}
	name := s.possiblePicture()
	return name, commit([]output{{name: name, data: png.Bytes()}}, []string{s.name})
}

// forgetPossible removes that picture: the drawing is done.
func (s *sending) forgetPossible() {
	if name := s.possiblePicture(); names(name, s.program.Source()) {
		os.Remove(name) //nolint:errcheck // it says itself what it is
	}
}
