package svg

import "wend/runtime/geom"

// window is a viewport as it lies on the sheet: four corners in mm, in turn.
type window [4]geom.Point

func windowOf(box geom.Box, onto geom.Affine) window {
	return window{
		onto.Point(box.Min), onto.Point(geom.Point{X: box.Max.X, Y: box.Min.Y}),
		onto.Point(box.Max), onto.Point(geom.Point{X: box.Min.X, Y: box.Max.Y}),
	}
}

// edgeMM: what lies on an edge lies within, and transforms round.
const edgeMM = 1e-6

// within is which part of the segment ab lies in the window, as shares of the
// way (clipping by half planes: Cyrus & Beck, 1978; from memory).
func (w window) within(a, b geom.Point) (from, to float64, ok bool) {
	side := 1.0
	if w[1].Sub(w[0]).Cross(w[3].Sub(w[0])) < 0 {
		side = -1
	}
	from, to = 0, 1
	for i, p := range w {
		edge := w[(i+1)%4].Sub(p)
		length := edge.Length()
		if length == 0 {
			return 0, 0, false
		}
		u := edge.Times(side / length)
		da, db := u.Cross(a.Sub(p)), u.Cross(b.Sub(p))
		switch outA, outB := da < -edgeMM, db < -edgeMM; {
		case outA && outB:
			return 0, 0, false
		case outA:
			from = max(from, min(1, da/(da-db)))
		case outB:
			to = min(to, max(0, da/(da-db)))
		}
	}
	return from, to, from < to || from == to && a == b
}

// lines are the parts of a line that lie in the window.
func (w window) lines(line []geom.Point) [][]geom.Point {
	inside := true
	for _, p := range line {
		if _, _, ok := w.within(p, p); !ok {
			inside = false
			break
		}
	}
	if inside {
		return [][]geom.Point{line}
	}
	var parts [][]geom.Point
	var part []geom.Point
	end := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		from, to, ok := w.within(a, b)
		if !ok {
			end()
			continue
		}
		if part == nil || from > 0 {
			end()
			part = append(part, a.Mix(b, from))
		}
		part = append(part, a.Mix(b, to))
		if to < 1 {
			end()
		}
	}
	end()
	return parts
}

// onEdge reports whether all of a line lies on the edges of the window.
func (w window) onEdge(line []geom.Point) bool {
	for i := 1; i < len(line); i++ {
		on := false
		for k := range w {
			a, b := w[k], w[(k+1)%4]
			on = on || geom.SegmentDistance(a, b, line[i-1]) <= 2*edgeMM && geom.SegmentDistance(a, b, line[i]) <= 2*edgeMM
		}
		if !on {
			return false
		}
	}
	return true
}
