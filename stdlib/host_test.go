package stdlib_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/value"
	"wend/stdlib"
)

// host lends library functions what the evaluator would.
type host struct {
	chance     *value.Chance
	seed       uint64
	operations int
	bytes      int
	limit      int // of operations; 0: none
	warnings   []*diag.Fault
}

var errLimit = errors.New("limit passed")

func newHost(seed uint64) *host { return &host{chance: value.NewChance(seed), seed: seed} }

func (h *host) Context() context.Context { return context.Background() }

func (h *host) Charge(operations, bytes int) error {
	h.operations += operations
	h.bytes += bytes
	if h.limit > 0 && h.operations > h.limit {
		return errLimit
	}
	return nil
}

func (h *host) Call(fn value.Value, args ...value.Value) (value.Value, error) {
	return fn.Function().(*function).call(args...)
}

func (h *host) Read(name string) (*source.File, error) {
	return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
}

func (h *host) Seconds(line []geom.Point) (float64, error) { return geom.Length(line) / 20, nil }

func (h *host) Warn(fault *diag.Fault) { h.warnings = append(h.warnings, fault) }

func (h *host) Progress(int, int) {}

func (h *host) Chance() *value.Chance { return h.chance }
func (h *host) Seed() uint64          { return h.seed }
func (h *host) ToleranceMM() float64  { return 0.01 }
func (h *host) LineWidthMM() float64  { return 0.5 }
func (h *host) Page() geom.Box        { return geom.Box{Max: geom.Point{X: 140, Y: 100}} }

// function is a function value written in Go.
type function struct {
	call func(args ...value.Value) (value.Value, error)
}

func (f *function) Name() string { return "a function" }

func fn(f func(x value.Value) value.Value) value.Value {
	return value.OfFunction(&function{func(args ...value.Value) (value.Value, error) { return f(args[0]), nil }})
}

func native(name string) value.Native {
	for _, n := range stdlib.Natives() {
		if n.Name == name {
			return n
		}
	}
	panic("no native " + name)
}

// call calls a word of the library with values made of Go ones.
func call(t require.TestingT, name string, args ...any) value.Value {
	v, err := native(name).Func(newHost(1), values(args))
	require.NoError(t, err, name)
	return v
}

// faultOf is the code of the fault that a call gives.
func faultOf(t *testing.T, name string, args ...any) diag.Code {
	t.Helper()
	_, err := native(name).Func(newHost(1), values(args))
	var fault *diag.Fault
	require.ErrorAs(t, err, &fault, name)
	_, known := diag.Lookup(fault.Code)
	require.True(t, known, "code %s has no page", fault.Code)
	require.NotRegexp(t, `\{\w+\}`, fault.Error(), "every place of the message is filled")
	return fault.Code
}

func values(args []any) []value.Value {
	result := make([]value.Value, len(args))
	for i, arg := range args {
		result[i] = toValue(arg)
	}
	return result
}

func toValue(arg any) value.Value {
	switch x := arg.(type) {
	case value.Value:
		return x
	case int:
		return value.Number(float64(x))
	case float64:
		return value.Number(x)
	case string:
		return value.Text(x)
	case bool:
		return value.Bool(x)
	case geom.Point:
		return value.Point(x)
	case *value.Path:
		return value.OfPath(x)
	case []any:
		return value.List(values(x))
	case nil:
		return value.Nothing
	}
	panic("no value for this")
}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func pathOf(turn float64, points ...geom.Point) *value.Path {
	return &value.Path{Points: points, Turn: turn}
}
