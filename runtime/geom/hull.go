package geom

import "slices"

// Hull is the outline of the smallest convex area that holds all points, closed,
// counterclockwise: every straight way between two of them is in it. Of points on
// one straight line it is the way there and back; of one point, that point.
//
// A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions",
// Information Processing Letters 9 (5), 1979 (from memory).
func Hull(points []Point) []Point {
	sorted := slices.Clone(points)
	slices.SortFunc(sorted, func(a, b Point) int {
		switch {
		case a == b:
			return 0
		case a.X < b.X, a.X == b.X && a.Y < b.Y:
			return -1
		}
		return 1
	})
	sorted = slices.Compact(sorted)
	if len(sorted) < 2 {
		return sorted
	}
	var hull []Point
	half := func() {
		begun := len(hull)
		for _, p := range sorted {
			for len(hull) >= begun+2 && hull[len(hull)-1].Sub(hull[len(hull)-2]).Cross(p.Sub(hull[len(hull)-2])) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, p)
		}
	}
	half()
	hull = hull[:len(hull)-1] // the second half begins there
	slices.Reverse(sorted)
	half()
	return hull
}
