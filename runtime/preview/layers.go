package preview

import (
	"context"
	"image"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// layer is what a piece of line is shown as.
type layer uint8

const (
	drawn        layer = iota // plain line
	link                      // line added between separate parts
	linkSteep                 // the same where it runs along the usual hatching
	outside                   // line off the page
	outsideSteep              // the same where it runs along the usual hatching
	retrace                   // a thread along line that was gone over again
	layers
)

// hatched is the layer of a piece of line whose hatching is to cross it: the
// hatching lies fixed on the paper, in one of two slants at right angles. A
// piece that runs within some 30 degrees of the usual one takes the other.
func (k layer) hatched(a, b spot, slant [2]float64) layer {
	dx, dy := b.x-a.x, b.y-a.y
	along := float64(dx*slant[0]) + float64(dy*slant[1])
	square := float64(dx*dx) + float64(dy*dy)
	if float64(along*along) > float64(0.75*square)*(float64(slant[0]*slant[0])+float64(slant[1]*slant[1])) {
		return k + 1
	}
	return k
}

// sheet is where a picture's page lies in pixels.
type sheet struct {
	scale  float64         // px per mm
	origin spot            // where the page's (0, 0) is
	size   geom.Point      // of the page, mm
	window image.Rectangle // what may take ink
}

func (s *sheet) spot(p geom.Point) spot {
	return spot{s.origin.x + float64(p.X*s.scale), s.origin.y - float64(p.Y*s.scale)}
}

// page is the page's box in px, a hair wider: two points that are one point of
// the language are not told apart by its edge.
func (s *sheet) page() (x0, y0, x1, y1 float64) {
	const hair = geom.SamePoint
	low := s.spot(geom.Point{X: -hair, Y: -hair})
	high := s.spot(geom.Point{X: s.size.X + hair, Y: s.size.Y + hair})
	return low.x, high.y, high.x, low.y
}

// line draws pieces of a picture's line onto planes of coverage.
type line struct {
	*sheet
	points []geom.Point
	more   bool                      // they are part of a longer line
	roleOf func(piece int) plan.Role // nil: every piece is plain
	pen    nib
	thread nib      // draws the retrace layer
	spent  []*plane // are of no more use

	there [layers]*plane // ink that was laid before,
	inked int            // of so many chunks

	left, top, right, bottom float64 // the page, px
}

func newLine(s *sheet, points []geom.Point, width float64, roleOf func(int) plan.Role) *line {
	l := &line{sheet: s, points: points, roleOf: roleOf}
	l.pen = newNib(max(faintest, float64(width*s.scale)), s.window)
	l.thread = newNib(max(1, 2*retraceShare*l.pen.radius), s.window)
	l.left, l.top, l.right, l.bottom = s.page()
	return l
}

// faintest is the least width, in px, that a line is given so that it can
// still be seen.
const faintest = 0.6

// retraceShare is how wide the thread is that marks retraced line, as a share
// of the line.
const retraceShare = 0.45

// The line is cut into pieces of fixed number, each drawn by itself: what is
// drawn does not depend on how many workers share them.
const chunk = 1 << 13

// ink draws the whole line, on all processors.
func (l *line) ink(ctx context.Context, w, h int) (*[layers]*plane, error) {
	chunks := max(1, (len(l.points)-1+chunk-1)/chunk)
	workers := max(1, min(runtime.GOMAXPROCS(0), chunks-l.inked, 8))
	sets := make([][layers]*plane, workers)
	sets[0] = l.there
	var next atomic.Int64
	next.Store(int64(l.inked))
	var group sync.WaitGroup
	for k := range sets {
		group.Go(func() {
			set := &sets[k]
			for ctx.Err() == nil {
				c := int(next.Add(1)) - 1
				if c >= chunks {
					return
				}
				l.pieces(set, w, h, c*chunk, min((c+1)*chunk, len(l.points)-1))
			}
		})
	}
	group.Wait()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	all := &sets[0]
	for k := 1; k < workers; k++ {
		for j, p := range sets[k] {
			if all[j] == nil {
				all[j] = p
			} else if p != nil {
				all[j].merge(p)
				l.spent = append(l.spent, p)
			}
		}
	}
	return all, nil
}

// thin is how far, in px, the line must go before more of it is drawn: finer
// pieces than that are not seen but take time.
const thin = 0.25

// pieces draws pieces from..to-1 of the line, where piece i goes from vertex i
// to vertex i+1. With no piece at all it draws the point at from.
func (l *line) pieces(set *[layers]*plane, w, h, from, to int) {
	draw := func(k layer, a, b spot) {
		if set[k] == nil {
			set[k] = newPlane(w, h)
		}
		if k == retrace {
			l.thread.capsule(set[k], a, b)
		} else {
			l.pen.capsule(set[k], a, b)
		}
	}
	stroke := func(role plan.Role, a, b spot) {
		var ink layer
		switch role {
		case plan.Link:
			ink = link
		case plan.Retrace:
			draw(retrace, a, b)
		}
		if ink == link {
			ink = link.hatched(a, b, addedSlant)
		}
		if l.inside(a) && l.inside(b) {
			draw(ink, a, b)
			return
		}
		off := outside.hatched(a, b, offSlant)
		t0, t1, ok := crossing(a, b, l.left, l.top, l.right, l.bottom)
		if !ok {
			draw(off, a, b)
			return
		}
		in, out := between(a, b, t0), between(a, b, t1)
		draw(ink, in, out)
		if t0 > 0 {
			draw(off, a, in)
		}
		if t1 < 1 {
			draw(off, out, b)
		}
	}

	i := from
	var last spot
	for ; i <= to && i < len(l.points); i++ {
		if p, ok := sound(l.points[i]); ok {
			last = l.spot(p)
			break
		}
	}
	if i >= len(l.points) || i > to {
		return
	}
	if from >= to {
		stroke(plan.Drawn, last, last)
		return
	}
	role := plan.Drawn
	held := last // the vertex before the next; last lies at most `thin` behind it
	for ; i < to; i++ {
		p, ok := sound(l.points[i+1])
		if !ok {
			continue
		}
		if l.roleOf != nil {
			if r := l.roleOf(i); r != role {
				if held != last {
					stroke(role, last, held)
					last = held
				}
				role = r
			}
		}
		held = l.spot(p)
		dx, dy := held.x-last.x, held.y-last.y
		if float64(dx*dx)+float64(dy*dy) >= thin*thin {
			stroke(role, last, held)
			last = held
		}
	}
	if held != last || from == 0 && to == len(l.points)-1 && !l.more {
		stroke(role, last, held)
	}
}

func (l *line) inside(s spot) bool {
	return s.x >= l.left && s.x <= l.right && s.y >= l.top && s.y <= l.bottom
}

// touched is the box of pixels that pieces from..to-1 may have inked.
func (l *line) touched(from, to int) image.Rectangle {
	box := extent(l.points[from : to+1])
	if box.Empty() {
		return image.Rectangle{}
	}
	low, high := l.spot(box.Min), l.spot(box.Max)
	reach := max(l.pen.reach, l.thread.reach)
	limit := func(v float64) int { return int(max(-1e6, min(v, 1e6))) }
	return image.Rect(limit(math.Floor(low.x-reach)), limit(math.Floor(high.y-reach)),
		limit(math.Floor(high.x+reach))+1, limit(math.Floor(low.y+reach))+1).Intersect(l.window)
}
