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

// corners is a line of right angles, none of which can be left out: the dragon
// curve of an order, centred on a page.
func corners(order int, page geom.Box) []geom.Point {
	const side = 0.04
	points := make([]geom.Point, 1<<order+1)
	at, to := geom.Point{}, geom.Point{X: side}
	box := geom.EmptyBox()
	for i := range points {
		points[i] = at
		box = box.Include(at)
		at = at.Add(to)
		if n := i + 1; (n&-n)<<1&n != 0 {
			to = geom.Point{X: to.Y, Y: -to.X}
		} else {
			to = geom.Point{X: -to.Y, Y: to.X}
		}
	}
	shift := page.Center().Sub(box.Center())
	for i := range points {
		points[i] = points[i].Add(shift)
	}
	return points
}

func BenchmarkLowerAMillionSegments(b *testing.B) {
	p := machine.DeskToy()
	for _, line := range []struct {
		name       string
		points     []geom.Point
		compensate bool
	}{
		{"plain", spiral(1_000_000, p.Page()), false},
		{"compensated", spiral(1_000_000, p.Page()), true},
		{"corners", corners(20, p.Page()), true},
	} {
		sheet := &plan.Sheet{Points: line.points}
		sheet.Place = make([]uint32, len(sheet.Points)-1)
		whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}
		b.Run(line.name, func(b *testing.B) {
			b.ReportAllocs()
			moves := 0
			for b.Loop() {
				result, _, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{Compensate: line.compensate})
				if err != nil {
					b.Fatal(err)
				}
				moves = len(result.Moves)
			}
			b.ReportMetric(float64(moves), "moves")
		})
	}
}
