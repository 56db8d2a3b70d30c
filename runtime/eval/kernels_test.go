package eval_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/eval"
)

// BenchmarkKernels runs the programs that the evaluator's speed is judged by,
// with all checks and limits on. Reading and compiling are left out.
func BenchmarkKernels(b *testing.B) {
	files, err := filepath.Glob("testdata/kernels/*.wend")
	require.NoError(b, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(b, err)
		program := compiled(b, string(text))
		b.Run(strings.TrimSuffix(filepath.Base(file), ".wend"), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, diags := eval.Run(context.Background(), program, options())
				require.Empty(b, diags)
			}
		})
	}
}
