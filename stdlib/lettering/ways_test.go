package lettering

import (
	"context"
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/weave"
)

// bridgesOf are the pieces of line that the engine adds between the parts of a
// letter.
func bridgesOf(t require.TestingT, g *Glyph) [][]geom.Point {
	w, err := g.waysOf(context.Background(), nil)
	require.NoError(t, err)
	woven, err := weave.Weave(context.Background(), g.flat(coarse), weave.Options{Start: &w.places[0], End: &w.places[0]})
	require.NoError(t, err)
	var bridges [][]geom.Point
	for i, role := range woven.Roles {
		if role == plan.Link {
			bridges = append(bridges, woven.Points[i:i+2])
		}
	}
	return bridges
}

// streets is a drawing as a graph, found in the plainest way: every segment is
// cut wherever an end of another lies on it or another crosses it.
type streets struct {
	points []geom.Point
	next   [][]street
}

type street struct {
	to int
	mm float64
}

const same = 1e-6

func (s *streets) vertex(p geom.Point) int {
	for i, q := range s.points {
		if p.Distance(q) <= same {
			return i
		}
	}
	s.points = append(s.points, p)
	s.next = append(s.next, nil)
	return len(s.points) - 1
}

func newStreets(lines [][]geom.Point) *streets {
	type segment struct{ a, b geom.Point }
	var segments []segment
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			segments = append(segments, segment{line[i-1], line[i]})
		}
	}
	s := &streets{}
	for i, u := range segments {
		shares := []float64{0, 1}
		for k, v := range segments {
			if i == k {
				continue
			}
			for _, p := range []geom.Point{v.a, v.b} {
				if geom.SegmentDistance(u.a, u.b, p) <= same {
					shares = append(shares, geom.NearestOnSegment(u.a, u.b, p))
				}
			}
			if at, _, ok := geom.Intersect(u.a, u.b, v.a, v.b); ok && at >= 0 && at <= 1 {
				if p := u.a.Mix(u.b, at); geom.SegmentDistance(v.a, v.b, p) <= same {
					shares = append(shares, at)
				}
			}
		}
		slices.Sort(shares)
		last := s.vertex(u.a)
		for _, share := range shares {
			v := s.vertex(u.a.Mix(u.b, share))
			if v == last {
				continue
			}
			known := slices.ContainsFunc(s.next[last], func(e street) bool { return e.to == v })
			if !known {
				mm := s.points[last].Distance(s.points[v])
				s.next[last] = append(s.next[last], street{v, mm})
				s.next[v] = append(s.next[v], street{last, mm})
			}
			last = v
		}
	}
	return s
}

// from are the shortest ways from a vertex to all others.
func (s *streets) from(start int) []float64 {
	distance := make([]float64, len(s.points))
	done := make([]bool, len(s.points))
	for i := range distance {
		distance[i] = math.Inf(1)
	}
	distance[start] = 0
	for {
		best := -1
		for v := range distance {
			if !done[v] && !math.IsInf(distance[v], 1) && (best < 0 || distance[v] < distance[best]) {
				best = v
			}
		}
		if best < 0 {
			return distance
		}
		done[best] = true
		for _, e := range s.next[best] {
			distance[e.to] = min(distance[e.to], distance[best]+e.mm)
		}
	}
}

// leastAgain is how much a walk over all streets from one vertex to another
// must go over again: by trying every pairing of the odd vertices.
func (s *streets) leastAgain(ways map[int][]float64, start, end int) float64 {
	var odd []int
	for v := range s.points {
		degree := len(s.next[v])
		if v == start {
			degree++
		}
		if v == end {
			degree++
		}
		if degree%2 == 1 {
			odd = append(odd, v)
			if ways[v] == nil {
				ways[v] = s.from(v)
			}
		}
	}
	var pair func(rest []int) float64
	pair = func(rest []int) float64 {
		if len(rest) == 0 {
			return 0
		}
		best := math.Inf(1)
		for i := 1; i < len(rest); i++ {
			others := slices.Delete(slices.Clone(rest[1:]), i-1, i)
			best = min(best, ways[rest[0]][rest[i]]+pair(others))
		}
		return best
	}
	return pair(odd)
}

// small is up to how many odd vertices all pairings are tried.
const small = 8

func TestEveryWayThroughALetterGoesOverAsLittleAgainAsCanBe(t *testing.T) {
	eachFace(t, func(t *testing.T, face *Face) {
		checked := 0
		for _, name := range face.drawnNames() {
			g := face.drawn(name)
			if g.space() {
				continue
			}
			w, err := g.waysOf(context.Background(), nil)
			require.NoError(t, err)
			s := newStreets(append(g.flat(coarse), bridgesOf(t, g)...))
			odd := 0
			for _, next := range s.next {
				odd += len(next) % 2
			}
			if odd > small {
				continue
			}
			checked++
			ways := map[int][]float64{}
			for i, p := range w.places {
				for j := i; j < len(w.places); j++ {
					want := s.leastAgain(ways, s.vertex(p), s.vertex(w.places[j]))
					require.InDelta(t, want, w.again[i][j], 1e-4, "%s from %v to %v", name, p, w.places[j])
				}
			}
		}
		t.Logf("%d of %d letters", checked, len(face.letters))
		require.Greater(t, checked, len(face.letters)*3/4)
	})
}

// on reports whether a piece of line lies on lines.
func on(a, b geom.Point, lines [][]geom.Point) bool {
	// Where one piece ends on the lines and another goes on, a and b are cut.
	covered := []float64{}
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			from, to, ok := geom.CommonPiece(a, b, line[i-1], line[i], same)
			if ok {
				covered = append(covered, from, to)
			}
		}
	}
	reach := 0.0
	for changed := true; changed; {
		changed = false
		for i := 0; i < len(covered); i += 2 {
			if covered[i] <= reach+1e-4 && covered[i+1] > reach {
				reach, changed = covered[i+1], true
			}
		}
	}
	return reach >= 1-1e-4 || a.Distance(b) <= 2*same
}

func TestTheLineThroughALetterIsItsStrokesAndBridgesAndNothingElse(t *testing.T) {
	const level = 8
	eachFace(t, func(t *testing.T, face *Face) {
		letters := map[string]*Glyph{}
		for name := range face.letters {
			if g := face.drawn(name); !g.space() {
				letters[name] = g
			}
		}
		for _, l := range groundedRow(t, face.Name, "“moss” d’or well-known 5 − 3 + 1 = 3 × ‘I’") {
			letters[l.name] = l.Glyph
		}
		for _, name := range slices.Sorted(maps.Keys(letters)) {
			g := letters[name]
			w, err := g.waysOf(context.Background(), nil)
			require.NoError(t, err)
			from, to := 0, len(w.places)-1
			route, err := g.route(context.Background(), from, to, level, nil)
			require.NoError(t, err)
			require.InDelta(t, 0, route[0].Distance(w.places[from]), same)
			require.InDelta(t, 0, route[len(route)-1].Distance(w.places[to]), same)

			strokes := g.flat(toleranceAt(level))
			woven, err := weave.Weave(context.Background(), strokes, weave.Options{Start: &w.places[from], End: &w.places[to]})
			require.NoError(t, err)
			all := slices.Clone(strokes)
			bridges := 0.0
			for i, role := range woven.Roles {
				if role == plan.Link {
					all = append(all, woven.Points[i:i+2])
					bridges += woven.Points[i].Distance(woven.Points[i+1])
				}
			}
			require.InDelta(t, w.bridges-g.added, bridges, 1, name)
			for i := 1; i < len(route); i++ {
				require.True(t, on(route[i-1], route[i], all), "%s: the line leaves the strokes between %v and %v", name, route[i-1], route[i])
			}
			for _, line := range all {
				for i := 1; i < len(line); i++ {
					require.True(t, on(line[i-1], line[i], [][]geom.Point{route}), "%s: %v to %v is not written", name, line[i-1], line[i])
				}
			}
		}
	})
}

func TestPassagesThroughAWordCostAsLittleAsCanBe(t *testing.T) {
	eachFace(t, func(t *testing.T, face *Face) {
		for _, word := range []string{"io", "VAT", "fil", "Pin", "d’o", "öl"} {
			block, err := Set(face, word, Style{Height: 10})
			require.NoError(t, err)
			row := block.grounded()[0]
			left, right := row.ends()
			chosen, err := passages(context.Background(), row.letters, left, right, false, nil)
			require.NoError(t, err)
			place := func(i, k int) geom.Point {
				return row.letters[i].ways.places[k].Add(geom.Point{X: row.letters[i].x})
			}
			cost := func(ways []passage) float64 {
				sum := joinCost(left.at, place(0, ways[0].from), true) + joinCost(right.at, place(len(ways)-1, ways[len(ways)-1].to), true)
				for i, p := range ways {
					sum += row.letters[i].ways.again[p.from][p.to]
					if i > 0 {
						sum += joinCost(place(i-1, ways[i-1].to), place(i, p.from), false)
					}
				}
				return sum
			}
			best := math.Inf(1)
			ways := make([]passage, len(row.letters))
			var try func(i int)
			try = func(i int) {
				if i == len(ways) {
					best = min(best, cost(ways))
					return
				}
				for from := range row.letters[i].ways.places {
					for to := range row.letters[i].ways.places {
						ways[i] = passage{from, to}
						try(i + 1)
					}
				}
			}
			try(0)
			require.InDelta(t, best, cost(chosen), 1e-6, word)
		}
	})
}

// Upright letters along a path stand where they stand, and the joins between
// them are empty: what leads from one to the next is no part of a letter.
func TestWhatLeadsToALetterWithoutAJoinIsALink(t *testing.T) {
	line := &Line{Pieces: []Piece{
		{Points: []geom.Point{{}, {X: 10}}},
		{Join: true},
		{Points: []geom.Point{{X: 20}, {X: 20}, {X: 30}}},
		{Join: true, Points: []geom.Point{{X: 30}, {X: 40}}},
		{Points: []geom.Point{{X: 40}, {X: 50}}},
	}}
	require.Len(t, line.Points(), 6)
	require.Equal(t, []plan.Role{plan.Drawn, plan.Link, plan.Drawn, plan.Link, plan.Drawn}, line.Roles())
}
