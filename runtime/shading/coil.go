package shading

import (
	"cmp"
	"context"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/region"
)

// A coil follows the border, turn within turn. Where each turn holds one other,
// as in a disc or a leaf, it is a spiral: every turn goes over into the next all
// along its way. Else the turns are closed lines, joined where two of them run
// side by side: both are opened there and the four ends joined crosswise, which
// adds no more than it takes away. Joined as a tree they are one closed line
// (for the idea of double spirals see H. Zhao et al., "Connected Fermat spirals
// for layered fabrication", ACM Transactions on Graphics 35(4), 2016; from
// memory).

// Coil covers an area with a line that follows its border. There is no line if
// the area is empty.
func Coil(ctx context.Context, area region.Region, o Options, work region.Work) (Line, error) {
	within, err := inner(area, o, work)
	if err != nil || len(within) == 0 {
		return Line{}, err
	}
	t := &turns{spacing: o.SpacingMM}
	if !o.Border {
		// Half a spacing within, so that it is no darker along the border than
		// elsewhere, and two fills side by side have no seam.
		if within, err = t.addThin(within, (o.SpacingMM-o.LineWidthMM)/2, o, work); err != nil {
			return Line{}, err
		}
	}
	if err := t.addTurns(ctx, within, o, work); err != nil {
		return Line{}, err
	}
	strokes := t.lines(o.Border)
	if len(strokes) == 1 {
		return Line{strokes[0], make([]plan.Role, len(strokes[0])-1)}, nil
	}
	return woven(ctx, strokes, work)
}

// turn is one closed line of a coil.
type turn struct {
	geom.Runs
	upTo  []float64
	level int  // how often the area was shrunk
	led   bool // along the middle of narrow parts
	box   geom.Box
	gates []gate
}

// gate is where a turn is opened: forward from one place to another, in mm along
// it.
type gate struct {
	id       int // of both gates of two turns
	from, to float64
	// other is the turn that it leads to, and ends are the places there that the
	// two ends are joined to.
	other int
	ends  [2]float64
}

type turns struct {
	spacing float64
	all     []turn
	count   int // of gates
}

// finerArcs is how much finer than the tolerance arcs are made, since those
// around a corner grow from turn to turn.
const finerArcs = 10

// addThin shrinks an area by mm. Parts of it that are too thin for that get a turn
// along their middle.
func (t *turns) addThin(area region.Region, mm float64, o Options, work region.Work) (region.Region, error) {
	within, err := region.Offset(area, -mm, o.ToleranceMM/finerArcs, region.Round, work)
	if err != nil {
		return nil, err
	}
	covered, err := region.Offset(within, float64(1.01*mm)+o.ToleranceMM, o.ToleranceMM, region.Round, work)
	if err != nil {
		return nil, err
	}
	left, err := region.Difference([]region.Region{area, covered}, work)
	if err != nil {
		return nil, err
	}
	for _, line := range left {
		// The tips of corners are no parts.
		if box := geom.Bounds(line.Points); len(within) > 0 && box.Min.Distance(box.Max) < float64(3*t.spacing) {
			continue
		}
		if err := t.add(region.Region{line}, 0, t.spacing, work); err != nil {
			return nil, err
		}
	}
	return within, nil
}

// addTurns adds the turns of an area: its border and, a spacing within each, the
// next.
func (t *turns) addTurns(ctx context.Context, area region.Region, o Options, work region.Work) error {
	for level := 0; len(area) > 0; level++ {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := t.add(area, level, max(o.SpacingMM/2, o.LineWidthMM), work); err != nil {
			return err
		}
		var err error
		if area, err = region.Offset(area, -o.SpacingMM, o.ToleranceMM/finerArcs, region.Round, work); err != nil {
			return err
		}
	}
	return nil
}

// add adds the lines of an area as turns, led along its middle where it is narrower
// than a limit.
func (t *turns) add(area region.Region, level int, limit float64, work region.Work) error {
	lines, err := narrow(area, limit, work)
	if err != nil {
		return err
	}
	for i, line := range lines {
		if len(line.Points) < 2 {
			continue
		}
		led := &line.Points[0] != &area[i].Points[0]
		m := turn{Runs: line, level: level, led: led, box: geom.Bounds(line.Points), upTo: make([]float64, len(line.Points))}
		for i := 1; i < len(line.Points); i++ {
			m.upTo[i] = m.upTo[i-1] + line.Points[i].Distance(line.Points[i-1])
		}
		t.all = append(t.all, m)
		// A spiral has places no farther apart than the turns.
		if steps := int(min(m.length()/t.spacing, mostRows)); steps > 0 {
			if err := work(steps, steps); err != nil {
				return err
			}
		}
	}
	return nil
}

func (m *turn) length() float64 { return m.upTo[len(m.upTo)-1] }

// normal brings a place along the turn into its length.
func (m *turn) normal(mm float64) float64 {
	mm = math.Mod(mm, m.length())
	if mm < 0 {
		mm += m.length()
	}
	return mm
}

func (m *turn) at(mm float64) geom.Point {
	mm = m.normal(mm)
	i, exact := slices.BinarySearch(m.upTo, mm)
	if exact {
		return m.Points[i]
	}
	return m.Points[i-1].Mix(m.Points[i], (mm-m.upTo[i-1])/(m.upTo[i]-m.upTo[i-1]))
}

// nearest is the place along the turn nearest to p, and its distance if that is
// below a limit.
func (m *turn) nearest(p geom.Point, limit float64) (mm, distance float64, ok bool) {
	distance = limit
	wanted := func(box geom.Box, _, _ int) bool {
		dx, dy := max(box.Min.X-p.X, p.X-box.Max.X, 0), max(box.Min.Y-p.Y, p.Y-box.Max.Y, 0)
		return float64(dx*dx)+float64(dy*dy) < float64(distance*distance)
	}
	m.Visit(wanted, func(i int) {
		a, b := m.Points[i], m.Points[i+1]
		share := geom.NearestOnSegment(a, b, p)
		if d := a.Mix(b, share).Distance(p); d < distance {
			distance, ok = d, true
			mm = m.upTo[i] + float64(share*(m.upTo[i+1]-m.upTo[i]))
		}
	})
	return mm, distance, ok
}

// sets are things joined to sets.
type sets []int

func newSets(count int) sets {
	s := make(sets, count)
	for i := range s {
		s[i] = i
	}
	return s
}

func (s sets) of(i int) int {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// join makes one set of those of two things and reports whether they were two.
func (s sets) join(i, j int) bool {
	i, j = s.of(i), s.of(j)
	s[max(i, j)] = min(i, j)
	return i != j
}

// lines are the lines through the parts of the area.
func (t *turns) lines(border bool) [][]geom.Point {
	near := t.pairs()
	slices.SortStableFunc(near, func(p, q pair) int { return cmp.Compare(p.distance, q.distance) })
	parts := newSets(len(t.all))
	for _, p := range near {
		parts.join(p.a, p.b)
	}
	members := make([][]int, len(t.all))
	for i := range t.all {
		part := parts.of(i)
		members[part] = append(members[part], i)
	}
	spirals := make([][]geom.Point, len(t.all))
	for part, turns := range members {
		if len(turns) > 0 {
			spirals[part] = t.spiral(turns, border)
		}
	}
	joined := newSets(len(t.all))
	for _, p := range near {
		if spirals[parts.of(p.a)] == nil && joined.join(p.a, p.b) {
			t.open(p)
		}
	}
	var lines [][]geom.Point
	for part, turns := range members {
		switch {
		case spirals[part] != nil:
			lines = append(lines, spirals[part])
		case len(turns) > 0:
			lines = append(lines, t.walk(part))
		}
	}
	return lines
}

// farthest is how far, in spacings, a corner of a turn may be from the next turn
// within: as it is with an angle of 30 degrees.
const farthest = 4

// fewestOfSpiral is how many turns a spiral has at the least: its first one goes
// away from the border, and its last one comes close to the one before, which shows
// where they are few.
const fewestOfSpiral = 5

// spiral is one line through turns of which each holds the next, or nil if that
// is not how they are.
func (t *turns) spiral(turns []int, border bool) []geom.Point {
	if len(turns) < fewestOfSpiral {
		return nil
	}
	for i, m := range turns {
		if t.all[m].level != i || t.all[m].led && i+1 < len(turns) {
			return nil
		}
	}
	first := &t.all[turns[0]]
	place := first.restful()
	var line []geom.Point
	if border {
		for _, mm := range first.places(place, t.spacing) {
			line = append(line, first.at(mm))
		}
	}
	for i := 0; i+1 < len(turns); i++ {
		m, next := &t.all[turns[i]], &t.all[turns[i+1]]
		for k, mm := range m.places(place, t.spacing) {
			onNext, far, ok := next.nearest(m.at(mm), farthest*t.spacing)
			if !ok || far > farthest*t.spacing {
				return nil // the next turn is not beside this one all the way
			}
			p := m.at(mm).Mix(next.at(onNext), (mm-place)/m.length())
			if k > 0 && p.Distance(line[len(line)-1]) > 3*t.spacing {
				return nil // it is beside it on two sides
			}
			line = append(line, p)
		}
		place, _, _ = next.nearest(m.at(place), math.Inf(1))
	}
	last := &t.all[turns[len(turns)-1]]
	for _, mm := range last.places(place, t.spacing) {
		line = append(line, last.at(mm))
	}
	return geom.WithoutRepeats(line)
}

// restful is the middle of the longest straight piece, where a beginning shows
// least.
func (m *turn) restful() float64 {
	longest := 1
	for i := 2; i < len(m.upTo); i++ {
		if m.upTo[i]-m.upTo[i-1] > m.upTo[longest]-m.upTo[longest-1]+geom.SamePoint {
			longest = i
		}
	}
	return (m.upTo[longest-1] + m.upTo[longest]) / 2
}

// places are the vertices of the turn from a place on, once around, and places
// between them no farther apart than a step; both ends are among them.
func (m *turn) places(from, step float64) []float64 {
	marks := []float64{from}
	first, _ := slices.BinarySearch(m.upTo, from)
	add := func(to float64) {
		last := marks[len(marks)-1]
		n := math.Ceil((to - last) / step)
		for i := 1.0; i < n; i++ {
			marks = append(marks, last+float64((to-last)*i)/n)
		}
		if to > last {
			marks = append(marks, to)
		}
	}
	for k := range len(m.upTo) - 1 {
		i := first + k
		lap := 0.0
		if i >= len(m.upTo) {
			i, lap = i-len(m.upTo)+1, m.length()
		}
		if mm := m.upTo[i] + lap; mm > from && mm < from+m.length() {
			add(mm)
		}
	}
	add(from + m.length())
	return marks
}

// pair is two turns side by side.
type pair struct {
	a, b     int
	distance float64 // where they are nearest
	place    float64 // there, along a
}

// pairs are the turns that are no more than two spacings apart, of one level or
// neighbouring ones.
func (t *turns) pairs() []pair {
	var near []pair
	limit := float64(2.1 * t.spacing)
	for a := range t.all {
		for b := a + 1; b < len(t.all); b++ {
			m, n := &t.all[a], &t.all[b]
			if n.level > m.level+1 {
				break
			}
			reach := m.box.Grow(limit)
			if n.box.Min.X > reach.Max.X || n.box.Max.X < reach.Min.X || n.box.Min.Y > reach.Max.Y || n.box.Max.Y < reach.Min.Y {
				continue
			}
			best := pair{a: a, b: b, distance: limit}
			found := false
			for _, p := range n.Points {
				if mm, d, ok := m.nearest(p, best.distance-1e-9); ok {
					best.distance, best.place, found = d, mm, true
				}
			}
			if found {
				near = append(near, best)
			}
		}
	}
	return near
}

// open makes the gates between two turns: where they run side by side, next to
// where the first of them is open already.
func (t *turns) open(p pair) {
	a, b := &t.all[p.a], &t.all[p.b]
	begin := p.place
	if len(a.gates) > 0 {
		begin = a.gates[len(a.gates)-1].to
	}
	const width = 1.0 // spacings
	step := t.spacing / 4
	for k := 0.0; k*step < a.length(); k++ {
		from := a.normal(begin + float64((k+1)*step))
		if t.gateAt(p, from, width*t.spacing) {
			return
		}
	}
	// There is no room: one way in and out.
	for k := 0.0; k*step < a.length(); k++ {
		from := a.normal(p.place + float64(k*step))
		onB, d, ok := b.nearest(a.at(from), p.distance*1.3)
		if ok && d <= p.distance*1.3 && a.isFree(from, from) && b.isFree(onB, onB) {
			t.addGate(p, from, from, onB, onB, true)
			return
		}
	}
	onB, _, _ := b.nearest(a.at(p.place), math.Inf(1))
	t.addGate(p, p.place, p.place, onB, onB, true)
}

// gateAt makes a gate if the turns run side by side there and are not open yet.
func (t *turns) gateAt(p pair, from, width float64) bool {
	a, b := &t.all[p.a], &t.all[p.b]
	if 3*width > a.length() || 3*width > b.length() {
		return false
	}
	to := from + width
	var ends [3]float64
	for i := range ends {
		mm, _, ok := b.nearest(a.at(from+float64(float64(width*float64(i))/2)), p.distance*1.1)
		if !ok {
			return false
		}
		ends[i] = mm
	}
	forward := b.normal(ends[2] - ends[0])
	same := forward < b.length()/2
	if !same {
		forward = b.length() - forward
		ends[0], ends[2] = ends[2], ends[0]
	}
	if forward < width/2 || forward > 2*width || !a.isFree(from, to) || !b.isFree(ends[0], ends[2]) {
		return false
	}
	t.addGate(p, from, a.normal(to), ends[0], ends[2], same)
	return true
}

func (t *turns) addGate(p pair, from, to, otherFrom, otherTo float64, same bool) {
	a, b := &t.all[p.a], &t.all[p.b]
	ends, others := [2]float64{otherFrom, otherTo}, [2]float64{from, to}
	if !same {
		ends[0], ends[1], others[0], others[1] = ends[1], ends[0], others[1], others[0]
	}
	t.count++
	a.gates = append(a.gates, gate{t.count, from, to, p.b, ends})
	b.gates = append(b.gates, gate{t.count, otherFrom, otherTo, p.a, others})
}

// isFree reports whether no gate lies within a stretch of the turn.
func (m *turn) isFree(from, to float64) bool {
	width := m.normal(to - from)
	for _, g := range m.gates {
		if m.normal(g.from-from) <= width || m.normal(from-g.from) <= m.normal(g.to-g.from) {
			return false
		}
	}
	return true
}

// walk is the closed line through a turn and all that it is joined with.
func (t *turns) walk(start int) []geom.Point {
	line := t.around(nil, start, -1, 0, true)
	if line[0].Distance(line[len(line)-1]) > geom.SamePoint {
		line = append(line, line[0])
	}
	return geom.WithoutRepeats(line)
}

// around appends the way once around a turn, from one end of a gate to the other,
// through whatever is joined to the turn at its other gates. Without a gate (-1)
// the way leads from the given place back to it.
func (t *turns) around(line []geom.Point, at, gate int, place float64, forward bool) []geom.Point {
	m := &t.all[at]
	var others []int
	end := place
	for i, g := range m.gates {
		switch {
		case g.id != gate:
			others = append(others, i)
		case forward:
			place, end = g.to, g.from
		default:
			place, end = g.from, g.to
		}
	}
	// How far a place is along the way.
	along := func(mm float64) float64 {
		if !forward {
			return m.normal(place - mm)
		}
		return m.normal(mm - place)
	}
	near := func(i int) float64 {
		if forward {
			return m.gates[i].from
		}
		return m.gates[i].to
	}
	slices.SortFunc(others, func(i, j int) int { return cmp.Compare(along(near(i)), along(near(j))) })
	from := place
	for _, i := range others {
		g := m.gates[i]
		line = m.stretch(line, from, along(near(i))-along(from), forward)
		there, from2 := g.ends[0], g.to
		if !forward {
			there, from2 = g.ends[1], g.from
		}
		for _, h := range t.all[g.other].gates {
			if h.id == g.id {
				line = t.around(line, g.other, g.id, 0, h.to == there)
			}
		}
		from = from2
	}
	rest := along(end) - along(from)
	if rest <= 0 {
		rest += m.length()
	}
	return m.stretch(line, from, rest, forward)
}

// stretch appends the way along the turn from a place, so many mm forward or
// backward.
func (m *turn) stretch(line []geom.Point, from, mm float64, forward bool) []geom.Point {
	line = append(line, m.at(from))
	places := m.places(m.normal(from), math.Inf(1))
	if forward {
		for _, at := range places {
			if d := at - places[0]; d > 0 && d < mm {
				line = append(line, m.at(at))
			}
		}
		return append(line, m.at(from+mm))
	}
	for _, at := range slices.Backward(places) {
		if d := places[len(places)-1] - at; d > 0 && d < mm {
			line = append(line, m.at(at))
		}
	}
	return append(line, m.at(from-mm))
}
