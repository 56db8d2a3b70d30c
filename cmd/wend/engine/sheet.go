package engine

import (
	"context"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"sync"

	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// Sheet is what is known of one sheet.
type Sheet struct {
	Segments                              int
	LineMM, VisibleMM, RetracedMM, LinkMM float64
	Bounds                                geom.Box // page mm
	Start, End                            geom.Point
	// From here on: of its instructions.
	Instructions          int
	Seconds, BoundSeconds float64
	Compensated           bool
	Gap, EndGap           machine.Gap // where each axis stands in its slack before and after
}

// WithLine are the indices of the sheets that have line. Between two wipings
// there may be none; such a sheet is wiped like the others, and there is nothing
// to be seen or written of it.
func WithLine(drawn *plan.Plan) []int {
	var sheets []int
	for i, sheet := range drawn.Sheets {
		if len(sheet.Points) > 1 {
			sheets = append(sheets, i)
		}
	}
	return sheets
}

// Describe measures a sheet.
func (p *Program) Describe(drawn *plan.Plan, sheet int) Sheet {
	s := drawn.Sheets[sheet]
	measured := s.Measure()
	known := Sheet{
		Segments: len(s.Place), LineMM: measured.LengthMM, VisibleMM: measured.VisibleMM, RetracedMM: measured.RetracedMM,
		Bounds: measured.Bounds, Start: s.Points[0], End: s.Points[len(s.Points)-1],
	}
	for i, place := range s.Place {
		if drawn.Places[place].Role == plan.Link {
			known.LinkMM += s.Points[i].Distance(s.Points[i+1])
		}
	}
	return known
}

// Reach is the box of a line, in page mm, as people read it.
func Reach(b geom.Box) string {
	tenths := func(mm float64) string { return strconv.FormatFloat(math.Round(mm*10)/10+0, 'f', 1, 64) }
	return fmt.Sprintf("x %s to %s, y %s to %s mm", tenths(b.Min.X), tenths(b.Max.X), tenths(b.Min.Y), tenths(b.Max.Y))
}

// Picture is a sheet on its paper.
func (p *Program) Picture(drawn *plan.Plan, sheet int) preview.Picture {
	picture := p.PictureOf(drawn.Sheets[sheet].Points)
	picture.Place, picture.Places = drawn.Sheets[sheet].Place, drawn.Places
	return picture
}

// PictureOf is a line on the paper of a sheet.
func (p *Program) PictureOf(line []geom.Point) preview.Picture {
	page := p.Profile.Page()
	return preview.Picture{
		Page:   preview.Page{WidthMM: page.Width(), HeightMM: page.Height(), MarginMM: p.Profile.Area.MarginMM},
		Points: line, LineWidthMM: p.Profile.Drawing.LineWidthMM, Source: p.Source(), Machine: p.Profile.Name,
	}
}

// Source is the name of the program or file, as outputs say it of themselves;
// empty for a program of several texts.
func (p *Program) Source() string {
	if p.name == "" {
		return ""
	}
	return filepath.Base(p.name)
}

// Seconds is how long the machine takes to draw a line by itself.
func (p *Program) Seconds(ctx context.Context, line []geom.Point) (float64, error) {
	sheet := &plan.Sheet{Begun: true, Points: line, Place: make([]uint32, max(len(line)-1, 0))}
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}
	lowered, _, err := lower.Sheet(ctx, p.Profile, whole, sheet, lower.Options{Compensate: true})
	if err != nil {
		return 0, err
	}
	return lowered.Seconds, nil
}

// Target is where instructions are written to. A [bytes.Buffer] is one.
type Target interface {
	io.Writer
	Grow(n int) // n more bytes are to come
	Len() int
	Truncate(n int)
	Bytes() []byte
}

// readBack is a target of which a sheet is read back while it is written.
type readBack struct {
	Target
	*gcode.Verification
}

func (r readBack) Write(lines []byte) (int, error) {
	if n, err := r.Target.Write(lines); err != nil {
		return n, err
	}
	return r.Verification.Write(lines)
}

// Lower adds the instructions of a sheet to a text, slack and skew of the profile
// made up for, then reads them back from it and compares what a machine would
// draw from them with the plan. The text is only to be used if the list has not
// failed.
//
// before is where each axis stands in its slack when the sheet is begun: the EndGap
// of the sheet before, or zero. A sheet with a beginning of its own is walked
// to from the lower left, whatever was before.
func (p *Program) Lower(ctx context.Context, drawn *plan.Plan, sheet int, before machine.Gap, text Target) (Sheet, diag.List) {
	measured := sync.OnceValue(func() Sheet { return p.Describe(drawn, sheet) })
	s := drawn.Sheets[sheet]
	options := lower.Options{Compensate: true, Gap: before}
	if s.Begun {
		options.Gap = machine.Gap{}
	}
	start := text.Len()
	// Of a million take-ups in motion one may come out just beyond the tolerance; at
	// rest none does. What parts there is lowered anew, with more and more of the line
	// around.
	last := len(s.Points) - 1
	for tries := 0; ; tries++ {
		known, list, parted := p.lower(ctx, drawn, sheet, measured, options, text)
		if parted < 0 || tries > partsAtRest || ctx.Err() != nil {
			return known, list
		}
		text.Truncate(start)
		around := 1 << (2 * tries) // vertices
		if tries == partsAtRest {
			around = last
		}
		options.AtRest = append(options.AtRest, lower.Part{From: max(0, parted-around), To: min(last, parted+around)})
	}
}

// large reports whether a sheet is large beside all else that the command holds.
func large(s *plan.Sheet) bool { return len(s.Points) > 1<<18 }

// loweringBytes is some of what lowering holds of each piece of line.
const loweringBytes = 64

// partsAtRest is on how many parts of a line at most slack is taken up at rest
// before that is done on all of it.
const partsAtRest = 8

// lower is Lower with what is given to be taken up at rest. The last result is the
// vertex after which the instructions part from the line, -1 if they do not.
func (p *Program) lower(ctx context.Context, drawn *plan.Plan, sheet int, measured func() Sheet, options lower.Options, text Target) (Sheet, diag.List, int) {
	s := drawn.Sheets[sheet]
	lowered, list, err := lower.Sheet(ctx, p.Profile, drawn, s, options)
	if err != nil {
		return measured(), Faults(err), -1
	}
	if list.Failed() {
		return measured(), list, -1
	}
	// What lowering worked with, some forty bytes a piece, makes room for measuring. Of a
	// large drawing that is pages which need not be touched for the first time: less
	// memory, and less time too.
	if large(s) {
		runtime.GC()
	}
	// Measuring goes on beside writing and reading back: both take memory for each
	// piece of line, but less than lowering does.
	go measured()
	name := p.Source()
	sheets := WithLine(drawn)
	earlier, _ := slices.BinarySearch(sheets, sheet)
	start := text.Len()
	back := gcode.NewVerification(p.Profile, s, lowered.Compensated, lowered.Gap)
	err = gcode.Write(ctx, readBack{text, back}, p.Profile, lowered.Instructions, gcode.Heading{
		Program: name, Sheet: earlier + 1, Sheets: len(sheets), Seed: drawn.Seed, Unseeded: p.FromElsewhere(), Wiped: s.Begun || sheet > 0,
		Seconds: lowered.Seconds, LineMM: geom.Length(s.Points),
	})
	verdict := back.Done(name, func() []byte { return text.Bytes()[start:] })
	if err != nil {
		return measured(), Faults(err), -1
	}
	list = append(list, verdict.Faults...)
	known := measured()
	known.Instructions, known.Compensated = len(lowered.Moves), lowered.Compensated
	known.Seconds, known.BoundSeconds = lowered.Seconds, lowered.BoundSeconds
	known.Gap, known.EndGap = lowered.Gap, lowered.EndGap
	return known, list, verdict.Parted
}
