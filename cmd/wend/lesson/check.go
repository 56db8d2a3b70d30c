package lesson

import (
	"context"
	"errors"
	"math"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/congruence"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// toleranceMM is how far a drawing may be from the wanted one: somewhat less than
// the width of the line.
const toleranceMM = 0.3

// Attempt is a program of a learner's that was run once, to be held against tasks.
type Attempt struct {
	// Diagnostics are what the program itself had to be told, errors and warnings.
	Diagnostics diag.List
	file        *source.File
	settings    engine.Settings
	program     *engine.Program
	plan        *plan.Plan
	sheet       int
	line        *plan.Sheet // nil: it draws nothing, or does not run to its end
}

// Try runs a program.
func Try(ctx context.Context, file *source.File, settings engine.Settings) *Attempt {
	a := &Attempt{file: file, settings: settings}
	program, list := engine.Load(file, settings)
	a.Diagnostics = list
	if program == nil {
		return a
	}
	drawn, more := program.Draw(ctx)
	a.Diagnostics = append(list, more...)
	if drawn == nil {
		return a
	}
	a.program, a.plan = program, drawn
	if sheets := engine.WithLine(drawn); len(sheets) > 0 {
		a.sheet = sheets[len(sheets)-1]
		a.line = drawn.Sheets[a.sheet]
	}
	return a
}

// Picture is what was drawn, on its paper. There must be a line.
func (a *Attempt) Picture() preview.Picture {
	return a.program.Picture(a.plan, a.sheet)
}

// Drawn reports whether there is a line that can be shown.
func (a *Attempt) Drawn() bool { return a.line != nil }

// Verdict is what is to be said of a program and a task.
type Verdict struct {
	Task   string `json:"task"`
	Solved bool   `json:"solved"`
	Reason Reason `json:"reason,omitempty"` // why not, one word
	Says   string `json:"says,omitempty"`   // what differs first, with both measures
	Hint   string `json:"hint,omitempty"`
	LookUp string `json:"-"`              // the word that the hint says to look up
	Line   int    `json:"line,omitempty"` // of the program; 0 where it is of no line
	// At is where on the sheet it is, page mm; nil where it is nowhere.
	At *geom.Point `json:"at,omitempty"`
}

// Check holds what was drawn against a task.
func (a *Attempt) Check(ctx context.Context, t Task) (Verdict, error) {
	v := Verdict{Task: t.ID()}
	fail := func(reason Reason, says string) (Verdict, error) {
		v.Reason, v.Says = reason, says
		v.Hint = t.tips[reason]
		if v.Hint == "" {
			v.Hint = tips[reason]
		}
		return v, nil
	}
	if err := ctx.Err(); err != nil {
		return v, err
	}
	switch {
	case a.line != nil:
	case a.Diagnostics.Failed():
		return fail(Error, mendFirst)
	default:
		return fail(Nothing, "the program draws no line")
	}
	if t.HasSketch() {
		sketch, err := t.Sketch(ctx)
		if err != nil {
			return v, err
		}
		d := congruence.Compare(sketch.Line, a.line.Points, t.Same, toleranceMM)
		if d.Kind != congruence.None {
			at := d.At
			v.At = &at
			if d.Kind != congruence.Missing && d.Kind != congruence.Undrawn {
				v.Line = a.lineOf(d.Segment)
			}
			reason, says := tell(d)
			if d.Kind == congruence.Turn {
				if turns := a.turnsBefore(ctx, d.Segment); len(turns) > 0 {
					var blamed written
					says, blamed = tellTurns(says, d, turns, t.Measures)
					v.Line = blamed.line
				}
			}
			return fail(reason, says)
		}
	}
	// A line that leaves the page is compared too: what is wrong with it says more
	// than that.
	if a.Diagnostics.Failed() {
		return fail(Error, mendFirst)
	}
	for _, r := range t.rules {
		reason, says, line, err := r.broken(ctx, a)
		if err != nil {
			return v, err
		}
		if reason != "" {
			v.Line = line
			if t.HasSketch() {
				says = "the picture is right, but " + says
			}
			v, err = fail(reason, says)
			if reason == Word && t.tips[Word] == "" {
				v.LookUp = r.words[0]
				v.Hint = "`wend explain " + v.LookUp + "` shows how it is written"
			}
			return v, err
		}
	}
	v.Solved = true
	return v, nil
}

const mendFirst = "the program has an error, which comes first"

// turnsBefore are the statements that turned the stylus where it stood before it drew
// a segment, in order.
func (a *Attempt) turnsBefore(ctx context.Context, segment int) (turns []written) {
	var before eval.Step
	a.program.Steps(ctx, func(s eval.Step) error {
		if s.Sheet != a.sheet || s.Vertex < segment {
			return nil
		}
		word, _, _ := strings.Cut(before.Span.Text(), " ")
		if before.Span.File == a.file && (word == "turn" || word == "face") {
			if by := math.Remainder(s.Heading-before.Heading, 360); by != 0 {
				turns = append(turns, written{line: a.file.LineOf(before.Span.Start), degrees: by})
			}
		}
		if s.Vertex > segment {
			return errFound
		}
		before = s
		return nil
	}, nil)
	return turns
}

// errFound ends a run whose further course does not count.
var errFound = errors.New("found")

func (a *Attempt) spanOf(segment int) source.Span {
	if segment < 0 || segment >= len(a.line.Place) {
		return source.Span{}
	}
	return a.plan.Places[a.line.Place[segment]].Span
}

// lineOf is the line of the program that drew a segment; 0 if it is of the library.
func (a *Attempt) lineOf(segment int) int {
	span := a.spanOf(segment)
	if !span.Known() || span.File != a.file {
		return 0
	}
	return span.File.LineOf(span.Start)
}
