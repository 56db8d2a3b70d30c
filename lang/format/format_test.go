package format_test

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/ast/asttest"
	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// read reads a text that has no faults.
func read(t require.TestingT, text string) *ast.File {
	file, list := parse.File(source.New("test", text))
	require.Empty(t, list, "%s", text)
	return file
}

// tree is what laying out must keep: the nodes without their places, and the
// comments without the spaces behind them.
func tree(f *ast.File) string {
	bare := *f
	bare.Comments = nil
	var b strings.Builder
	b.WriteString(asttest.Dump(&bare, false))
	for _, c := range f.Comments {
		b.WriteString(strings.TrimRight(c.Span.Text(), " \t") + "\n")
	}
	return b.String()
}

// requireSound holds a layout to what each must be, and returns it.
func requireSound(t require.TestingT, text string) string {
	file := read(t, text)
	once := format.Source(file)
	again, list := parse.File(source.New("once", once))
	require.Empty(t, list, "%s\n---\n%s", text, once)
	require.Equal(t, tree(file), tree(again), "%s\n---\n%s", text, once)
	require.Equal(t, once, format.Source(again), "laid out twice:\n%s", text)
	for _, line := range strings.Split(once, "\n") {
		require.Equal(t, strings.TrimRight(line, " \t"), line)
	}
	require.NotContains(t, once, "\n\n\n")
	require.NotContains(t, once, "\r")
	if once != "" {
		require.True(t, strings.HasSuffix(once, "\n") && !strings.HasSuffix(once, "\n\n") && !strings.HasPrefix(once, "\n"))
	}
	return once
}

func corpus(t testing.TB, pattern string) map[string]string {
	files, err := filepath.Glob(pattern)
	require.NoError(t, err)
	require.NotEmpty(t, files)
	texts := map[string]string{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		texts[file] = string(text)
	}
	return texts
}

func TestLayoutMatchesTheGoldenFiles(t *testing.T) {
	for name, text := range corpus(t, "testdata/*.input") {
		t.Run(filepath.Base(name), func(t *testing.T) {
			got := requireSound(t, text)
			golden := strings.TrimSuffix(name, ".input") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), got)
		})
	}
}

// Every program of the repository, and every one on its pages, can be laid out.
func TestLayoutKeepsTheTreeOfEveryProgram(t *testing.T) {
	texts := map[string]string{}
	require.NoError(t, filepath.WalkDir("../..", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() || filepath.Ext(name) != ".wend" && filepath.Ext(name) != ".md" {
			return err
		}
		held, err := os.ReadFile(name)
		texts[name] = string(held)
		return err
	}))
	for _, page := range diag.Pages() {
		texts[string(page.Code)] = page.Good
	}
	sound := 0
	for name, text := range texts {
		programs := []string{text}
		if filepath.Ext(name) == ".md" {
			programs = nil
			for _, block := range strings.Split(text, "```wend\n")[1:] {
				program, _, _ := strings.Cut(block, "```")
				programs = append(programs, program)
			}
		}
		for _, program := range programs {
			if readable(program) {
				sound++
				requireSound(t, program)
			}
		}
	}
	require.Greater(t, sound, 200)
}

func readable(text string) bool {
	_, list := parse.File(source.New("test", text))
	return len(list) == 0
}
