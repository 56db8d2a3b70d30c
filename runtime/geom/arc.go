package geom

import (
	"fmt"
	"math"

	"wend/runtime/elementary"
)

// TooManyPointsError reports that a curve would need more points than the caller allows.
type TooManyPointsError struct {
	Limit  int     // points allowed
	Needed float64 // points that would be needed, as far as known; may exceed every int
}

func (e *TooManyPointsError) Error() string {
	return fmt.Sprintf("the curve needs about %.0f points; %d are allowed", e.Needed, e.Limit)
}

// widestStep is the largest turn of one piece of an arc, in degrees: however
// coarse the tolerance, a circle stays a triangle at least.
const widestStep = 120

// ArcPieces is the smallest number of equal straight pieces of an arc, radius
// in mm, turn in degrees, that stay within tolerance mm of it: the sagitta
// r(1 - cos(θ/2)) of a piece that turns by θ is at most the tolerance. It is a
// float64 since it may be beyond every int.
func ArcPieces(radius, turn, tolerance float64) float64 {
	if radius == 0 || turn == 0 {
		return 0
	}
	// 1 - cos(θ/2) = 2 sin²(θ/4), which keeps its precision for small θ.
	quarter, ok := elementary.AsinDegrees(math.Sqrt(tolerance / float64(2*radius)))
	step := float64(widestStep)
	if ok {
		step = min(step, float64(4*quarter))
	}
	return math.Ceil(math.Abs(turn) / step)
}

// Arc appends the flattened arc that starts at start along heading, turns by
// turn degrees (positive to the left, about a centre at the left; negative to
// the right) on a circle of radius >= 0 mm, and stays within tolerance > 0 mm
// of it. The start itself is not appended; the last point is that of ArcEnd,
// which after whole turns is start to the bit. It returns the heading at the
// end. When more than limit points would be needed it appends nothing and
// returns a *TooManyPointsError.
func Arc(dst []Point, start Point, heading, radius, turn, tolerance float64, limit int) ([]Point, float64, error) {
	pieces := ArcPieces(radius, turn, tolerance)
	if !(pieces <= float64(limit)) {
		return dst, heading, &TooManyPointsError{Limit: limit, Needed: pieces}
	}
	frame := NewFrame(start, heading)
	for i := 1.0; i < pieces; i++ {
		dst = append(dst, frame.Point(arcPoint(radius, turn, float64(turn*i)/pieces)))
	}
	if pieces > 0 {
		dst = append(dst, frame.Point(arcPoint(radius, turn, turn)))
	}
	return dst, NormalizeHeading(frame.Heading + turn), nil
}

// ArcEnd is where an arc ends, and the heading there.
func ArcEnd(start Point, heading, radius, turn float64) (Point, float64) {
	frame := NewFrame(start, heading)
	return frame.Point(arcPoint(radius, turn, turn)), NormalizeHeading(frame.Heading + turn)
}

// ArcCenter is the centre of the circle an arc follows.
func ArcCenter(start Point, heading, radius, turn float64) Point {
	return NewFrame(start, heading).Point(Point{0, math.Copysign(radius, turn)})
}

// arcPoint is the point of an arc from (0, 0) along +x, whose whole turn has
// the sign of turn, after it has turned by angle.
func arcPoint(radius, turn, angle float64) Point {
	sin, cos := elementary.SinCosDegrees(angle)
	if turn < 0 {
		return Point{float64(-radius * sin), float64(-radius * (1 - cos))}
	}
	return Point{float64(radius * sin), float64(radius * (1 - cos))}
}

// ArcExtent is the smallest box around an arc itself, not its flattening: both
// ends and the extremes along the axes that it passes.
func ArcExtent(start Point, heading, radius, turn float64) Box {
	end, _ := ArcEnd(start, heading, radius, turn)
	box := EmptyBox().Include(start).Include(end)
	center := ArcCenter(start, heading, radius, turn)
	// The angle of the start, seen from the centre.
	from := NormalizeHeading(heading - math.Copysign(90, turn))
	low, high := from, from+turn
	if turn < 0 {
		low, high = high, low
	}
	first := math.Ceil(low / 90)
	for k := 0.0; k < 4 && float64((first+k)*90) <= high; k++ {
		box = box.Include(center.Add(Polar(radius, float64((first+k)*90))))
	}
	return box
}
