package eval

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/code"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

func TestOnlyTheLatestResultsAreKept(t *testing.T) {
	path := func(n int) value.Value { return value.OfPath(&value.Path{Points: make([]geom.Point, n)}) }
	size := path(100).Size(1)
	r := NewResults(3 * size)
	for i := range uint64(5) {
		r.add(result{key: resultKey{i}, value: path(100), operations: int(i)})
		r.find(resultKey{0}) // the first is asked for all the time
	}
	for i, want := range []bool{true, false, false, true, true} {
		known, ok := r.find(resultKey{uint64(i)})
		require.Equal(t, want, ok, i)
		if ok {
			require.Equal(t, i, known.operations)
		}
	}
	r.add(result{key: resultKey{9}, value: path(1000)})
	_, ok := r.find(resultKey{9})
	require.False(t, ok, "one that is larger than all")
	require.Equal(t, 3*size, r.held)
}

// What a word asks beyond its arguments and the drawing, its key does not say.
func TestAResultThatHangsOnMoreIsNotKept(t *testing.T) {
	called := 0
	word := func(ask func(h value.Host) error) value.Native {
		return value.Native{Builtin: &types.Builtin{Name: "word"}, Costly: true, Func: func(h value.Host, _ []value.Value) (value.Value, error) {
			called++
			if err := h.Charge(7, 9); err != nil {
				return value.Nothing, err
			}
			return value.Number(1), ask(h)
		}}
	}
	run := func(machine string, native value.Native, args ...value.Value) int {
		called = 0
		results := NewResults(1 << 20)
		for range 3 {
			m := newMachine(context.Background(), &code.Program{Funcs: []*code.Func{{}}}, Options{Results: results, Machine: machine})
			m.fn = m.program.Funcs[0]
			got := m.callNative(native, args)
			require.Equal(t, 1.0, got.Number())
		}
		return called
	}
	nothing := func(value.Host) error { return nil }
	require.Equal(t, 1, run("", word(nothing)))
	require.Equal(t, 1, run("", word(nothing), value.Text("a"), value.List([]value.Value{value.Number(2), value.Bool(true)})))
	require.Equal(t, 3, run("", word(func(h value.Host) error { h.Chance().Float(); return nil })))
	require.Equal(t, 3, run("", word(func(h value.Host) error { _, err := h.Seconds(nil); return err })))
	require.Equal(t, 1, run("a machine", word(func(h value.Host) error { _, err := h.Seconds(nil); return err })))
}
