package geom

import (
	"math"

	"wend/runtime/elementary"
)

// NormalizeHeading brings a finite angle in degrees to 0 <= h < 360.
func NormalizeHeading(degrees float64) float64 {
	if 0 <= degrees && degrees < 360 {
		return degrees + 0 // no negative zero
	}
	h := math.Mod(degrees, 360)
	if h < 0 {
		h += 360
	}
	// A tiny negative angle rounds up to a whole turn.
	if h >= 360 {
		return 0
	}
	return h + 0
}

// Direction is the unit vector at an angle in degrees, 0 along +x and positive
// to the left.
func Direction(degrees float64) Point {
	sin, cos := elementary.SinCosDegrees(degrees)
	return Point{cos, sin}
}

// Polar is the point at distance r, in mm, and angle in degrees.
func Polar(r, degrees float64) Point { return Direction(degrees).Times(r) }

// DirectionOf is the heading of a vector, 0 <= h < 360; false for (0, 0).
func DirectionOf(v Point) (float64, bool) {
	degrees, ok := elementary.Atan2Degrees(v.Y, v.X)
	return NormalizeHeading(degrees), ok
}
