package eval_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/compile"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/types"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/stdlib"
)

// options are those of the tests: a page of 200 by 150 mm.
func options() eval.Options {
	return eval.Options{
		Natives: stdlib.Natives(), Seed: 1, ToleranceMM: 0.05, LineWidthMM: 0.5,
		Page: geom.Box{Max: geom.Point{X: 200, Y: 150}},
	}
}

// read parses and checks a program.
func read(text string) (*check.Program, diag.List) { return readWith(text, stdlib.Library()) }

func readWith(text string, library *types.Library) (*check.Program, diag.List) {
	tree, diags := parse.File(source.New("test.wend", text))
	if diags.Failed() {
		return nil, diags
	}
	program, found := check.Check(tree, check.Options{
		Library: library,
		Module: func(name string) *ast.File {
			module, _ := parse.File(stdlib.Module(name))
			return module
		},
	})
	return program, append(diags, found...)
}

// compiled is a program that is known to be right.
func compiled(t require.TestingT, text string) *code.Program {
	checked, diags := read(text)
	require.False(t, diags.Failed(), "%v\n%s", diags, text)
	return compile.Program(checked)
}

func compiledWith(t require.TestingT, text string, library *types.Library) *code.Program {
	checked, diags := readWith(text, library)
	require.False(t, diags.Failed(), "%v\n%s", diags, text)
	return compile.Program(checked)
}

// run runs a program that is known to end well.
func run(t testing.TB, text string) *plan.Plan {
	t.Helper()
	drawn, diags := eval.Run(context.Background(), compiled(t, text), options())
	require.False(t, diags.Failed(), "%v\n%s", diags, text)
	return drawn
}

// said is what a program prints, line by line.
func said(p *plan.Plan) string {
	lines := make([]string, len(p.Said))
	for i, s := range p.Said {
		lines[i] = s.Text
	}
	return strings.Join(lines, "\n")
}

// fault is the diagnostic that ends a program.
func fault(t testing.TB, text string, with eval.Options) diag.Diagnostic {
	t.Helper()
	_, diags := eval.Run(context.Background(), compiled(t, text), with)
	require.True(t, diags.Failed(), "the program ends well:\n%s", text)
	return diags[len(diags)-1]
}
