package halftone

import (
	"context"
	"math"
	"sync"

	"wend/runtime/elementary"
)

func sine(degrees float64) float64 { return elementary.SinDegrees(degrees) }

// Dots of a density are moved to the middles of the mass that is nearest to
// them, again and again (Lloyd 1982; weighted, Secord 2002), a little farther
// each time than that middle, which comes to the same sooner. Mass is counted in
// pixels, and middles to a fraction of one.
const (
	perDotCell = 4 // pixels to a line's width
	rounds     = 40
	farther    = 1.5
	// around is how far from a dot its mass is looked for, in mean distances.
	around = 2.2
)

// stipple gives dots of a density: as many to a square of a line's width as its
// cell says.
func stipple(ctx context.Context, density *grid, c chance) ([]spot, error) {
	columns, rows := density.columns*perDotCell, density.rows*perDotCell
	mass := newGrid(columns, rows)
	for y := range rows {
		for x := range columns {
			mass.at[y*columns+x] = density.sample((float64(x)+0.5)/perDotCell, (float64(y)+0.5)/perDotCell) / (perDotCell * perDotCell)
		}
	}
	dots := seeded(mass, c)
	s := &stipples{mass: mass, nearest: make([]float32, len(mass.at)), owner: make([]int32, len(mass.at))}
	for range rounds {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		s.relax(ctx, dots)
	}
	for i := range dots {
		dots[i].x, dots[i].y = dots[i].x/perDotCell, dots[i].y/perDotCell
	}
	return dots, nil
}

// seeded lays one dot for each unit of mass, by passing the rest of it on (Floyd
// and Steinberg 1976), from side to side and back. Places are in pixels.
func seeded(mass *grid, c chance) []spot {
	var dots []spot
	here, below := make([]float64, mass.columns+2), make([]float64, mass.columns+2)
	for i := range here {
		here[i] = c.unit() - 0.5 // or the first dot of a light tone would come late
	}
	for y := range mass.rows {
		for i := range mass.columns {
			x, ahead := i, 1
			if y%2 == 1 {
				x, ahead = mass.columns-1-i, -1
			}
			v := mass.at[y*mass.columns+x] + here[x+1]
			if v > 0.5+float64(0.2*(c.unit()-0.5)) {
				dots = append(dots, spot{float64(x) + c.unit(), float64(y) + c.unit()})
				v--
			}
			here[x+1+ahead] += float64(v * 7 / 16)
			below[x+1-ahead] += float64(v * 3 / 16)
			below[x+1] += float64(v * 5 / 16)
			below[x+1+ahead] += float64(v / 16)
		}
		here, below = below, here
		clear(below)
	}
	return dots
}

type stipples struct {
	mass    *grid
	nearest []float32 // square of the distance to the owner of a pixel
	owner   []int32
	sums    []centre
}

// centre gathers the mass of a dot.
type centre struct{ mass, x, y float64 }

// dotsPerCheck is how many dots are looked at between two looks at the context.
const dotsPerCheck = 1 << 10

// own says of each pixel near a dot which dot is nearest. Halves of the picture
// are worked on at once.
func (s *stipples) own(ctx context.Context, dots []spot) {
	half := s.mass.rows / 2
	var group sync.WaitGroup
	group.Go(func() { s.ownRows(ctx, dots, 0, half) })
	group.Go(func() { s.ownRows(ctx, dots, half, s.mass.rows) })
	group.Wait()
}

// ownRows is own for some of the rows.
func (s *stipples) ownRows(ctx context.Context, dots []spot, first, end int) {
	columns, rows := s.mass.columns, s.mass.rows
	for i := first * columns; i < end*columns; i++ {
		s.owner[i] = -1
	}
	for k, d := range dots {
		if k%dotsPerCheck == 0 && ctx.Err() != nil {
			return
		}
		i := min(max(int(d.y), 0), rows-1)*columns + min(max(int(d.x), 0), columns-1)
		reach := float64(around / math.Sqrt(max(s.mass.at[i], leastMass)))
		for y := max(int(d.y-reach), first); y <= min(int(d.y+reach), end-1); y++ {
			dy := float64(y) + 0.5 - d.y
			for x := max(int(d.x-reach), 0); x <= min(int(d.x+reach), columns-1); x++ {
				dx := float64(x) + 0.5 - d.x
				square := float32(float64(dx*dx) + float64(dy*dy))
				at := y*columns + x
				if s.owner[at] < 0 || square < s.nearest[at] {
					s.owner[at], s.nearest[at] = int32(k), square
				}
			}
		}
	}
}

// leastMass bounds how far a dot in white looks around.
const leastMass = 4e-4

// relax moves each dot to the middle of its mass, and farther.
func (s *stipples) relax(ctx context.Context, dots []spot) {
	s.own(ctx, dots)
	if ctx.Err() != nil {
		return
	}
	if len(s.sums) != len(dots) {
		s.sums = make([]centre, len(dots))
	}
	clear(s.sums)
	columns := s.mass.columns
	for i, k := range s.owner {
		if k < 0 {
			continue
		}
		m := s.mass.at[i]
		sum := &s.sums[k]
		sum.mass += m
		sum.x += float64(m * (float64(i%columns) + 0.5))
		sum.y += float64(m * (float64(i/columns) + 0.5))
	}
	wide, high := float64(columns), float64(s.mass.rows)
	for k := range dots {
		if sum := s.sums[k]; sum.mass > 0 {
			d := &dots[k]
			d.x = min(max(d.x+float64(farther*(sum.x/sum.mass-d.x)), 0), wide)
			d.y = min(max(d.y+float64(farther*(sum.y/sum.mass-d.y)), 0), high)
		}
	}
}
