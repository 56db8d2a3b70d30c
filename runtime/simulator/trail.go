package simulator

import (
	"math"

	"wend/runtime/geom"
)

// trail keeps the line of the stylus in few points. A point is left out when
// the straight line past it stays within the tolerance of every point left
// out. Each such point, seen from the last one kept, opens a sector that the
// line must stay in; the sectors are intersected as points come, so each costs
// the same little time (the cone-intersection method of line simplification).
type trail struct {
	tolerance float64 // mm
	kept      []geom.Point
	last      geom.Point // the newest, not yet kept when pending
	pending   bool
	bounded   bool       // whether there is a sector yet
	low, high geom.Point // its edges, clockwise and counterclockwise
	reach     float64    // distance of last from the last point kept
}

func (t *trail) begin(p geom.Point) {
	t.kept, t.last = []geom.Point{p}, p
	t.pending, t.bounded, t.reach = false, false, 0
}

func (t *trail) add(p geom.Point) {
	if p == t.last {
		return
	}
	ray := p.Sub(t.kept[len(t.kept)-1])
	distance := ray.Length()
	if t.pending && (distance < t.reach || t.bounded && (t.low.Cross(ray) < 0 || ray.Cross(t.high) < 0 || t.low.Dot(ray) <= 0)) {
		t.kept = append(t.kept, t.last)
		t.bounded = false
		ray = p.Sub(t.last)
		distance = ray.Length()
	}
	t.last, t.pending, t.reach = p, true, distance
	if distance <= t.tolerance {
		return
	}
	sine := t.tolerance / distance
	cosine := math.Sqrt(1 - float64(sine*sine))
	low := geom.Point{X: float64(ray.X*cosine) + float64(ray.Y*sine), Y: float64(ray.Y*cosine) - float64(ray.X*sine)}
	high := geom.Point{X: float64(ray.X*cosine) - float64(ray.Y*sine), Y: float64(ray.Y*cosine) + float64(ray.X*sine)}
	if !t.bounded || t.low.Cross(low) > 0 {
		t.low = low
	}
	if !t.bounded || high.Cross(t.high) > 0 {
		t.high = high
	}
	t.bounded = true
}

// points is the line so far.
func (t *trail) points() []geom.Point {
	line := append([]geom.Point(nil), t.kept...)
	if t.pending {
		line = append(line, t.last)
	}
	return line
}
