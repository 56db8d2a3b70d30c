package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// buildJSON is what `wend build --json` prints. The fields are a promise: they
// may be added to, not renamed.
type buildJSON struct {
	File        string              `json:"file"`
	OK          bool                `json:"ok"`
	Seed        uint64              `json:"seed"`
	Diagnostics []render.Diagnostic `json:"diagnostics"`
	Said        []sayingJSON        `json:"said"`
	Sheets      []sheetJSON         `json:"sheets"`
	Removed     []string            `json:"removed"`            // outputs of an earlier run
	OffPage     []string            `json:"off_page,omitempty"` // pictures of where the line leaves the page
}

type sayingJSON struct {
	Line int    `json:"line"`
	Text string `json:"text"`
}

// sheetJSON is one sheet. Its first fields are the kinds of its files, each with
// the file's name, empty if it was not written; that of a kind which stands in a
// part of its own is there.
type sheetJSON struct {
	names        map[string]string
	Segments     int     `json:"segments"`
	LineMM       float64 `json:"line_mm"`
	VisibleMM    float64 `json:"visible_mm"`
	RetracedMM   float64 `json:"retraced_mm"`
	LinkMM       float64 `json:"link_mm"`
	Seconds      float64 `json:"seconds"`
	BoundSeconds float64 `json:"bound_seconds"`
	Instructions int     `json:"instructions"`
	Compensated  bool    `json:"slack_compensated"`
	// UnknownSlack names the axes whose slack is not measured: the machine has some
	// that is not compensated.
	UnknownSlack []string   `json:"slack_unknown"`
	Bounds       boundsJSON `json:"bounds"`
	Start        pointJSON  `json:"start"`
	End          pointJSON  `json:"end"`
	AsDrawn      *drawnJSON `json:"as_drawn,omitempty"`
}

// drawnJSON is what the simulated machine made of the instructions.
type drawnJSON struct {
	PNG         string  `json:"png"`
	DeviationMM float64 `json:"largest_deviation_mm"`
	PlainMM     float64 `json:"largest_uncompensated_mm,omitempty"` // if slack were not made up for
	MeanMM      float64 `json:"mean_deviation_mm"`
	Seconds     float64 `json:"seconds"`
	Contacts    int     `json:"wall_contacts"`
}

type boundsJSON struct {
	XMin float64 `json:"x_min"`
	YMin float64 `json:"y_min"`
	XMax float64 `json:"x_max"`
	YMax float64 `json:"y_max"`
}

func newBoundsJSON(b geom.Box) boundsJSON {
	return boundsJSON{micron(b.Min.X), micron(b.Min.Y), micron(b.Max.X), micron(b.Max.Y)}
}

type pointJSON struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

func newPointJSON(p geom.Point) pointJSON { return pointJSON{micron(p.X), micron(p.Y)} }

// micron rounds mm to what a person could care about, so that JSON is readable
// and does not promise digits.
func micron(mm float64) float64 { return math.Round(mm*1000)/1000 + 0 }

func newSheetJSON(s builtSheet, p *machine.Profile) sheetJSON {
	b := s.Bounds
	var as *drawnJSON
	if s.asDrawn != nil {
		as = &drawnJSON{
			PNG: s.names["as-drawn.png"], DeviationMM: micron(s.asDrawn.LargestMM), MeanMM: micron(s.asDrawn.MeanMM),
			Seconds: micron(s.asDrawn.Seconds), Contacts: s.asDrawn.Contacts,
		}
		if plain := s.asDrawn.Uncompensated; plain != nil {
			as.PlainMM = micron(plain.LargestMM)
		}
	}
	return sheetJSON{
		names:    s.names,
		Segments: s.Segments, LineMM: micron(s.LineMM), VisibleMM: micron(s.VisibleMM), RetracedMM: micron(s.RetracedMM), LinkMM: micron(s.LinkMM),
		Seconds: micron(s.Seconds), BoundSeconds: micron(s.BoundSeconds), Instructions: s.Instructions, Compensated: s.Compensated, UnknownSlack: p.UnknownSlack(),
		Bounds: newBoundsJSON(b),
		Start:  newPointJSON(s.Start), End: newPointJSON(s.End), AsDrawn: as,
	}
}

// MarshalJSON sets the files before what is known of the sheet.
func (s sheetJSON) MarshalJSON() ([]byte, error) {
	type known sheetJSON
	rest, err := json.Marshal(known(s))
	if err != nil {
		return nil, err
	}
	text := []byte{'{'}
	for _, a := range artefacts {
		if a.late {
			continue // stands with what it shows
		}
		name, err := json.Marshal(filepath.ToSlash(s.names[a.kind]))
		if err != nil {
			return nil, err
		}
		text = append(append(append(strconv.AppendQuote(text, a.kind), ':'), name...), ',')
	}
	return append(text, rest[1:]...), nil
}

func pieces(n int) string {
	if n == 1 {
		return "1 piece"
	}
	return diag.Grouped(n) + " pieces"
}

// summary says in words what was made.
func (c console) summary(settings engine.Settings, b built) {
	sheets := b.sheets
	for i, s := range sheets {
		title := "one line"
		if len(sheets) > 1 {
			title = fmt.Sprintf("sheet %d of %d: one line", i+1, len(sheets))
		}
		c.tell("%s of %s in %s, %s on the %s\n",
			title, gcode.Length(s.LineMM), pieces(s.Segments), gcode.Duration(s.Seconds), settings.Profile.Name)
		c.tell("  seen       %s", gcode.Length(s.VisibleMM))
		if s.RetracedMM >= 0.05 {
			c.tell(", %s gone over again", gcode.Length(s.RetracedMM))
		}
		if s.LinkMM >= 0.05 {
			c.tell("; %s of it added to reach separate parts", gcode.Length(s.LinkMM))
		}
		c.tell("\n  from       (%s, %s) to (%s, %s)\n", tenths(s.Start.X), tenths(s.Start.Y), tenths(s.End.X), tenths(s.End.Y))
		c.tell("  within     %s of a page of %g by %g\n", engine.Reach(s.Bounds), settings.Profile.Page().Width(), settings.Profile.Page().Height())
		slack, unknown := "slack not compensated", strings.Join(settings.Profile.UnknownSlack(), " and ")
		switch p := settings.Profile; {
		case unknown == "x and y":
			slack = "slack not known yet, and not compensated"
		case p.X.SlackSteps() == 0 && p.Y.SlackSteps() == 0:
			slack = "no slack to compensate"
		case s.Compensated:
			slack = "slack compensated"
		}
		if len(unknown) == 1 {
			slack += ", that of " + unknown + " not known yet"
		}
		c.tell("  moves      %s, %s, read back and compared\n", diag.Grouped(s.Instructions), slack)
		if p := settings.Profile; p.ReachedMM() > p.Drawing.ToleranceMM {
			c.tell("  tolerance  %g mm cannot be kept in steps this coarse; at most %.3f mm off\n", p.Drawing.ToleranceMM, p.ReachedMM())
		}
		if as := s.asDrawn; as != nil {
			c.tell("  as drawn   at most %.3f mm off the plan, %.3f mm on average, in %s\n", as.LargestMM, as.MeanMM, gcode.Duration(as.Seconds))
			if as.Uncompensated != nil && s.Compensated {
				c.tell("  without    making up for slack it would be %.3f mm\n", as.Uncompensated.LargestMM)
			}
			if unknown != "" {
				c.tell("  unknown    what the slack of %s does, which nobody has measured: it was drawn as if there were none\n", unknown)
			}
			if as.Contacts > 0 {
				c.tell("  walls      the simulated stylus ran into a wall %d times\n", as.Contacts)
			}
		}
		if !b.fromElsewhere {
			c.tell("  seed       %d\n", b.drawn.Seed)
		}
		for _, o := range s.outputs {
			c.tell("  wrote      %s\n", filepath.ToSlash(o.name))
		}
	}
	for _, name := range b.gone {
		c.tell("  removed    %s, of an earlier run\n", filepath.ToSlash(name))
	}
	if settings.Profile.BuiltIn {
		c.tell("%s\n", c.paragraph(c.stdout, "", "The desk toy is built in and invented; for a real machine name its profile with --machine."))
	}
}
