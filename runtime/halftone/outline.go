package halftone

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/tone"
)

// OutlineOptions say how the edges of a picture are to be drawn.
type OutlineOptions struct {
	WidthMM     float64 // of the picture; its height follows
	LineWidthMM float64
	ToleranceMM float64
	// Detail is how much is shown: 1 is usual, 0.25 the boldest edges alone and 4
	// whatever the line can show.
	Detail float64
}

// Outline gives the edges of a picture as separate clean strokes in mm, (0, 0) at
// its lower left, the one that is most to be seen first. Whatever begins near an
// end of another stroke and goes on its way is one with it. The error is one of
// Line's or that of ctx.
func Outline(ctx context.Context, img *tone.Image, o OutlineOptions) ([][]geom.Point, error) {
	if err := sound(img, o.WidthMM, o.LineWidthMM); err != nil {
		return nil, err
	}
	p := newPlate(img, o.WidthMM, o.LineWidthMM, 1)
	return p.outline(ctx, o.Detail, o.ToleranceMM)
}

// What an outline of the usual detail shows: tones are 0..1 as the eye tells
// them apart, lengths are in line widths.
const (
	edgeBlur     = 1.5   // deviation
	edgeLeast    = 0.016 // change of tone a width along a whole edge
	edgeMost     = 0.045 // and at one place of it at the least
	edgeShortest = 8.0
	edgeGap      = 4.0 // that is bridged
	edgeReach    = 1.5 // before and behind, of which a place is made the mean
)

// outline is the outline of a plate. One that is cancelled ends between two of
// its steps, each of which takes a fraction of a second.
func (p *plate) outline(ctx context.Context, detail, toleranceMM float64) ([][]geom.Point, error) {
	root := math.Sqrt(detail)
	found := edgesOf(p.seen, max(edgeBlur/root, 0.7), edgeLeast/detail)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	found.link()
	strokes := bridged(found.strokes(edgeMost / detail))
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	slices.SortStableFunc(strokes, func(a, b stroke) int { return cmp.Compare(b.weight, a.weight) })
	var lines [][]geom.Point
	for _, s := range strokes {
		line := p.scaled(s.line)
		if s.closed {
			line[len(line)-1] = line[0]
		}
		if geom.Length(line) < float64(edgeShortest/root*p.cellMM) {
			continue
		}
		reach := float64(edgeReach * p.cellMM)
		lines = append(lines, geom.Smooth(geom.Smooth(line, reach, toleranceMM/2), reach, toleranceMM/2))
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return lines, nil
}

// end is one of the two ends of an open stroke.
type end struct {
	at    spot
	way   spot // out of the stroke, of length 1
	other int  // index of the end that it is joined to, or -1
}

// bridged joins strokes whose ends look at one another over a small gap, the
// nearest first.
func bridged(strokes []stroke) []stroke {
	// The ends of stroke i are 2i and 2i+1; closed ones have none that is used.
	ends := make([]end, 2*len(strokes))
	type cell struct{ x, y int }
	near := map[cell][]int{}
	for i, s := range strokes {
		if s.closed {
			continue
		}
		ends[2*i], ends[2*i+1] = endOf(s.line, 0, 1), endOf(s.line, len(s.line)-1, -1)
		for k := 2 * i; k <= 2*i+1; k++ {
			c := cell{int(ends[k].at.x / edgeGap), int(ends[k].at.y / edgeGap)}
			near[c] = append(near[c], k)
		}
	}
	type bridge struct {
		a, b int
		cost float64
	}
	var bridges []bridge
	for a := range ends {
		if strokes[a/2].closed {
			continue
		}
		cx, cy := int(ends[a].at.x/edgeGap), int(ends[a].at.y/edgeGap)
		for y := cy - 1; y <= cy+1; y++ {
			for x := cx - 1; x <= cx+1; x++ {
				for _, b := range near[cell{x, y}] {
					if b <= a || b == a^1 && len(strokes[a/2].line) < 4*edgeGap {
						continue
					}
					if cost, ok := gapBetween(&ends[a], &ends[b]); ok {
						bridges = append(bridges, bridge{a, b, cost})
					}
				}
			}
		}
	}
	slices.SortFunc(bridges, func(p, q bridge) int {
		return cmp.Or(cmp.Compare(p.cost, q.cost), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	for _, b := range bridges {
		if ends[b.a].other < 0 && ends[b.b].other < 0 {
			ends[b.a].other, ends[b.b].other = b.b, b.a
		}
	}
	return joined(strokes, ends)
}

// endOf is the end of a line at an index, from which a step leads into it.
func endOf(line []spot, at, step int) end {
	const back = 4
	inner := line[min(max(at+back*step, 0), len(line)-1)]
	e := end{at: line[at], other: -1}
	x, y := e.at.x-inner.x, e.at.y-inner.y
	if long := math.Sqrt(float64(x*x) + float64(y*y)); long > 0 {
		e.way = spot{x / long, y / long}
	}
	return e
}

// gapBetween reports whether two ends look at one another, and what a bridge
// costs: its length, more where it bends.
func gapBetween(a, b *end) (cost float64, ok bool) {
	const straight = 0.6 // cosine of the largest bend
	x, y := b.at.x-a.at.x, b.at.y-a.at.y
	long := math.Sqrt(float64(x*x) + float64(y*y))
	if long > edgeGap {
		return 0, false
	}
	if long < 1 {
		return long, float64(a.way.x*b.way.x)+float64(a.way.y*b.way.y) < 0
	}
	out := (float64(a.way.x*x) + float64(a.way.y*y)) / long
	in := -(float64(b.way.x*x) + float64(b.way.y*y)) / long
	return float64(long * (3 - out - in)), out > straight && in > straight
}

// joined makes one stroke of all that are joined at ends.
func joined(strokes []stroke, ends []end) []stroke {
	var all []stroke
	used := make([]bool, len(strokes))
	gather := func(from int) {
		s := stroke{closed: strokes[from/2].closed}
		for at := from; ; {
			i := at / 2
			used[i] = true
			line := strokes[i].line
			if at%2 == 1 {
				line = slices.Clone(line)
				slices.Reverse(line)
			}
			s.line, s.weight = append(s.line, line...), s.weight+strokes[i].weight
			next := ends[at^1].other
			if s.closed || next < 0 {
				break
			}
			if used[next/2] {
				s.line, s.closed = append(s.line, s.line[0]), true
				break
			}
			at = next
		}
		all = append(all, s)
	}
	for k := range ends {
		if !used[k/2] && (strokes[k/2].closed || ends[k].other < 0) {
			gather(k)
		}
	}
	for k := range ends { // what is left goes round
		if !used[k/2] {
			gather(k)
		}
	}
	return all
}
