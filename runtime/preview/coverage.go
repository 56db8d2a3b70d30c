package preview

import (
	"encoding/binary"
	"image"
	"math"
)

// plane holds the coverage of one ink: 0 bare paper, 255 all ink.
type plane struct {
	w, h int
	pix  []uint8
}

func newPlane(w, h int) *plane { return &plane{w: w, h: h, pix: make([]uint8, w*h)} }

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
}

// newNib makes a pen for a line of the given width in px.
//
// A pixel is taken for a strip one pixel wide that lies along the line, d away
// from its middle: ink covers min(width, 1, radius + 1/2 - d) of it. Summed
// across the line that is the width, however thin, so the ink of a picture is
// length × width.
func newNib(width float64, window image.Rectangle) nib {
	return nib{
		radius: width / 2,
		reach:  width/2 + 0.5,
		most:   float64(255 * min(1, width)),
		window: window,
	}
}

// capsule inks everything within the radius of the segment from a to b.
func (n *nib) capsule(p *plane, a, b spot) {
	if !n.clip(&a, &b) {
		return
	}
	top := max(n.window.Min.Y, int(math.Floor(min(a.y, b.y)-n.reach)))
	bottom := min(n.window.Max.Y-1, int(math.Floor(max(a.y, b.y)+n.reach)))
	left := min(a.x, b.x) - n.reach
	right := max(a.x, b.x) + n.reach
	full := uint8(n.most + 0.5)
	if p.covered(int(left), top, int(right), bottom, full) {
		return
	}
	dx, dy := b.x-a.x, b.y-a.y
	length := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	ux, uy := 1.0, 0.0
	if length > 0 {
		ux, uy = dx/length, dy/length
	}
	slant, half := 0.0, 0.0 // where a row crosses the strip around the line
	steep := math.Abs(uy) > 1e-3
	if steep {
		slant, half = ux/uy, n.reach/math.Abs(uy)
	}
	far := float64(n.reach * n.reach)
	near := -1.0 // within the square root of this, coverage is full
	if inner := n.reach - n.most/255; inner > 0 {
		near = float64(inner * inner)
	}
	for y := top; y <= bottom; y++ {
		py := float64(y) + 0.5 - a.y
		from, to := left, right
		if steep {
			middle := a.x + float64(py*slant)
			from, to = max(from, middle-half), min(to, middle+half)
		}
		x0 := max(n.window.Min.X, int(math.Floor(from)))
		x1 := min(n.window.Max.X-1, int(math.Floor(to)))
		if x0 > x1 {
			continue
		}
		row := p.pix[y*p.w+x0 : y*p.w+x1+1]
		px := float64(x0) + 0.5 - a.x
		alongY, acrossY := float64(py*uy), float64(py*ux)
		for i := range row {
			if row[i] >= full {
				px++
				continue
			}
			// The squared distance from the pixel's centre to the segment.
			var d2 float64
			if along := float64(px*ux) + alongY; along <= 0 {
				d2 = float64(px*px) + float64(py*py)
			} else if along >= length {
				ex, ey := px-dx, py-dy
				d2 = float64(ex*ex) + float64(ey*ey)
			} else {
				across := float64(px*uy) - acrossY
				d2 = float64(across * across)
			}
			px++
			if d2 <= near {
				row[i] = full
			} else if d2 < far {
				v := uint8(float64((n.reach-math.Sqrt(d2))*255) + 0.5)
				if v > row[i] {
					row[i] = v
				}
			}
		}
	}
}

// covered reports whether a small box of pixels has the fullest coverage already:
// where a line is dense, most of its short pieces leave no more ink. It is false
// for a box that is wide or reaches beyond the plane.
func (p *plane) covered(x0, y0, x1, y1 int, full uint8) bool {
	const wide = 8 // pixels are looked at in words of so many
	if x0 < 0 || x1-x0 >= wide || y0 < 0 || y1*p.w+x0+wide > len(p.pix) {
		return false
	}
	ofBox := ^uint64(0) >> (8 * (wide - 1 - (x1 - x0)))
	want := uint64(full) * (ofBox & 0x0101010101010101)
	for y := y0; y <= y1; y++ {
		if binary.LittleEndian.Uint64(p.pix[y*p.w+x0:])&ofBox != want {
			return false
		}
	}
	return true
}

// clip cuts the segment down to what can leave ink in the window, and tells
// whether that is anything. What is cut off is farther than reach from every
// pixel, so no pixel changes.
func (n *nib) clip(a, b *spot) bool {
	const slack = 1 // keeps rounding of the cut away from the pixels
	x0, y0 := float64(n.window.Min.X)-n.reach-slack, float64(n.window.Min.Y)-n.reach-slack
	x1, y1 := float64(n.window.Max.X)+n.reach+slack, float64(n.window.Max.Y)+n.reach+slack
	if a.x >= x0 && a.x <= x1 && a.y >= y0 && a.y <= y1 && b.x >= x0 && b.x <= x1 && b.y >= y0 && b.y <= y1 {
		return true
	}
	t0, t1, ok := crossing(*a, *b, x0, y0, x1, y1)
	if !ok {
		return false
	}
	*a, *b = between(*a, *b, t0), between(*a, *b, t1)
	return true
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
