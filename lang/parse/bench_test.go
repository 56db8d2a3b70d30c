package parse_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"wend/lang/parse"
	"wend/lang/source"
)

// repeated is a text made of a part over and over, of at least size bytes.
func repeated(part string, size int) string {
	return strings.Repeat(part, size/len(part)+1)
}

func benchmarkFile(b *testing.B, text string) {
	src := source.New("bench", text)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		parse.File(src)
	}
}

func pinwheel(b *testing.B) string {
	text, err := os.ReadFile("testdata/programs/pinwheel.wend")
	if err != nil {
		b.Fatal(err)
	}
	return string(text)
}

func BenchmarkFiftyLines(b *testing.B) {
	text := pinwheel(b)
	benchmarkFile(b, strings.Repeat(text, 50/strings.Count(text, "\n")+1))
}

func BenchmarkMegabyte(b *testing.B) { benchmarkFile(b, repeated(pinwheel(b), 1<<20)) }

// The worst that a text can be in each of several ways, a megabyte of each.
func BenchmarkWorstCases(b *testing.B) {
	for _, c := range []struct{ name, part string }{
		{"open brackets", "("}, {"closing brackets", ")"}, {"open braces", "{\n"}, {"quotes", "\"{"},
		{"faulty lines", "reach 20 30\n"}, {"unclosed calls", "f(1,\n"}, {"unclosed blocks", "loop 3 {\n  a\n"},
		{"minus signs", "-"}, {"pluses", "1+"}, {"calls of calls", "f(1)"}, {"elses", "if a { } else "}, {"inserts", "\"{\"\n"},
		{"missing braces", "loop 3\n  a\n}\n"}, {"fields", "a."}, {"lists", "[1,2],"},
		{"single quotes", "'a'"}, {"comment starts", "/*\n"}, {"compound signs", "x+="}, {"arrows", ")=>"}, {"strays", "$"},
		{"cut statements", "f a\n  b)\n"}, {"statements on a line", "1;"}, {"escapes", "\"\\q\""},
	} {
		b.Run(c.name, func(b *testing.B) { benchmarkFile(b, repeated(c.part, 1<<20)) })
	}
	b.Run("crossed under a block", func(b *testing.B) {
		benchmarkFile(b, fmt.Sprint("(path {", repeated("[", 1<<19), repeated(")", 1<<19)))
	})
	b.Run("unclosed before comments", func(b *testing.B) {
		benchmarkFile(b, fmt.Sprint(repeated("a {\n", 1<<19), repeated("  # c\n", 1<<19)))
	})
	b.Run("nested then closed", func(b *testing.B) {
		benchmarkFile(b, fmt.Sprint("x = ", repeated("(", 1<<19), "1", repeated(")", 1<<19)))
	})
}
