package shading

import (
	"context"
	"math"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
)

// Hatch covers an area with straight rows at an angle in degrees to +x, and with
// others across them if asked to. There is no line if the area is empty.
func Hatch(ctx context.Context, area region.Region, angle float64, cross bool, o Options, work region.Work) (Line, error) {
	within, err := inner(area, o, work)
	if err != nil || len(within) == 0 {
		return Line{}, err
	}
	level := turned(within, -angle)
	r, err := rowsOf(level, o, work)
	if err != nil {
		return Line{}, err
	}
	var strokes [][]geom.Point
	switch {
	case cross:
		// Rows across each other are connected; so are rows and border.
		for i := range r.rows {
			strokes = append(strokes, r.line(i, nil))
		}
		up, err := rowsOf(turned(level, -90), o, work)
		if err != nil {
			return Line{}, err
		}
		for i := range up.rows {
			strokes = append(strokes, geom.Rotation(90).Append(nil, up.line(i, nil)))
		}
	case o.Border:
		for i := range r.rows {
			strokes = append(strokes, r.line(i, nil))
		}
	default:
		p, err := newPlait(r, level, o.SpacingMM, work)
		if err != nil {
			return Line{}, err
		}
		strokes = p.strokes()
	}
	if o.Border {
		strokes = append(strokes, r.rings...)
	}
	line, err := woven(ctx, strokes, work)
	if err != nil {
		return Line{}, err
	}
	if !o.Border {
		for i := range line.Roles {
			d := line.Points[i+1].Sub(line.Points[i])
			level := math.Abs(d.Y) <= geom.SamePoint || cross && math.Abs(d.X) <= geom.SamePoint
			if line.Roles[i] == plan.Drawn && !level {
				line.Roles[i] = plan.Link
			}
		}
	}
	line.Points = geom.Rotation(angle).Append(nil, line.Points)
	return line, nil
}

// turned is an area turned about (0, 0).
func turned(area region.Region, angle float64) region.Region {
	by := geom.Rotation(angle)
	lines := make([][]geom.Point, len(area))
	for i, line := range area {
		lines[i] = by.Append(nil, line.Points)
	}
	return region.Of(lines...)
}
