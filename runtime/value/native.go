package value

import (
	"context"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/geom/interval"
)

// Native is a word of the library with the Go function behind it.
type Native struct {
	*types.Builtin
	// Func is the function. It is given one value a parameter (Nothing for an
	// optional one that was left out; those for a Rest parameter follow one by
	// one), already of the kinds that the form asks for.
	// It returns a *diag.Fault for values that it cannot work with.
	Func Func
	// Costly says that the function works long, and that its result hangs on its
	// arguments and on what the host says of the drawing alone: it may be kept
	// for a later run.
	Costly bool
	// Num1 and Num2 are set instead when the function takes one or two numbers
	// and gives one; the evaluator calls them without boxing. A result that is
	// not finite means that the function has no value there: then Func (which
	// must be set too) is called for its fault.
	Num1 func(x float64) float64
	Num2 func(x, y float64) float64
	// Bounds is what interval arithmetic knows of the function over ranges of
	// its arguments, so that a curve whose formula calls it can be proven; nil if
	// nothing is known. A point takes two arguments, x and y, and one that was
	// left out is nil. The second result is y, where a point is the result.
	Bounds func(seed uint64, args []*interval.Jet) (x, y interval.Jet)
}

// Func is the Go function behind a word of the library.
type Func func(h Host, args []Value) (Value, error)

// Host is what the evaluator lends a library function while it runs.
type Host interface {
	Context() context.Context
	// Charge counts work against the limits: operations, and bytes that will be
	// kept, or that the word works with until it is done; fewer than none are given
	// back. It fails when a limit is passed or the run is cancelled; the library
	// function returns that error unchanged.
	Charge(operations, bytes int) error
	// Call calls a function value.
	Call(fn Value, args ...Value) (Value, error)
	// Read gives the content of a file, whatever it is, as its name and bytes. The
	// name is written in the program as it stands to the file of the call.
	Read(name string) (*source.File, error)
	// Warn says something about what was read that does not keep the run from
	// going on; said twice of one place, it counts once.
	Warn(fault *diag.Fault)
	// Chance is the run's random sequence.
	Chance() *Chance
	// Seed is the seed of that sequence.
	Seed() uint64
	// ToleranceMM is the flattening share of the drawing tolerance.
	ToleranceMM() float64
	LineWidthMM() float64
	// Seconds is how long the machine takes to draw a line of points in mm.
	Seconds(line []geom.Point) (float64, error)
	// Progress is told from time to time how much of a long piece of work is done.
	Progress(done, of int)
	// Page is the usable area, lower left at (0, 0).
	Page() geom.Box
}
