package halftone

import (
	"context"
	"math"
	"sort"
	"sync"

	"wend/runtime/elementary"
)

func sine(degrees float64) float64 { return elementary.SinDegrees(degrees) }

// Dots of a density are moved to the middles of the mass that is nearest to
// them, again and again (Lloyd 1982; weighted, Secord 2002), a little farther
// each time than that middle, which comes to the same sooner. Mass is counted in
// pixels, and middles to a fraction of one. In the end dots would lie as densely as
// its root (Gersho 1979), so a light step beside a dark one gets some of the dots
// of that. To weigh the square of the mass keeps them, but costs more likeness in
// small forms than it gains: SSIM 0.95 instead of 0.97 with rings.
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

// seeded lays one dot for each unit of mass. A part of the picture is cut across
// its longer side where it has half its mass, the dots are dealt out to both by
// what they have, and so on until a part is a single pixel. So every tone gets its
// dots, however light it is: errors passed on from pixel to pixel have to add up
// for hundreds of rows before a light tone has its first one. Places are in pixels.
func seeded(mass *grid, c chance) []spot {
	s := &seeds{chance: c, stride: mass.columns + 1}
	s.sums = make([]float64, s.stride*(mass.rows+1))
	for y := range mass.rows {
		row := 0.0
		for x := range mass.columns {
			row += mass.at[y*mass.columns+x]
			s.sums[(y+1)*s.stride+x+1] = s.sums[y*s.stride+x+1] + row
		}
	}
	whole := part{right: mass.columns, high: mass.rows}
	s.deal(whole, int(math.Round(s.mass(whole))))
	return s.dots
}

// seeds are dots that are being dealt out.
type seeds struct {
	chance
	stride int
	sums   []float64 // the mass below and to the left of each corner of a pixel
	dots   []spot
}

// part is a rectangle of pixels, its right and upper ends left out.
type part struct{ left, low, right, high int }

func (s *seeds) mass(p part) float64 {
	return s.sums[p.high*s.stride+p.right] - s.sums[p.high*s.stride+p.left] - s.sums[p.low*s.stride+p.right] + s.sums[p.low*s.stride+p.left]
}

// deal lays so many dots in a part.
func (s *seeds) deal(p part, dots int) {
	if dots == 0 {
		return
	}
	wide, high := p.right-p.left, p.high-p.low
	if wide == 1 && high == 1 {
		for range dots {
			s.dots = append(s.dots, spot{float64(p.left) + s.unit(), float64(p.low) + s.unit()})
		}
		return
	}
	cut := func(at int) (one, other part) {
		one, other = p, p
		if wide >= high {
			one.right, other.left = p.left+at, p.left+at
		} else {
			one.high, other.low = p.low+at, p.low+at
		}
		return one, other
	}
	has := s.mass(p)
	at := 1 + sort.Search(max(wide, high)-2, func(i int) bool {
		one, _ := cut(i + 1)
		return s.mass(one) >= has/2
	})
	one, other := cut(at)
	share := 0.5
	if has > 0 {
		share = min(max(s.mass(one)/has, 0), 1)
	}
	// What is left of a dot goes to the one or the other by chance.
	n := min(int(float64(share*float64(dots))+s.unit()), dots)
	s.deal(one, n)
	s.deal(other, dots-n)
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
