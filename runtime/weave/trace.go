package weave

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
)

// Trace knows the line that a stylus has drawn so far and finds the least
// visible way over it. It costs nothing until the first way is asked for; then
// it takes in the line, and later whatever has been drawn since, each segment in
// about constant time.
//
// The line belongs to the caller and is handed over with every question: the
// points of the line so far, in drawing order, the last of them where the stylus
// is. It may only have grown since the last question, or been cut with Truncate.
//
// Inside, the line is an arrangement of segments in drawing order. The places
// that matter to a way are its junctions: the vertices where the line does not
// just run on from one segment into the next. From one junction to its
// neighbours along the line it is a step, however many segments lie between,
// because lengths are kept as sums along the line and a bitset finds the next
// segment with a junction on it.
type Trace struct {
	widthMM float64
	drawn   *arrangement // nil before the first question
	points  []mark       // per point of the line taken in, the state after it
	last    int32        // the vertex of the last point taken in

	along      []float64  // per segment, mm of all segments before it
	incidents  []incident // in the order they came about
	first      []int32    // per vertex, the newest incident, or -1
	junctions  []int32    // per segment, how many junctions lie on it
	junctioned bitset     // the segments with junctions
	gaps       []gap      // places where two parts of the line nearly touch
	gapAt      []int32    // per vertex, the newest gap, or -1

	found []nearby // scratch of findGaps
	ways  wayFinder
}

// mark is how much there was at some time.
type mark struct {
	extent
	gaps int32
	last int32
}

// incident says that a segment passes a vertex, at mm from its first end.
type incident struct {
	at      float64
	segment int32
	vertex  int32
	next    int32 // the incident of the vertex before this one, or -1
}

// gap is a place where two parts of the line come so close that new line across
// would not show.
type gap struct {
	ends  [2]int32 // vertices
	next  [2]int32 // the gap of each vertex before this one, or -1
	mm    float64
	along float64 // where on the line it was found
}

// NewTrace begins with no line. The width of the line decides which gaps do not
// show.
func NewTrace(widthMM float64) *Trace { return &Trace{widthMM: widthMM} }

// Truncate makes the trace forget all points of the line but the first n. Cut
// the line before the next question, too.
func (t *Trace) Truncate(n int) {
	if n >= len(t.points) {
		return
	}
	if n == 0 {
		*t = *NewTrace(t.widthMM)
		return
	}
	to := t.points[n-1]
	for i := len(t.gaps) - 1; i >= int(to.gaps); i-- {
		for side, v := range t.gaps[i].ends {
			t.gapAt[v] = t.gaps[i].next[side]
		}
	}
	t.gaps = t.gaps[:to.gaps]
	for i := len(t.incidents) - 1; i >= int(2*to.segments+to.splits); i-- {
		t.removeIncident()
	}
	t.drawn.truncate(to.extent)
	t.along, t.junctions = t.along[:to.segments], t.junctions[:to.segments]
	t.first, t.gapAt = t.first[:to.vertices], t.gapAt[:to.vertices]
	t.points, t.last = t.points[:n], to.last
}

// before reports whether p comes before q in drawing order.
func (p place) before(q place) bool {
	return p.segment < q.segment || p.segment == q.segment && p.at < q.at
}

// takeIn brings the trace up to the line.
func (t *Trace) takeIn(ctx context.Context, line []geom.Point) error {
	from := len(t.points)
	if t.drawn == nil {
		total, box := 0.0, geom.Bounds(line)
		for i := 1; i < len(line); i++ {
			total += line[i].Distance(line[i-1])
		}
		t.drawn = newArrangement(len(line), total, box, t.widthMM, nil)
	}
	for i := from; i < len(line); i++ {
		if (i-from)%strokesPerCheck == strokesPerCheck-1 && ctx.Err() != nil {
			return ctx.Err()
		}
		if i > 0 {
			t.takeInSegment(line[i-1], line[i])
		}
		t.last, _ = t.drawn.vertices.add(line[i])
		t.growVertices()
		t.points = append(t.points, mark{t.drawn.extent(), int32(len(t.gaps)), t.last})
	}
	return nil
}

func (t *Trace) takeInSegment(a, b geom.Point) {
	r := t.drawn
	before := r.extent()
	r.add(a, b)
	t.follow(before)
	for s := before.segments; s < int32(len(r.ends)); s++ {
		t.findGaps(s)
	}
}

// follow notes the incidents of what the arrangement has got since it had an
// extent.
func (t *Trace) follow(before extent) {
	r := t.drawn
	t.growVertices()
	// Splits of the same addition are on older segments only.
	for _, s := range r.log[before.splits:] {
		t.addIncident(s.segment, s.vertex, s.at)
	}
	for s := before.segments; s < int32(len(r.ends)); s++ {
		along := 0.0
		if s > 0 {
			along = t.along[s-1] + t.length(s-1)
		}
		t.along = append(t.along, along)
		t.junctions = append(t.junctions, 0)
		t.addIncident(s, r.ends[s][0], 0)
		t.addIncident(s, r.ends[s][1], t.length(s))
	}
}

func (t *Trace) growVertices() {
	for len(t.first) < len(t.drawn.vertices.points) {
		t.first, t.gapAt = append(t.first, -1), append(t.gapAt, -1)
	}
}

func (t *Trace) length(s int32) float64 {
	a, b := t.drawn.line(s)
	return a.Distance(b)
}

// junction reports whether v is more than a place where one segment runs on into
// the next.
func (t *Trace) junction(v int32) bool {
	i := t.first[v]
	if i < 0 {
		return false
	}
	j := t.incidents[i].next
	if j < 0 || t.incidents[j].next >= 0 {
		return true
	}
	later, earlier := t.incidents[i].segment, t.incidents[j].segment
	ends := t.drawn.ends
	return later != earlier+1 || ends[earlier][1] != v || ends[later][0] != v
}

func (t *Trace) addIncident(s, v int32, at float64) {
	before := t.junction(v)
	t.incidents = append(t.incidents, incident{at, s, v, t.first[v]})
	t.first[v] = int32(len(t.incidents) - 1)
	switch after := t.junction(v); {
	case before && after:
		t.count(s, 1)
	case after:
		t.countAt(v, 1)
	case before:
		t.count(t.incidents[t.incidents[t.first[v]].next].segment, -1)
	}
}

func (t *Trace) removeIncident() {
	i := len(t.incidents) - 1
	s, v := t.incidents[i].segment, t.incidents[i].vertex
	before := t.junction(v)
	t.first[v] = t.incidents[i].next
	switch after := t.junction(v); {
	case before && after:
		t.count(s, -1)
	case before:
		t.first[v] = int32(i)
		t.countAt(v, -1)
		t.first[v] = t.incidents[i].next
	case after:
		t.countAt(v, 1)
	}
	t.incidents = t.incidents[:i]
}

func (t *Trace) countAt(v int32, by int32) {
	for i := t.first[v]; i >= 0; i = t.incidents[i].next {
		t.count(t.incidents[i].segment, by)
	}
}

func (t *Trace) count(s, by int32) {
	before := t.junctions[s]
	t.junctions[s] += by
	if before == 0 {
		t.junctioned.add(int(s))
	} else if t.junctions[s] == 0 {
		t.junctioned.remove(int(s))
	}
}

// place is a place on the line.
type place struct {
	segment int32
	at      float64 // mm from the first end
}

func (t *Trace) mm(p place) float64 { return t.along[p.segment] + p.at }

// ahead is the next junction after a place on the line, in drawing order, and
// where it is. It is not found if the line breaks off at the place itself, which
// is a junction then.
func (t *Trace) ahead(p place) (v int32, to place, found bool) {
	s := p.segment
	for {
		for _, i := range t.drawn.inner(s) {
			if s != p.segment || i.at > p.at {
				return i.vertex, place{s, i.at}, true
			}
		}
		if end, length := t.drawn.ends[s][1], t.length(s); t.junction(end) {
			return end, place{s, length}, s != p.segment || length > p.at
		}
		next := t.junctioned.next(int(s) + 1)
		if next < 0 {
			return -1, place{}, false
		}
		s = int32(next)
	}
}

// behind is the junction before a place on the line, and where it is. It is not
// found if the line does not come from anywhere to the place, a junction then.
func (t *Trace) behind(p place) (v int32, to place, found bool) {
	s := p.segment
	for {
		inner := t.drawn.inner(s)
		for k := len(inner) - 1; k >= 0; k-- {
			if i := inner[k]; s != p.segment || i.at < p.at {
				return i.vertex, place{s, i.at}, true
			}
		}
		if start := t.drawn.ends[s][0]; t.junction(start) {
			return start, place{s, 0}, s != p.segment || p.at > 0
		}
		previous := t.junctioned.previous(int(s) - 1)
		if previous < 0 {
			return -1, place{}, false
		}
		s = int32(previous)
	}
}

// farAlong is how many line widths two places must be apart along the line for a
// gap between them to be a shortcut.
const farAlong = 4

// gapsAtOnce is to how many older parts a place is joined: one on each side.
const gapsAtOnce = 2

// nearby is a place of the newest segment close to an older one.
type nearby struct {
	on, off geom.Point // on the newest, and on the other
	other   int32
	mm      float64
}

// nearestKept is how many places near a segment are looked at, the closest.
const nearestKept = 12

// before orders places by distance, and then so that no two are equal.
func (p nearby) before(q nearby) bool {
	return cmp.Or(cmp.Compare(p.mm, q.mm), cmp.Compare(p.other, q.other),
		cmp.Compare(p.on.X, q.on.X), cmp.Compare(p.on.Y, q.on.Y)) < 0
}

// findGaps notes where the newest segment s comes closer than a line width to
// an older part of the line without meeting it. Along lines that run side by
// side, a gap about every line width will do.
func (t *Trace) findGaps(s int32) {
	if t.widthMM <= geom.SamePoint {
		return
	}
	r := t.drawn
	a, b := r.line(s)
	end := t.along[s] + t.length(s)
	if n := len(t.gaps); n > 0 && math.Abs(end-t.gaps[n-1].along) < t.widthMM {
		return
	}
	box := (&item{from: a, to: b}).box()
	found := t.found[:0]
	r.nearby(a, b, t.widthMM, func(o int32) {
		if o >= s || t.along[s]-t.along[o]-t.length(o) < farAlong*t.widthMM {
			return
		}
		c, d := r.line(o)
		reach := t.widthMM
		if len(found) == nearestKept {
			reach = found[nearestKept-1].mm
		}
		if other := (&item{from: c, to: d}).box(); boxGap(&box, &other) > float64(reach*reach) {
			return
		}
		try := func(on, off geom.Point) {
			f := nearby{on, off, o, on.Distance(off)}
			if f.mm < t.widthMM && (len(found) < nearestKept || f.before(found[nearestKept-1])) && !t.meet(s, o) {
				k, _ := slices.BinarySearchFunc(found, f, func(p, q nearby) int {
					if p.before(q) {
						return -1
					}
					return 1
				})
				found = slices.Insert(found, k, f)[:min(len(found)+1, nearestKept)]
			}
		}
		try(a, nearestOn(a, c, d))
		try(b, nearestOn(b, c, d))
		try(nearestOn(c, a, b), c)
		try(nearestOn(d, a, b), d)
	})
	t.found = found
	var taken []geom.Point
	for _, f := range found {
		around := 0
		for _, p := range taken {
			if p.Distance(f.on) < t.widthMM {
				around++
			}
		}
		if around < gapsAtOnce && !t.gapNear(f.other, f.off) {
			taken = append(taken, f.on)
			t.addGap(s, f, end)
		}
	}
}

// gapNear reports whether there is a gap on a segment within a line width of p.
func (t *Trace) gapNear(segment int32, p geom.Point) bool {
	near := func(v int32) bool { return t.gapAt[v] >= 0 && t.drawn.point(v).Distance(p) < t.widthMM }
	e := t.drawn.ends[segment]
	return near(e[0]) || near(e[1]) ||
		slices.ContainsFunc(t.drawn.inner(segment), func(i split) bool { return near(i.vertex) })
}

func (t *Trace) addGap(s int32, f nearby, along float64) {
	r := t.drawn
	before := r.extent()
	g := gap{mm: f.mm, along: along}
	for side, p := range []geom.Point{f.on, f.off} {
		segment := [2]int32{s, f.other}[side]
		g.ends[side], _ = r.vertices.add(p)
		c, d := r.line(segment)
		at, _ := onSegment(p, c, d)
		r.splitSegment(segment, at, g.ends[side])
	}
	t.follow(before)
	if g.ends[0] == g.ends[1] {
		return
	}
	for side, v := range g.ends {
		g.next[side] = t.gapAt[v]
		t.gapAt[v] = int32(len(t.gaps))
	}
	t.gaps = append(t.gaps, g)
}

// meet reports whether two segments have a vertex in common.
func (t *Trace) meet(s, o int32) bool {
	on := func(v, segment int32) bool {
		for i := t.first[v]; i >= 0; i = t.incidents[i].next {
			if t.incidents[i].segment == segment {
				return true
			}
		}
		return false
	}
	for _, v := range t.drawn.ends[s] {
		if on(v, o) {
			return true
		}
	}
	for _, i := range t.drawn.inner(s) {
		if on(i.vertex, o) {
			return true
		}
	}
	return false
}
