package stdlib

import (
	"math"

	"wend/runtime/geom/interval"
)

// mostCells is over how many cells a range is looked at one by one.
const mostCells = 8

// noiseBounds is what is known of noise over ranges of its arguments.
func noiseBounds(seed uint64, args []*interval.Jet) (x, y interval.Jet) {
	last := len(args) - 1
	count := 1.0
	if layers := args[last]; layers != nil {
		if !layers.IsConstant() || layers.V.Lo != math.Trunc(layers.V.Lo) || layers.V.Lo < 1 || layers.V.Lo > mostLayers {
			return interval.Undefined(), y
		}
		count = layers.V.Lo
	}
	sum, heights, height := interval.Constant(0), 0.0, 1.0
	at := make([]interval.Jet, last)
	for k := range int(count) {
		for i := range at {
			scale, aside := float64(int(1)<<k), float64(float64(k)*(math.Phi-1))
			at[i] = args[i].Scale(scale).Add(interval.Constant(aside))
		}
		sum = sum.Add(cellBounds(layerSeed(seed, k), at).Scale(height))
		heights += height
		height /= 2
	}
	return sum.Scale(1 / heights), y
}

// cellBounds is what is known of one layer: that of all cells that the ranges
// reach, between which noise is smooth to the second derivative.
func cellBounds(seed uint64, at []interval.Jet) interval.Jet {
	cells := 1.0
	for _, x := range at {
		if !(x.V.Largest() < 1<<50) {
			return wide(at)
		}
		cells *= math.Floor(x.V.Hi) - math.Floor(x.V.Lo) + 1
	}
	if cells > mostCells {
		return wide(at)
	}
	var result interval.Jet
	first := true
	var cell [3]float64
	var within [3]interval.Jet
	var each func(axis int)
	each = func(axis int) {
		if axis == len(at) {
			jet := cellNoise(seed, cell[:axis], within[:axis])
			if first {
				result, first = jet, false
			} else {
				result = result.Hull(jet)
			}
			return
		}
		for low := math.Floor(at[axis].V.Lo); low <= math.Floor(at[axis].V.Hi); low++ {
			cell[axis] = low
			within[axis], _ = at[axis].Within(low)
			each(axis + 1)
		}
	}
	each(0)
	return result
}

// wide is what is known of noise everywhere.
func wide(at []interval.Jet) interval.Jet {
	jet := interval.Jet{V: interval.Between(-1, 1), D1: interval.Entire(), D2: interval.Entire()}
	for _, x := range at {
		jet.Partial = jet.Partial || x.Partial
	}
	return jet
}

// cellNoise is noise within one cell: the ramps from its corners, blended along
// one axis after the other.
func cellNoise(seed uint64, cell []float64, at []interval.Jet) interval.Jet {
	one := interval.Constant(1)
	var blended func(axis int, h uint64, away []interval.Jet) interval.Jet
	blended = func(axis int, h uint64, away []interval.Jet) interval.Jet {
		if axis == len(cell) {
			return ramp(h, away)
		}
		column, _ := lattice(cell[axis])
		low := blended(axis+1, scramble(h+uint64(column)), append(away, at[axis]))
		high := blended(axis+1, scramble(h+uint64(column+1)), append(away, at[axis].Sub(one)))
		return low.Mix(high, at[axis].Fade())
	}
	sum := blended(0, scramble(seed), make([]interval.Jet, 0, 3))
	return sum.Scale([...]float64{2, math.Sqrt2, 2 / sqrt3}[len(cell)-1])
}

// ramp is the plane that rises from a corner of a cell along its slope.
func ramp(h uint64, away []interval.Jet) interval.Jet {
	var slope []float64
	switch len(away) {
	case 1:
		return away[0].Scale(slope1(h))
	case 2:
		slope = compass[h>>60][:]
	default:
		g := direction3(h)
		slope = g[:]
	}
	sum := interval.Constant(0)
	for i, x := range away {
		sum = sum.Add(x.Scale(slope[i]))
	}
	return sum
}
