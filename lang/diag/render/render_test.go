package render_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/lang/source"
)

// at makes a diagnostic about the first place where part stands in text.
func at(name, text, part string) diag.Diagnostic {
	start := strings.Index(text, part)
	return diag.Diagnostic{
		Code: "some-code", Message: "what was found", Hint: "what to do",
		Span: source.Span{File: source.New(name, text), Start: start, End: start + len(part)},
	}
}

func shown(t *testing.T, style render.Style, list ...diag.Diagnostic) string {
	t.Helper()
	var out strings.Builder
	require.NoError(t, render.Text(&out, list, style))
	return out.String()
}

func TestCaretsStandUnderWhatIsMeant(t *testing.T) {
	for _, c := range []struct{ name, text, part, place, marks string }{
		{"plain letters", "let a = b\nturn wrong", "wrong", "f:2:6", "    2 | turn wrong\n      |      ^^^^^\n"},
		{"a tab before it", "\tturn wrong", "wrong", "f:1:7", "    1 | \tturn wrong\n      | \t     ^^^^^\n"},
		{"a letter with a combining accent", "note \"e\u0301\", wrong", "wrong", "f:1:11", "|           ^^^^^\n"},
		{"wide letters before it", "note \"山川\", wrong", "wrong", "f:1:12", "|              ^^^^^\n"},
		{"wide letters marked", "note 山川", "山川", "f:1:6", "|      ^^^^\n"},
		{"CR LF ends", "turn 5\r\nturn wrong\r\n", "wrong", "f:2:6", "    2 | turn wrong\n      |      ^^^^^\n"},
		{"a place of no width", "turn ", "", "f:1:1", "| ^\n"},
		{"a span over several lines", "loop 2 {\n turn 5\n}", "{\n turn 5\n}", "f:1:8", "    1 | loop 2 {\n      |        ^\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out := shown(t, render.Style{}, at("f", c.text, c.part))
			require.Contains(t, out, c.place+": what was found\n")
			require.Contains(t, out, c.marks)
			require.Contains(t, out, "    hint: what to do\n    more: wend explain some-code\n")
		})
	}
}

func TestALongLineIsCutToWhatStandsAroundTheMark(t *testing.T) {
	text := strings.Repeat("ahead 5; ", 100_000) + "wrong" + strings.Repeat("; turn 5", 100_000)
	out := shown(t, render.Style{Width: 80}, at("f", text, "wrong"))
	for _, line := range strings.Split(out, "\n") {
		require.LessOrEqual(t, len([]rune(line)), 80)
	}
	require.Contains(t, out, "wrong; turn")
	require.Contains(t, out, "ahead 5; wrong")
}

func TestTextsBreakAtTheEndsOfWordsOnATerminal(t *testing.T) {
	d := at("f", "turn wrong", "wrong")
	d.Message = "what was found, told in quite a number of words"
	d.Hint = "what to do, with `a command --of several --words` in the middle of it, and 山川 山川 too"
	d = d.WithRelated(d.Span, "a second place that has to do with it")
	require.Equal(t, `f:1:6: what was found, told in quite a
    number of words
    1 | turn wrong
      |      ^^^^^
    see f:1:6: a second place that has
        to do with it
    1 | turn wrong
      |      -----
    hint: what to do, with `+"`a command"+`
          --of several --words`+"`"+` in the
          middle of it, and 山川 山川
          too
    more: wend explain some-code
`, shown(t, render.Style{Width: 38}, d))
	for _, width := range []int{0, 10} { // no terminal, or one that no word fits
		out := shown(t, render.Style{Width: width}, d)
		require.Contains(t, out, "f:1:6: "+d.Message+"\n")
		require.Contains(t, out, "    hint: "+d.Hint+"\n")
	}
	require.Contains(t, shown(t, render.Style{Width: 38, Color: true}, d), "f:1:6: \x1b[1mwhat was found, told in quite a\n    number of words\x1b[0m\n")
	require.Contains(t, shown(t, render.Style{Width: 38, Plain: true}, d), "f, line 1, column 6: what was found,\n    told in quite a number of words\n")
}

func TestOutputHasEscapesOnlyWhenColourIsAskedFor(t *testing.T) {
	d := at("f", "turn wrong", "wrong")
	require.NotContains(t, shown(t, render.Style{}, d), "\x1b")
	require.Contains(t, shown(t, render.Style{Color: true}, d), "\x1b[")
}

// What stands in a file of someone else's must not reach the terminal as orders
// to it.
func TestCharactersThatSteerATerminalAreShownAsEscapes(t *testing.T) {
	text := "note \"a\x1b[31m\a\u202e\u009b\x7f\", wrong"
	d := at("f\x1b[2J", text, "wrong")
	d.Message, d.Hint = "what \x1b was", "what \b to do"
	d = d.WithRelated(d.Span, "a \r thing")
	for _, plain := range []bool{false, true} {
		out := shown(t, render.Style{Plain: plain}, d)
		require.NotRegexp(t, `[\x00-\x08\x0b-\x1f\x7f\x{80}-\x{9f}\x{202e}]`, out)
		require.Contains(t, out, `note "a\x1b[31m\x07\u202e\u009b\x7f", wrong`)
		require.Contains(t, out, `f\x1b[2J`)
		require.Contains(t, out, `what \x1b was`)
	}
	require.Contains(t, shown(t, render.Style{}, d), "|                                       ^^^^^\n")
}

func TestALetterUnderAHeapOfAccentsTakesLittleRoom(t *testing.T) {
	for _, plain := range []bool{false, true} {
		out := shown(t, render.Style{Plain: plain}, at("f", "let a"+strings.Repeat("\u0301", 100_000)+" = wrong", "wrong"))
		require.Less(t, len(out), 300)
	}
}

func TestPlainStyleSaysPlacesInWordsAndDrawsNothing(t *testing.T) {
	out := shown(t, render.Style{Plain: true}, at("card.wend", "turn 1\nturn wrong", "wrong"))
	require.Equal(t, "card.wend, line 2, column 6: what was found\n"+
		"    line: turn wrong\n    here: wrong\n    hint: what to do\n    more: wend explain some-code\n", out)
}

func TestManyDiagnosticsAreFoldedInTextAndAllInJSON(t *testing.T) {
	var list diag.List
	for range 25 {
		list = append(list, at("f", "turn wrong", "wrong"))
	}
	require.True(t, strings.HasSuffix(shown(t, render.Style{}, list...), "and 5 more\n"))
	require.Len(t, render.JSON(list), 25)
}

func TestALongTrailKeepsItsEnds(t *testing.T) {
	d := at("f", "turn wrong", "wrong")
	for i := range 100 {
		d.Trail = append(d.Trail, diag.Frame{Text: fmt.Sprintf("step %d", i)})
	}
	out := shown(t, render.Style{}, d)
	require.Contains(t, out, "step 4, … 90 more steps …, step 95, ")
}

func TestJSONCarriesEveryFieldTheTextShows(t *testing.T) {
	text := "let é = 1\nturn wrong"
	d := at("f.wend", text, "wrong")
	d = d.WithRelated(source.Span{File: d.Span.File, Start: 0, End: 3}, "first seen here").
		WithEdit(d.Span, "right", true)
	d.Trail = []diag.Frame{{Span: d.Span, Text: "in petal"}}
	encoded, err := json.Marshal(render.JSON(diag.List{d}))
	require.NoError(t, err)
	require.JSONEq(t, `[{"code":"some-code","severity":"error","message":"what was found","hint":"what to do","file":"f.wend",
		"start":{"line":2,"column":6,"offset":16},"end":{"line":2,"column":11,"offset":21},
		"related":[{"text":"first seen here","file":"f.wend","start":{"line":1,"column":1,"offset":0},"end":{"line":1,"column":4,"offset":3}}],
		"edits":[{"file":"f.wend","start":{"line":2,"column":6,"offset":16},"end":{"line":2,"column":11,"offset":21},"text":"right","certain":true}],
		"trail":[{"text":"in petal","file":"f.wend","start":{"line":2,"column":6,"offset":16},"end":{"line":2,"column":11,"offset":21}}]}]`, string(encoded))
}

func TestJSONNamesTheFileWhereNoTextOfItIsMeant(t *testing.T) {
	missing := &diag.Fault{Code: "file-missing", Args: diag.Args{"name": "moss.wend"}, File: "moss.wend"}
	encoded := render.JSON(diag.List{missing.At(source.Span{})})
	require.Equal(t, "moss.wend", encoded[0].File)
	require.Zero(t, encoded[0].Start)

	// Where a program names it, that place is meant.
	used := at("f.wend", "use \"moss.wend\" as moss", "moss.wend")
	encoded = render.JSON(diag.List{missing.At(used.Span)})
	require.Equal(t, "f.wend", encoded[0].File)
	require.Equal(t, 1, encoded[0].Start.Line)
}
