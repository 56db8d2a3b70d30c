package assist_test

import (
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"wend/lang/assist"
)

// ask asks everything there is to ask at a place, and holds what any answer must
// keep to.
func ask(t *testing.T, d *assist.Document, at int) {
	size := len(d.Tree.Source.Text)
	c := d.Complete(at)
	require.True(t, 0 <= c.Span.Start && c.Span.Start <= c.Span.End && c.Span.End <= size)
	for _, item := range c.Items {
		require.NotEmpty(t, item.Insert)
	}
	if s := d.Signature(at); s != nil {
		require.Less(t, s.Active, len(s.Forms))
		for _, f := range s.Forms {
			require.Less(t, f.Active, len(f.Params))
			for _, p := range f.Params {
				require.LessOrEqual(t, p.End, len(f.Label))
			}
		}
	}
}

// askShape asks what there is to ask about the whole text, and what changes it.
func askShape(t *testing.T, d *assist.Document, at int) {
	d.Hover(at)
	d.Definition(at)
	d.References(at)
	d.Rename(at, "fresh") //nolint:errcheck // it may well be refused
	d.Outline()
	last := 0
	for _, c := range d.Meanings() {
		require.LessOrEqual(t, last, c.Span.Start)
		last = c.Span.End
	}
	for _, f := range d.Folds() {
		require.Less(t, f.From, f.To)
	}
	inner := d.Selections(at)
	for i := 1; i < len(inner); i++ {
		require.True(t, inner[i].Start <= inner[i-1].Start && inner[i-1].End <= inner[i].End)
	}
}

func seeds(f *testing.F) {
	for _, text := range []string{
		"", "arc 20, ", "draw p.", "loop 3 { ahead ", "note \"a {x.", "let r = {a: 1}\nr.", "figure f(a, b = ", "use \"flowers.wend\" as f\nf.",
		"xs[", "} ) ]", "draw curve t in 0..360 = (t, ", "if a == ", "x.y.z(", "fn f(x) = ", ".", "..", "a.b c.d", "# ", "\"", "{1}{1}",
	} {
		f.Add(text, len(text))
	}
	examples, _ := filepath.Glob("../../examples/*.wend")
	for i, name := range examples {
		if text, err := os.ReadFile(name); err == nil {
			f.Add(string(text), len(text)*(i%7)/7)
		}
	}
}

// FuzzAnswers asks about any text at any place.
func FuzzAnswers(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text string, at int) {
		if len(text) > 4000 || !utf8.ValidString(text) {
			return
		}
		d, _ := read(text, map[string]string{"flowers.wend": flowers})
		ask(t, d, at)
		askShape(t, d, at)
	})
}

// TestEveryPlaceOfABrokenProgramHasAnAnswer cuts programs off anywhere, as they
// are while they are typed, and asks there.
func TestEveryPlaceOfABrokenProgramHasAnAnswer(t *testing.T) {
	examples, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, examples)
	for i, name := range examples {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		text := string(data)
		for at := i % 41; at <= len(text); at += 41 {
			cut, _ := read(text[:at], nil)
			ask(t, cut, at)
			askShape(t, cut, at)
		}
		whole, _ := read(text, nil)
		for at := 0; at <= len(text); at += 7 {
			ask(t, whole, at)
		}
	}
}
