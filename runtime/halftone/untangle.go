package halftone

import (
	"context"

	"wend/runtime/geom"
	"wend/runtime/tour"
)

const (
	everyThird = 3
	// whitePrice is what a width of line costs more where the picture is white.
	whitePrice = 0.7
)

// untangle leads a walk past its crossings: every third of its points is kept,
// in a better order, which prefers what runs along the forms and through ink.
func untangle(ctx context.Context, line []spot, ink *grid, f flow) ([]spot, error) {
	var points []geom.Point
	seen := map[geom.Point]bool{}
	for i := 0; i < len(line); i += everyThird {
		p := geom.Point{X: line[i].x, Y: line[i].y}
		if !seen[p] {
			seen[p] = true
			points = append(points, p)
		}
	}
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	cost := func(a, b int) float64 {
		p, q := points[a], points[b]
		d := q.Sub(p)
		long := d.Length()
		x, y := (p.X+q.X)/2, (p.Y+q.Y)/2
		white := 1 - ink.sample(x, y)
		off := f.sure(x, y) - f.along(x, y, d.X/long, d.Y/long)
		return float64(long * (1 + off + float64(whitePrice*float64(white*white))))
	}
	order, err := tour.Order(ctx, points, tour.Options{From: order, Cost: cost})
	if err != nil {
		return nil, err
	}
	return inOrder(points, order), nil
}

// placed puts a line onto whole places, in pieces none of which is too long.
func placed(line []spot, columns, rows int) []point {
	const most = longest - perWidth/4
	var out []point
	for _, s := range line {
		p := point{int32(s.x * perWidth), int32(s.y * perWidth)}
		p.x = min(max(p.x, halfWidth), int32(columns)*perWidth-halfWidth)
		p.y = min(max(p.y, halfWidth), int32(rows)*perWidth-halfWidth)
		if len(out) > 0 {
			q := out[len(out)-1]
			long := leg(q, p).long
			if long == 0 {
				continue
			}
			n := int32(long/most) + 1
			for k := int32(1); k < n; k++ {
				out = append(out, point{q.x + (p.x-q.x)*k/n, q.y + (p.y-q.y)*k/n})
			}
		}
		out = append(out, p)
	}
	return out
}
