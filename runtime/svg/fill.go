package svg

import (
	"wend/runtime/region"
	"wend/runtime/shading"
)

// fill draws what is filled, as far as that is more than its outline, and reports
// whether the outline is still to be drawn.
func (a *artist) fill(e *element, outline []subpath, s state) (edged bool, err error) {
	hatched := a.options.Fills == Hatch && !s.style.fill.pale
	hides := a.covers(s)
	if !hatched && !hides && len(s.clips) == 0 {
		return true, nil
	}
	area, err := a.area(e, outline, s.style.evenOdd, s)
	if err != nil {
		return false, err
	}
	shown := area
	if hatched || hides {
		for _, w := range s.windows {
			if shown, err = region.Intersection([]region.Region{shown, region.Of(w[:])}, a.work); err != nil {
				return false, err
			}
		}
	}
	if hides {
		a.cover(shown)
	}
	switch {
	case hatched:
		return false, a.hatch(e, shown, s)
	case len(s.clips) > 0:
		return false, a.edge(e, area, s)
	}
	return true, nil
}

// edge draws the outline of an area that clip paths cut, whose edges are its own
// then.
func (a *artist) edge(e *element, area region.Region, s state) error {
	s.clips = nil
	for _, line := range area {
		if err := a.addPlaced(e, append(line.Points, line.Points[0]), true, s); err != nil {
			return err
		}
	}
	return nil
}

// hatch draws rows over an area, and its outline. Where one area shines through
// another, their rows lie on one another: it is no darker there.
func (a *artist) hatch(e *element, area region.Region, s state) error {
	if len(area) == 0 {
		return nil
	}
	line, err := shading.Hatch(a.options.Context, area, a.options.Angle, false, shading.Options{
		SpacingMM: a.options.SpacingMM, ToleranceMM: a.tolerance, Border: true, Aligned: true,
	}, a.work)
	if err != nil || len(line.Points) < 2 {
		return err
	}
	if a.room -= len(line.Points); a.room < 0 {
		return a.tooMany(e)
	}
	s.clips, s.windows = nil, nil
	return a.addPlaced(e, line.Points, false, s)
}
