package simulator

import (
	"math"

	"wend/runtime/geom"
)

// trail keeps the line of the stylus: every place where it turns, and nothing
// between. While both axes follow a straight move, the line is straight but for
// the rounding to whole steps, and only its tip moves on.
type trail struct {
	kept  []geom.Point
	tip   geom.Point // where the straight stretch under way has come to
	tipOn bool
}

func (t *trail) begin(p geom.Point) {
	t.kept, t.tipOn = []geom.Point{p}, false
}

// slide moves on along a straight stretch.
func (t *trail) slide(p geom.Point) { t.tip, t.tipOn = p, true }

// turn ends a straight stretch.
func (t *trail) turn() {
	if t.tipOn {
		t.tipOn = false
		t.add(t.tip)
	}
}

// add goes straight to a place. A point that the line passes straight through
// is not needed.
func (t *trail) add(p geom.Point) {
	t.turn()
	n := len(t.kept)
	last := t.kept[n-1]
	if p == last {
		return
	}
	if n >= 2 {
		u, v := last.Sub(t.kept[n-2]), p.Sub(last)
		if math.Abs(u.Cross(v)) < 1e-12 && u.Dot(v) > 0 {
			t.kept[n-1] = p
			return
		}
	}
	t.kept = append(t.kept, p)
}

// points is the line so far.
func (t *trail) points() []geom.Point {
	whole := *t
	whole.kept = append([]geom.Point(nil), t.kept...)
	whole.turn()
	return whole.kept
}
