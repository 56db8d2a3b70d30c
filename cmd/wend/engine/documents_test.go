package engine_test

import (
	"context"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/machine"
)

var block = regexp.MustCompile("(?s)```(wend|toml)\n(.*?)```")

// What the documents show, runs.
func TestEveryProgramInTheDocumentsRuns(t *testing.T) {
	for _, name := range []string{"README.md", "lang/REFERENCE.md"} {
		text, err := os.ReadFile("../../../" + name)
		require.NoError(t, err)
		blocks := block.FindAllStringSubmatchIndex(string(text), -1)
		require.NotEmpty(t, blocks)
		for _, at := range blocks {
			line := 1 + strings.Count(string(text[:at[0]]), "\n")
			kind, program := string(text[at[2]:at[3]]), string(text[at[4]:at[5]])
			t.Run(fmt.Sprintf("%s line %d", strings.ReplaceAll(name, "/", " "), line), func(t *testing.T) {
				if kind == "toml" {
					_, list := machine.Read(source.New(name, program))
					require.Empty(t, list)
					return
				}
				loaded, list := engine.Load(source.New(name, program), engine.Settings{Profile: machine.DeskToy(), Read: flowers})
				require.NotNil(t, loaded, "%v", list)
				_, more := loaded.Draw(context.Background())
				require.Empty(t, append(list, more...))
			})
		}
	}
}

// Every page of the catalogue whose good example is a program shows it laid
// out so that the formatter agrees with how it reads: same tree, no change of
// meaning.
func TestGoodExamplesSurviveTheFormatter(t *testing.T) {
	for _, p := range diag.Pages() {
		if p.Subject != diag.Program {
			continue
		}
		tree, list := parse.File(source.New("example", p.Good))
		require.Empty(t, list, p.Code)
		laid := format.Source(tree)
		again, list := parse.File(source.New("example", laid))
		require.Empty(t, list, "%s: %s", p.Code, laid)
		require.Equal(t, laid, format.Source(again), p.Code)
	}
}
