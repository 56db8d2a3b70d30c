package weave

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"wend/runtime/geom"
)

// What going unseen costs, all in one place: the ways over a line of a million
// pieces, near and far; taking that line in; the first ways of all, from a line
// of one point; and the way back of a branch.

// spiro is a line of n segments of 0.2 mm that winds over a page and crosses
// itself about every other segment when n is a million.
func spiro(n int) []geom.Point {
	line := make([]geom.Point, n+1)
	for i := range line {
		a := float64(i) * 0.0125
		b := a * 0.4637
		line[i] = geom.Point{X: 100 + 60*math.Cos(a*0.0173) + 35*math.Cos(b), Y: 100 + 60*math.Sin(a*0.0173) + 35*math.Sin(b)}
	}
	return line
}

// dragon is the dragon curve, which touches itself at almost every vertex.
func dragon(n int) []geom.Point {
	line := []geom.Point{{}}
	d := geom.Point{X: 0.25}
	for i := 1; i <= n; i++ {
		line = append(line, line[i-1].Add(d))
		if (i&-i)<<1&i != 0 {
			d = geom.Point{X: -d.Y, Y: d.X}
		} else {
			d = geom.Point{X: d.Y, Y: -d.X}
		}
	}
	return line
}

func BenchmarkSneaks(b *testing.B) {
	for _, c := range []struct {
		name string
		line []geom.Point
	}{{"rosette", spiro(1_000_000)}, {"dragon", dragon(1_000_000)}} {
		trace := NewTrace(0.3)
		line := c.line
		if _, err := trace.Way(context.Background(), line, line[0]); err != nil {
			b.Fatal(err)
		}
		for _, reach := range []float64{5, 1000} {
			name := "near"
			if reach > 100 {
				name = "anywhere"
			}
			b.Run(c.name+"/"+name, func(b *testing.B) {
				rng := rand.New(rand.NewPCG(5, 5))
				line := line
				b.ReportAllocs()
				for b.Loop() {
					here := line[len(line)-1]
					goal := c.line[rng.IntN(len(c.line))]
					for here.Distance(goal) > reach {
						goal = c.line[rng.IntN(len(c.line))]
					}
					w, err := trace.Way(context.Background(), line, goal.Add(geom.Point{X: 0.1, Y: 0.07}))
					if err != nil {
						b.Fatal(err)
					}
					line = append(line, w.Points...)
				}
			})
		}
	}
}

func BenchmarkTakingInAMillionSegments(b *testing.B) {
	line := spiro(1_000_000)
	b.ReportAllocs()
	for b.Loop() {
		if err := NewTrace(0.3).takeIn(context.Background(), line); err != nil {
			b.Fatal(err)
		}
	}
}

// A line of one point, as after `begin`, and then figures at other places: what
// a first entry at the prompt asks for.
func BenchmarkWaysFromALineOfOnePoint(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		trace := NewTrace(0.5)
		line := points(70, 50)
		for _, centre := range points(30, 30, 90, 50) {
			w, err := trace.Way(context.Background(), line, centre)
			if err != nil {
				b.Fatal(err)
			}
			line = append(line, w.Points...)
			for angle := range 120 {
				line = append(line, centre.Add(geom.Point{X: 20 * float64(angle) / 120, Y: 20 * float64(angle%2)}))
			}
		}
	}
}

func BenchmarkWayBackOverAMillionPoints(b *testing.B) {
	line := make([]geom.Point, 1_000_000)
	for i := range line {
		a := float64(i) * 0.001
		line[i] = geom.Point{X: a * math.Cos(a), Y: a * math.Sin(a)}
	}
	b.ReportAllocs()
	for b.Loop() {
		WayBack(line)
	}
}
