package halftone

import (
	"math"
	"slices"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/tone"
)

// plate is a picture made ready: a cell for each square of a line's width.
type plate struct {
	columns, rows int
	cellMM        float64
	dark          *grid // natural ink: 1 less the light
	seen          *grid // light as the eye tells it apart
	flow          flow
	darkness      [darkSteps + 1]int // how many cells are how dark
}

const darkSteps = 512

// darkest is the tone that the darkest places get, so that the line stays to be
// seen there.
const darkest = 0.97

func newPlate(img *tone.Image, widthMM, lineWidthMM, contrast float64) *plate {
	width, height := img.Size()
	p := &plate{columns: int(math.Round(widthMM / lineWidthMM))}
	p.rows = max(int(math.Round(float64(p.columns)*float64(height)/float64(width))), 1)
	p.cellMM = widthMM / float64(p.columns)
	light := &grid{p.columns, p.rows, img.Cells(p.columns, p.rows)}
	light = contrasted(light, contrast)
	p.flow = flowOf(light, flowInner, flowOuter)
	p.dark, p.seen = newGrid(p.columns, p.rows), newGrid(p.columns, p.rows)
	for i, v := range light.at {
		p.seen.at[i] = power(v, 1/eyePower)
		d := min(1-v, darkest)
		p.dark.at[i] = d
		p.darkness[int(d*darkSteps)]++
	}
	return p
}

// Deviations, in line widths, of the two blurs by which the flow is read.
const (
	flowInner = 0.8
	flowOuter = 2.4
)

// Contrast is worked out in tones as the eye tells them apart, for which light
// to the power of 1/2.2 is a fair measure.
const (
	eyePower    = 2.2
	clipped     = 0.005 // share of the cells that may become all black or all white
	wideSpan    = 12.0  // line widths: what counts as a neighbourhood
	wideAmount  = 0.25
	sharpSpan   = 1.2
	sharpAmount = 0.5
)

// contrasted stretches the tones to all there are, and brings out what stands
// out from its neighbourhood; amount is 1 for the usual, 0 for nothing at all.
func contrasted(light *grid, amount float64) *grid {
	if amount == 0 {
		return light
	}
	seen := newGrid(light.columns, light.rows)
	for i, v := range light.at {
		seen.at[i] = power(v, 1/eyePower)
	}
	sorted := slices.Clone(seen.at)
	slices.Sort(sorted)
	out := int(clipped * float64(len(sorted)))
	low, high := sorted[out], sorted[len(sorted)-1-out]
	stretch := min(amount, 1)
	low, high = float64(low*stretch), 1-float64((1-high)*stretch)
	if high-low < 1.0/256 {
		return light // one tone all over
	}
	for i, v := range seen.at {
		seen.at[i] = min(max((v-low)/(high-low), 0), 1)
	}
	wide, near := seen.blurred(wideSpan, repeated), seen.blurred(sharpSpan, repeated)
	result := newGrid(light.columns, light.rows)
	for i, v := range seen.at {
		v += float64(amount * (float64(wideAmount*(v-wide.at[i])) + float64(sharpAmount*(v-near.at[i]))))
		result.at[i] = power(min(max(v, 0), 1), eyePower)
	}
	return result
}

// power is x to a power, for 0 <= x and an exponent over 0.
func power(x, exponent float64) float64 {
	if x == 0 {
		return 0
	}
	y, _ := elementary.Pow(x, exponent)
	return y
}

// natural is the mean ink of the picture as it is.
func (p *plate) natural() float64 { return p.dark.mean() }

// steepest is the largest exponent that tones are raised to; where that leaves
// too much ink, all of it is thinned.
const steepest = 6

// tones are the tones with so much ink on the whole: darkness to a power, so
// that black stays black and white white. More than the natural ink is not had.
func (p *plate) tones(ink float64) *grid {
	mean := func(exponent float64) float64 {
		sum := 0.0
		for i, n := range p.darkness {
			if n > 0 {
				sum += float64(float64(n) * power((float64(i)+0.5)/darkSteps, exponent))
			}
		}
		return sum / float64(len(p.dark.at))
	}
	low, high := 1.0, float64(steepest)
	if mean(low) > ink {
		for range 30 {
			if middle := (low + high) / 2; mean(middle) > ink {
				low = middle
			} else {
				high = middle
			}
		}
	}
	t := newGrid(p.columns, p.rows)
	for i, d := range p.dark.at {
		t.at[i] = power(d, low)
	}
	if has := t.mean(); has > ink {
		for i := range t.at {
			t.at[i] *= ink / has
		}
	}
	return t
}

// points are places of the plate in mm from its lower left corner.
func (p *plate) points(line []point) []geom.Point {
	points := make([]geom.Point, len(line))
	for i, q := range line {
		points[i] = geom.Point{X: float64(q.x) * (p.cellMM / perWidth), Y: float64(q.y) * (p.cellMM / perWidth)}
	}
	return points
}
