package lettering

import (
	"context"
	"os"
	"strings"
	"testing"
)

var tenThousand = strings.Repeat(pangrams[0]+". ", 10_000/len(pangrams[0]+". ")+1)[:10_000]

func BenchmarkTenThousandCharacters(b *testing.B) {
	for _, name := range faceNames {
		face := readFaces()[name]
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				write(b, face, tenThousand)
			}
			b.ReportMetric(float64(len(tenThousand)*b.N)/b.Elapsed().Seconds(), "glyphs/s")
		})
	}
}

// A face that no text has used yet: reading it and finding all ways.
func BenchmarkFirstTextOfAFace(b *testing.B) {
	text, err := os.ReadFile("../fonts/linden.letters")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		face, err := Read(string(text), nil)
		if err != nil {
			b.Fatal(err)
		}
		write(b, face, pangrams[0]+pangrams[2]+"0123456789")
	}
}

func write(b *testing.B, face *Face, text string) {
	block, err := Set(face, text, Style{Height: 5, Width: 800})
	if err != nil {
		b.Fatal(err)
	}
	l, err := block.Line(context.Background(), Near, 0.01)
	if err != nil {
		b.Fatal(err)
	}
	l.Points()
}
