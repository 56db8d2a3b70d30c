package halftone

import (
	"context"
	"math"
	"sync"

	"wend/runtime/geom"
	"wend/runtime/tour"
)

// style is a way for the line of a picture to run.
type style struct {
	name string
	// draw gives the line for tones, in line widths from the lower left; nil for
	// the one that evolves from a walk.
	draw func(ctx context.Context, a *artist, tones *grid) ([]spot, error)
	// ink is what share of paper is covered where tones are even and a share of
	// 0, 1/n, 2/n … 1 is asked for; nil where that needs no mending.
	ink func() []float64
	// crosses says that the line goes over itself.
	crosses bool
}

var styles = []style{
	{name: "evolved"},
	{name: "tour", draw: stippled, ink: func() []float64 { return tourInk[:] }},
	{name: "coil", draw: coiled, ink: waveInk},
	{name: "furrows", draw: furrowed, ink: waveInk},
	{name: "sketch", draw: sketched, crosses: true},
}

// Styles are the names of all styles, the usual one first.
func Styles() []string {
	names := make([]string, len(styles))
	for i, s := range styles {
		names[i] = s.name
	}
	return names
}

func styleNamed(name string) *style {
	for i := range styles {
		if styles[i].name == name {
			return &styles[i]
		}
	}
	return &styles[0]
}

// asked are the shares to ask a style for so that tones come out right.
func (s *style) asked(tones *grid) *grid {
	if s.ink == nil {
		return tones
	}
	table := s.ink()
	n := len(table) - 1
	ask := newGrid(tones.columns, tones.rows)
	for i, v := range tones.at {
		k := 0
		for k < n && table[k+1] < v {
			k++
		}
		switch {
		case k == n:
			ask.at[i] = 1
		case v > table[k]:
			ask.at[i] = (float64(k) + (v-table[k])/(table[k+1]-table[k])) / float64(n)
		default:
			ask.at[i] = float64(k) / float64(n)
		}
	}
	return ask
}

// build draws the picture in a style that is built, with as much ink as comes to
// the goal.
func (a *artist) build(ctx context.Context, s *style) ([]spot, error) {
	a.aimed = a.natural
	for try := 0; ; try++ {
		line, err := s.draw(ctx, a, s.asked(a.tones(a.aimed)))
		if err != nil || a.options.Goal <= 0 {
			return line, err
		}
		if a.measured, err = a.options.Measure(ctx, a.scaled(line)); err != nil {
			return nil, err
		}
		off := a.options.Goal/a.measured - 1
		if math.Abs(off) < near || off > 0 && a.aimed >= a.natural || try == builds {
			return line, nil
		}
		a.aimed = min(a.natural, float64(a.aimed*min(max(1+off, 0.3), 2)))
		if a.options.Progress != nil {
			a.options.Progress(try+1, builds)
		}
	}
}

const builds = 10

// scaled is a line in mm.
func (p *plate) scaled(line []spot) []geom.Point {
	points := make([]geom.Point, 0, len(line))
	for _, s := range line {
		q := geom.Point{X: float64(s.x * p.cellMM), Y: float64(s.y * p.cellMM)}
		if n := len(points); n == 0 || points[n-1].Distance(q) > geom.SamePoint {
			points = append(points, q)
		}
	}
	return points
}

// sketched is the walk alone.
func sketched(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	line, err := walk(ctx, tones, a.flow, float64(len(tones.at))*tones.mean()*sketchShare, false, newChance(a.options.Seed, 100))
	if err != nil {
		return nil, err
	}
	return rounded(line), nil
}

// sketchShare is how much line a sketch has: its strokes lie over one another in
// the darks, and need not fill the lights.
const sketchShare = 0.8

// rounded takes the small corners of a walk off: each point becomes the mean of
// itself and its neighbours, twice.
func rounded(line []spot) []spot {
	for range 2 {
		out := append([]spot{}, line...)
		for i := 1; i < len(line)-1; i++ {
			out[i].x = float64((line[i-1].x+line[i+1].x)/4) + float64(line[i].x/2)
			out[i].y = float64((line[i-1].y+line[i+1].y)/4) + float64(line[i].y/2)
		}
		line = out
	}
	return line
}

// stippled is a tour through dots that lie as densely as the picture is dark.
func stippled(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	density := newGrid(tones.columns, tones.rows)
	for i, v := range tones.at {
		v = min(v, densest)
		density.at[i] = float64(v*v) / (tourLength * tourLength)
	}
	dots, err := stipple(ctx, density, newChance(a.options.Seed, 102))
	if err != nil || len(dots) < 4 {
		return dots, err
	}
	points := make([]geom.Point, len(dots))
	for i, d := range dots {
		points[i] = geom.Point{X: min(max(d.x, 0.5), float64(tones.columns)-0.5), Y: min(max(d.y, 0.5), float64(tones.rows)-0.5)}
	}
	order, err := tour.Order(ctx, points, tour.Options{Seed: a.options.Seed, Kicks: tourKicks})
	if err != nil {
		return nil, err
	}
	line := make([]spot, len(order))
	for i, k := range order {
		line[i] = spot{points[k].X, points[k].Y}
	}
	return line, nil
}

const (
	// tourLength is the length of a tour through dots of even density, as a share of
	// the root of their number times the area (Steinerberger; the constant of
	// random dots is 0.7124, that of well spread ones is larger).
	tourLength = 0.9
	// densest is the largest share that a tour is asked for: beyond it the line would
	// lie on itself.
	densest   = 1.0
	tourKicks = 4000
)

// tourInk is what share of paper a tour covers where 0, 1/8, … 1 is asked for:
// measured on even tones (see the wedge's test).
var tourInk = [9]float64{0, 0.1073, 0.2416, 0.3973, 0.5315, 0.6638, 0.7888, 0.9071, 0.9763}

// A wave is laid along a guide that fills the picture, with turns so many and so
// wide as the picture is dark there.
const (
	wavePitch  = 3.0 // line widths from one stretch of the guide to the next
	waveGap    = 0.0 // between the waves of two stretches
	tightest   = 1.1 // line widths of the shortest wave
	slackest   = 6.0 // and of the longest; lighter tones have lower waves instead
	waveStep   = 0.2
	waveInkLen = 24
)

// wave lays the wave along a guide. Points of the guide lie waveStep apart.
func wave(guide []spot, pitch float64, tones *grid) []spot {
	height := float64(pitch/2) - (0.5 + waveGap/2)
	phase := 0.0
	var line []spot
	lay := func(i int) {
		a, b := guide[max(i-1, 0)], guide[min(i+1, len(guide)-1)]
		dx, dy := b.x-a.x, b.y-a.y
		long := math.Sqrt(float64(dx*dx) + float64(dy*dy))
		if long == 0 {
			return
		}
		nx, ny := -dy/long, dx/long
		at := guide[i]
		dark := 0.0
		for _, side := range [3]float64{-0.7, 0, 0.7} {
			dark += tones.sample(at.x+float64(nx*float64(side*height)), at.y+float64(ny*float64(side*height))) / 3
		}
		ratio := max(float64(dark*waveFull(pitch)), 1)
		slope := math.Sqrt(float64(ratio*ratio) - 1)
		rise, length := float64(slope*slackest)/4, float64(slackest)
		if rise > height {
			rise, length = height, max(4*height/slope, tightest)
		}
		phase += 360 * waveStep / length
		s := float64(rise * sine(phase))
		line = append(line, spot{at.x + float64(nx*s), at.y + float64(ny*s)})
	}
	for i := range guide {
		lay(i)
	}
	return line
}

// waveFull is how many times longer than its guide the densest wave is.
func waveFull(pitch float64) float64 {
	height := float64(pitch/2) - (0.5 + waveGap/2)
	slope := 4 * height / tightest
	return math.Sqrt(1 + float64(slope*slope))
}

// furrowed has rows from side to side, to and fro.
func furrowed(_ context.Context, _ *artist, tones *grid) ([]spot, error) {
	n := max(int(math.Round(float64(tones.rows)/wavePitch)), 1)
	pitch := float64(tones.rows) / float64(n)
	return wave(rowsOf(float64(tones.columns), n, pitch), pitch, tones), nil
}

func rowsOf(width float64, n int, pitch float64) []spot {
	var guide []spot
	for row := range n {
		y := float64(pitch * (float64(row) + 0.5))
		steps := int((width - 2) / waveStep)
		for i := range steps + 1 {
			x := 1 + float64((width-2)*float64(i)/float64(steps))
			if row%2 == 1 {
				x = width - x
			}
			guide = append(guide, spot{x, y})
		}
	}
	return guide
}

// coiled goes round and round along the picture's edges, inward to its middle,
// and takes the corners in a bow.
func coiled(_ context.Context, _ *artist, tones *grid) ([]spot, error) {
	width, height := float64(tones.columns), float64(tones.rows)
	turns := max(math.Round(min(width, height)/wavePitch), 1)
	pitch := min(width, height) / turns
	half := float64(pitch / 2)
	left, right, low, high := half, width-half, half, height-half
	guide := []spot{{left, low}}
	to := func(x, y float64) {
		from := guide[len(guide)-1]
		long := math.Abs(x-from.x) + math.Abs(y-from.y)
		steps := int(long / waveStep)
		for i := range steps {
			share := float64(i+1) / float64(steps)
			guide = append(guide, spot{from.x + float64((x-from.x)*share), from.y + float64((y-from.y)*share)})
		}
	}
	for {
		to(right, low)
		low += pitch
		if low > high {
			break
		}
		to(right, high)
		right -= pitch
		if right < left {
			break
		}
		to(left, high)
		high -= pitch
		if high < low {
			break
		}
		to(left, low)
		left += pitch
		if left > right {
			break
		}
	}
	return wave(bowed(guide), pitch, tones), nil
}

// bowed takes the corners of a guide in a bow: each point becomes the mean of
// those around it.
func bowed(guide []spot) []spot {
	const half = int(1.2 * wavePitch / waveStep / 2)
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

// waveInk measures what a wave covers, on even tones.
var waveInk = sync.OnceValue(func() []float64 {
	const side = 45
	across := float64(side)
	table := make([]float64, waveInkLen+1)
	for i := range table {
		tones := newGrid(side, side)
		for k := range tones.at {
			tones.at[k] = float64(i) / waveInkLen
		}
		table[i] = coverage(wave(rowsOf(across, int(across/wavePitch), wavePitch), wavePitch, tones), side)
		if i > 0 {
			table[i] = max(table[i], table[i-1]+1e-6)
		}
	}
	return table
})

// coverage is what share of a square a line covers, away from its edges.
func coverage(line []spot, side int) float64 {
	const rim = 5
	k := &ink{columns: side * perCell, rows: side * perCell, counts: make([]uint16, side*side*perCell*perCell)}
	var runs []run
	for i := range len(line) - 1 {
		a, b := line[i], line[i+1]
		runs = k.cover(runs[:0], int32(a.x*perWidth), int32(a.y*perWidth), int32(b.x*perWidth), int32(b.y*perWidth))
		k.add(runs, 1)
	}
	covered, all := 0, 0
	for y := rim * perCell; y < (side-rim)*perCell; y++ {
		for x := rim * perCell; x < (side-rim)*perCell; x++ {
			all++
			if k.counts[y*k.columns+x] > 0 {
				covered++
			}
		}
	}
	return float64(covered) / float64(all)
}
