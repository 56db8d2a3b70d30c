package examples_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/examples"
)

func TestEveryProgramOfTheFolderIsAnExample(t *testing.T) {
	found, err := filepath.Glob("*.wend")
	require.NoError(t, err)
	require.Len(t, examples.Names(), len(found))
	for _, name := range examples.Names() {
		text, ok := examples.Program(name)
		require.True(t, ok)
		held, err := os.ReadFile(name + ".wend")
		require.NoError(t, err)
		require.Equal(t, string(held), text)
		for path := range examples.Beside(name) {
			require.Contains(t, text, path, "what lies beside an example is named in it")
		}
		for line := range strings.Lines(text) {
			for _, word := range []string{`use "`, `drawing("`, `data("`} {
				if _, rest, ok := strings.Cut(line, word); ok {
					path, _, _ := strings.Cut(rest, `"`)
					require.Contains(t, examples.Beside(name), path)
				}
			}
		}
	}
	_, ok := examples.Program("garden/flowers")
	require.False(t, ok)
}
