package lettering

import (
	"math"

	"wend/runtime/geom"
)

// span is one piece of a stroke: a straight line or a Bézier curve.
type span struct {
	geom.Cubic
	straight bool
	// inner is line inside a filled mark: nothing comes, goes or is held there.
	inner bool
}

// stroke is a continuous piece of a letter. One without spans does not exist.
type stroke []span

// quarter is how far, as a share of the way to the corner, the control points
// of a quarter of an ellipse lie: 4/3 (√2 - 1).
const quarter = 0.5522847498307936

func line(a, b geom.Point) span {
	return span{Cubic: geom.Cubic{P0: a, P1: a, P2: b, P3: b}, straight: true}
}

// rounded is the curve from a to b that leaves towards a corner and arrives
// from there: a quarter of an ellipse if the corner is square.
func rounded(a, corner, b geom.Point) span {
	return span{Cubic: geom.Cubic{P0: a, P1: a.Mix(corner, quarter), P2: b.Mix(corner, quarter), P3: b}}
}

// ring is the stroke around a dot.
func ring(center geom.Point, radius float64) stroke {
	at := func(x, y float64) geom.Point {
		return center.Add(geom.Point{X: float64(x * radius), Y: float64(y * radius)})
	}
	return stroke{
		rounded(at(0, -1), at(-1, -1), at(-1, 0)), rounded(at(-1, 0), at(-1, 1), at(0, 1)),
		rounded(at(0, 1), at(1, 1), at(1, 0)), rounded(at(1, 0), at(1, -1), at(0, -1)),
	}
}

// fillPitch is how far apart the lines of a filled mark are, in units: a line of
// 0.5 mm closes them in letters of up to 20 mm.
const fillPitch = 2.4

// filled is the stroke that goes to and fro inside a closed outline without
// hollows, the long way, from edge to edge.
func filled(outline stroke) stroke {
	points := outline.flat(coarse / 4)
	box := geom.Bounds(points)
	across := box.Width() >= box.Height() // rows, and else columns
	turned := func(p geom.Point) geom.Point {
		if across {
			return geom.Point{X: p.Y, Y: p.X}
		}
		return p
	}
	low, high := turned(box.Min).X, turned(box.Max).X
	count := max(2, int(math.Ceil((high-low)/fillPitch)))
	var way []geom.Point
	for k := 1; k < count; k++ {
		at := low + float64((high-low)*float64(k)/float64(count))
		least, most := math.Inf(1), math.Inf(-1)
		for i := 1; i < len(points); i++ {
			a, b := turned(points[i-1]), turned(points[i])
			if min(a.X, b.X) <= at && at <= max(a.X, b.X) && a.X != b.X {
				y := a.Mix(b, (at-a.X)/(b.X-a.X)).Y
				least, most = min(least, y), max(most, y)
			}
		}
		ends := []geom.Point{turned(geom.Point{X: at, Y: least}), turned(geom.Point{X: at, Y: most})}
		if k%2 == 0 {
			ends[0], ends[1] = ends[1], ends[0]
		}
		way = append(way, ends...)
	}
	s := polyline(way)
	for i := range s {
		s[i].inner = true
	}
	return s
}

func polyline(points []geom.Point) stroke {
	s := make(stroke, 0, len(points)-1)
	for i := 1; i < len(points); i++ {
		s = append(s, line(points[i-1], points[i]))
	}
	return s
}

func (s stroke) mapped(by geom.Affine) stroke {
	result := make(stroke, len(s))
	for i, p := range s {
		result[i] = span{
			Cubic:    geom.Cubic{P0: by.Point(p.P0), P1: by.Point(p.P1), P2: by.Point(p.P2), P3: by.Point(p.P3)},
			straight: p.straight, inner: p.inner,
		}
	}
	return result
}

// cutAt is the same stroke with a node wherever a span crosses a height, so that
// the line can come in and go out there; curved spans only, if bowls is set.
func (s stroke) cutAt(height float64, bowls bool) stroke {
	var result stroke
	for _, p := range s {
		a, b := p.P0.Y-height, p.P3.Y-height
		if !(a < -nearly && b > nearly || a > nearly && b < -nearly) || p.inner || bowls && p.straight {
			result = append(result, p)
			continue
		}
		if p.straight {
			at := p.P0.Mix(p.P3, a/(a-b))
			at.Y = height
			result = append(result, line(p.P0, at), line(at, p.P3))
			continue
		}
		low, high := 0.0, 1.0
		for range 50 {
			middle := (low + high) / 2
			if (p.At(middle).Y > height) == (a > 0) {
				low = middle
			} else {
				high = middle
			}
		}
		before, after := p.Split(low)
		before.P3.Y, after.P0.Y = height, height
		result = append(result, span{Cubic: before}, span{Cubic: after})
	}
	return result
}

func (s stroke) start() geom.Point { return s[0].P0 }
func (s stroke) end() geom.Point   { return s[len(s)-1].P3 }

// mostPoints of one curve is never reached: a tolerance of a millionth of a
// capital asks for a few hundred.
const mostPoints = 1 << 16

// flat is the stroke as a polyline within a tolerance.
func (s stroke) flat(tolerance float64) []geom.Point {
	points := []geom.Point{s.start()}
	for _, p := range s {
		if p.straight {
			points = append(points, p.P3)
			continue
		}
		var err error
		if points, err = geom.Bezier(points, p.Cubic, tolerance, mostPoints); err != nil {
			panic(err) // faces are checked when they are read
		}
	}
	return points
}

func (s stroke) extent() geom.Box {
	box := geom.EmptyBox().Include(s.start())
	for _, p := range s {
		if p.straight {
			box = box.Include(p.P3)
		} else {
			box = box.Union(p.Extent())
		}
	}
	return box
}

// leaning is the map that slants by a factor, the tangent of the angle.
func leaning(factor float64) geom.Affine {
	return geom.Affine{XX: 1, XY: factor, YY: 1}
}
