package simulator_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"testing"

	"wend/runtime/geom"
	"wend/runtime/simulator"
)

// rosette is a program of many short moves: a rosette of 0.5 mm chords, in
// whole hundredths of a millimetre.
func rosette(moves int) []byte {
	var text bytes.Buffer
	text.WriteString("G21 G90 G94 G17\n")
	at := geom.Point{X: 75, Y: 55}
	before := [2]int{}
	for i := range moves {
		s := float64(i) * 0.5
		// The heading winds to and fro, and pulls back to the middle.
		p := at.Add(geom.Polar(20+20*math.Sin(s/300), s*1.7).Add(geom.Polar(8, s/3)))
		now := [2]int{int(math.Round(p.X * 100)), int(math.Round(p.Y * 100))}
		if i == 0 {
			fmt.Fprintf(&text, "G1 X%.2f Y%.2f F3600\n", float64(now[0])/100, float64(now[1])/100)
		} else if now != before {
			fmt.Fprintf(&text, "X%.2f Y%.2f\n", float64(now[0])/100, float64(now[1])/100)
		}
		before = now
	}
	text.WriteString("M2\n")
	return text.Bytes()
}

func BenchmarkDrawMoves(b *testing.B) {
	const moves = 100_000
	text := rosette(moves)
	for _, c := range []struct {
		name  string
		baud  int
		slack float64
	}{{"ideal wire", 0, 0.4}, {"115200 baud", 115200, 0.4}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(text)))
			setup := simulator.Setup{}
			setup.Board.Baud = c.baud
			setup.Mechanics.SlackMM = [2]float64{c.slack, c.slack}
			lines := 0
			for b.Loop() {
				d, err := simulator.Draw(context.Background(), bytes.NewReader(text), setup)
				if err != nil {
					b.Fatal(err)
				}
				lines += d.Lines
				b.ReportMetric(d.Seconds, "drawn-s")
				b.ReportMetric(float64(len(d.Trace)), "points")
			}
			b.ReportMetric(float64(lines)/b.Elapsed().Seconds(), "lines/s")
		})
	}
}

func BenchmarkDeviation(b *testing.B) {
	d, err := simulator.Draw(context.Background(), bytes.NewReader(rosette(100_000)), simulator.Setup{})
	if err != nil {
		b.Fatal(err)
	}
	ideal := make([]geom.Point, len(d.Trace))
	for i, p := range d.Trace {
		ideal[i] = p.Add(geom.Point{X: 0.1})
	}
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		simulator.Deviation(ideal, d.Trace)
	}
}
