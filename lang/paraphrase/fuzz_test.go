package paraphrase

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever is typed, reading it comes to an end, and trips over nothing.
func FuzzText(f *testing.F) {
	for _, program := range []string{
		"for i in range(4):\n  ahead 20\n", "(define (f x) (* x 2))\n(f 3)", "let f = x => y => { return x ? y : { a: 1 } }",
		"do\n ahead 1\nloop until x = 3", "switch n {\ncase 1: ahead 2\n", "xs.each { |x| ahead x }", "if a then b else c end",
	} {
		f.Add(program)
	}
	known := []string{"ahead", "turn", "note", "draw", "let", "fn", "figure", "loop", "if", "return", "map", "sqrt"}
	is := func(w string) bool { return slices.Contains(known, w) }
	f.Fuzz(func(t *testing.T, program string) {
		if len(program) > 2000 {
			return
		}
		out := read(program, Vocabulary{Head: is, Function: is, Theme: is, Takes: func(string) int { return 1 }})
		require.True(t, strings.HasSuffix(out, "\n"))
	})
}
