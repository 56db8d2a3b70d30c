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
	waveStep   = 0.1
	waveTones  = 24 // tones at which it is measured what a wave covers
	mendings   = 3  // times that what is off its tone is made up for around
	mendBlur   = 1.8
	mendShare  = 0.8
)

// furrowed has rows from side to side, to and fro.
func furrowed(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	n := max(int(math.Round(float64(tones.rows)/a.apart)), 1)
	pitch := float64(tones.rows) / float64(n)
	return waved(ctx, rowsOf(float64(tones.columns), n, pitch), pitch, tones)
}

// rowsOf is a guide in rows.
func rowsOf(width float64, n int, pitch float64) []spot {
	half := float64(pitch / 2)
	guide := []spot{{half, half}}
	for row := range n {
		x, y := width-half, float64(pitch*(float64(row)+0.5))
		if row%2 == 1 {
			x = half
		}
		guide = to(to(guide, spot{guide[len(guide)-1].x, y}), spot{x, y})
	}
	return bowed(guide, pitch)
}

// coiled goes round and round along the picture's edges, inward to its middle,
// and takes the corners in a bow.
func coiled(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	width, height := float64(tones.columns), float64(tones.rows)
	turns := max(math.Round(min(width, height)/a.apart), 1)
	pitch := min(width, height) / turns
	half := float64(pitch / 2)
	left, right, low, high := half, width-half, half, height-half
	guide := []spot{{left, low}}
	for {
		guide = to(guide, spot{right, low})
		if low += pitch; low > high+half {
			break
		}
		guide = to(guide, spot{right, high})
		if right -= pitch; right < left-half {
			break
		}
		guide = to(guide, spot{left, high})
		if high -= pitch; high < low-half {
			break
		}
		guide = to(guide, spot{left, low})
		if left += pitch; left > right+half {
			break
		}
	}
	return waved(ctx, bowed(guide, pitch), pitch, tones)
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

// bowed takes the corners of a guide in a bow: each point becomes the mean of
// those around it.
func bowed(guide []spot, pitch float64) []spot {
	half := int(0.6 * pitch / waveStep)
	out := make([]spot, len(guide))
	for i := range guide {
		n := min(half, i, len(guide)-1-i)
		var sum spot
		for _, p := range guide[i-n : i+n+1] {
			sum.x, sum.y = sum.x+p.x, sum.y+p.y
		}
		out[i] = spot{sum.x / float64(2*n+1), sum.y / float64(2*n+1)}
	}
	return out
}

// waved is the wave along a guide that has the tones. Where it cannot, it makes
// up for that around.
func waved(ctx context.Context, guide []spot, pitch float64, tones *grid) ([]spot, error) {
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

// wave lays the wave along a guide of steps, within the picture.
func wave(guide []spot, pitch float64, ask *grid) []spot {
	height := float64(pitch/2) - 0.5
	full := waveFull(pitch)
	phase := 0.0
	var line []spot
	for i, at := range guide {
		a, b := guide[max(i-1, 0)], guide[min(i+1, len(guide)-1)]
		dx, dy := b.x-a.x, b.y-a.y
		long := math.Sqrt(float64(dx*dx) + float64(dy*dy))
		if long == 0 {
			continue
		}
		nx, ny := -dy/long, dx/long
		dark := 0.0
		for _, side := range [3]float64{-0.7, 0, 0.7} {
			dark += ask.sample(at.x+float64(nx*float64(side*height)), at.y+float64(ny*float64(side*height))) / 3
		}
		ratio := max(float64(dark*full), 1)
		slope := math.Sqrt(float64(ratio*ratio) - 1)
		rise, length := float64(slope*slackest)/4, float64(slackest)
		if rise > height {
			rise, length = height, max(4*height/slope, tightest)
		}
		phase += 360 * waveStep / length
		s := float64(rise * min(max(float64((1+float64(squarest*dark))*sine(phase)), -1), 1))
		x, y := at.x+float64(nx*s), at.y+float64(ny*s)
		line = append(line, spot{min(max(x, 0.5), float64(ask.columns)-0.5), min(max(y, 0.5), float64(ask.rows)-0.5)})
	}
	return line
}

// waveFull is how many times longer than its guide the densest wave is.
func waveFull(pitch float64) float64 {
	height := float64(pitch/2) - 0.5
	slope := 4 * height / tightest
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
