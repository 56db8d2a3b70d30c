package svg

import (
	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/region"
)

// clip is an area, in mm, outside of which nothing is drawn.
type clip struct {
	area   region.Region
	cutter *region.Cutter
}

// work charges for work on areas. What it was done with is free again at the next
// element.
func (a *artist) work(steps, made int) error {
	a.made += made
	return a.options.Charge(steps*stepWork, made*vertexBytes)
}

// What a step of work on areas takes, in operations, and a vertex of one, in bytes.
const (
	stepWork    = 10
	vertexBytes = 200
)

// clipped adds the clip path that an element names (CSS Masking 1, section 5).
func (a *artist) clipped(e *element, said *declared, s state) (state, bool, error) {
	id, rest := reference(said[ofClipPath])
	path := a.byID[id]
	switch {
	case id == "" && rest == said[ofClipPath]: // a shape or box of CSS
		a.notes.add("attribute", e, "`clip-path`")
		return s, true, nil
	case path == nil || path.name != "clipPath":
		a.notes.add("reference", e, "`"+said[ofClipPath]+"`")
		return s, true, nil
	}
	area, err := a.clipArea(e, path, said, s)
	if err != nil {
		return s, false, err
	}
	s.clips = append(s.clips[:len(s.clips):len(s.clips)], &clip{area, region.NewCutter(area)})
	return s, true, nil
}

// clipArea is the area of a clip path for an element.
func (a *artist) clipArea(e, path *element, said *declared, s state) (region.Region, error) {
	if a.using[path] {
		return nil, a.fault("drawing-use-loop", path.start, path.end, diag.Args{"name": path.attribute("id")})
	}
	a.using[path] = true
	defer delete(a.using, path)
	inside := s
	if path.attribute("clipPathUnits") == "objectBoundingBox" {
		box, err := a.extent(e, said, s)
		if err != nil || box.Empty() {
			return nil, err
		}
		unit := geom.Affine{XX: box.Width(), YY: box.Height(), Shift: box.Min}
		inside.matrix = unit.Then(s.matrix)
	}
	// Style comes to a clip path from where it stands, not from where it is used.
	inside.style, inside.clips, inside.windows = initialStyle(), nil, nil
	var own declared
	inner := *a
	var areas []region.Region
	inner.areas = &areas
	inside, seen, err := inner.enter(path, inside, &own)
	if err != nil || !seen {
		return nil, err
	}
	around := inside.clips
	inside.clips = nil
	for _, child := range path.children {
		if _, isShape := shapes[child.name]; isShape || child.name == "use" {
			if err := inner.element(child, inside); err != nil {
				return nil, err
			}
		} else if noted[child.name] == "text" {
			inner.notes.add("text", child, "`<"+child.name+">`")
		}
	}
	a.room, a.drawn, a.notes = inner.room, inner.drawn, inner.notes
	area, err := region.Union(areas, a.work)
	for _, c := range around {
		if err == nil {
			area, err = region.Intersection([]region.Region{area, c.area}, a.work)
		}
	}
	return area, err
}

// extent is the box around what an element draws, in its own user units,
// without strokes and clip paths (SVG 2, section 8.10).
func (a *artist) extent(e *element, said *declared, s state) (geom.Box, error) {
	box := geom.EmptyBox()
	inner := *a
	inner.measured, inner.areas = &box, nil
	if k := span(s.matrix); k > 0 && finite(k) {
		inner.tolerance = a.tolerance / k
	}
	s.matrix, s.windows, s.clips = identity, nil, nil
	err := inner.content(e, said, s)
	a.drawn = inner.drawn
	return box, err
}

// area is what an outline fills, in mm, within the clip paths of its place.
func (a *artist) area(e *element, outline []subpath, evenOdd bool, s state) (region.Region, error) {
	var lines [][]geom.Point
	for _, sub := range outline {
		if !hasArea(sub.points) {
			continue
		}
		line, err := a.onSheet(e, sub.points, s)
		if err != nil {
			return nil, err
		}
		lines = append(lines, line)
	}
	area := region.Of(lines...)
	var err error
	if !evenOdd {
		area, err = area.NonZero(a.work)
	}
	for _, c := range s.clips {
		if err == nil {
			area, err = region.Intersection([]region.Region{area, c.area}, a.work)
		}
	}
	return area, err
}
