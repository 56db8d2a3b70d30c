package parse_test

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/parse"
	"wend/lang/source"
)

// mutant is a program with one fault in it.
type mutant struct {
	name, text string
	at         int // offset of the fault
	kind       string
}

// mutants deletes each bracket, quote, comma and sign of a program, one at a
// time, and misspells each keyword.
func mutants(name, text string) []mutant {
	var out []mutant
	skip := func(i int) bool { // inside a comment, or a byte order mark
		line := text[strings.LastIndexByte(text[:i], '\n')+1 : i]
		return strings.Contains(line, "#")
	}
	for i := 0; i < len(text); i++ {
		if skip(i) {
			continue
		}
		size, kind := 1, ""
		switch c := text[i]; {
		case strings.IndexByte("()[]{}", c) >= 0:
			kind = "bracket " + string(c)
		case c == '"':
			kind = "quote"
		case c == ',':
			kind = "comma"
		case strings.HasPrefix(text[i:], ".."), strings.HasPrefix(text[i:], "=="), strings.HasPrefix(text[i:], "<="),
			strings.HasPrefix(text[i:], ">="), strings.HasPrefix(text[i:], "!="):
			size, kind = 2, "sign"
		case strings.IndexByte("+-*/^=<>:", c) >= 0:
			kind = "sign"
		default:
			continue
		}
		out = append(out, mutant{name, text[:i] + text[i+size:], i, kind})
		i += size - 1
	}
	for _, word := range []string{"loop", "figure", "let", "draw", "if", "else", "branch", "while", "in", "at", "curve", "path"} {
		for i := 0; i+len(word) < len(text); i++ {
			if skip(i) || !strings.HasPrefix(text[i:], word) || i > 0 && !strings.ContainsRune(" \n({", rune(text[i-1])) ||
				!strings.ContainsRune(" \n{", rune(text[i+len(word)])) {
				continue
			}
			swapped := word[1:2] + word[:1] + word[2:]
			out = append(out, mutant{name, text[:i] + swapped + text[i+len(word):], i, "word " + word})
		}
	}
	return out
}

// The measure of messages: with one fault in a program, the first message is
// on the line of the fault, and there are hardly any others. What is still a
// program with the fault in it, and is for the checker to judge, does not count.
func TestOneFaultGivesOneMessageOnItsLine(t *testing.T) {
	type tally struct{ faulty, onLine, messages int }
	var all tally
	kinds := map[string]tally{}
	texts := programs(t)
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		for _, m := range mutants(name, texts[name]) {
			src := source.New(name, m.text)
			file, list := parse.File(src)
			requireWellFormed(t, file)
			if len(list) == 0 {
				continue
			}
			hit := src.LineOf(list[0].Span.Start) == src.LineOf(m.at)
			for _, k := range []*tally{&all, new(tally)} {
				if k != &all {
					*k = kinds[m.kind]
				}
				k.faulty++
				k.messages += len(list)
				if hit {
					k.onLine++
				}
				if k != &all {
					kinds[m.kind] = *k
				}
			}
			if (!hit || len(list) > 1) && testing.Verbose() {
				t.Logf("%s line %d, %s: %s", name, src.LineOf(m.at), m.kind, strings.TrimSpace(src.Line(src.LineOf(m.at))))
				for _, d := range list {
					t.Logf("    line %d %s: %s", src.LineOf(d.Span.Start), d.Code, d.Message)
				}
			}
		}
	}
	report := func(name string, k tally) string {
		return fmt.Sprintf("%-12s %5d faulty, first on the line %5.1f %%, %.2f messages", name, k.faulty,
			100*float64(k.onLine)/float64(k.faulty), float64(k.messages)/float64(k.faulty))
	}
	for _, kind := range slices.SortedFunc(maps.Keys(kinds), cmp.Compare[string]) {
		t.Log(report(kind, kinds[kind]))
	}
	t.Log(report("all", all))
	require.Greater(t, all.faulty, 450)
	require.GreaterOrEqual(t, float64(all.onLine), 0.95*float64(all.faulty))
	require.LessOrEqual(t, float64(all.messages), 1.1*float64(all.faulty))
}
