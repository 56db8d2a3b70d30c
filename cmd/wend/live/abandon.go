package live

import (
	"context"
	"fmt"
	"math"
	"strings"

	"wend/lang/ast"
	"wend/runtime/gcode"
	"wend/runtime/geom"
)

// abandon drops what a stopped machine has not drawn of the line. What it has
// drawn stays, as an entry of its own; so does what the dropped entries define.
// The position is kept, and the drawing goes on from there.
func (p *Prompt) abandon(ctx context.Context, _ string) error {
	if !p.pending() || p.machine == nil && p.partway == nil && p.drawn == (Mark{}) {
		return refusal("nothing waits to be drawn")
	}
	if p.unsure != nil && !p.unsure.beside {
		return refusal("it is not known how much of the line is drawn: look where the stylus stands, and say it first: `/here X Y`")
	}
	line := p.session.now
	left := line.Length(p.drawn, line.End()) - p.beyond()
	kept := len(p.session.before)
	for kept > 0 && p.drawn.before(p.session.before[kept-1].End()) {
		kept--
	}
	if kept--; kept < 0 {
		return refusal("what waits was entered before all that can be taken back")
	}
	// Everything after this state draws what was not drawn to its end.
	back := p.session.before[kept]
	from := back.End()
	if p.drawn.before(from) {
		from = p.drawn
	}
	var text strings.Builder
	for _, e := range line.entries[len(back.entries):] {
		for _, stmt := range e.tree.Body {
			switch stmt.(type) {
			case *ast.FuncDef, *ast.FigureDef, *ast.Use:
				text.WriteString(stmt.Place().Text() + "\n")
			}
		}
	}
	sessionNow, before := p.session.now, p.session.before
	p.session.now, p.session.before = back, before[:kept]
	text.WriteString(p.asReaches(&line, from, p.drawn, p.partway))
	if heading, ok := p.headingAtStop(&line); ok {
		fmt.Fprintf(&text, "face %s\n", number(heading))
	}
	if strings.TrimSpace(text.String()) != "" {
		change, list := p.session.Try(ctx, "", text.String())
		if change == nil {
			p.session.now, p.session.before = sessionNow, before
			return list
		}
		p.session.Accept(change)
	}
	p.drawn, p.partway, p.unsure = p.session.now.End(), nil, nil
	p.keep()
	p.say("%s dropped; the drawing goes on from here", gcode.Length(left))
	p.show()
	return nil
}

// headingAtStop is the direction in which the line ran where it was stopped.
func (p *Prompt) headingAtStop(line *state) (degrees float64, ok bool) {
	points := line.drawn.Sheets[p.drawn.Sheet].Points
	a := points[p.drawn.Vertex]
	var b geom.Point
	switch {
	case p.partway != nil && p.drawn.Vertex+1 < len(points):
		b = points[p.drawn.Vertex+1]
	case p.drawn.Vertex > 0:
		a, b = points[p.drawn.Vertex-1], a
	default:
		return 0, false
	}
	if a == b {
		return 0, false
	}
	d := b.Sub(a)
	return math.Mod(math.Atan2(d.Y, d.X)*180/math.Pi+360, 360), true
}
