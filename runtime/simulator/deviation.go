package simulator

import (
	"math"

	"wend/runtime/geom"
)

// Deviation is how far a drawn line is from the ideal one, in mm, each place
// compared with the place that belongs to it along the other line, so that a
// neighbouring piece of line which happens to be nearer does not count. The
// largest is over both lines, the mean is per length, half from each side. One
// empty line has no deviation.
//
// Both lines are cut evenly, and the cuts are paired in order with the least
// sum of squared distances (dynamic time warping: Sakoe & Chiba, 1978; from
// memory), within a band of a fixed number of cuts around the best so far.
// Then each cut and each corner is held against the other line near its
// partner. The costs grow linearly with the lines.
func Deviation(ideal, drawn []geom.Point) (largest, mean float64) {
	if len(ideal) == 0 || len(drawn) == 0 {
		return 0, 0
	}
	a, b := newCourse(drawn), newCourse(ideal)
	longer := max(a.total, b.total)
	pitch := max(longer/mostCuts, min(cutMM, longer/leastCuts))
	if pitch == 0 {
		d := drawn[0].Distance(ideal[0])
		return d, d
	}
	a.cut(pitch)
	b.cut(pitch)
	fromA, fromB := pair(a.cuts, b.cuts)
	largestA, meanA := a.against(b, fromA)
	largestB, meanB := b.against(a, fromB)
	return max(largestA, largestB), (meanA + meanB) / 2
}

// Cuts are cutMM apart where that makes neither too few nor too many; the band
// reaches so many cuts to each side.
const (
	cutMM     = 0.25
	leastCuts = 256
	mostCuts  = 500_000
	band      = 24
)

// course is a line by its length.
type course struct {
	points []geom.Point
	upTo   []float64
	total  float64
	pitch  float64
	cuts   []geom.Point // pitch apart, both ends included
}

func newCourse(points []geom.Point) *course {
	c := &course{points: points, upTo: make([]float64, len(points))}
	for i := 1; i < len(points); i++ {
		c.total += points[i-1].Distance(points[i])
		c.upTo[i] = c.total
	}
	return c
}

func (c *course) cut(pitch float64) {
	count := max(1, int(math.Round(c.total/pitch)))
	c.pitch = c.total / float64(count)
	c.cuts = make([]geom.Point, count+1)
	i := 0
	for k := range c.cuts {
		at := c.pitch * float64(k)
		for i+2 < len(c.points) && c.upTo[i+1] < at {
			i++
		}
		c.cuts[k] = c.between(i, at)
	}
}

// between is the place at a length on the piece after point i.
func (c *course) between(i int, at float64) geom.Point {
	if i+1 >= len(c.points) || c.upTo[i+1] == c.upTo[i] {
		return c.points[i]
	}
	t := (at - c.upTo[i]) / (c.upTo[i+1] - c.upTo[i])
	return c.points[i].Mix(c.points[i+1], max(0, min(1, t)))
}

// span is a range of cuts, both included.
type span struct{ from, to int32 }

func (s *span) include(k int) { s.from, s.to = min(s.from, int32(k)), max(s.to, int32(k)) }

// Ways into a cell of the pairing.
const (
	both = iota
	first
	second
)

// pair matches the cuts of two lines in order, and gives for each the cuts of
// the other line that belong to it.
func pair(a, b []geom.Point) (fromA, fromB []span) {
	const width = 2*band + 1
	ways := make([]uint8, len(a)*width)
	lows := make([]int, len(a))
	var before, row [width]float64
	best := 0
	for i, p := range a {
		low := max(0, min(best-band, len(b)-width))
		if i > 0 {
			low = max(low, lows[i-1])
		}
		lows[i] = low
		least := math.Inf(1)
		for k := range width {
			row[k] = math.Inf(1)
			j := low + k
			if j >= len(b) {
				continue
			}
			cost, way := math.Inf(1), both
			if i == 0 && j == 0 {
				cost = 0
			}
			if i > 0 {
				m := j - lows[i-1]
				if m >= 1 && m-1 < width && before[m-1] < cost {
					cost, way = before[m-1], both
				}
				if m < width && before[m] < cost {
					cost, way = before[m], first
				}
			}
			if k > 0 && row[k-1] < cost {
				cost, way = row[k-1], second
			}
			apart := p.Sub(b[j])
			row[k] = cost + apart.Dot(apart)
			ways[i*width+k] = uint8(way)
			if row[k] < least {
				least, best = row[k], j
			}
		}
		before = row
	}
	fromA, fromB = make([]span, len(a)), make([]span, len(b))
	for i := range fromA {
		fromA[i] = span{math.MaxInt32, 0}
	}
	for j := range fromB {
		fromB[j] = span{math.MaxInt32, 0}
	}
	i := len(a) - 1
	j := min(len(b), lows[i]+width) - 1
	if j < len(b)-1 {
		// The pairing never got to the end of b: its rest belongs to the end of a.
		for rest := j + 1; rest < len(b); rest++ {
			fromA[i].include(rest)
			fromB[rest].include(i)
		}
	}
	for {
		fromA[i].include(j)
		fromB[j].include(i)
		if i == 0 && j == 0 {
			return fromA, fromB
		}
		switch ways[i*width+j-lows[i]] {
		case both:
			i, j = i-1, j-1
		case first:
			i--
		default:
			j--
		}
	}
}

// around is how many cuts before and after its partners a place is compared
// with.
const around = 2

// against holds every cut and every corner against the other line.
func (c *course) against(other *course, partners []span) (largest, mean float64) {
	low := 0 // no piece before is needed any more
	distance := func(p geom.Point, at float64) float64 {
		k, next := 0, 0
		if c.pitch > 0 {
			k = min(len(partners)-1, int(at/c.pitch))
			next = min(len(partners)-1, k+1)
		}
		from := float64(partners[k].from-around) * other.pitch
		to := float64(partners[next].to+around) * other.pitch
		for low+2 < len(other.points) && other.upTo[low+1] < from {
			low++
		}
		nearest := p.Distance(other.between(low, max(from, other.upTo[low])))
		for i := low; i+1 < len(other.points) && other.upTo[i] <= to; i++ {
			nearest = min(nearest, distanceToPiece(p, other.points[i], other.points[i+1]))
		}
		return nearest
	}
	sum := 0.0
	for k, p := range c.cuts {
		d := distance(p, c.pitch*float64(k))
		sum += d
		largest = max(largest, d)
	}
	low = 0
	for i, p := range c.points {
		largest = max(largest, distance(p, c.upTo[i]))
	}
	return largest, sum / float64(len(c.cuts))
}

func distanceToPiece(p, a, b geom.Point) float64 {
	way := b.Sub(a)
	square := way.Dot(way)
	if square == 0 {
		return p.Distance(a)
	}
	t := max(0, min(1, p.Sub(a).Dot(way)/square))
	return p.Distance(a.Mix(b, t))
}
