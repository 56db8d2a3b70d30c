package weave

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
)

const (
	// leastGain is what share of the two links a branch point must save. Below
	// that a third arm, which adds odd vertices, is not worth it.
	leastGain = 0.005
	// leastGainMM is the least it must save at all: less cannot be seen.
	leastGainMM = 0.01
	// branchRounds bounds how often new branches give rise to others.
	branchRounds = 8
	// neighbourLinks is with how many other links at the same part each is tried.
	neighbourLinks = 16
	// mostBranched is up to how many parts all kinds of drawings have branch
	// points. Among so many strokes they save half a percent of the links and
	// take a third of the time; among dots they save several times that.
	mostBranched = 4000
	// settleSweeps bounds the common adjustment of all branch points, which
	// converges geometrically.
	settleSweeps = 60
)

// tripod is a possible replacement of two links at one part by three that meet
// in the open.
type tripod struct {
	gain   float64
	links  [2]int
	middle geom.Point
	arms   [3]link // from the middle
}

// branch replaces pairs of links by three that meet at 120 degrees in the open,
// where that saves visible line (the iterated 1-Steiner heuristic of A. B. Kahng
// and G. Robins, IEEE Trans. CAD 11, 1992, restricted to pairs that share a
// part), and then moves all such points to the best place together.
//
// Of many parts, this is only done where most are dots.
func (w *network) branch() {
	if w.parts.count > mostBranched && 2*w.parts.dots() < w.parts.count {
		return
	}
	for range branchRounds {
		found := w.tripods()
		if len(found) == 0 {
			break
		}
		gone := make([]bool, len(w.links))
		for _, t := range found {
			if gone[t.links[0]] || gone[t.links[1]] {
				continue
			}
			gone[t.links[0]], gone[t.links[1]] = true, true
			part := int32(w.parts.count + len(w.branches))
			w.branches = append(w.branches, t.middle)
			for _, arm := range t.arms {
				arm.parts[0] = part
				w.links = append(w.links, arm)
			}
		}
		kept := w.links[:0]
		for i, l := range w.links {
			if i >= len(gone) || !gone[i] {
				kept = append(kept, l)
			}
		}
		w.links = kept
		w.settle()
	}
}

// tripods lists the replacements that pay, the best first.
func (w *network) tripods() []tripod {
	var found []tripod
	for part, links := range w.linksAt() {
		if len(links) < 2 {
			continue
		}
		near := func(i int) geom.Point {
			if w.links[i].parts[0] == int32(part) {
				return w.links[i].from
			}
			return w.links[i].to
		}
		slices.SortFunc(links, func(i, j int) int {
			return cmp.Or(cmp.Compare(near(i).X, near(j).X), cmp.Compare(near(i).Y, near(j).Y), i-j)
		})
		for k, i := range links {
			for _, j := range links[k+1 : min(len(links), k+1+neighbourLinks)] {
				shorter := math.Min(w.links[i].length(), w.links[j].length())
				if near(i).Distance(near(j)) >= shorter {
					continue
				}
				if t := w.tripod(int32(part), i, j); t.gain > 0 {
					found = append(found, t)
				}
			}
		}
	}
	slices.SortFunc(found, func(s, t tripod) int {
		return cmp.Or(cmp.Compare(t.gain, s.gain), s.links[0]-t.links[0], s.links[1]-t.links[1])
	})
	return found
}

// tripod is the replacement of links i and j, which share a part. Its gain is 0
// if it does not pay.
func (w *network) tripod(part int32, i, j int) tripod {
	t := tripod{links: [2]int{min(i, j), max(i, j)}}
	far := func(i int) (geom.Point, int32) {
		if l := w.links[i]; l.parts[0] == part {
			return l.to, l.parts[1]
		} else {
			return l.from, l.parts[0]
		}
	}
	a, partA := far(i)
	c, partC := far(j)
	b := w.links[i].from
	if w.links[i].parts[0] != part {
		b = w.links[i].to
	}
	for range 12 {
		t.middle = fermatPoint(a, b, c)
		nearer, found := w.nearestOnPart(t.middle, part, t.middle.Distance(b))
		if !found || nearer.Distance(b) <= geom.SamePoint {
			break
		}
		b = nearer
	}
	before := w.links[i].length() + w.links[j].length()
	after := t.middle.Distance(a) + t.middle.Distance(b) + t.middle.Distance(c)
	if gain := before - after; gain > leastGainMM && gain > leastGain*before {
		t.gain = gain
		t.arms = [3]link{
			{t.middle, a, [2]int32{-1, partA}},
			{t.middle, b, [2]int32{-1, part}},
			{t.middle, c, [2]int32{-1, partC}},
		}
	}
	return t
}

// settle moves every branch point to the point with the least sum of distances
// to the three ends of its arms, and these to the nearest places of their
// parts, until nothing moves any more.
func (w *network) settle() {
	at := w.linksAt()
	for range settleSweeps {
		moved := 0.0
		for k := range w.branches {
			part := int32(w.parts.count + k)
			if len(at[part]) != 3 {
				continue
			}
			var ends [3]geom.Point
			for n, i := range at[part] {
				l := &w.links[i]
				other := l.parts[0] + l.parts[1] - part
				if l.parts[0] != part {
					l.from, l.to, l.parts[0], l.parts[1] = l.to, l.from, part, other
				}
				if nearer, found := w.nearestOnPart(l.from, other, l.length()); found {
					l.to = nearer
				}
				ends[n] = l.to
			}
			middle := fermatPoint(ends[0], ends[1], ends[2])
			moved = math.Max(moved, middle.Distance(w.branches[k]))
			w.branches[k] = middle
			for _, i := range at[part] {
				w.links[i].from = middle
			}
		}
		if moved <= geom.SamePoint {
			break
		}
	}
	for i := range w.links {
		l := &w.links[i]
		for side, p := range []*geom.Point{&l.from, &l.to} {
			if k := int(l.parts[side]) - w.parts.count; k >= 0 {
				*p = w.branches[k]
			}
		}
	}
}

// fermatPoint is the point with the least sum of distances to three others: a
// corner with an angle of 120 degrees or more, else the point that sees them
// 120 degrees apart (barycentric weights a sec(A - 30 degrees), C. Kimberling,
// Encyclopedia of Triangle Centers, X(13)).
func fermatPoint(a, b, c geom.Point) geom.Point {
	ab, bc, ca := b.Sub(a), c.Sub(b), a.Sub(c)
	area := math.Abs(ab.Cross(ca)) / 2
	squares := [3]float64{bc.Dot(bc), ca.Dot(ca), ab.Dot(ab)}
	corners := [3]geom.Point{a, b, c}
	const rootThreeQuarter = 0.4330127018922193 // the square root of 3, over 4
	var weights [3]float64
	sum := 0.0
	for i := range corners {
		p, q, r := squares[i], squares[(i+1)%3], squares[(i+2)%3]
		// The angle at corner i has the cosine (q+r-p) / 2 sqrt(qr).
		obtuse := p - q - r
		if obtuse >= 0 && float64(obtuse*obtuse) >= float64(q*r) {
			return corners[i]
		}
		weights[i] = 1 / (float64(rootThreeQuarter*(q+r-p)) + area)
		sum += weights[i]
	}
	var p geom.Point
	for i, corner := range corners {
		p = p.Add(corner.Times(weights[i] / sum))
	}
	return p
}
