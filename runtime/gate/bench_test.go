package gate_test

import (
	"fmt"
	"testing"
)

// A short straight move, as most lines of a drawing are.
func BenchmarkReadOneMove(b *testing.B) {
	b.ReportAllocs()
	g := desk(b, 10, 10)
	var lines [64]string
	for i := range lines {
		lines[i] = fmt.Sprintf("G1 X%d.25 Y%d.5 F3600 (line 7)", 20+i%8, 20+i/8)
	}
	for i := 0; b.Loop(); i++ {
		if _, err := g.Read(lines[i%64]); err != nil {
			b.Fatal(err)
		}
	}
}

// A whole circle of 20 mm radius becomes some hundred chords.
func BenchmarkReadOneCircle(b *testing.B) {
	b.ReportAllocs()
	g := desk(b, 40, 50)
	for b.Loop() {
		if _, err := g.Read("G3 X40 Y50 I20 F3600"); err != nil {
			b.Fatal(err)
		}
	}
}
