package halftone

import (
	"context"
	"math"
)

// A wave is laid along a guide that fills the picture, with turns so many and so
// wide as the picture is dark there. Nothing can be lighter than the guide alone,
// so the less ink there is to be, the farther apart its stretches lie.
const (
	closest    = 3.0  // line widths from one stretch of the guide to the next
	farthest   = 12.0 // and at the most
	guideShare = 0.42 // of the ink is the guide's
	tightest   = 1.6  // line widths of the shortest wave
	squarest   = 2.0  // how much the darkest wave is steeper than a sine, and cut off
	slackest   = 6.0  // and of the longest; lighter tones have lower waves instead
	leaning    = 1.5  // times the height of a wave, over which it leans before a corner and after it
	waveStep   = 0.1
	waveTones  = 24 // tones at which it is measured what a wave covers
	mendings   = 3  // times that what is off its tone is made up for around
	mendBlur   = 1.8
	mendShare  = 0.8
)

// mark is a place of a guide, and which way and how far from it a wave goes that
// is one line width high.
type mark struct{ at, across spot }

// furrowed has rows from side to side, to and fro.
func furrowed(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	n := max(int(math.Round(float64(tones.rows)/a.apart)), 1)
	pitch := float64(tones.rows) / float64(n)
	return waved(ctx, rowsOf(float64(tones.columns), n, pitch), pitch, tones)
}

// rowsOf is a guide in rows, each a stretch of its own from edge to edge. The waves
// of all rise alike: a row ends at the top of one, and the next begins at the bottom
// of one, so that between them is no more than a plain stroke along the edge.
func rowsOf(width float64, n int, pitch float64) [][]mark {
	guide := make([][]mark, n)
	for row := range guide {
		y := float64(pitch * (float64(row) + 0.5))
		from, end := spot{0.5, y}, spot{width - 0.5, y}
		if row%2 == 1 {
			from, end = end, from
		}
		for _, p := range to([]spot{from}, end) {
			guide[row] = append(guide[row], mark{p, spot{0, 1}})
		}
	}
	return guide
}

// coiled goes round and round along the picture's edges, inward to its middle.
func coiled(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	width, height := float64(tones.columns), float64(tones.rows)
	turns := max(math.Round(min(width, height)/a.apart), 1)
	pitch := min(width, height) / turns
	half := float64(pitch / 2)
	left, right, low, high := half, width-half, half, height-half
	corners := []spot{{0.5, low}}
	for {
		corners = append(corners, spot{right, low})
		if low += pitch; low > high+half {
			break
		}
		corners = append(corners, spot{right, high})
		if right -= pitch; right < left-half {
			break
		}
		corners = append(corners, spot{left, high})
		if high -= pitch; high < low-half {
			break
		}
		corners = append(corners, spot{left, low})
		if left += pitch; left > right+half {
			break
		}
	}
	return waved(ctx, [][]mark{mitred(corners, pitch)}, pitch, tones)
}

// mitred is a guide that turns left at each corner. Before a corner its waves lean
// back on the left and forward on the right, more and more until they lie along the
// mitre, and after it the other way round: so they fill the corner, evenly on the
// whole, and never meet.
func mitred(corners []spot, pitch float64) []mark {
	height := waveHeight(pitch)
	var guide []mark
	last := len(corners) - 2
	for i := range corners[:last+1] {
		a, b := corners[i], corners[i+1]
		long := math.Abs(b.x-a.x) + math.Abs(b.y-a.y)
		along := spot{(b.x - a.x) / long, (b.y - a.y) / long}
		if i == last { // to where its turn would have its outer edge
			b = spot{b.x + float64(along.x*height), b.y + float64(along.y*height)}
		}
		reach := min(leaning*height, long/2)
		for k, p := range to([]spot{a}, b) {
			if k == 0 && i > 0 {
				continue // the end of the leg before
			}
			done := math.Abs(p.x-a.x) + math.Abs(p.y-a.y)
			lean := 0.0
			switch {
			case done < reach && i > 0:
				lean = 1 - done/reach
			case done > long-reach && i < last:
				lean = -1 + (long-done)/reach
			}
			guide = append(guide, mark{p, spot{float64(lean*along.x) - along.y, float64(lean*along.y) + along.x}})
		}
	}
	return guide
}

// to leads a guide on, in steps.
func to(guide []spot, end spot) []spot {
	from := guide[len(guide)-1]
	steps := int((math.Abs(end.x-from.x) + math.Abs(end.y-from.y)) / waveStep)
	for i := range steps {
		share := float64(i+1) / float64(steps)
		guide = append(guide, spot{from.x + float64((end.x-from.x)*share), from.y + float64((end.y-from.y)*share)})
	}
	return guide
}

// waved is the wave along a guide that has the tones. Where it cannot, it makes
// up for that around.
func waved(ctx context.Context, guide [][]mark, pitch float64, tones *grid) ([]spot, error) {
	covered := waveInk(pitch)
	wanted := tones
	for n := 0; ; n++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		line := wave(guide, pitch, asked(wanted, covered))
		if n == mendings {
			return line, nil
		}
		k := newInk(tones.columns, tones.rows)
		k.lay(raw(line))
		off := k.shares()
		for i, v := range tones.at {
			off.at[i] -= v
		}
		off = off.blurred(mendBlur, blank)
		better := newGrid(tones.columns, tones.rows)
		for i, v := range wanted.at {
			better.at[i] = min(max(v-float64(mendShare*off.at[i]), 0), 1)
		}
		wanted = better
	}
}

// wave lays the wave along a guide, within the picture. Each stretch of the guide
// begins at the bottom of a wave and ends at the top of one.
func wave(guide [][]mark, pitch float64, ask *grid) []spot {
	var line []spot
	for _, stretch := range guide {
		shapes, phases := make([]shape, len(stretch)), make([]float64, len(stretch))
		phase := 0.0
		for i, m := range stretch {
			shapes[i] = shapeAt(m, pitch, ask)
			phase += 360 * waveStep / shapes[i].length
			phases[i] = phase
		}
		// From -90 degrees to 90, or some turns more.
		first := phases[0]
		whole := phase - first
		fit := (180 + float64(360*max(math.Round((whole-180)/360), 0))) / whole
		for i, m := range stretch {
			of := shapes[i]
			s := float64(of.rise * min(max(float64(of.steep*sine(float64((phases[i]-first)*fit)-90)), -1), 1))
			x, y := m.at.x+float64(m.across.x*s), m.at.y+float64(m.across.y*s)
			line = append(line, spot{min(max(x, 0.5), float64(ask.columns)-0.5), min(max(y, 0.5), float64(ask.rows)-0.5)})
		}
	}
	return line
}

// shape is how high a wave is, how much steeper than a sine, and how long.
type shape struct{ rise, steep, length float64 }

// shapeAt is the shape of the wave at a mark. One that leans has the more line the
// more it leans, so it is as much longer.
func shapeAt(m mark, pitch float64, ask *grid) shape {
	height := waveHeight(pitch)
	dark := 0.0
	for _, side := range [3]float64{-0.7, 0, 0.7} {
		dark += ask.sample(m.at.x+float64(m.across.x*float64(side*height)), m.at.y+float64(m.across.y*float64(side*height))) / 3
	}
	ratio := max(float64(dark*waveFull(pitch)), 1)
	slope := math.Sqrt(float64(ratio*ratio) - 1)
	of := shape{rise: float64(slope*slackest) / 4, steep: 1 + float64(squarest*dark), length: slackest}
	if of.rise > height {
		leans := math.Sqrt(float64(m.across.x*m.across.x) + float64(m.across.y*m.across.y))
		of.rise, of.length = height, float64(leans*max(4*height/slope, tightest))
	}
	return of
}

// waveHeight is how far a wave rises at the most.
func waveHeight(pitch float64) float64 { return float64(pitch/2) - 0.5 }

// waveFull is how many times longer than its guide the densest wave is.
func waveFull(pitch float64) float64 {
	slope := 4 * waveHeight(pitch) / tightest
	return math.Sqrt(1 + float64(slope*slope))
}

// waveInk measures what a wave covers, on even tones.
func waveInk(pitch float64) []float64 {
	const rows = 7
	side := int(math.Ceil(rows * pitch))
	guide := rowsOf(float64(side), rows, pitch)
	table := make([]float64, waveTones+1)
	for i := range table {
		tones := newGrid(side, side)
		for k := range tones.at {
			tones.at[k] = float64(i) / waveTones
		}
		table[i] = coverage(wave(guide, pitch, tones), side, int(math.Ceil(1.5*pitch)))
		if i > 0 {
			table[i] = max(table[i], table[i-1]+1e-6)
		}
	}
	return table
}

// coverage is what share of a square a line covers, away from its edges.
func coverage(line []spot, side, rim int) float64 {
	k := newInk(side, side)
	k.lay(raw(line))
	shares := k.shares()
	sum := 0.0
	for y := rim; y < side-rim; y++ {
		for x := rim; x < side-rim; x++ {
			sum += shares.at[y*side+x]
		}
	}
	return sum / float64((side-2*rim)*(side-2*rim))
}
