package halftone

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/weave"
)

// Level lines are those of a land that is as steep as the picture is dark: it
// rises from the picture's lights, and its level lines, one at every width of
// height, lie as close as a tone of lines does. So they go round the lights, as
// the level lines of the tone itself do, and their density is the tone. How high
// a place lies is the least darkness on any way to it from a light (the eikonal
// equation, by sweeps: Zhao 2005).
const (
	landMesh    = 2    // nodes to a line's width
	landSmooth  = 0.3  // deviation, in line widths, that takes its creases off
	lightSpan   = 3.5  // deviation of the blur under which lights are looked for
	lightDepth  = 0.35 // how much darker all is around one, in shares of ink
	flattest    = 1e-3 // slope of white, so that heights stay apart
	levelStep   = 0.4  // line widths between places at which the land is asked
	levelFine   = 0.04 // line widths that a level line may be off
	levelLeast  = 4.0  // line widths of the shortest closed level line
	longestTurn = 6.0  // line widths along the edge from one level line to the next
)

// levelled are level lines joined by the least visible links.
func levelled(ctx context.Context, _ *artist, tones *grid) ([]spot, error) {
	lines, err := levelLines(ctx, tones)
	if err != nil {
		return nil, err
	}
	return woven(ctx, lines)
}

// levelLines are level lines in line widths.
func levelLines(ctx context.Context, tones *grid) ([][]geom.Point, error) {
	land, err := landOf(ctx, tones)
	if err != nil {
		return nil, err
	}
	box := geom.Box{Min: geom.Point{X: 0.5, Y: 0.5}, Max: geom.Point{X: float64(tones.columns) - 0.5, Y: float64(tones.rows) - 0.5}}
	// All levels at once: from one to the next it goes up, or down, from -1 to 1.
	lines, err := geom.Contours(func(p geom.Point) (float64, error) {
		high := land.sample(float64(p.X*landMesh), float64(p.Y*landMesh))
		turn := high - float64(2*math.Floor(high/2))
		return 1 - 2*math.Abs(turn-1), ctx.Err()
	}, box, 0, levelStep, levelFine)
	if err != nil {
		return nil, err
	}
	lines = slices.DeleteFunc(lines, func(line []geom.Point) bool { return geom.Closed(line) && geom.Length(line) < levelLeast })
	return append(lines, turns(lines, box)...), nil
}

// woven is one line of strokes in line widths, with the least visible extra line.
func woven(ctx context.Context, strokes [][]geom.Point) ([]spot, error) {
	one, err := weave.Weave(ctx, strokes, weave.Options{ToleranceMM: 0.5})
	if err != nil {
		return nil, err
	}
	return spotsOf(one.Points), nil
}

// landOf is how high each node lies.
func landOf(ctx context.Context, tones *grid) (*grid, error) {
	land, slope := newGrid(tones.columns*landMesh, tones.rows*landMesh), newGrid(tones.columns*landMesh, tones.rows*landMesh)
	for y := range land.rows {
		for x := range land.columns {
			i := y*land.columns + x
			slope.at[i] = max(tones.sample((float64(x)+0.5)/landMesh, (float64(y)+0.5)/landMesh), flattest) / landMesh
			land.at[i] = math.MaxFloat64
		}
	}
	for _, i := range lights(tones) {
		x, y := i%tones.columns, i/tones.columns
		land.at[y*landMesh*land.columns+x*landMesh] = 0
	}
	for {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !land.sweep(slope) {
			return land.blurred(landSmooth*landMesh, repeated), nil
		}
	}
}

// lights are the lightest cells of those parts of a picture out of which every
// way leads through what is clearly darker before it comes to lighter ones: from
// the lightest cell on, each is joined with its neighbours, and of two parts that
// meet, the less light one ends.
func lights(tones *grid) []int {
	smooth := tones.blurred(lightSpan, repeated)
	order := make([]int, len(smooth.at))
	part := make([]int, len(smooth.at)) // towards the lightest cell of its part, or -1
	for i := range order {
		order[i], part[i] = i, -1
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(smooth.at[a], smooth.at[b]) })
	lightest := func(i int) int {
		for part[i] != i {
			part[i] = part[part[i]]
			i = part[i]
		}
		return i
	}
	var cells []int
	for _, i := range order {
		part[i] = i
		x, y := i%tones.columns, i/tones.columns
		for _, step := range [4]struct{ x, y int }{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
			x, y := x+step.x, y+step.y
			if x < 0 || y < 0 || x >= tones.columns || y >= tones.rows || part[y*tones.columns+x] < 0 {
				continue
			}
			a, b := lightest(i), lightest(y*tones.columns+x)
			if smooth.at[a] < smooth.at[b] {
				a, b = b, a
			}
			if a == b {
				continue
			}
			if smooth.at[i]-smooth.at[a] > lightDepth {
				cells = append(cells, a)
			}
			part[a] = b
		}
	}
	return append(cells, lightest(order[0]))
}

// even is a change of height that counts as none.
const even = 1e-6

// sweep lowers each node to what its neighbours and its slope allow, from all
// four corners in turn. It reports whether any was lowered.
func (g *grid) sweep(slope *grid) (lowered bool) {
	for corner := range 4 {
		for j := range g.rows {
			y := j
			if corner&2 != 0 {
				y = g.rows - 1 - j
			}
			for i := range g.columns {
				x := i
				if corner&1 != 0 {
					x = g.columns - 1 - i
				}
				a, b := min(g.cell(x-1, y), g.cell(x+1, y)), min(g.cell(x, y-1), g.cell(x, y+1))
				k := y*g.columns + x
				f := slope.at[k]
				high := min(a, b) + f
				if d := a - b; math.Abs(d) < f {
					high = (a + b + math.Sqrt(float64(2*f*f)-float64(d*d))) / 2
				}
				if high < g.at[k]-even {
					g.at[k], lowered = high, true
				}
			}
		}
	}
	return lowered
}

// turns lead along the edge of a box from one level line that ends there to the
// next, so that they need not be gone over again: from every second one on,
// whichever half of the turns is shorter.
func turns(lines [][]geom.Point, box geom.Box) [][]geom.Point {
	type end struct {
		at    geom.Point
		along float64
	}
	width, height := box.Width(), box.Height()
	around := 2 * (width + height)
	// along is how far along the edge a point lies, from the lower left.
	along := func(p geom.Point) float64 {
		const near = 1e-6
		switch {
		case p.Y-box.Min.Y < near:
			return p.X - box.Min.X
		case box.Max.X-p.X < near:
			return width + p.Y - box.Min.Y
		case box.Max.Y-p.Y < near:
			return width + height + box.Max.X - p.X
		}
		return around - (p.Y - box.Min.Y)
	}
	var ends []end
	for _, line := range lines {
		if !geom.Closed(line) {
			for _, p := range [2]geom.Point{line[0], line[len(line)-1]} {
				ends = append(ends, end{p, along(p)})
			}
		}
	}
	slices.SortStableFunc(ends, func(a, b end) int { return cmp.Compare(a.along, b.along) })
	corners := [4]end{{geom.Point{X: box.Max.X, Y: box.Min.Y}, width}, {box.Max, width + height}, {geom.Point{X: box.Min.X, Y: box.Max.Y}, 2*width + height}, {box.Min, around}}
	var best [][]geom.Point
	least := math.Inf(1)
	for first := range 2 {
		var half [][]geom.Point
		sum := 0.0
		for i := first; i < len(ends); i += 2 {
			a, b := ends[i], ends[(i+1)%len(ends)]
			if b.along < a.along {
				b.along += around
			}
			sum += b.along - a.along
			if b.along-a.along > longestTurn || a.at == b.at {
				continue
			}
			turn := []geom.Point{a.at}
			for _, c := range corners {
				if a.along < c.along && c.along < b.along {
					turn = append(turn, c.at)
				}
			}
			half = append(half, append(turn, b.at))
		}
		if sum < least {
			best, least = half, sum
		}
	}
	return best
}
