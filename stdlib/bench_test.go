package stdlib_test

import (
	"testing"

	"wend/runtime/geom"
	"wend/runtime/value"
)

func run(b *testing.B, name string, args ...any) {
	f, h, given := native(name).Func, newHost(1), values(args)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := f(h, given); err != nil {
			b.Fatal(err)
		}
	}
}

// longLine is a zigzag of so many points.
func longLine(points int) *value.Path {
	p := &value.Path{Points: make([]geom.Point, points)}
	for i := range p.Points {
		p.Points[i] = pt(float64(i)*0.01, float64(i%2))
	}
	return p
}

func BenchmarkRotateMillionPoints(b *testing.B) { run(b, "rotate", longLine(1_000_000), 30) }
func BenchmarkCutMillionPoints(b *testing.B)    { run(b, "cut", longLine(1_000_000), 500_000) }
func BenchmarkSpotInMillionPoints(b *testing.B) { run(b, "spot", longLine(1_000_000), 500_000) }
func BenchmarkJoinThousandPaths(b *testing.B) {
	lines := make([]any, 1000)
	for i := range lines {
		lines[i] = longLine(1000)
	}
	run(b, "join", lines)
}
func BenchmarkAlongCircleHundredThousandPoints(b *testing.B) {
	run(b, "along", longLine(100_000), ngon(360, 50))
}
func BenchmarkNoise(b *testing.B) { run(b, "noise", 12.3, 4.5) }
func BenchmarkSortHundredThousand(b *testing.B) {
	items := make([]any, 100_000)
	for i := range items {
		items[i] = float64(i * 7919 % 100_003)
	}
	run(b, "sort", items, nil)
}
