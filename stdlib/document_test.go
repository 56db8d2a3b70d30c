package stdlib_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/vocabulary"
	"wend/stdlib"
)

var update = flag.Bool("update", false, "rewrite REFERENCE.md")

// document is the reference as a page to read.
func document() string {
	var out strings.Builder
	out.WriteString("# The library\n\nMade from the definitions (`go test ./stdlib -update`); `wend explain WORD` shows each with its picture. The language itself: [lang/REFERENCE.md](../lang/REFERENCE.md).\n")
	out.WriteString("\nArguments may be given by name: `text(\"A\", height: 9)`. Those that end in a colon here may be left out. `x.f(a)` is `f(x, a)`.\n")
	entry := func(name string, forms []string, doc, example, picture string) {
		fmt.Fprintf(&out, "\n### `%s`\n\n", name)
		for _, form := range forms {
			fmt.Fprintf(&out, "- `%s`\n", form)
		}
		if len(forms) > 0 {
			out.WriteString("\n")
		}
		fmt.Fprintf(&out, "%s\n", doc)
		if example != "" {
			fmt.Fprintf(&out, "\n```\n%s```\n", example)
			if exists(picture) {
				fmt.Fprintf(&out, "\n![What the example of %s draws](%s)\n", name, picture)
			}
		}
	}
	for _, theme := range stdlib.Vocabulary().Themes() {
		fmt.Fprintf(&out, "\n## %s\n\n%s\n", theme.Title, theme.Intro)
		for _, w := range theme.Words {
			picture := ""
			if w.Sort < vocabulary.Kind {
				picture = "pictures/words/" + w.Name + ".png"
			}
			entry(w.Name, w.Forms, w.Doc, w.Example, picture)
		}
	}
	return out.String()
}

func TestTheReferenceSaysWhatTheDefinitionsSay(t *testing.T) {
	if *update {
		require.NoError(t, os.WriteFile("REFERENCE.md", []byte(document()), 0o644))
	}
	written, err := os.ReadFile("REFERENCE.md")
	require.NoError(t, err)
	require.Equal(t, document(), string(written))
}

// exists reports whether there is a picture of a word: those whose example draws
// have one, which cmd/wend makes and holds against what it draws.
func exists(name string) bool {
	_, err := os.Stat(name)
	return err == nil
}
