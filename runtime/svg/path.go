package svg

import (
	"math"

	"wend/runtime/geom"
)

// pathFault is where and why path data cannot be read on. What stands before
// it is drawn (SVG 2, section 9.5.4).
type pathFault struct {
	from, to int // bytes of the data
	reason   string
	huge     bool // a number beyond all measure
}

// parameters says how many numbers each command takes (SVG 2, section 9.3).
var parameters = map[byte]int{'m': 2, 'l': 2, 'h': 1, 'v': 1, 'c': 6, 's': 4, 'q': 4, 't': 2, 'a': 7, 'z': 0}

// pathReader reads the data of a path (SVG 2, section 9.3).
type pathReader struct {
	scanner
	pen         *pen
	start, here geom.Point // of the subpath, and where it has come to
	// The last control point of a curve, and which kind of curve it was, for
	// those that go on smoothly.
	control geom.Point
	last    byte
}

// path traces path data; the fault is nil if all of it could be read.
func path(p *pen, data string) *pathFault {
	r := pathReader{scanner: scanner{text: data}, pen: p}
	for first := true; !p.full(); first = false {
		r.blanks()
		if r.done() {
			break
		}
		letter := r.text[r.at]
		command := letter | 0x20
		count, known := parameters[command]
		switch {
		case !known:
			return &pathFault{from: r.at, to: r.at + 1, reason: "no command begins so"}
		case first && command != 'm':
			return &pathFault{from: r.at, to: r.at + 1, reason: "a path begins with `M`"}
		}
		r.at++
		if count == 0 {
			p.close()
			r.here, r.last = r.start, command
		} else if fault := r.segments(command, letter == command, count); fault != nil {
			return fault
		}
	}
	return nil
}

// segments reads the parameters of a command as often as they stand there.
func (r *pathReader) segments(command byte, relative bool, count int) *pathFault {
	var values [7]float64
	r.blanks()
	for repeat, comma := 0, false; !r.pen.full(); repeat++ {
		for i := range count {
			from := r.at
			x, ok := 0.0, false
			if command == 'a' && (i == 3 || i == 4) {
				x, ok = r.flag()
			} else {
				x, ok = r.number()
			}
			switch {
			case !ok && i == 0 && repeat > 0 && !comma:
				return nil // another command follows
			case !ok:
				return &pathFault{from: from, to: min(from+1, len(r.text)), reason: "a number is missing"}
			case math.Abs(x) > hugest:
				return &pathFault{from: from, to: r.at, huge: true}
			}
			values[i] = x
			comma = r.separator()
		}
		if command == 'm' && repeat > 0 {
			command = 'l' // more pairs are lines
		}
		r.segment(command, relative, values)
	}
	return nil
}

// flag takes one figure, which may touch what follows.
func (r *pathReader) flag() (float64, bool) {
	switch {
	case r.next('0'):
		return 0, true
	case r.next('1'):
		return 1, true
	}
	return 0, false
}

func (r *pathReader) segment(command byte, relative bool, v [7]float64) {
	base := geom.Point{}
	if relative {
		base = r.here
	}
	point := func(i int) geom.Point { return geom.Point{X: base.X + v[i], Y: base.Y + v[i+1]} }
	// A smooth curve begins with the last control point mirrored, if a curve of
	// its kind came before (SVG 2, section 9.3.6).
	mirrored := func(kind byte) geom.Point {
		if r.last != kind {
			return r.here
		}
		return r.here.Add(r.here.Sub(r.control))
	}
	kind := command
	switch command {
	case 'm':
		r.here = point(0)
		r.start = r.here
		r.pen.move(r.here)
	case 'l':
		r.here = point(0)
		r.pen.line(r.here)
	case 'h':
		r.here.X = base.X + v[0]
		r.pen.line(r.here)
	case 'v':
		r.here.Y = base.Y + v[0]
		r.pen.line(r.here)
	case 'c', 's':
		c1, next := mirrored('c'), 0
		if command == 'c' {
			c1, next = point(0), 2
		}
		kind, r.control, r.here = 'c', point(next), point(next+2)
		r.pen.cubic(c1, r.control, r.here)
	case 'q', 't':
		c, next := mirrored('q'), 0
		if command == 'q' {
			c, next = point(0), 2
		}
		kind, r.control, r.here = 'q', c, point(next)
		r.pen.quadratic(c, r.here)
	case 'a':
		r.here = point(5)
		r.pen.arc(v[0], v[1], v[2], v[3] != 0, v[4] != 0, r.here)
	}
	r.last = kind
}
