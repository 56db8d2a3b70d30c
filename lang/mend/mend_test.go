package mend

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
	"wend/stdlib"
)

// Rules look at a line many times, so one that nobody typed is left alone: a
// hundred thousand brackets would take minutes.
func TestALineThatNobodyTypedIsLeftAlone(t *testing.T) {
	file := source.New("deep.wend", "note "+strings.Repeat("(", 100_000)+"1"+strings.Repeat(")", 100_000)+"\n")
	list := diag.List{diag.New("nested-too-deep", source.Span{File: file, Start: 300, End: 301}, nil)}
	improved := Improve(file, list, Options{Library: &types.Library{}, Members: func(string) []string { return nil }, Try: func(string) diag.List {
		t.Error("an edit was tried")
		return nil
	}})
	require.Equal(t, list, improved)
}

// options are the library's, with what is said of a text.
func options(try func(string) diag.List) Options {
	return Options{Library: stdlib.Library(), Members: stdlib.Members, Parameters: stdlib.Parameters, Try: try}
}

// A program that is right is in wend's own manner, so nothing of it is put into
// other words.
func TestAProgramThatIsRightIsNotPutIntoOtherWords(t *testing.T) {
	names, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	programs := map[string]string{}
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		programs[name] = string(text)
	}
	programs["calls laid out over several lines"] = "fn picket(x) = polyline(\n  [(x, 2), (x + 12, 2), (x + 6, 73)]\n)\nfollow weave(\n  [picket(10), picket(30)]\n)\n"
	programs["a function with a body within a call"] = "fn row(k) {\n  return (0..9).map(fn(i) {\n    return (i, k)\n  })\n}\nfollow polyline(row(3))\n"
	for _, b := range stdlib.Library().Builtins {
		if b.Example != "" {
			programs["the example of "+b.Name] = strings.TrimSuffix(b.Example, "\n") + "\n"
		}
	}
	for name, text := range programs {
		opts := options(nil)
		m := &mender{Options: opts, heads: headsOf(text, opts)}
		require.Equal(t, text, m.paraphrased(text), name)
	}
}

// saying is a Try that finds fault with certain words, line by line.
func saying(code diag.Code, args diag.Args, faulty ...string) (func(string) diag.List, func(string) (*source.File, diag.List)) {
	read := func(text string) (*source.File, diag.List) {
		file := source.New("tried.wend", text)
		var list diag.List
		at := 0
		for line := range strings.Lines(text) {
			for _, word := range faulty {
				if i := strings.Index(line, word); i >= 0 {
					list = append(list, diag.New(code, source.Span{File: file, Start: at + i, End: at + i + len(word)}, args))
					break
				}
			}
			at += len(line)
		}
		return file, list
	}
	return func(text string) diag.List { _, list := read(text); return list }, read
}

func TestAnEverydayWordIsOfferedWithThePersonsOwnNumber(t *testing.T) {
	try, read := saying("unknown-word", diag.Args{"name": "forward"}, "forward")
	file, list := read("begin page.center\nforward 35\n")
	list = Improve(file, list, options(try))
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("everyday-word"), list[0].Code)
	require.Equal(t, "begin page.center\nahead 35\n", applied(file, list))
	require.True(t, list[0].Edits[0].Certain)
}

// An edit that leads on to another error is not offered.
func TestAnEditThatDoesNotHelpIsNotOffered(t *testing.T) {
	try, read := saying("unknown-word", diag.Args{"name": "forward"}, "forward", "ahead")
	file, list := read("begin page.center\nforward 35\n")
	list = Improve(file, list, options(try))
	require.Len(t, list, 1)
	require.Empty(t, list[0].Edits)
}

// Several faults, each with an edit of its own place; what only follows from
// another one is not told of.
func TestThePartsOfAWayAreSharedOutAmongTheMessages(t *testing.T) {
	try, read := saying("foreign-word", diag.Args{"word": "for", "now": "loop"}, "for ", "print", "const ")
	file, list := read("const side = 20\nahead 5\nfor i in range(4):\n    ahead side\n    print(\"side\", i)\n")
	list = Improve(file, list, options(try))
	require.Equal(t, "let side = 20\nahead 5\nloop i in 0..3 {\n    ahead side\n    note \"side {i}\"\n}\n", applied(file, list))
	for _, d := range list {
		require.NotEmpty(t, d.Edits)
		require.LessOrEqual(t, d.Edits[0].Span.Start, d.Span.End)
	}
}

func TestLinesAreSetAgainstLinesThatAreLikeThem(t *testing.T) {
	before := "ahead xs[0]\nturn 90\nahead xs[1]\n"
	after := "ahead xs[1]\nturn 90\nahead xs[2]\n"
	require.Equal(t, []hunk{{0, 12, "ahead xs[1]\n"}, {20, 32, "ahead xs[2]\n"}}, hunksBetween(before, after))
	require.Equal(t, after, patched(before, hunksBetween(before, after)))
	require.Empty(t, hunksBetween(before, before))
}

// Whatever the texts, their parts lead from one to the other.
func TestPartsLeadFromOneTextToTheOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfN(rapid.SampledFrom([]string{"a\n", "b c\n", "b d\n", "}\n", "\n"}), 0, 12)
		before, after := strings.Join(lines.Draw(t, "before"), ""), strings.Join(lines.Draw(t, "after"), "")
		require.Equal(t, after, patched(before, hunksBetween(before, after)))
	})
}

// A sentence names what is meant, and its number may stand anywhere.
func TestASentenceIsRead(t *testing.T) {
	for said, want := range map[string]string{
		"draw a square 20 big":        "loop 4 { ahead 20; turn 90 }",
		"turn 45 to the right":        "turn -45",
		"go forward 3 cm":             "ahead 3cm",
		"draw a big circle at (3, 4)": "draw curves.circle(20) at (3, 4)",
	} {
		file := source.New("said.wend", said)
		m := &mender{Options: options(nil), heads: headsOf(said, options(nil))}
		l := m.line(state{text: said, fault: diag.New("side-by-side", source.Span{File: file, Start: 5, End: 6}, nil)})
		out := sentence(l)
		require.NotEmpty(t, out, said)
		require.Equal(t, want, out[0].text, said)
	}
}

// A short text is tried no more often than a long one could be: however many rules come
// to its lines, the tries are bounded.
func TestTheTriesOfAShortTextAreBounded(t *testing.T) {
	tries := 0
	never, read := saying("side-by-side", nil, "loop", "draw", "let", "note", "reach", "for", "go")
	text := strings.Repeat("loop i(in 1..5 {\nfor , s in a(1) 6)]\ngo forwardd 3 4 5 x 6\nlet p = curves.rose(5 30) at (3 4\n", 8)
	file, list := read(text)
	Improve(file, list, options(func(text string) diag.List { tries++; return never(text) }))
	require.Positive(t, tries)
	require.LessOrEqual(t, tries, maxBytes/(8<<10)+1)
}
