package lettering

import (
	"context"
	"math"

	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/weave"
)

// Piece is a part of the line through a text: a letter, or a join.
type Piece struct {
	Points []geom.Point // mm
	Join   bool
	Again  bool // it goes over line that was drawn before
	// Middle is the x of the middle of a letter, Baseline the y of its foot.
	Middle, Baseline float64
}

// Line is the one line through a text, and what it is made of.
type Line struct {
	Pieces []Piece
	// DrawnMM is the length of the letters, JoinMM that of visible line between
	// letters and rows, BridgeMM that between the parts of letters, AgainMM what
	// is gone over again. Letters that lean are counted as they are upright.
	DrawnMM, JoinMM, BridgeMM, AgainMM float64
}

// each visits the vertices of the line, as places in its pieces. Where two follow
// at one place the second is left out.
func (l *Line) each(visit func(piece, vertex int)) {
	var last geom.Point
	first := true
	for k, p := range l.Pieces {
		for i, at := range p.Points {
			if first || last.Distance(at) > geom.SamePoint {
				visit(k, i)
				last, first = at, false
			}
		}
	}
}

// Points are the vertices of the line; the single point (0, 0) if nothing is
// written.
func (l *Line) Points() []geom.Point {
	count := 1
	for _, p := range l.Pieces {
		count += len(p.Points)
	}
	points := make([]geom.Point, 0, count)
	l.each(func(piece, i int) { points = append(points, l.Pieces[piece].Points[i]) })
	if len(points) == 0 {
		points = append(points, geom.Point{})
	}
	return points
}

// Move moves the line so many mm along its rows.
func (l *Line) Move(mm float64) {
	if mm == 0 {
		return
	}
	by := geom.Translation(geom.Point{X: mm})
	for i, p := range l.Pieces {
		l.Pieces[i].Points = by.Append(make([]geom.Point, 0, len(p.Points)), p.Points)
		l.Pieces[i].Middle += mm
	}
}

// Roles say what each piece between two of Points is there for: a letter or a
// join.
func (l *Line) Roles() []plan.Role {
	var roles []plan.Role
	passed, of, again := map[bits]bool{}, -1, []bool(nil)
	l.each(func(piece, i int) {
		p := &l.Pieces[piece]
		if piece != of {
			of, again = piece, p.again(passed, again)
		}
		role := plan.Drawn
		// On a path the join before a letter may be empty, and the letter begin
		// elsewhere than the one before ended.
		switch {
		case i == 0 || p.Join && !p.Again:
			role = plan.Link
		case p.Again || again[i]:
			role = plan.Retrace
		}
		roles = append(roles, role)
	})
	return roles[min(1, len(roles)):]
}

// bits are those of the ends of a straight piece of a letter. What is passed again
// has the very same; and bits are quicker to look up than numbers.
type bits [4]uint64

// again reports of each vertex of a letter whether the way to it was passed before
// within the letter, in either direction. Both arguments are room to work in.
func (p *Piece) again(passed map[bits]bool, room []bool) []bool {
	room = append(room[:0], make([]bool, len(p.Points))...)
	if p.Join || p.Again {
		return room
	}
	clear(passed)
	for i := 1; i < len(p.Points); i++ {
		a, b := p.Points[i-1], p.Points[i]
		if b.X < a.X || b.X == a.X && b.Y < a.Y {
			a, b = b, a
		}
		known := len(passed)
		passed[bits{math.Float64bits(a.X), math.Float64bits(a.Y), math.Float64bits(b.X), math.Float64bits(b.Y)}] = true
		room[i] = len(passed) == known
	}
	return room
}

// margin is how far beside the letters the line goes from row to row, in units.
const margin = 34

// Line finds the line: every second row is passed from its right end, so that
// the way between rows is short. It is exact to a tolerance in mm, and fails only
// when the context ends.
func (b *Block) Line(ctx context.Context, rows Rows, toleranceMM float64) (*Line, error) {
	w := writer{Block: b, ctx: ctx, rows: rows, room: &room{}, line: &Line{}, level: levelFor(toleranceMM / b.scale)}
	written := b.grounded()
	if len(written) > 1 && rows == Near {
		return w.line, w.near(written)
	}
	for i := range written {
		r := &written[i]
		left, right := r.ends()
		in, out := &left, &right
		if i%2 == 1 {
			in, out = out, in
		}
		if i == 0 {
			in.lead(b.face, written, r.letters[0], -1)
		} else {
			*in = rowEnd{geom.Point{X: turningPlace(rows, &written[i-1], r, i%2 == 1)}, true}
		}
		if i+1 == len(written) {
			last := r.letters[len(r.letters)-1]
			toward := 1.0
			if i%2 == 1 {
				last, toward = r.letters[0], -1
			}
			out.lead(b.face, written, last, toward)
		} else {
			*out = rowEnd{geom.Point{X: turningPlace(rows, r, &written[i+1], i%2 == 0)}, true}
		}
		if err := w.row(r, left, right, i%2 == 1); err != nil {
			return nil, err
		}
	}
	return w.line, nil
}

// lead is how far, in units, the line begins beside a letter on one foot, and
// goes on after it.
const lead = 18

// lead makes an end of a text lie beside its letter if that stands on a single
// upright foot: a line from there to one side only would make an E of an F and an
// L of an I.
func (e *rowEnd) lead(f *Face, rows []row, l placed, toward float64) {
	if len(rows) == 1 && len(rows[0].letters) == 1 || f.own != nil {
		return
	}
	if x, ok := l.loneFoot(); ok && l.in == nil && l.out == nil {
		*e = rowEnd{geom.Point{X: l.x + x + float64(toward*lead)}, true}
	}
}

// loneFoot is where a letter stands that has one foot, the end of an upright
// stroke.
func (g *Glyph) loneFoot() (x float64, ok bool) {
	for _, s := range g.strokes {
		for _, p := range s {
			foot, other := p.P0, p.P3
			if math.Abs(foot.Y) > math.Abs(other.Y) {
				foot, other = other, foot
			}
			if math.Abs(foot.Y) > nearly || p.inner {
				continue
			}
			upright := p.straight && math.Abs(other.X-foot.X) < float64(uprightSlope*math.Abs(other.Y-foot.Y))
			if !upright || ok && math.Abs(foot.X-x) > nearly {
				return 0, false
			}
			x, ok = foot.X, true
		}
	}
	return x, ok
}

// turningPlace is the x beside two rows where the line goes from one to the
// other.
func turningPlace(rows Rows, upper, lower *row, atRight bool) float64 {
	aside := float64(margin)
	if rows == Turns {
		aside = 0 // the turn itself keeps clear of the letters
	}
	x := upper.reach(atRight)
	if atRight {
		return max(x, lower.reach(true)) + aside
	}
	return min(x, lower.reach(false)) - aside
}

// ends are the ends of the row's baseline.
func (r *row) ends() (left, right rowEnd) {
	first, last := r.letters[0], r.letters[len(r.letters)-1]
	left.at.X, right.at.X = first.x+first.ink.Min.X, last.x+last.ink.Max.X
	return left, right
}

// reach is how far the ink of a row reaches to one side.
func (r *row) reach(toRight bool) float64 {
	box := geom.EmptyBox()
	for _, l := range r.letters {
		box = box.Include(geom.Point{X: l.x + l.ink.Min.X}).Include(geom.Point{X: l.x + l.ink.Max.X})
	}
	if toRight {
		return box.Max.X
	}
	return box.Min.X
}

// writer puts the line together.
type writer struct {
	*Block
	ctx   context.Context
	rows  Rows
	room  *room
	line  *Line
	level int
	last  geom.Point // mm
	begun bool
}

// room is working memory that a writer uses from row to row.
type room struct {
	weave   weave.Room
	network network
}

// place is where a place of a row, relative to the left end of its baseline,
// comes to lie, in mm.
func (w *writer) place(r *row, p geom.Point) geom.Point {
	x := p.X + float64(p.Y*w.style.Slant)
	return geom.Point{X: float64(x * w.scale), Y: float64((r.baseline + p.Y) * w.scale)}
}

// joinTo draws visible line from where the line ends so far.
func (w *writer) joinTo(to geom.Point) {
	if w.begun && w.last.Distance(to) > geom.SamePoint {
		w.line.Pieces = append(w.line.Pieces, Piece{Points: []geom.Point{w.last, to}, Join: true})
		w.line.JoinMM += w.last.Distance(to)
	}
	w.begun, w.last = true, to
}

// row writes one row, from its right end if backward.
func (w *writer) row(r *row, left, right rowEnd, backward bool) error {
	chosen, err := passages(w.ctx, r.letters, left, right, w.rows == Ruled, &w.room.weave)
	if err != nil {
		return err
	}
	in, out := left, right
	if backward {
		in, out = right, left
	}
	if in.must {
		w.turn(w.place(r, in.at), backward)
	}
	for k := range r.letters {
		i := k
		if backward {
			i = len(r.letters) - 1 - k
		}
		l, p := r.letters[i], chosen[i]
		if backward {
			p.from, p.to = p.to, p.from
		}
		if err := w.letter(r, l, p); err != nil {
			return err
		}
	}
	if out.must {
		w.joinTo(w.place(r, out.at))
	}
	return nil
}

// letter writes one letter, joined to what was written before.
func (w *writer) letter(r *row, l placed, p passage) error {
	route, err := l.route(w.ctx, p.from, p.to, w.level, &w.room.weave)
	if err != nil {
		return err
	}
	points := make([]geom.Point, len(route))
	for i, at := range route {
		at.X += l.x
		points[i] = w.place(r, at)
	}
	w.joinTo(points[0])
	w.line.Pieces = append(w.line.Pieces, Piece{
		Points: points, Middle: float64((l.x + l.ink.Center().X) * w.scale), Baseline: float64(r.baseline * w.scale),
	})
	w.last = points[len(points)-1]
	w.line.DrawnMM += float64(l.ways.drawn * w.scale)
	w.line.BridgeMM += float64(l.ways.bridges * w.scale)
	w.line.AgainMM += float64(l.ways.again[p.from][p.to] * w.scale)
	return nil
}
