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
// memory), within a band around the best so far. Then each cut and each corner is held against the other line near its
// partner. The costs grow linearly with the lines.
func Deviation(ideal, drawn []geom.Point) (largest, mean float64) {
	if len(ideal) == 0 || len(drawn) == 0 {
		return 0, 0
	}
	a, b, paired := matched(drawn, ideal)
	if paired == nil {
		d := drawn[0].Distance(ideal[0])
		return d, d
	}
	largestA, meanA := a.against(b, paired)
	largestB, meanB := b.against(a, partners(paired, len(b.cuts)))
	return max(largestA, largestB), (meanA + meanB) / 2
}

// Enlarged is a drawn line, cut evenly, with its deviation from the ideal one as
// many times as large, so that it can be seen.
func Enlarged(ideal, drawn []geom.Point, times float64) []geom.Point {
	if len(ideal) == 0 || len(drawn) == 0 {
		return nil
	}
	a, b, paired := matched(drawn, ideal)
	if paired == nil {
		return drawn
	}
	nearest := a.nearest(b, paired)
	line := make([]geom.Point, len(a.cuts))
	for k, p := range a.cuts {
		line[k] = nearest(p, float64(a.pitch*float64(k))).Mix(p, times)
	}
	return line
}

// matched cuts two lines evenly and pairs their cuts; there is no pairing where
// neither has any length.
func matched(drawn, ideal []geom.Point) (a, b *course, paired []span) {
	a, b = newCourse(drawn), newCourse(ideal)
	longer := max(a.total, b.total)
	pitch := max(longer/mostCuts, min(cutMM, longer/leastCuts))
	if pitch == 0 {
		return a, b, nil
	}
	a.cut(pitch)
	b.cut(pitch)
	return a, b, pair(a.cuts, b.cuts)
}

// Cuts are cutMM apart where that makes neither too few nor too many.
const (
	cutMM     = 0.25
	leastCuts = 256
	mostCuts  = 250_000
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
		at := float64(c.pitch * float64(k))
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

// none is the span that holds nothing.
func none() span { return span{math.MaxInt32, 0} }

func (s *span) include(k int) { s.from, s.to = min(s.from, int32(k)), max(s.to, int32(k)) }

// band is how many cuts to each side of the best so far a pairing may go on
// from.
const band = 64

// Ways into a cell of the pairing: from the cuts before on both lines, or with
// the same cut of the second, or of the first, once more.
const (
	onBoth = iota
	onFirst
	onSecond
)

// pair matches the cuts of two lines in order, and gives for each of the first
// those of the second that belong to it. A step on both lines counts twice, so
// that every pairing of the same two stretches has the same weight, and the
// means of pairings of different stretches can be compared: the band follows
// the best.
func pair(a, b []geom.Point) []span {
	const width = 2*band + 1
	ways := make([]uint8, len(a)*width)
	lows := make([]int, len(a))
	var before, row [width]float64
	best := 0
	for i, p := range a {
		low := max(0, min(best-band, len(b)-width))
		shift := 0
		if i > 0 {
			low = max(low, lows[i-1])
			shift = low - lows[i-1]
		}
		lows[i] = low
		least := math.Inf(1)
		for k := range row {
			row[k] = math.Inf(1)
			j := low + k
			if j >= len(b) {
				continue
			}
			apart := p.Sub(b[j])
			square := apart.Dot(apart)
			cost, way := math.Inf(1), onBoth
			if i == 0 && j == 0 {
				cost = 2 * square
			}
			if m := k + shift; i > 0 {
				if m < width {
					cost, way = before[m]+square, onFirst
				}
				if m > 0 && m <= width && before[m-1]+2*square <= cost {
					cost, way = before[m-1]+2*square, onBoth
				}
			}
			if k > 0 && row[k-1]+square < cost {
				cost, way = row[k-1]+square, onSecond
			}
			row[k] = cost
			ways[i*width+k] = uint8(way)
			if mean := cost / float64(i+j+2); mean < least {
				least, best = mean, j
			}
		}
		before = row
	}
	paired := make([]span, len(a))
	for i := range paired {
		paired[i] = none()
	}
	i := len(a) - 1
	j := min(len(b), lows[i]+width) - 1
	// Where the band never got to the end of the second line, the rest belongs
	// to the end of the first.
	paired[i].include(len(b) - 1)
	for {
		paired[i].include(j)
		if i == 0 && j == 0 {
			return paired
		}
		switch ways[i*width+j-lows[i]] {
		case onBoth:
			i, j = i-1, j-1
		case onFirst:
			i--
		default:
			j--
		}
	}
}

// partners turns the pairing round: for each of count cuts of the second line,
// those of the first.
func partners(paired []span, count int) []span {
	back := make([]span, count)
	for j := range back {
		back[j] = none()
	}
	for i, s := range paired {
		for j := s.from; j <= s.to; j++ {
			back[j].include(i)
		}
	}
	return back
}

// around is how many cuts before and after its partners a place is compared
// with.
const around = 2

// nearest gives the place of the other line that is nearest to a place at a
// length of this one, near its partners. The lengths must not fall from call to
// call.
func (c *course) nearest(other *course, partners []span) func(p geom.Point, at float64) geom.Point {
	low := 0 // no piece before is needed any more
	return func(p geom.Point, at float64) geom.Point {
		k, next := 0, 0
		if c.pitch > 0 {
			k = min(len(partners)-1, int(at/c.pitch))
			next = min(len(partners)-1, k+1)
		}
		from := float64(float64(partners[k].from-around) * other.pitch)
		to := float64(partners[next].to+around) * other.pitch
		for low+2 < len(other.points) && other.upTo[low+1] < from {
			low++
		}
		best := other.between(low, max(from, other.upTo[low]))
		away := p.Distance(best)
		for i := low; i+1 < len(other.points) && other.upTo[i] <= to; i++ {
			a, b := other.points[i], other.points[i+1]
			if d := geom.SegmentDistance(a, b, p); d < away {
				best, away = a.Mix(b, geom.NearestOnSegment(a, b, p)), d
			}
		}
		return best
	}
}

// against holds every cut and every corner against the other line.
func (c *course) against(other *course, partners []span) (largest, mean float64) {
	sum := 0.0
	nearest := c.nearest(other, partners)
	for k, p := range c.cuts {
		d := p.Distance(nearest(p, float64(c.pitch*float64(k))))
		sum += d
		largest = max(largest, d)
	}
	nearest = c.nearest(other, partners)
	for i, p := range c.points {
		largest = max(largest, p.Distance(nearest(p, c.upTo[i])))
	}
	return largest, sum / float64(len(c.cuts))
}
