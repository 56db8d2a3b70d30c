// Package geom is plane geometry in millimetres and degrees: points, boxes,
// frames, and the flattening of curves into straight pieces with a proven
// bound on the error.
//
// Results are the same to the last bit on every processor: elementary
// functions come from runtime/elementary, and every product that is added to
// something is converted explicitly, which forbids fusing the two.
package geom

import "math"

// Point is a place or an offset, in mm; y points up.
type Point struct{ X, Y float64 }

// Add is p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub is p - q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Times is p stretched by k from (0, 0). The conversions keep an inlined
// p.Times(k).Add(q) from being fused.
func (p Point) Times(k float64) Point { return Point{float64(p.X * k), float64(p.Y * k)} }

// Mix is the point at t on the way from p (t = 0) to q (t = 1); both ends exact.
func (p Point) Mix(q Point, t float64) Point {
	if t == 1 {
		return q
	}
	return Point{p.X + float64((q.X-p.X)*t), p.Y + float64((q.Y-p.Y)*t)}
}

// Finite reports whether both coordinates are numbers, not infinite.
func (p Point) Finite() bool { return p.X-p.X == 0 && p.Y-p.Y == 0 }

// Dot is the scalar product.
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross is the z part of the vector product: positive when q lies to the left of p.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Length is the distance from (0, 0). The square root of IEEE 754 is exact to
// the last bit everywhere; coordinates are far from overflow.
func (p Point) Length() float64 { return math.Sqrt(p.Dot(p)) }

// Distance is the distance between two points, in mm.
func (p Point) Distance(q Point) float64 { return p.Sub(q).Length() }

// SamePoint is the distance, in mm, within which two points are one point of
// the language.
const SamePoint = 1e-6

// Box is an upright rectangle. The zero Box is the single point (0, 0); use
// Bounds or EmptyBox to start from nothing.
type Box struct{ Min, Max Point }

// EmptyBox holds no point: including one in it makes a box of that point.
func EmptyBox() Box {
	return Box{Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}}
}

// Bounds is the smallest box around points.
func Bounds(points []Point) Box {
	box := EmptyBox()
	for _, p := range points {
		box = box.Include(p)
	}
	return box
}

// Empty reports whether the box holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Include is the box grown to hold p.
func (b Box) Include(p Point) Box {
	return Box{Point{min(b.Min.X, p.X), min(b.Min.Y, p.Y)}, Point{max(b.Max.X, p.X), max(b.Max.Y, p.Y)}}
}

// Union is the smallest box around both.
func (b Box) Union(c Box) Box {
	return Box{Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)}, Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)}}
}

// Contains reports whether p lies in the box or on its edge. It is false for NaN.
func (b Box) Contains(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Grow is the box with every edge moved outward by d mm.
func (b Box) Grow(d float64) Box {
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Width, Height and Center of the box.
func (b Box) Width() float64 { return b.Max.X - b.Min.X }

// Height is the extent along y.
func (b Box) Height() float64 { return b.Max.Y - b.Min.Y }

// Center is the middle of the box.
func (b Box) Center() Point { return Point{(b.Min.X + b.Max.X) / 2, (b.Min.Y + b.Max.Y) / 2} }
