package svg

import (
	"math"
	"strings"

	"wend/runtime/geom"
	"wend/runtime/region"
)

// A fill that nothing shines through hides what the file drew before it.

// cover is such a fill.
type cover struct {
	cutter *region.Cutter
	box    geom.Box
	behind int // how many strokes were drawn before it
}

// opaque is from where on the eye sees nothing through a fill.
const opaque = 0.98

// covers reports whether the fill of an element hides what lies behind it.
func (a *artist) covers(s state) bool {
	if a.options.Fills != Hatch && a.options.Fills != Cover || s.veiled || float64(s.opacity*s.style.fillOpacity) < opaque {
		return false
	}
	p := s.style.fill
	if server := a.byID[p.server]; p.server != "" && server != nil {
		return a.solid(server, 0)
	}
	return !p.sheer
}

// mostLinks is how many gradients may refer to one another in a row.
const mostLinks = 8

// solid reports whether all colours of a gradient are opaque. Nothing else that
// paints is.
func (a *artist) solid(server *element, links int) bool {
	if !strings.HasSuffix(server.name, "Gradient") && !strings.EqualFold(server.name, "solidcolor") {
		return false
	}
	stops := 0
	var said declared
	for _, stop := range append([]*element{server}, server.children...) {
		if stop.name == "stop" {
			stops++
		}
		a.declare(stop, &said)
		if x, ok := share(said[ofStopOpacity]); ok && x < opaque {
			return false
		}
		if _, alpha := colour(said[ofStopColor]); alpha < opaque {
			return false
		}
	}
	if id, ours := strings.CutPrefix(strings.TrimSpace(server.attribute("href")), "#"); stops == 0 && ours && a.byID[id] != nil && links < mostLinks {
		return a.solid(a.byID[id], links+1)
	}
	return stops > 0 || strings.EqualFold(server.name, "solidcolor")
}

// cover notes that a fill hides what is drawn so far.
func (a *artist) cover(area region.Region) {
	if len(area) > 0 && len(a.strokes) > 0 {
		a.covered = append(a.covered, cover{region.NewCutter(area), area.Bounds(), len(a.strokes)})
	}
}

// hide leaves of each stroke what no cover drawn after it hides.
func (a *artist) hide() error {
	if len(a.covered) == 0 {
		return nil
	}
	all := geom.EmptyBox()
	for _, c := range a.covered {
		all = all.Union(c.box)
	}
	near := newTiles(all, len(a.covered))
	for i, c := range a.covered {
		near.add(c.box, i)
	}
	var seen []stroke
	for i, s := range a.strokes {
		box := geom.Bounds(s.points)
		parts := [][]geom.Point{s.points}
		looked := 0
		err := near.each(box, func(k int) error {
			c := &a.covered[k]
			looked++
			if c.behind <= i || len(parts) == 0 || !box.Meets(c.box) {
				return nil
			}
			var err error
			parts, err = c.cutter.CutAll(parts, false, a.work)
			return err
		})
		if err == nil {
			err = a.work(1+looked/8, 0)
		}
		if err != nil {
			return err
		}
		for _, part := range parts {
			seen = append(seen, stroke{part, s.ground})
		}
	}
	a.strokes = seen
	return nil
}

// tiles finds boxes near others: each tile lists those that reach into it.
type tiles struct {
	box   geom.Box
	side  int
	items [][]int
	seen  []int // by item, the last search that came to it
	count int   // of searches
}

func newTiles(box geom.Box, items int) *tiles {
	side := int(min(64, 1+math.Sqrt(float64(items))))
	return &tiles{box: box, side: side, items: make([][]int, side*side), seen: make([]int, items)}
}

// over calls each with the tiles under a box.
func (t *tiles) over(box geom.Box, each func(tile int)) {
	at := func(x, from, size float64) int {
		return int(min(max((x-from)/max(size, geom.SamePoint)*float64(t.side), 0), float64(t.side-1)))
	}
	for y := at(box.Min.Y, t.box.Min.Y, t.box.Height()); y <= at(box.Max.Y, t.box.Min.Y, t.box.Height()); y++ {
		for x := at(box.Min.X, t.box.Min.X, t.box.Width()); x <= at(box.Max.X, t.box.Min.X, t.box.Width()); x++ {
			each(y*t.side + x)
		}
	}
}

func (t *tiles) add(box geom.Box, item int) {
	t.over(box, func(tile int) { t.items[tile] = append(t.items[tile], item) })
}

// each calls f once with each item that a box may meet.
func (t *tiles) each(box geom.Box, f func(item int) error) error {
	t.count++
	var err error
	t.over(box, func(tile int) {
		for _, item := range t.items[tile] {
			if t.seen[item] != t.count && err == nil {
				t.seen[item] = t.count
				err = f(item)
			}
		}
	})
	return err
}
