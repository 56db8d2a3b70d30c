// Package eval runs a compiled program: it moves the one stylus, and gives the
// plan of the line that it leaves.
//
// A run is finite (see Limits), the same for the same program, options and
// seed on every processor, and has no effect but its result. Whatever goes
// wrong is a diagnostic with the place and the way by which the program came
// there.
package eval

import (
	"context"
	"fmt"
	"strings"

	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/value"
)

// Options are what a run needs to know beside the program.
type Options struct {
	Natives []value.Native // the library's functions, bound by name
	Seed    uint64         // of the random sequence
	// SeedForced says that the person who runs the program chose the seed: a
	// `seed` in the program does not change it.
	SeedForced bool
	Start      geom.Point // where the stylus is, page mm
	Page       geom.Box   // the usable area, lower left at (0, 0)
	// ToleranceMM is how far the line may be from a curve that was asked for.
	ToleranceMM float64
	LineWidthMM float64
	Limits      Limits // zero fields mean the default
	// Read gives the content of a file that a text of the program names. All runs
	// of one program are given the same. A failure is a *diag.Fault. It may be
	// nil: then there are no files.
	Read func(from *source.File, name string) (*source.File, error)
	// Seconds is how long the machine takes to draw a line of points in mm. It may
	// be nil: then every mm takes as long.
	Seconds func(ctx context.Context, line []geom.Point) (float64, error)
	// Machine names the machine that Seconds is about, with all that it hangs on;
	// empty if that is not known.
	Machine string
	// Results keeps what costly words gave for later runs; nil to keep nothing.
	Results *Results
	// Progress is told from time to time how much of a word's long work is done; it
	// may be nil.
	Progress func(done, of int)
	// Said is told what the program prints as soon as it does; it may be nil.
	Said func(plan.Saying)
	// Line is given the line of each sheet while it is drawn, in stretches: the first
	// begins with the first point of a line, each other one with the last point of
	// the one before. It may keep them. A sheet without pieces has no stretch, and
	// what a run gave that failed in the end is worth nothing. It may be nil.
	Line func(sheet int, stretch []geom.Point)
	// Placed is told of a place of the plan when a sheet's line first comes from it,
	// with the way there, as Trails finds it. Of places that were come to in a line
	// apart first, it is not told. It may be nil.
	Placed func(place uint32, trail []diag.Frame)
	// Step is called before each statement of a program that was compiled for
	// stepping. An error ends the run as if it were cancelled. It may be nil.
	Step func(Step) error
}

// Defaults of the options that are lengths, in mm, for a run that says nothing.
const (
	defaultToleranceMM = 0.05
	defaultLineWidthMM = 0.5
	defaultMMS         = 20 // mm/s
)

// Run evaluates a program. The error, if there is one, is a diag.List; with a
// plan come the warnings, if any, in a list that has not failed.
func Run(ctx context.Context, program *code.Program, options Options) (*plan.Plan, diag.List) {
	m := newMachine(ctx, program, options)
	if problem := m.guarded(m.runModules); problem != nil {
		return nil, append(m.warnings, *problem)
	}
	m.endSheet()
	m.plan.Heading = m.pen.heading
	return m.plan, m.warnings
}

func newMachine(ctx context.Context, program *code.Program, options Options) *machine {
	if options.ToleranceMM <= 0 {
		options.ToleranceMM = defaultToleranceMM
	}
	if options.LineWidthMM <= 0 {
		options.LineWidthMM = defaultLineWidthMM
	}
	m := &machine{
		ctx: ctx, program: program, options: options,
		numbers: make([]float64, 4*window), values: make([]value.Value, 4*window),
		frames:  make([]frame, 0, 64),
		placeOf: make([]uint32, roles*len(program.Sites)),
		seed:    options.Seed,
		chance:  value.NewChance(options.Seed),
		plan:    &plan.Plan{Seed: options.Seed, ToleranceMM: options.ToleranceMM},
	}
	m.limits = newLimits(options.Limits)
	m.bind()
	m.startSheet(options.Start)
	m.out = &m.sheets
	m.pens = make([]pen, 16)
	m.pens[0] = newPen(options.Start)
	m.pen = &m.pens[0]
	return m
}

// bind finds the Go functions behind the program's words.
func (m *machine) bind() {
	byName := make(map[string]value.Native, len(m.options.Natives))
	for _, n := range m.options.Natives {
		byName[n.Name] = n
	}
	m.natives = make([]value.Native, len(m.program.Builtins))
	m.words = make([]value.Value, len(m.program.Builtins))
	for i, b := range m.program.Builtins {
		m.natives[i] = byName[b.Name]
		m.natives[i].Builtin = b
		if b.Value && m.natives[i].Func != nil {
			if v, err := m.natives[i].Func(host{m}, nil); err == nil {
				m.words[i] = v
			}
		}
	}
	m.layouts = make([]*value.Layout, len(m.program.Layouts))
	for i, names := range m.program.Layouts {
		m.layouts[i] = value.NewLayout(names)
	}
	m.fields = make([]cachedField, len(m.program.Texts))
	m.texts = make([]value.Value, len(m.program.Texts))
	for i, text := range m.program.Texts {
		m.texts[i] = value.Text(text)
	}
}

// halt carries the diagnostic that ends a run up to Run.
type halt struct{ diagnostic diag.Diagnostic }

func (h *halt) Error() string { return h.diagnostic.Message }

// guarded runs part of a program and gives the diagnostic that ended it, or
// nil. A fault of the evaluator or of a library function becomes one, too: no
// text of a panic is ever shown as if it were about the program.
func (m *machine) guarded(run func()) (problem *diag.Diagnostic) {
	defer func() {
		switch caught := recover().(type) {
		case nil:
		case *halt:
			problem = &caught.diagnostic
		default:
			d := diag.New("internal-fault", m.span(), diag.Args{"detail": fmt.Sprint(caught)})
			d.Trail = m.trail()
			problem = &d
		}
	}()
	run()
	return nil
}

// span is the place of the current instruction.
func (m *machine) span() source.Span { return spanAt(m.fn, m.pc-1) }

func spanAt(fn *code.Func, pc int) source.Span {
	if fn == nil {
		return source.Span{}
	}
	if pc < 0 || pc >= len(fn.Spans) {
		return fn.Place
	}
	return fn.Spans[pc]
}

// fail ends the run with a diagnostic at the current instruction.
func (m *machine) fail(code diag.Code, args diag.Args) {
	m.halt(diag.New(code, m.span(), args))
}

func (m *machine) halt(d diag.Diagnostic) {
	d.Trail = m.trail()
	panic(&halt{outOfLibrary(d)})
}

// failed ends the run with the error of a library function.
func (m *machine) failed(err error) {
	switch err := err.(type) {
	case *halt:
		panic(err)
	case *diag.Fault:
		m.halt(err.At(m.span()))
	default:
		if m.ctx.Err() != nil {
			m.fail("run-stopped", nil)
		}
		m.fail("internal-fault", diag.Args{"detail": err.Error()})
	}
}

// outOfLibrary leads a fault within a theme of the library to the call of the
// program that caused it: nobody else can mend it.
func outOfLibrary(d diag.Diagnostic) diag.Diagnostic {
	if d.Span.File == nil || !d.Span.File.Library {
		return d
	}
	for i := len(d.Trail) - 1; i >= 0; i-- {
		call := d.Trail[i]
		if call.Span.File == nil || call.Span.File.Library {
			continue
		}
		within := d.Span // a place in the body that was called
		if i+1 < len(d.Trail) {
			within = d.Trail[i+1].Span
		}
		word := strings.Trim(within.File.Name, "<>") + "." + strings.TrimPrefix(call.Text, "in ")
		d.Span, d.Trail, d.Edits, d.Related = call.Span, d.Trail[:i], nil, nil
		d.Message = "`" + word + "` cannot do this with what it was given: " + d.Message
		return d.WithHint("see what it takes, with an example: `wend explain %s`", word)
	}
	return d
}

// trail is the way by which the program came to the current instruction.
func (m *machine) trail() []diag.Frame {
	var trail []diag.Frame
	for i := 1; i < len(m.frames); i++ {
		waiting := m.frames[i]
		caller := m.program.Funcs[waiting.fn]
		trail = m.passes(trail, caller, int(waiting.pc)-1, int(waiting.numBase))
		callee := m.fn
		if i+1 < len(m.frames) {
			callee = m.program.Funcs[m.frames[i+1].fn]
		}
		trail = append(trail, diag.Frame{Span: spanAt(caller, int(waiting.pc)-1), Text: "in " + bodyName(callee)})
	}
	return shortened(m.passes(trail, m.fn, m.pc-1, m.numBase))
}

// bodyName is how a trail calls a body.
func bodyName(fn *code.Func) string {
	switch {
	case fn.Name != "":
		return fn.Name
	case fn.Shape == code.Path:
		return "a path"
	case fn.Shape == code.Formula:
		return "the formula of a curve"
	}
	return "a function"
}

// passes adds the loops of a body that are under way at an instruction.
func (m *machine) passes(trail []diag.Frame, fn *code.Func, pc, numBase int) []diag.Frame {
	for _, loop := range fn.Loops {
		if loop.Start <= pc && pc < loop.End {
			pass := max(0, m.numbers[numBase+int(loop.Passes)]) + 1
			trail = append(trail, diag.Frame{
				Span: loop.Span, Text: "pass " + diag.Grouped(int(pass)) + " of the loop",
			})
		}
	}
	return trail
}

// trailEnds is how many frames of a very long trail are kept at each end.
const trailEnds = 12

// shortened leaves out the middle of the trail of a deep recursion.
func shortened(trail []diag.Frame) []diag.Frame {
	if len(trail) <= 2*trailEnds+1 {
		return trail
	}
	left := len(trail) - 2*trailEnds
	middle := diag.Frame{Span: trail[trailEnds].Span, Text: fmt.Sprintf("… %d more of these …", left)}
	short := append([]diag.Frame{}, trail[:trailEnds]...)
	short = append(short, middle)
	return append(short, trail[len(trail)-trailEnds:]...)
}
