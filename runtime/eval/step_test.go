package eval_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/compile"
	"wend/lang/source"
	"wend/runtime/eval"
)

const stepped = `let size = 10
fn twice(x) = x * 2
figure corner(d) {
  let far = twice(d)
  ahead far
  turn 90
}
loop i in 1..2 {
  corner size + i
}
let name = "done"
note name
`

func TestAStepIsBeforeEachStatementWithTheVariablesItSees(t *testing.T) {
	checked, diags := read(stepped)
	require.False(t, diags.Failed())
	var seen []string
	with := options()
	with.Step = func(s eval.Step) error {
		var values []string
		for _, v := range s.Variables() {
			values = append(values, v.Name+"="+v.Value)
		}
		seen = append(seen, fmt.Sprintf("%d/%d %s (%g, %g) %g %s", s.Depth, s.Span.From().Line, s.Body, s.At.X, s.At.Y, s.Heading, strings.Join(values, " ")))
		return nil
	}
	_, diags = eval.Run(context.Background(), compile.Stepping(checked), with)
	require.False(t, diags.Failed())
	require.Equal(t, []string{
		"0/1  (0, 0) 0 ",
		"0/8  (0, 0) 0 size=10",
		"0/9  (0, 0) 0 size=10 i=1",
		"1/4 corner (0, 0) 0 d=11 size=10 i=1",
		"1/5 corner (0, 0) 0 d=11 far=22 size=10 i=1",
		"1/6 corner (22, 0) 0 d=11 far=22 size=10 i=1",
		"0/9  (22, 0) 90 size=10 i=2",
		"1/4 corner (22, 0) 90 d=12 size=10 i=2",
		"1/5 corner (22, 0) 90 d=12 far=24 size=10 i=2",
		"1/6 corner (22, 24) 90 d=12 far=24 size=10 i=2",
		"0/11  (22, 24) 180 size=10",
		"0/12  (22, 24) 180 size=10 name=done",
	}, seen)
}

func TestAnErrorOfAStepEndsTheRun(t *testing.T) {
	checked, _ := read(stepped)
	with := options()
	steps := 0
	with.Step = func(eval.Step) error {
		if steps++; steps == 3 {
			return errors.New("enough")
		}
		return nil
	}
	_, diags := eval.Run(context.Background(), compile.Stepping(checked), with)
	require.Equal(t, "run-stopped", string(diags[0].Code))
	require.Equal(t, 3, steps)
}

func TestProgramsDrawTheSameWhenTheyAreStepped(t *testing.T) {
	files, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		checked, diags := read(string(text))
		if diags.Failed() {
			continue // it needs files beside it
		}
		with := options()
		with.Read = func(_ *source.File, path string) (*source.File, error) {
			data, err := os.ReadFile(filepath.Join(filepath.Dir(name), path))
			return source.New(path, string(data)), err
		}
		plain, _ := eval.Run(context.Background(), compile.Program(checked), with)
		steps := 0
		with.Step = func(eval.Step) error { steps++; return nil }
		slow, _ := eval.Run(context.Background(), compile.Stepping(checked), with)
		require.NotNil(t, plain, name)
		require.Positive(t, steps)
		require.Equal(t, plain.Sheets, slow.Sheets, name)
	}
}
