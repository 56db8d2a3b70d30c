package eval

import (
	"fmt"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/value"
)

// line is a line while it is drawn: that of a sheet, or one that will be a path.
type line struct {
	points []geom.Point
	// place is where each piece came from; nil for a path, which forgets it.
	place []uint32
	// full is the number of points at which something must be done before
	// another is added: more room, the limit, or a segment that is watched.
	full   int
	placed bool
}

// samePointSquared is the square of the distance within which two points are one.
const samePointSquared = geom.SamePoint * geom.SamePoint

// add draws a straight piece to a point in the frame of the line.
func (m *machine) add(p geom.Point, place uint32) {
	out := m.out
	last := out.points[len(out.points)-1]
	dx, dy := p.X-last.X, p.Y-last.Y
	if float64(dx*dx)+float64(dy*dy) <= samePointSquared {
		return
	}
	if len(out.points) >= out.full {
		m.makeRoom(out)
	}
	out.points = append(out.points, p)
	if out.placed {
		out.place = append(out.place, place)
	}
}

// pointsLeft is how many points the limit allows still.
func (m *machine) pointsLeft() int {
	left := m.limits.Points - m.limits.pointsHeld - len(m.out.points)
	return max(0, left)
}

//go:noinline
func (m *machine) makeRoom(out *line) {
	m.seen(out)
	n := len(out.points)
	left := m.pointsLeft()
	if left == 0 {
		m.outOf("too-many-points", diag.Args{"limit": diag.Grouped(m.limits.Points)})
	}
	if n == cap(out.points) {
		room := 2*n + 2
		if out.placed {
			room = max(room, 4096)
		}
		// Fresh memory comes cleared from the system; append would clear it again.
		out.points = append(make([]geom.Point, 0, room), out.points...)
		if out.placed {
			out.place = append(make([]uint32, 0, room), out.place...)
		}
	}
	out.full = min(cap(out.points), n+left)
	if next, ok := m.watch.next(m, out); ok {
		out.full = min(out.full, next)
	}
	if m.options.Line != nil && m.onSheet() {
		if n-m.given > stretchPieces {
			m.giveLine()
		}
		out.full = min(out.full, m.given+stretchPieces+1)
	}
}

// stretchPieces is how many pieces the stretches of a line have that are given while
// it is drawn.
const stretchPieces = 1 << 14

// giveLine gives what the sheet's line has more than was given.
func (m *machine) giveLine() {
	if last := len(m.sheets.points) - 1; last > m.given {
		m.options.Line(len(m.plan.Sheets)-1, m.sheets.points[m.given:last+1:last+1])
		m.given = last
	}
}

// roles is how many roles a piece of line can have.
const roles = 3

// place is the index in the plan of where a piece comes from.
func (m *machine) place(site int32, role plan.Role) uint32 {
	if known := m.placeOf[roles*int(site)+int(role)]; known != 0 {
		return known - 1
	}
	return m.newPlace(site, role)
}

//go:noinline
func (m *machine) newPlace(site int32, role plan.Role) uint32 {
	key := roles*int(site) + int(role)
	m.plan.Places = append(m.plan.Places, plan.Place{Span: m.program.Sites[site], Role: role})
	m.placeOf[key] = uint32(len(m.plan.Places))
	if m.options.Placed != nil && m.onSheet() {
		m.options.Placed(m.placeOf[key]-1, m.trail())
	}
	return m.placeOf[key] - 1
}

// startSheet begins the line of a new sheet.
func (m *machine) startSheet(at geom.Point) {
	m.sheet = &plan.Sheet{}
	m.plan.Sheets = append(m.plan.Sheets, m.sheet)
	m.sheets = line{points: append(make([]geom.Point, 0, 64), at), place: make([]uint32, 0, 64), placed: true}
	m.given = 0
}

// endSheet hands the line of the current sheet to the plan.
func (m *machine) endSheet() {
	if m.options.Line != nil {
		m.giveLine()
	}
	m.sheet.Points, m.sheet.Place = m.sheets.points, m.sheets.place
	m.limits.pointsHeld += len(m.sheets.points)
}

// erase begins a new sheet where the stylus is. It stands at top level only, so
// no body waits that could be drawing.
func (m *machine) erase() {
	at := m.sheets.points[len(m.sheets.points)-1]
	m.endSheet()
	m.startSheet(at)
	m.traces = nil // nothing of the old line is left to go over
}

// begin says where the line of a sheet starts.
func (m *machine) begin(at geom.Point) {
	m.reachable(at)
	if len(m.sheets.points) > 1 {
		m.fail("begin-late", diag.Args{"word": "begin"})
	}
	m.sheet.Begun, m.sheet.Beginning = true, m.span()
	m.sheets.points[0] = at
	m.pen.at = at
}

// mayBegin reports whether a path that is placed now says where the line of the
// first sheet starts: nothing else did, and nothing was drawn.
func (m *machine) mayBegin() bool {
	return len(m.plan.Sheets) == 1 && !m.sheet.Begun && len(m.sheets.points) == 1 &&
		m.onSheet() && m.penTop == 0 && len(m.branches) == 0
}

// longWayIn is the length of line in mm from which on a way to the first path
// of a sheet or a figure is warned of: it was hardly meant to be drawn.
const longWayIn = 5.0

// wayIn goes to where a path that is placed begins.
func (m *machine) wayIn(to geom.Point, site int32) {
	first := len(m.out.points) - 1
	alone := first == m.pen.first
	m.sneakTo(to, site)
	if !alone {
		return
	}
	length := 0.0
	for i := first + 1; i < len(m.out.points); i++ {
		length += m.out.points[i-1].Distance(m.out.points[i])
	}
	if length > longWayIn {
		m.warnWayIn(to, length)
	}
}

// warnWayIn warns of a line that leads to the first path of a sheet or figure.
//
//go:noinline
func (m *machine) warnWayIn(to geom.Point, length float64) {
	m.warn("way-in", diag.Args{"length": diag.Millimetres(length)}, func(d diag.Diagnostic) diag.Diagnostic {
		place := fmt.Sprintf("%s, %s", value.FormatNumber(to.X), value.FormatNumber(to.Y))
		switch {
		case !m.onSheet() || m.penTop > 0:
			return d.WithHint("within a figure the line comes from (0, 0): make the path begin there, or follow it outside the figure")
		case len(m.branches) > 0:
			return d.WithHint("within a `branch` the stylus comes from where that began")
		case len(m.plan.Sheets) > 1 && !m.sheet.Begun:
			return d.WithHint("write `begin %s` directly behind `erase`: the sheet is wiped after the way there", place)
		}
		return d.WithHint("let the line begin there: `begin %s`", place)
	})
}

func (m *machine) say(text string, span source.Span) {
	said := plan.Saying{Span: span, Text: text}
	m.plan.Said = append(m.plan.Said, said)
	m.keep(len(text) + 48)
	m.charge(1 + len(text)/64)
	if m.options.Said != nil {
		m.options.Said(said)
	}
}

func (m *machine) pause(message string) {
	m.sheet.Pauses = append(m.sheet.Pauses, plan.Pause{
		Vertex: len(m.sheets.points) - 1, Message: message, Span: m.span(),
	})
	m.keep(len(message) + 64)
}
