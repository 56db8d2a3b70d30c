package operate

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/preview"
)

// Sighting is where somebody saw the stylus stand, and where the line passes near
// there.
type Sighting struct {
	Said   geom.Point // page mm
	Passes []link.Pass
	// LineWidthMM is how wide a line is seen: a place within half of it is on it.
	LineWidthMM float64
	// MeantMM is how far along the line that is, if it was said beforehand.
	MeantMM *float64
}

// meantWithinMM is how near what was typed must be to a pass of the line: its
// tenths are rounded.
const meantWithinMM = 0.15

// AlongText is a way along a line as it is typed.
func AlongText(mm float64) string { return strconv.FormatFloat(mm, 'f', 1, 64) }

// Pass finds the place of the line at which a drawing goes on: whoever looked
// said where the stylus is, and the line may pass there more than once, or a bit
// beside. What is not plain is asked; where a script speaks, or nobody can be
// asked, the error lists the passes. ErrDeclined: it stands on none of them.
func (c *Conversation) Pass(ctx context.Context, s Sighting, script bool) (link.Pass, error) {
	pass := link.Nearest(s.Passes)
	if s.MeantMM != nil {
		for _, p := range s.Passes {
			if math.Abs(p.AlongMM-*s.MeantMM) < math.Abs(pass.AlongMM-*s.MeantMM) {
				pass = p
			}
		}
		if math.Abs(pass.AlongMM-*s.MeantMM) <= meantWithinMM {
			c.moved(s.Said, pass)
			return pass, nil
		}
	}
	plain := len(s.Passes) == 1 && pass.OffMM <= s.LineWidthMM/2
	switch {
	case plain && s.MeantMM == nil:
		c.moved(s.Said, pass)
		return pass, nil
	case c.Alone || script || s.MeantMM != nil:
		var all []string
		for _, p := range s.Passes {
			all = append(all, passInWords(p)+", --resume="+AlongText(p.AlongMM))
		}
		return pass, &diag.Fault{Code: "resume-where", Args: diag.Args{"place": Place(s.Said), "passes": strings.Join(all, "; ")}}
	}
	times := "once"
	if len(s.Passes) > 1 {
		times = fmt.Sprintf("%d times", len(s.Passes))
	}
	c.Say("the line passes %s near %s, where the stylus is said to stand:", times, Place(s.Said))
	for i, p := range s.Passes {
		c.Say("  %d  %s", i+1, passInWords(p))
	}
	for {
		answer, err := c.Person.Ask(ctx, "type the number of the one on which it stands, Enter alone if on none: ")
		switch n, wrong := strconv.Atoi(strings.TrimSpace(answer)); {
		case errors.Is(err, ErrLeft), err == nil && strings.TrimSpace(answer) == "":
			return pass, ErrDeclined
		case err != nil:
			return pass, err
		case wrong == nil && n >= 1 && n <= len(s.Passes):
			c.moved(s.Said, s.Passes[n-1])
			return s.Passes[n-1], nil
		}
		c.Say("that is none of the numbers")
	}
}

// moved says by how much the place that was said is beside the line.
func (c *Conversation) moved(said geom.Point, p link.Pass) {
	if p.OffMM >= 0.005 {
		c.Note("(%.2f, %.2f), where the stylus is said to stand, is %.2f mm off the line: it goes on at (%.2f, %.2f)", said.X, said.Y, p.OffMM, p.At.X, p.At.Y)
	}
}

// passInWords describes a pass to whoever looks at the sheet.
func passInWords(p link.Pass) string {
	return fmt.Sprintf("at %s, %.2f mm from there, %s mm along the line, which goes %s", Place(p.At), p.OffMM, AlongText(p.AlongMM), wayInWords(p.Way))
}

// wayInWords names the nearest of eight ways on the page.
func wayInWords(way geom.Point) string {
	if way.Length() == 0 {
		return "no further"
	}
	eighth := int(math.Round(math.Atan2(way.Y, way.X)/(math.Pi/4)) + 8)
	return [...]string{"to the right", "up and to the right", "up", "up and to the left", "to the left", "down and to the left", "down", "down and to the right"}[eighth%8]
}

// WhereItMayStand is a picture, as PNG, of what is planned, of what surely is
// drawn, and of the stretch on which the stylus may stand.
func WhereItMayStand(ctx context.Context, planned preview.Picture, stretch *link.Stretch) ([]byte, error) {
	planned.Title = "Where the stylus may stand"
	planned.Text = fmt.Sprintf("on the last %.1f mm", geom.Length(stretch.Possible))
	overlay := &preview.Overlay{Points: stretch.Drawn, Name: "surely drawn", Under: "planned", Unsure: stretch.Possible, UnsureName: "may stand here"}
	if stretch.Within != nil {
		planned.Text = "inside the outline: the board refused a line"
		overlay.Unsure, overlay.UnsureName = stretch.Within, "stands inside"
	}
	var png bytes.Buffer
	err := preview.PNG(ctx, &png, planned, preview.Options{Overlay: overlay})
	return png.Bytes(), err
}

// Shows says what a picture of where the stylus may stand shows.
func Shows(name string, stretch *link.Stretch) string {
	if stretch.Within != nil {
		return name + " shows the outline in which the stylus may stand, beside the line too: the board refused a line"
	}
	return name + " shows the stretch of the line on which the stylus may stand"
}
