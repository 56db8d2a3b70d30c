package halftone

import (
	"context"
	"math"
	"slices"

	"wend/runtime/elementary"
)

// The walk goes over the picture in small steps, always to where most ink is
// still missing ahead, along the forms rather than across them, and turning as
// little as that allows. What it has laid is taken off what is missing. Lengths
// are in line widths.
const (
	stride   = 0.6 // a step
	ahead    = 2.8 // how far it sees what is missing, step by step
	farOff   = 6.0 // where it asks for what is missing in the neighbourhood
	farSpan  = 8.0 // deviation of what it takes for a neighbourhood
	nearSpan = 0.5 // deviation of what a step leaves
	bends    = 14  // headings to either side that it may turn to
	bendStep = 5.0 // degrees from one to the next
	nearMesh = 2   // cells of what is missing, to a line width
	farMesh  = 2   // line widths to a cell of the neighbourhood
)

// Where the neighbourhood has nearly all its ink and another place lacks much of
// its own, a walk that may leap goes on there: it does not cross wide whites by
// itself. Once it is as long as it should be, it also goes into lights that have
// nearly nothing yet, for no small change finds a way into them later. It ends
// when no place lacks much, or when it is so much longer.
const (
	lookAround = 64   // steps
	lacksShare = 0.3  // of what was missing around the darkest place at first
	sated      = 3.0  // how many times less is missing here
	bareShare  = 0.7  // of what was missing around a place at first, so that it counts as bare
	lightest   = 0.04 // ink of a place that may be left bare
	mostExtra  = 0.25 // share of the steps
)

type spot struct{ x, y float64 }

type walker struct {
	width, height float64
	missing, far  *grid
	whole         []float64 // far at first
	nearStamp     []float64
	farStamp      []float64
	flow          flow
	headings      [72]spot
}

// walk gives about so much length of line over a picture of ink, which has a
// cell for each square of a line's width. With leaps it is several lines, to be
// brought into another order.
func walk(ctx context.Context, ink *grid, f flow, length float64, leaps bool, c chance) ([]spot, error) {
	w := &walker{width: float64(ink.columns), height: float64(ink.rows), flow: f}
	w.missing = newGrid(ink.columns*nearMesh, ink.rows*nearMesh)
	for y := range w.missing.rows {
		for x := range w.missing.columns {
			w.missing.at[y*w.missing.columns+x] = ink.sample((float64(x)+0.5)/nearMesh, (float64(y)+0.5)/nearMesh)
		}
	}
	w.far = newGrid((ink.columns+farMesh-1)/farMesh, (ink.rows+farMesh-1)/farMesh)
	for y := range ink.rows {
		for x := range ink.columns {
			w.far.at[y/farMesh*w.far.columns+x/farMesh] += float64(ink.at[y*ink.columns+x] / (farMesh * farMesh))
		}
	}
	w.far = w.far.blurred(farSpan/farMesh, blank)
	w.whole = slices.Clone(w.far.at)
	w.nearStamp, w.farStamp = gaussian(nearSpan*nearMesh), gaussian(farSpan/farMesh)
	for i := range w.headings {
		s, co := elementary.SinCosDegrees(float64(i) * bendStep)
		w.headings[i] = spot{co, s}
	}

	everywhere := func(int) bool { return true }
	at, first := w.darkest(everywhere)
	lacks := float64(lacksShare * first)
	bare := func(i int) bool { return w.far.at[i] > lightest && w.far.at[i] > float64(bareShare*w.whole[i]) }
	heading := c.below(len(w.headings))
	line := []spot{at}
	steps := int(length / stride)
	most := steps
	if leaps {
		most += int(mostExtra * float64(steps))
	}
	for n := range most {
		if n%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if leaps && n%lookAround == 0 && n > 0 {
			there, missing := w.darkest(everywhere)
			leap := missing > lacks && float64(sated*w.far.sample(at.x/farMesh, at.y/farMesh)) < missing
			if missing <= lacks && n >= steps {
				if there, missing = w.darkest(bare); missing == 0 {
					return line, nil
				}
				leap = true
			}
			if leap {
				at = there
				line = append(line, at)
			}
		}
		best, next := math.Inf(-1), heading
		for bend := -bends; bend <= bends; bend++ {
			h := (heading + bend + len(w.headings)) % len(w.headings)
			if score := w.score(at, h, bend); score > best {
				best, next = score, h
			}
		}
		d := w.headings[next]
		to := spot{at.x + float64(d.x*stride), at.y + float64(d.y*stride)}
		to.x, to.y = min(max(to.x, 0.5), w.width-0.5), min(max(to.y, 0.5), w.height-0.5)
		w.lay(spot{(at.x + to.x) / 2, (at.y + to.y) / 2})
		at, heading = to, next
		line = append(line, at)
	}
	return line, nil
}

// darkest is where most is missing around, of the places asked for, and how much;
// 0 where none is.
func (w *walker) darkest(asked func(i int) bool) (at spot, missing float64) {
	best := 0
	for i, v := range w.far.at {
		if v > missing && asked(i) {
			best, missing = i, v
		}
	}
	at = spot{(float64(best%w.far.columns) + 0.5) * farMesh, (float64(best/w.far.columns) + 0.5) * farMesh}
	return spot{min(at.x, w.width-0.5), min(at.y, w.height-0.5)}, missing
}

func (w *walker) score(at spot, heading, bend int) float64 {
	d := w.headings[heading]
	score := 0.0
	const looks = 4
	for i := 1; i <= looks; i++ {
		reach := ahead * float64(i) / looks
		x, y := at.x+float64(d.x*reach), at.y+float64(d.y*reach)
		if x < 0.5 || y < 0.5 || x > w.width-0.5 || y > w.height-0.5 {
			score -= 1
			continue
		}
		m := w.missing.sample(x*nearMesh, y*nearMesh)
		if m < 0 {
			m *= 3
		}
		score += float64(m / looks)
	}
	x, y := at.x+float64(d.x*farOff), at.y+float64(d.y*farOff)
	if x < 0 || y < 0 || x > w.width || y > w.height {
		score -= 0.5
	} else {
		score += float64(2 * w.far.sample(x/farMesh, y/farMesh))
	}
	score -= float64(float64(bend*bend) * (0.25 / (bends * bends)))
	score += float64(0.25 * w.flow.along(at.x+float64(d.x*stride), at.y+float64(d.y*stride), d.x, d.y))
	return score
}

// lay takes the ink of a step off what is missing.
func (w *walker) lay(at spot) {
	take(w.missing, w.nearStamp, at.x*nearMesh, at.y*nearMesh, stride*nearMesh*nearMesh)
	take(w.far, w.farStamp, at.x/farMesh, at.y/farMesh, stride/(farMesh*farMesh))
}

func take(g *grid, half []float64, x, y, ink float64) {
	i, j := int(x), int(y)
	for dy := -len(half) + 1; dy < len(half); dy++ {
		if j+dy < 0 || j+dy >= g.rows {
			continue
		}
		row := float64(ink * half[max(dy, -dy)])
		for dx := -len(half) + 1; dx < len(half); dx++ {
			if i+dx >= 0 && i+dx < g.columns {
				g.at[(j+dy)*g.columns+i+dx] -= float64(row * half[max(dx, -dx)])
			}
		}
	}
}
