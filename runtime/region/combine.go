package region

import "wend/runtime/geom"

// Areas made here have no lines that cross: each goes anticlockwise around what
// is inside and clockwise around a hole, so that the inside is on its left.

// Simple is the same area as lines that do not cross.
func (r Region) Simple(work Work) (Region, error) { return r.simple(apart, work) }

func (r Region) simple(at touching, work Work) (Region, error) {
	d := newArrangement(r.Bounds())
	d.addRegion(r, 0)
	return d.area(func(w winding) bool { return w[0]%2 != 0 }, at, work)
}

// NonZero is the area around which the lines of a region run more often one way
// than the other, as lines that do not cross. That is the other usual rule of
// filling: a line within another is a hole only if it runs the other way round.
func (r Region) NonZero(work Work) (Region, error) {
	d := newArrangement(r.Bounds())
	d.addRegion(r, 0)
	return d.area(func(w winding) bool { return w[0] != 0 }, apart, work)
}

// Union is what lies in any of the regions.
func Union(regions []Region, work Work) (Region, error) {
	return combined(regions, work, func(int) int { return 0 }, func(w winding) bool { return w[0] > 0 })
}

// Intersection is what lies in all of the regions.
func Intersection(regions []Region, work Work) (Region, error) {
	all := int32(len(regions))
	return combined(regions, work, func(int) int { return 0 }, func(w winding) bool { return w[0] == all })
}

// Difference is what lies in the first of the regions and in none of the others.
func Difference(regions []Region, work Work) (Region, error) {
	return combined(regions, work, func(i int) int { return min(i, 1) }, func(w winding) bool { return w[0] > 0 && w[1] == 0 })
}

// combined is the area of all places whose winding numbers are inside, each
// region counted once by its set.
func combined(regions []Region, work Work, set func(i int) int, inside func(winding) bool) (Region, error) {
	simple := make([]Region, len(regions))
	box := geom.EmptyBox()
	for i, r := range regions {
		var err error
		if simple[i], err = r.Simple(work); err != nil {
			return nil, err
		}
		box = box.Union(simple[i].Bounds())
	}
	if len(simple) == 1 {
		return simple[0], nil
	}
	d := newArrangement(box)
	for i, r := range simple {
		d.addRegion(r, set(i))
	}
	return d.area(inside, apart, work)
}

func (r *arrangement) addRegion(area Region, set int) {
	for _, line := range area {
		r.addRing(line.Points, set)
	}
}

func (r *arrangement) area(inside func(winding) bool, at touching, work Work) (Region, error) {
	if err := r.resolve(work); err != nil {
		return nil, err
	}
	f, err := r.faces(work)
	if err != nil {
		return nil, err
	}
	return f.region(inside, at), nil
}

// Measure is the area of a region in mm², and its centroid; false if it has no
// area, and so no centroid.
func (r Region) Measure(work Work) (area float64, centroid geom.Point, ok bool, err error) {
	simple, err := r.Simple(work)
	if err != nil || len(simple) == 0 {
		return 0, geom.Point{}, false, err
	}
	// About a place of the region, so that little cancels.
	about := simple.Bounds().Min
	var moment geom.Point
	for _, line := range simple {
		for i := 1; i < len(line.Points); i++ {
			a, b := line.Points[i-1].Sub(about), line.Points[i].Sub(about)
			twice := a.Cross(b)
			area += float64(twice / 2)
			moment = moment.Add(a.Add(b).Times(twice / 6))
		}
	}
	if !(area > 0) {
		return 0, geom.Point{}, false, nil
	}
	return area, about.Add(moment.Times(1 / area)), true, nil
}
