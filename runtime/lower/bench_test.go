package lower_test

import (
	"context"
	"math"
	"testing"

	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// spiral is a line of n pieces that fills most of a page, in circles about the
// middle, from the rim inwards and out again.
func spiral(n int, page geom.Box) []geom.Point {
	points := make([]geom.Point, n+1)
	center := page.Center()
	most := page.Height()/2 - 1
	for i := range points {
		u := float64(i) / float64(n)
		sine, cosine := math.Sincos(float64(i) * 0.02)
		r := most * (0.2 + 0.8*math.Abs(1-2*u))
		points[i] = geom.Point{X: center.X + r*cosine, Y: center.Y + r*sine}
	}
	return points
}

func BenchmarkLowerAMillionSegments(b *testing.B) {
	p := machine.DeskToy()
	sheet := &plan.Sheet{Points: spiral(1_000_000, p.Page())}
	sheet.Place = make([]uint32, len(sheet.Points)-1)
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}
	for name, compensate := range map[string]bool{"plain": false, "compensated": true} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			moves := 0
			for b.Loop() {
				result, _, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{Compensate: compensate})
				if err != nil {
					b.Fatal(err)
				}
				moves = len(result.Moves)
			}
			b.ReportMetric(float64(moves), "moves")
		})
	}
}
