package preview

import (
	"encoding/binary"
	"image"
	"math"
	"math/bits"
)

// plane holds the coverage of one ink: 0 bare paper, 255 all ink.
type plane struct {
	w, h int
	pix  []uint8
}

// newPlane is bare paper. There is room behind its pixels for a word that begins
// with any of them.
func newPlane(w, h int) *plane {
	return &plane{w: w, h: h, pix: make([]uint8, w*h, w*h+atOnce-1)}
}

// merge keeps the larger of the two coverages at every pixel.
func (p *plane) merge(q *plane) {
	for i, v := range q.pix {
		if v > p.pix[i] {
			p.pix[i] = v
		}
	}
}

// spot is a place in the picture, in pixels; y points down, and the centre of
// the first pixel is (0.5, 0.5).
type spot struct{ x, y float64 }

// nib is a round pen of a fixed width that draws on a plane, inside a window.
type nib struct {
	radius float64 // half the line's width, px
	reach  float64 // farthest distance from the line's middle that takes ink, px
	most   float64 // coverage on the line's middle, 255ths
	window image.Rectangle

	full    uint8   // most, rounded
	allFull uint64  // pixels with all their ink
	core    float64 // the square of how far from the middle coverage is full; below 0 it is nowhere
	// more is, for each coverage, the square of how near the middle a pixel must be
	// to get more than that.
	more [256]float64

	// What is farther from the window than this leaves no ink in it, by enough that
	// where a line is cut there no rounding comes near a pixel.
	left, top, right, bottom float64
}

// newNib makes a pen for a line of the given width in px.
//
// A pixel is taken for a strip one pixel wide that lies along the line, d away
// from its middle: ink covers min(width, 1, radius + 1/2 - d) of it. Summed
// across the line that is the width, however thin, so the ink of a picture is
// length × width.
func newNib(width float64, window image.Rectangle) nib {
	const slack = 1
	n := nib{radius: width / 2, reach: width/2 + 0.5, most: float64(255 * min(1, width)), window: window, core: -1}
	n.full = uint8(n.most + 0.5)
	n.allFull = uint64(n.full) * 0x0101010101010101
	for v := range n.more {
		const hair = 1e-9 // what is rounded elsewhere may pass, and is looked at in full
		n.more[v] = -1
		if near := n.reach - (float64(v)+0.5)/255 + hair; near > 0 {
			n.more[v] = float64(near * near)
		}
	}
	if inner := n.reach - n.most/255; inner > 0 {
		n.core = float64(inner * inner)
	}
	n.left, n.top = float64(window.Min.X)-n.reach-slack, float64(window.Min.Y)-n.reach-slack
	n.right, n.bottom = float64(window.Max.X)+n.reach+slack, float64(window.Max.Y)+n.reach+slack
	return n
}

// capsule inks everything within the radius of the segment from a to b.
func (n *nib) capsule(p *plane, a, b spot) {
	if !n.near(a) || !n.near(b) {
		var any bool
		if a, b, any = n.clip(a, b); !any {
			return
		}
	}
	left, right := min(a.x, b.x)-n.reach, max(a.x, b.x)+n.reach
	x0 := max(n.window.Min.X, int(math.Floor(left)))
	x1 := min(n.window.Max.X-1, int(math.Floor(right)))
	y0 := max(n.window.Min.Y, int(math.Floor(min(a.y, b.y)-n.reach)))
	y1 := min(n.window.Max.Y-1, int(math.Floor(max(a.y, b.y)+n.reach)))
	if uint(x1-x0) < atOnce {
		n.short(p, a, b, x0, y0, x1, y1)
		return
	}
	stroke := n.stroke(a, b)
	slant, half := 0.0, 0.0 // where a row crosses the strip around the line
	steep := math.Abs(stroke.uy) > 1e-3
	if steep {
		slant, half = stroke.ux/stroke.uy, n.reach/math.Abs(stroke.uy)
	}
	for y := y0; y <= y1; y++ {
		py := float64(y) + 0.5 - a.y
		from, to := left, right
		if steep {
			middle := a.x + float64(py*slant)
			from, to = max(from, middle-half), min(to, middle+half)
		}
		first, last := max(x0, int(math.Floor(from))), min(x1, int(math.Floor(to)))
		if first > last {
			continue
		}
		row := p.pix[y*p.w+first : y*p.w+last+1]
		px := float64(first) + 0.5 - a.x
		alongY, acrossY := float64(py*stroke.uy), float64(py*stroke.ux)
		for i := 0; i < len(row); i++ {
			if row[i] < n.full {
				n.ink(&row[i], stroke.squared(px, py, alongY, acrossY))
			} else if i+atOnce <= len(row) && binary.LittleEndian.Uint64(row[i:]) == n.allFull {
				// Where lines are dense, much has all its ink already.
				i += atOnce - 1
				px += atOnce - 1
			}
			px++
		}
	}
}

// atOnce is how many pixels are looked at together, as bytes of a word.
const atOnce = 8

// short is capsule for a box of pixels no wider than that: a piece of a dense line,
// which leaves new ink on few pixels or none.
func (n *nib) short(p *plane, a, b spot, x0, y0, x1, y1 int) {
	ofBox := ^uint64(0) >> (8 * (atOnce - 1 - (x1 - x0)))
	full := n.allFull & ofBox
	at := y0*p.w + x0
	pix := p.pix[:len(p.pix)+atOnce-1] // see newPlane
	for ; y0 <= y1 && binary.LittleEndian.Uint64(pix[at:])&ofBox == full; y0++ {
		at += p.w
	}
	if y0 > y1 {
		return
	}
	stroke := n.stroke(a, b)
	px := float64(x0) + 0.5 - a.x
	for ; y0 <= y1; y0++ {
		wanting := binary.LittleEndian.Uint64(pix[at:])&ofBox ^ full
		if wanting != 0 {
			py := float64(y0) + 0.5 - a.y
			alongY, acrossY := float64(py*stroke.uy), float64(py*stroke.ux)
			for wanting != 0 {
				bit := bits.TrailingZeros64(wanting) &^ 7
				wanting &^= 0xFF << bit
				i := bit / 8
				n.ink(&pix[at+i], stroke.squared(px+float64(i), py, alongY, acrossY))
			}
		}
		at += p.w
	}
}

// stroke is a segment seen from its first end, in px.
type stroke struct {
	dx, dy float64 // to the other end
	length float64
	ux, uy float64 // the unit vector along it
}

func (n *nib) stroke(a, b spot) stroke {
	s := stroke{dx: b.x - a.x, dy: b.y - a.y, ux: 1}
	s.length = math.Sqrt(float64(s.dx*s.dx) + float64(s.dy*s.dy))
	if s.length > 0 {
		s.ux, s.uy = s.dx/s.length, s.dy/s.length
	}
	return s
}

// squared is the square of the distance from the segment to the place (px, py), of
// which the last two arguments are the part of py along the segment and across it.
func (s *stroke) squared(px, py, alongY, acrossY float64) float64 {
	if along := float64(px*s.ux) + alongY; along <= 0 {
		return float64(px*px) + float64(py*py)
	} else if along >= s.length {
		ex, ey := px-s.dx, py-s.dy
		return float64(ex*ex) + float64(ey*ey)
	}
	across := float64(px*s.uy) - acrossY
	return float64(across * across)
}

// ink gives a pixel that has not all its ink what it takes whose middle lies so far
// from the line's, squared.
func (n *nib) ink(pixel *uint8, d2 float64) {
	if d2 <= n.core {
		*pixel = max(*pixel, n.full)
	} else if d2 <= n.more[*pixel] {
		*pixel = max(*pixel, uint8(float64((n.reach-math.Sqrt(d2))*255)+0.5))
	}
}

// near reports whether s may be within reach of the window.
func (n *nib) near(s spot) bool {
	return s.x >= n.left && s.x <= n.right && s.y >= n.top && s.y <= n.bottom
}

// clip cuts the segment down to what can leave ink in the window, and tells
// whether that is anything. No pixel changes by what is cut off.
func (n *nib) clip(a, b spot) (from, to spot, any bool) {
	t0, t1, ok := crossing(a, b, n.left, n.top, n.right, n.bottom)
	if !ok {
		return a, b, false
	}
	return between(a, b, t0), between(a, b, t1), true
}

// crossing is the part t0..t1 (of 0..1) of the segment from a to b that lies
// in a box (Liang and Barsky, ACM Transactions on Graphics 3(1), 1984).
func crossing(a, b spot, x0, y0, x1, y1 float64) (t0, t1 float64, ok bool) {
	t0, t1 = 0, 1
	dx, dy := b.x-a.x, b.y-a.y
	for _, edge := range [4][2]float64{{-dx, a.x - x0}, {dx, x1 - a.x}, {-dy, a.y - y0}, {dy, y1 - a.y}} {
		toward, room := edge[0], edge[1]
		switch {
		case toward == 0:
			if room < 0 {
				return 0, 0, false
			}
		case toward < 0:
			t0 = max(t0, room/toward)
		default:
			t1 = min(t1, room/toward)
		}
	}
	return t0, t1, t0 <= t1
}

func between(a, b spot, t float64) spot {
	switch t {
	case 0:
		return a
	case 1:
		return b
	}
	return spot{a.x + float64((b.x-a.x)*t), a.y + float64((b.y-a.y)*t)}
}

// ring inks a circle of the given radius, in px.
func (n *nib) ring(p *plane, center spot, radius float64) {
	out := radius + n.reach
	box := image.Rect(int(math.Floor(center.x-out)), int(math.Floor(center.y-out)),
		int(math.Ceil(center.x+out))+1, int(math.Ceil(center.y+out))+1).Intersect(n.window)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			ex, ey := float64(x)+0.5-center.x, float64(y)+0.5-center.y
			d := math.Abs(math.Sqrt(float64(ex*ex)+float64(ey*ey)) - radius)
			v := uint8(max(0, min(n.most, float64((n.reach-d)*255)+0.5)))
			i := y*p.w + x
			p.pix[i] = max(p.pix[i], v)
		}
	}
}

// diamond inks a square on its corner, whose corners are radius px from its
// centre.
func (n *nib) diamond(p *plane, c spot, radius float64) {
	corners := [4]spot{{c.x + radius, c.y}, {c.x, c.y + radius}, {c.x - radius, c.y}, {c.x, c.y - radius}}
	for i, corner := range corners {
		n.capsule(p, corner, corners[(i+1)%4])
	}
}
