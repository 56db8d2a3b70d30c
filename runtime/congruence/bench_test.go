package congruence_test

import (
	"math"
	"testing"

	"wend/runtime/congruence"
	"wend/runtime/geom"
)

// BenchmarkCompare holds a learner's lines against a sketch: one that is right, one
// that is wrong at its end, and one of half a million pieces that has nothing to do
// with it.
func BenchmarkCompare(b *testing.B) {
	all := congruence.Motions{Moved: true, Turned: true, Mirrored: true}
	tangle := make([]geom.Point, 500_001)
	for i := range tangle {
		sine, cosine := math.Sincos(float64(i) * 1.7)
		tangle[i] = pt(70+40*cosine*math.Sin(float64(i)/1000), 50+40*sine)
	}
	for _, c := range []struct {
		name  string
		found []geom.Point
	}{
		{"right", walk(pt(80, 30), 77, 40, 90, 40, 90, 40, 90, 40)},
		{"wrong", walk(pt(80, 30), 77, 40, 90, 40, 90, 40, 90, 37)},
		{"tangle", tangle},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				congruence.Compare(square, c.found, all, 0.3)
			}
		})
	}
}
