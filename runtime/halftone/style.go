package halftone

import (
	"context"
	"math"

	"wend/runtime/geom"
	"wend/runtime/tour"
)

// style is a way for the line of a picture to run.
type style struct {
	name string
	// how is how the line runs, in words that go on from its name.
	how string
	// draw gives the line for tones, in line widths from the lower left; nil for
	// the one that evolves from a walk.
	draw func(ctx context.Context, a *artist, tones *grid) ([]spot, error)
	// crosses says that the line goes over itself.
	crosses bool
}

// styles are all there are, the usual one first.
var styles = []style{
	{name: "evolved", how: "along the forms like an engraving, never meeting itself"},
	{name: "tour", how: "a short way through dots that lie as densely as the picture is dark", draw: stippled},
	{name: "coil", how: "round and round inward, in waves as tight as it is dark", draw: coiled},
	{name: "furrows", how: "in rows to and fro, in waves as tight as it is dark", draw: furrowed},
	{name: "levels", how: "the level lines of a land that is as steep as the picture is dark", draw: levelled},
	{name: "outlined", how: "the outline of what is to be seen, over level lines", draw: outlined, crosses: true},
	{name: "strokes", how: "quick strokes over one another along the forms", draw: walkedAlone, crosses: true},
}

// Style is a way for the line of a picture to run: its name, and how that is in
// words that go on from the name.
type Style struct{ Name, How string }

// Styles are all there are, the usual one first.
func Styles() []Style {
	all := make([]Style, len(styles))
	for i, s := range styles {
		all[i] = Style{s.name, s.how}
	}
	return all
}

func styleNamed(name string) *style {
	for i := range styles {
		if styles[i].name == name {
			return &styles[i]
		}
	}
	return &styles[0]
}

// asked are the shares to ask for so that tones come out right, by what share of
// paper is covered where 0, 1/n, 2/n … 1 is asked for all over.
func asked(tones *grid, covered []float64) *grid {
	n := len(covered) - 1
	ask := newGrid(tones.columns, tones.rows)
	for i, v := range tones.at {
		k := 0
		for k < n && covered[k+1] < v {
			k++
		}
		switch {
		case k == n:
			ask.at[i] = 1
		case v > covered[k]:
			ask.at[i] = (float64(k) + (v-covered[k])/(covered[k+1]-covered[k])) / float64(n)
		default:
			ask.at[i] = float64(k) / float64(n)
		}
	}
	return ask
}

// build draws the picture in a style that is built, with as much ink as comes
// nearest to the goal.
func (a *artist) build(ctx context.Context, s *style) ([]spot, error) {
	a.aimed = a.natural
	var best []spot
	aimed := a.aimed // of the best
	// What is known of the ink that comes to too little, and to too much.
	low, high := 0.0, a.natural
	for try := range builds {
		if try < settled {
			a.apart = min(max(1/(guideShare*a.aimed), closest), farthest)
		}
		line, err := s.draw(ctx, a, a.tones(a.aimed))
		if err != nil || a.options.Goal <= 0 {
			return line, err
		}
		comes, err := a.options.Measure(ctx, a.scaled(line))
		if err != nil {
			return nil, err
		}
		off := a.options.Goal/comes - 1
		if best == nil || math.Abs(off) < math.Abs(a.options.Goal/a.measured-1) {
			best, aimed, a.measured = line, a.aimed, comes
		}
		if math.Abs(off) < near || off > 0 && a.aimed >= a.natural {
			break
		}
		if off > 0 {
			low = a.aimed
		} else {
			high = a.aimed
		}
		next := float64(a.aimed * min(max(1+off, 0.3), 2))
		if try >= settled && !(low < next && next < high) {
			next = (low + high) / 2
		}
		a.aimed = min(a.natural, next)
		if a.options.Progress != nil {
			a.options.Progress(try+1, builds)
		}
	}
	a.aimed = aimed
	return best, nil
}

const (
	builds  = 14
	settled = 5 // builds after which stretches of a guide lie no farther apart
)

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

// inOrder is a line through points.
func inOrder(points []geom.Point, order []int) []spot {
	line := make([]spot, len(order))
	for i, k := range order {
		line[i] = spot{points[k].X, points[k].Y}
	}
	return line
}

// spotsOf is a line of points.
func spotsOf(points []geom.Point) []spot {
	line := make([]spot, len(points))
	for i, p := range points {
		line[i] = spot{p.X, p.Y}
	}
	return line
}

// walkedAlone is the walk and nothing else.
func walkedAlone(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	line, err := walk(ctx, tones, a.flow, float64(len(tones.at))*tones.mean()*strokesShare, false, newChance(a.options.Seed, 100))
	if err != nil {
		return nil, err
	}
	return rounded(line), nil
}

// strokesShare is how much line it has: its strokes lie over one another in
// the darks, and need not fill the lights.
const strokesShare = 0.8

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
	for i, v := range asked(tones, tourInk[:]).at {
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
	return inOrder(points, order), nil
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
// the mean of several seeds on even tones, 9 line widths away from the edges.
var tourInk = [9]float64{0, 0.1432, 0.2783, 0.4113, 0.5405, 0.6671, 0.7902, 0.9015, 0.9703}

// raw is a line as places, wherever they lie.
func raw(line []spot) []point {
	points := make([]point, len(line))
	for i, s := range line {
		points[i] = point{int32(s.x * perWidth), int32(s.y * perWidth)}
	}
	return points
}
