package parse_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

// describe writes a diagnostic with the text it is about marked by « ».
func describe(src *source.File, d diag.Diagnostic) string {
	var b strings.Builder
	at := d.Span.From()
	fmt.Fprintf(&b, "  %d:%d %s: %s\n", at.Line, at.Column, d.Code, d.Message)
	fmt.Fprintf(&b, "    | %s\n", strings.ReplaceAll(src.Text[src.LineStart(at.Line):d.Span.Start]+"«"+d.Span.Text()+"»"+
		strings.TrimRight(src.Text[d.Span.End:lineEnd(src.Text, d.Span.End)], "\r\n"), "\n", "⏎"))
	if d.Hint != "" {
		fmt.Fprintf(&b, "    hint: %s\n", d.Hint)
	}
	for _, r := range d.Related {
		fmt.Fprintf(&b, "    %d:%d %s\n", r.Span.From().Line, r.Span.From().Column, r.Text)
	}
	for _, e := range d.Edits {
		sure := "maybe"
		if e.Certain {
			sure = "certain"
		}
		fmt.Fprintf(&b, "    %s: %q → %q\n", sure, e.Span.Text(), e.Text)
	}
	return b.String()
}

func lineEnd(text string, from int) int {
	if i := strings.IndexByte(text[from:], '\n'); i >= 0 {
		return from + i
	}
	return len(text)
}

// snippets are the faulty texts of testdata/faults.
func snippets(t testing.TB, name string) []string {
	text, err := os.ReadFile(filepath.Join("testdata", "faults", name))
	require.NoError(t, err)
	return strings.Split(strings.TrimSuffix(string(text), "\n"), "\n---\n")
}

func TestFaultsAreExplained(t *testing.T) {
	for _, name := range []string{"habits.input"} {
		var b strings.Builder
		for _, text := range snippets(t, name) {
			src := source.New(name, text)
			file, list := parse.File(src)
			requireWellFormed(t, file)
			b.WriteString(text + "\n")
			for _, d := range list {
				requirePlaced(t, src, d)
				require.NotContains(t, d.Message+d.Hint, "{found}")
				b.WriteString(describe(src, d))
			}
			b.WriteString("---\n")
		}
		golden := filepath.Join("testdata", "faults", strings.TrimSuffix(name, ".input")+".golden")
		if *update {
			require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		wanted, got := strings.Split(string(want), "---\n"), strings.Split(b.String(), "---\n")
		require.Len(t, got, len(wanted))
		for i := range got {
			require.Equal(t, wanted[i], got[i])
		}
	}
}

// A certain edit may be applied without asking, so it has to be right: the
// fault is gone after it, and none came in its place.
func TestCertainEditsMendAndAddNothing(t *testing.T) {
	texts := snippets(t, "habits.input")
	for _, code := range syntaxCodes {
		page, _ := diag.Lookup(code)
		if len(page.Bad) < 1000 {
			texts = append(texts, page.Bad)
		}
	}
	tried := 0
	for _, text := range texts {
		_, list := parse.File(source.New("faulty", text))
		for _, d := range list {
			for _, e := range d.Edits {
				if !e.Certain {
					continue
				}
				tried++
				mended := text[:e.Span.Start] + e.Text + text[e.Span.End:]
				_, after := parse.File(source.New("mended", mended))
				// Only one fault a line is told, so a second one may come to light.
				require.LessOrEqual(t, len(after), len(list), "%s\n---\n%s\n%v", text, mended, after)
				for _, a := range after {
					require.NotEqual(t, d.Message, a.Message, "%s\n---\n%s", text, mended)
				}
				if strings.Count(text, "\n") <= 1 {
					require.Empty(t, after, "%s\n---\n%s", text, mended)
				}
			}
		}
	}
	require.Greater(t, tried, 40)
}
