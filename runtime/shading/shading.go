// Package shading covers areas with one line.
//
// A fill is straight rows (Hatch), lines that follow the border (Coil), or the short
// way through points (Tour), a spacing apart. Where the area is connected the line
// is too: from row to row it goes along the border, and where it comes to an end
// before all is covered it goes back over itself. Parts of the area that do not
// touch are joined by the shortest straight links.
package shading

import (
	"context"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
	"wend/runtime/weave"
)

// Options are what all fills have in common.
type Options struct {
	// SpacingMM is the distance between neighbouring lines, from their middles.
	SpacingMM float64
	// LineWidthMM is the width of the line. Half of it is left free along the
	// border, so that no ink lies outside.
	LineWidthMM float64
	// ToleranceMM is how far from its place a curve may be.
	ToleranceMM float64
	// Border draws the border as well, and the fill reaches up to it.
	Border bool
	// Aligned rows of several areas go on from one to the other, and lie on one
	// another where areas do: they are whole numbers of spacings from (0, 0).
	Aligned bool
}

// Line is a fill: points in mm, and for each piece from a point to the next what
// it is there for. What is drawn on the way from row to row is a link.
type Line struct {
	Points []geom.Point
	Roles  []plan.Role
}

const pointWork = 20 // steps that a point of the line takes

// inner is where the fill of an area may be. Where the area is nowhere wide
// enough for the line, it is the area itself.
func inner(area region.Region, o Options, work region.Work) (region.Region, error) {
	if !o.Border {
		within, err := region.Offset(area, -o.LineWidthMM/2, o.ToleranceMM, region.Round, work)
		if err != nil || len(within) > 0 {
			return within, err
		}
	}
	return area.Simple(work)
}

// woven is one line through strokes that meet in their points.
func woven(ctx context.Context, strokes [][]geom.Point, work region.Work) (Line, error) {
	points := 0
	for _, s := range strokes {
		points += len(s)
	}
	if err := work(pointWork*points, points); err != nil {
		return Line{}, err
	}
	result, err := weave.Weave(ctx, strokes, weave.Options{})
	if err != nil {
		return Line{}, err
	}
	return Line{result.Points, result.Roles}, nil
}
