package format_test

import (
	"os"
	"strings"
	"testing"

	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
)

func BenchmarkMegabyte(b *testing.B) {
	text, err := os.ReadFile("testdata/comments.golden")
	if err != nil {
		b.Fatal(err)
	}
	whole := strings.Repeat(string(text), (1<<20)/len(text)+1)
	file, list := parse.File(source.New("bench", whole))
	if len(list) > 0 {
		b.Fatal(list)
	}
	b.SetBytes(int64(len(whole)))
	b.ReportAllocs()
	for b.Loop() {
		format.Source(file)
	}
}
