package assist_test

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/source"
)

func TestHoverShowsThePageAndWhatAValueIs(t *testing.T) {
	for text, want := range map[string]string{
		"ar|c 20, 90":                  "arc radius, angle",
		"lo|op 4 { }":                  "loop N { … }",
		"let side = 20mm\nahead si|de": "variable: a number, in mm",
		"# Half of it.\nfn half(x) = x / 2\nnote ha|lf(3)": "Half of it.",
		"fn half(x) = x / 2\nnote ha|lf(3)":                "function: a number",
		"figure kite(si|ze) { ahead size }\nkite 4":        "parameter: a number",
		"ahead page.wi|dth":                                "measure: a number",
		"let t = {tall: 3}\nahead t.ta|ll":                 "field: a number",
		"draw curves.ro|se(3, 4)":                          "curves.rose(k, radius)",
		"draw cur|ves.rose(3, 4)":                          "curves",
		"use \"flowers.wend\" as f\nf.ro|se 3":             "A rose of n petals.",
		"draw text(\"A\", hei|ght: 3)":                     "height: VALUE",
		"ahead 3 # ar|c":                                   "",
		"ahead 1|2":                                        "",
		"|":                                                "",
	} {
		d, place := at(t, text)
		h := d.Hover(place)
		if want == "" {
			assert.Nil(t, h, text)
			continue
		}
		if assert.NotNil(t, h, text) {
			assert.Contains(t, h.Text(), want, text)
		}
	}
}

func TestNamesLeadToTheirDefinition(t *testing.T) {
	for text, want := range map[string]string{
		"let side = 2\nahead si|de":                            "main.wend:1",
		"kite 3\nfigure kite(a) { }\nki|te 4":                  "main.wend:2",
		"figure kite(a) {\n  ahead |a\n}":                      "main.wend:1",
		"figure kite(a) { }\nkite a|: 3":                       "main.wend:1",
		"use \"flowers.wend\" as f\nf.ro|se 3":                 "flowers.wend:2",
		"use \"flowers.wend\" as f\nahead f.ta|ll":             "flowers.wend:4",
		"use \"flowers.wend\" as f\n|f.rose 3":                 "flowers.wend:1",
		"loop i, p in [1] {\n  ahead i| + p\n}":                "main.wend:1",
		"let x = 1\nif true { let y = 2\n ahead |y }\nahead x": "main.wend:2",
		"ah|ead 3":          "",
		"ahead page.wid|th": "",
	} {
		d, place := at(t, text)
		span, ok := d.Definition(place)
		got := ""
		if ok {
			got = span.File.Name + ":" + strconv.Itoa(span.From().Line)
		}
		assert.Equal(t, want, got, text)
	}
	d, place := at(t, "let side = 2\nahead side\nfigure f(side) { ahead side }\nahead si|de")
	require.Len(t, d.References(place), 3)
	d, place = at(t, "use \"flowers.wend\" as f\nf.ro|se 3\nf.rose 4")
	require.Len(t, d.References(place), 3)
	d, place = at(t, "ahea|d 3\nahead 4")
	require.Len(t, d.References(place), 2)
}

// applied is a text after edits of it.
func applied(file *source.File, edits []assist.Edit) string {
	edits = slices.Clone(edits)
	slices.SortFunc(edits, func(a, b assist.Edit) int { return b.Span.Start - a.Span.Start })
	text := file.Text
	for _, e := range edits {
		if e.Span.File == file {
			text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
		}
	}
	return text
}

func TestRenamingKeepsWhatIsMeant(t *testing.T) {
	for text, want := range map[string]string{
		"let sid|e = 2\nahead side":                       "let w = 2\nahead w",
		"figure kite(si|ze) { ahead size }\nkite size: 3": "figure kite(w) { ahead w }\nkite w: 3",
		"figure k|ite(a) { kite 3 }\nlet p = kite(2)":     "figure w(a) { w 3 }\nlet p = w(2)",
		"fn do|uble(x) = 2 * x\nnote 3.double()":          "fn w(x) = 2 * x\nnote 3.w()",
		"let x| = 1\nx += 2\nnote \"{x}\"":                "let w = 1\nw += 2\nnote \"{w}\"",
		"use \"flowers.wend\" as f|\nf.rose 3":            "use \"flowers.wend\" as w\nw.rose 3",
		"use \"flowers.wend\" as f\nf.ro|se 3":            "use \"flowers.wend\" as f\nf.w 3",
		"loop i| in 1..3 { ahead i }":                     "loop w in 1..3 { ahead w }",
		"draw curve t| in 0..9 = (t, t)":                  "draw curve w in 0..9 = (w, w)",
		"let side| = 2\nfigure f(side) { ahead side }":    "let w = 2\nfigure f(side) { ahead side }",
		// refused
		"let side| = 2\nlet w = 3":                      "!`w` ",
		"let side| = 2\nfigure f(w) { ahead w + side }": "!`w` ",
		"ah|ead 3":                "!a word of the library",
		"ahead page.wi|dth":       "!a field or a measure",
		"draw curves.ro|se(3, 4)": "!a word of the library",
		"ahead 3 |":               "!no name here",
		"fn f(a|, w) = a + w":     "!`w` ",
		"ahead unkn|own":          "!not known",
	} {
		d, place := at(t, text)
		edits, err := d.Rename(place, "w")
		if reason, refused := strings.CutPrefix(want, "!"); refused {
			if assert.Error(t, err, text) {
				assert.Contains(t, err.Error(), reason, text)
			}
			continue
		}
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, applied(d.Tree.Source, edits), text)
		}
	}
	for to, reason := range map[string]string{"loop": "word of the language", "2x": "no name", "": "no name", "a b": "no name", "ahead": "is used"} {
		d, place := at(t, "let sid|e = 2\nahead side")
		_, err := d.Rename(place, to)
		require.ErrorContains(t, err, reason)
	}
	// A word of the library that stands before the `let` in its block.
	d, place := at(t, "let columns = floor(9 / 2)\nlet ba|ll = min(columns, 12)")
	_, err := d.Rename(place, "floor")
	require.ErrorContains(t, err, "is used in line 1")
	d, place = at(t, "let ba|ll = min(3, 12)")
	_, err = d.Rename(place, "min")
	require.ErrorContains(t, err, "is used in line 1")
	d, place = at(t, "let columns = floor(9 / 2)\nloop 2 { let ba|ll = min(columns, 12) }")
	_, err = d.Rename(place, "floor")
	require.NoError(t, err)
	d, place = at(t, "use \"flowers.wend\" as f\nf.ro|se 3")
	edits, err := d.Rename(place, "bloom")
	require.NoError(t, err)
	require.Len(t, edits, 2)
	_, err = d.Rename(place, "twice")
	require.ErrorContains(t, err, "`twice` ")
}

// shapeOf is what a program says of its names: for each mention in order, the
// order of the definition that it leads to.
func shapeOf(d *assist.Document) []int {
	var all []int
	for _, token := range d.Scan() {
		if span, ok := d.Definition(token.Span.Start); ok && token.Span.Start < token.Span.End {
			order := slices.IndexFunc(d.Scan(), func(o ast.Token) bool { return o.Span == span })
			all = append(all, order)
		} else {
			all = append(all, -2)
		}
	}
	return all
}

// Any name of the examples is renamed to any other name that stands in them: it is
// refused, or every name leads to the same definition as before, and there is
// nothing new to say about the program.
func TestARenamedProgramMeansTheSame(t *testing.T) {
	examples, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	texts := []string{
		"let a = 1\nfigure f(b) { let c = b; loop d in 1..c { ahead d + a } }\nfn g(x, a = 2) = x + a\nf 3\nahead g(a, a: 4)\nlet e = fn(b) = b + a\nahead e(2)\nloop a2, b in [1, 2] { ahead a2 + b }\ndraw curve t in 0..9 = (t, a)\nahead max(a, 3).min(4)\n",
	}
	for _, name := range examples {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		if len(data) < 1500 {
			texts = append(texts, string(data))
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "text")
		d, before := read(text, nil)
		var names []string
		for _, token := range d.Scan() {
			if token.Kind == ast.NameToken {
				names = append(names, token.Span.Text())
			}
		}
		token := rapid.SampledFrom(d.Scan()).Draw(t, "token")
		to := rapid.SampledFrom(append(names, "fresh", "abs", "turn")).Draw(t, "to")
		edits, err := d.Rename(token.Span.Start, to)
		if err != nil || edits == nil {
			return
		}
		after, list := read(applied(d.Tree.Source, edits), nil)
		if len(before) == 0 && len(list) > 0 {
			t.Fatalf("renaming %q to %q brings %s in\n%s", token.Span.Text(), to, list[0].Message, after.Tree.Source.Text)
		}
		if !slices.Equal(shapeOf(d), shapeOf(after)) {
			t.Fatalf("renaming %q to %q changes what is meant in\n%s", token.Span.Text(), to, after.Tree.Source.Text)
		}
	})
}

func TestEachWordHasItsMeaning(t *testing.T) {
	letters := "k0t#ofFvpmd"
	for text, want := range map[string]string{
		"loop 4 { ahead 20mm } # go":             "loop:k 4:0 ahead:f* 20mm:0 # go:#",
		"figure kite(a) { ahead a }\nkite 3":     "figure:k kite:F! a:p! ahead:f* a:p kite:F 3:0",
		"let r = {tall: 1}\nnote \"{r.tall}\"":   "let:k r:v! =:o tall:d! 1:0 note:f* \":t r:v tall:d \":t",
		"draw curves.rose(3, radius: 4) at here": "draw:k curves:m* rose:f 3:0 radius:p 4:0 at:k here:v*",
		"draw text(\"A\", height: 3)":            "draw:k text:f* \":t A:t \":t height:p* 3:0",
	} {
		d, _ := read(text, nil)
		var shown []string
		for _, c := range d.Meanings() {
			mark := c.Span.Text() + ":" + letters[c.Meaning:c.Meaning+1]
			if c.Library {
				mark += "*"
			}
			if c.Defined {
				mark += "!"
			}
			shown = append(shown, mark)
		}
		assert.Equal(t, want, strings.Join(shown, " "), text)
	}
}

func TestBlocksAndCommentsFold(t *testing.T) {
	d, _ := read("# one\n# two\nloop 2 {\n  ahead 1\n}\nlet x = [\n  1\n]\nahead 1 # three\n# four\n", nil)
	require.Equal(t, []assist.Fold{{From: 1, To: 2, Comment: true}, {From: 3, To: 5}, {From: 6, To: 8}}, d.Folds())
}

func TestASelectionGrowsFromTheNameToTheProgram(t *testing.T) {
	d, place := at(t, "loop 2 { ahead 1 + si|de }\nturn 3")
	var grown []string
	for _, s := range d.Selections(place) {
		grown = append(grown, s.Text())
	}
	require.Equal(t, []string{"side", "1 + side", "ahead 1 + side", "{ ahead 1 + side }", "loop 2 { ahead 1 + side }", "loop 2 { ahead 1 + side }\nturn 3"}, grown)
}
