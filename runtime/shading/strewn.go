package shading

import (
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/region"
)

const (
	samplesAcross = 4  // what a point has for itself
	rounds        = 24 // in which points make room for each other
	reach         = 2  // how many cells away a point looks for what is its own
)

// strewn are points of the ground, so far apart, without an order that the eye
// would find: each in the middle of what is nearer to it than to any other (S. P.
// Lloyd, "Least squares quantization in PCM", 1982; from memory).
func (g *ground) strewn(ctx context.Context, apart float64) ([]geom.Point, error) {
	samples, err := g.samples(apart / samplesAcross)
	if err != nil || len(samples) == 0 {
		return nil, err
	}
	box := geom.Bounds(samples)
	columns, lines := math.Floor(box.Width()/apart)+1, math.Floor(box.Height()/apart)+1
	if err := g.work(rounds*len(samples), int(min(float64(columns*lines)+float64(len(samples)), mostRows))); err != nil {
		return nil, err
	}
	c := &cloud{samples: samples, box: box, apart: apart, columns: int(columns), lines: int(lines)}
	c.sort()
	points := c.scattered()
	for range rounds {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c.makeRoom(points)
	}
	c.bringIn(points, g.area())
	return distinct(points), nil
}

// samples are places of the ground in rows, a step apart both ways.
func (g *ground) samples(step float64) ([]geom.Point, error) {
	r, err := rowsOf(g.area(), Options{SpacingMM: step}, g.work)
	if err != nil {
		return nil, err
	}
	var samples []geom.Point
	for _, row := range r.rows {
		if row.level < 0 {
			continue
		}
		from, to := r.crossings[row.ends[left]].at.X, r.crossings[row.ends[right]].at.X
		first := math.Ceil(from/step - 0.5)
		count := min(max(0, math.Floor(to/step-0.5)-first+1), mostRows)
		if err := g.work(int(count), int(count)); err != nil {
			return nil, err
		}
		for k := range int(count) {
			samples = append(samples, geom.Point{X: float64((first + float64(k) + 0.5) * step), Y: row.height})
		}
	}
	return samples, nil
}

// cloud is samples in cells, each as wide as points are apart.
type cloud struct {
	samples        []geom.Point // cell by cell
	first          []int        // of each cell, and the end of the last
	box            geom.Box
	apart          float64
	columns, lines int
}

func (c *cloud) cellOf(p geom.Point) (column, line int) {
	column, line = int((p.X-c.box.Min.X)/c.apart), int((p.Y-c.box.Min.Y)/c.apart)
	return min(max(column, 0), c.columns-1), min(max(line, 0), c.lines-1)
}

// sort puts the samples in their cells.
func (c *cloud) sort() {
	c.first = make([]int, c.columns*c.lines+1)
	place := func(p geom.Point) int {
		column, line := c.cellOf(p)
		return line*c.columns + column
	}
	for _, p := range c.samples {
		c.first[place(p)+1]++
	}
	for i := 1; i < len(c.first); i++ {
		c.first[i] += c.first[i-1]
	}
	next := append([]int(nil), c.first...)
	sorted := make([]geom.Point, len(c.samples))
	for _, p := range c.samples {
		at := place(p)
		sorted[next[at]] = p
		next[at]++
	}
	c.samples = sorted
}

// scattered are points without an order, one for so many samples: to and fro over the
// cells, with what is left over in one passed on to the next.
func (c *cloud) scattered() []geom.Point {
	var points []geom.Point
	owed, which := 0.0, 0.0
	for line := range c.lines {
		for i := range c.columns {
			if line%2 == 1 {
				i = c.columns - 1 - i
			}
			at := line*c.columns + i
			inCell := c.samples[c.first[at]:c.first[at+1]]
			for owed += float64(float64(len(inCell)) / (samplesAcross * samplesAcross)); owed > 0.5 && len(inCell) > 0; owed-- {
				// Steps of the golden section come to all parts of a cell, and never to
				// the same again.
				_, which = math.Modf(which + math.Phi)
				points = append(points, inCell[int(which*float64(len(inCell)))])
			}
		}
	}
	return points
}

// makeRoom puts each point in the middle of the samples that are nearer to it than
// to any other point.
func (c *cloud) makeRoom(points []geom.Point) {
	owner := make([]int, len(c.samples))
	nearest := make([]float64, len(c.samples))
	for i := range nearest {
		nearest[i] = math.Inf(1)
	}
	c.around(points, func(k, i int) {
		if d := square(points[k], c.samples[i]); d < nearest[i] {
			nearest[i], owner[i] = d, k
		}
	})
	sums := make([]geom.Point, len(points))
	count := make([]int, len(points))
	for i, p := range c.samples {
		if nearest[i] < math.Inf(1) {
			sums[owner[i]] = sums[owner[i]].Add(p)
			count[owner[i]]++
		}
	}
	for k := range points {
		if count[k] > 0 {
			points[k] = sums[k].Times(1 / float64(count[k]))
		}
	}
}

// bringIn puts each point that lies outside an area on the sample nearest to it.
func (c *cloud) bringIn(points []geom.Point, area region.Region) {
	var lost []int
	var places []geom.Point
	for k, p := range points {
		if !area.Contains(p) {
			lost, places = append(lost, k), append(places, p)
		}
	}
	nearest := make([]float64, len(lost))
	for i := range nearest {
		nearest[i] = math.Inf(1)
	}
	c.around(places, func(i, sample int) {
		if d := square(places[i], c.samples[sample]); d < nearest[i] {
			nearest[i], points[lost[i]] = d, c.samples[sample]
		}
	})
}

// distinct leaves out points that lie on others.
func distinct(points []geom.Point) []geom.Point {
	known := make(map[geom.Point]bool, len(points))
	return slices.DeleteFunc(points, func(p geom.Point) bool {
		again := known[p]
		known[p] = true
		return again
	})
}

// around calls each with every point and the samples near it.
func (c *cloud) around(points []geom.Point, each func(point, sample int)) {
	for k, p := range points {
		column, line := c.cellOf(p)
		for y := max(line-reach, 0); y <= min(line+reach, c.lines-1); y++ {
			from := c.first[y*c.columns+max(column-reach, 0)]
			to := c.first[y*c.columns+min(column+reach, c.columns-1)+1]
			for i := from; i < to; i++ {
				each(k, i)
			}
		}
	}
}

func square(p, q geom.Point) float64 {
	d := p.Sub(q)
	return float64(d.X*d.X) + float64(d.Y*d.Y)
}
