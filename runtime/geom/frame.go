package geom

import "wend/runtime/elementary"

// Frame is a place and a heading: coordinates local to it have (0, 0) at its
// origin and +x along its heading. Make one with NewFrame; the zero Frame is
// not usable.
type Frame struct {
	Origin  Point
	Heading float64 // degrees, 0 <= Heading < 360
	cos     float64
	sin     float64
}

// NewFrame is the frame at origin whose +x axis lies along heading, in degrees.
func NewFrame(origin Point, heading float64) Frame {
	heading = NormalizeHeading(heading)
	sin, cos := elementary.SinCosDegrees(heading)
	return Frame{Origin: origin, Heading: heading, cos: cos, sin: sin}
}

// Vector turns a local offset into an outer one.
func (f Frame) Vector(v Point) Point {
	return Point{float64(f.cos*v.X) - float64(f.sin*v.Y), float64(f.sin*v.X) + float64(f.cos*v.Y)}
}

// Point is the outer place of a local point.
func (f Frame) Point(p Point) Point { return f.Origin.Add(f.Vector(p)) }

// Append appends the outer places of local points to dst.
func (f Frame) Append(dst, local []Point) []Point {
	if f.Heading == 0 {
		for _, p := range local {
			dst = append(dst, Point{f.Origin.X + p.X, f.Origin.Y + p.Y})
		}
		return dst
	}
	for _, p := range local {
		dst = append(dst, f.Point(p))
	}
	return dst
}

// Affine is a linear map and a shift:
// x' = XX*x + XY*y + Shift.X, y' = YX*x + YY*y + Shift.Y.
type Affine struct {
	XX, XY, YX, YY float64
	Shift          Point
}

// Scaling stretches x and y from (0, 0).
func Scaling(x, y float64) Affine { return Affine{XX: x, YY: y} }

// Rotation turns about (0, 0) by an angle in degrees, positive to the left.
func Rotation(degrees float64) Affine {
	sin, cos := elementary.SinCosDegrees(degrees)
	return Affine{XX: cos, XY: -sin, YX: sin, YY: cos}
}

// Mirroring reflects in the line through (0, 0) at an angle in degrees: 0
// swaps up and down, 90 left and right.
func Mirroring(degrees float64) Affine {
	sin, cos := elementary.SinCosDegrees(2 * degrees)
	return Affine{XX: cos, XY: sin, YX: sin, YY: -cos}
}

// Translation moves by an offset.
func Translation(by Point) Affine { return Affine{XX: 1, YY: 1, Shift: by} }

// Vector maps an offset, without the shift.
func (a Affine) Vector(v Point) Point {
	return Point{float64(a.XX*v.X) + float64(a.XY*v.Y), float64(a.YX*v.X) + float64(a.YY*v.Y)}
}

// Point maps a point.
func (a Affine) Point(p Point) Point { return a.Vector(p).Add(a.Shift) }

// Append appends the images of points to dst.
func (a Affine) Append(dst, points []Point) []Point {
	for _, p := range points {
		dst = append(dst, a.Point(p))
	}
	return dst
}

// Then maps by a first and by b after it.
func (a Affine) Then(b Affine) Affine {
	x := b.Vector(Point{a.XX, a.YX})
	y := b.Vector(Point{a.XY, a.YY})
	return Affine{XX: x.X, YX: x.Y, XY: y.X, YY: y.Y, Shift: b.Point(a.Shift)}
}

// Determinant is the factor by which areas grow, negative when the map mirrors.
func (a Affine) Determinant() float64 { return float64(a.XX*a.YY) - float64(a.XY*a.YX) }

// FitInto scales evenly and moves a box so that it has its lower left at
// (0, 0) and is as large as width and height allow, in mm; false if it cannot
// (a box without extent has no scale, and is only moved).
func FitInto(box Box, width, height float64) (Affine, bool) {
	if box.Empty() || !(width >= 0) || !(height >= 0) {
		return Affine{}, false
	}
	k := 1.0
	switch w, h := box.Width(), box.Height(); {
	case w > 0 && h > 0:
		k = min(width/w, height/h)
	case w > 0:
		k = width / w
	case h > 0:
		k = height / h
	}
	return Affine{XX: k, YY: k, Shift: Point{float64(-k * box.Min.X), float64(-k * box.Min.Y)}}, true
}
