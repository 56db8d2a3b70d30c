package format

import (
	"wend/lang/ast"
	"wend/lang/source"
)

func (p *printer) expr(x ast.Expr) {
	switch x.(type) {
	case *ast.Binary, *ast.Compare, *ast.Range, *ast.Field, *ast.Index, *ast.Call:
		// What stands first in these is reached by itself.
	default:
		p.reach(x.Place().Start)
	}
	switch x := x.(type) {
	case *ast.NumberLit:
		p.write(x.Span.Text())
	case *ast.TextLit:
		p.textLit(x)
	case *ast.BoolLit:
		if x.Value {
			p.write("true")
		} else {
			p.write("false")
		}
	case *ast.NameExpr:
		p.write(x.Name)
	case *ast.PointLit:
		p.list("(", ")", x.Span, []ast.Expr{x.X, x.Y})
	case *ast.ListLit:
		p.list("[", "]", x.Span, x.Items)
	case *ast.RecordLit:
		spans := make([]source.Span, len(x.Fields))
		for i := range x.Fields {
			spans[i] = x.Fields[i].Span
		}
		p.items("{", "}", x.Span.Start, x.Span.End, spans, func(q *printer, i int) { q.field(&x.Fields[i]) })
	case *ast.Paren:
		p.list("(", ")", x.Span, []ast.Expr{x.X})
	case *ast.Range:
		p.expr(x.From)
		p.write("..")
		p.expr(x.To)
		if x.By != nil {
			p.write(" by ")
			p.expr(x.By)
		}
	case *ast.Unary:
		p.write(string(x.Op))
		if x.Op == ast.Not {
			p.write(" ")
		}
		p.expr(x.X)
	case *ast.Binary:
		p.expr(x.X)
		p.operator(string(x.Op), x.X, x.Y)
		p.expr(x.Y)
	case *ast.Compare:
		p.expr(x.Operands[0])
		for i, op := range x.Ops {
			p.operator(string(op), x.Operands[i], x.Operands[i+1])
			p.expr(x.Operands[i+1])
		}
	case *ast.Call:
		p.call(x)
	case *ast.Index:
		p.expr(x.X)
		p.list("[", "]", source.Span{Start: p.find('[', x.X.Place().End, x.Span.End), End: x.Span.End}, []ast.Expr{x.I})
	case *ast.Field:
		p.expr(x.X)
		if p.broken(x.X.Place().End, x.Name.Span.Start) {
			p.continueAt(x.Name.Span.Start)
		}
		p.write(".")
		p.name(x.Name)
	case *ast.Choice:
		p.choice(x)
	case *ast.FuncLit:
		p.write("fn")
		p.last = x.Span.Start
		p.function(x.Params, x.Result, x.Body)
	case *ast.PathLit:
		p.write("path ")
		p.block(x.Body)
	case *ast.Curve:
		p.write("curve ")
		p.name(x.Var)
		p.write(" in ")
		p.expr(x.Interval)
		p.equals("=", x.Formula)
	}
	p.last = x.Place().End
}

// continueAt goes on in a new line, one deeper than the statement or item.
func (p *printer) continueAt(next int) {
	p.fresh = true // no blank lines inside a value
	p.breakLine(p.base+1, next, true)
}

// operator writes a sign between two values, and the line break after it if
// the source has one there.
func (p *printer) operator(sign string, x, y ast.Expr) {
	if sign == string(ast.Pow) {
		p.write(sign)
		return
	}
	p.write(" " + sign)
	if p.broken(x.Place().End, y.Place().Start) || p.tooLong(y.Place().End, 0, func(q *printer) { q.write(" "); q.expr(y) }) {
		p.continueAt(y.Place().Start)
		return
	}
	p.write(" ")
}

// equals writes a sign and the value behind it. What has no room on this line and
// would have to be broken at an operator, or could be broken nowhere, stands
// whole on the next line if it fits there. Line breaks of the source do not count.
func (p *printer) equals(sign string, value ast.Expr) {
	p.write(" " + sign)
	end := value.Place().End
	behind := func(q *printer) { q.write(" "); q.expr(value) }
	if breaksBadly(value) && p.tooLong(end, 0, behind) && p.fitsAlone(end, behind) {
		p.continueAt(value.Place().Start)
	} else {
		p.write(" ")
	}
	p.expr(value)
}

// breaksBadly reports whether a value can be broken nowhere, or at an operator.
func breaksBadly(value ast.Expr) bool {
	switch x := value.(type) {
	case *ast.NumberLit, *ast.BoolLit, *ast.TextLit, *ast.NameExpr, *ast.Binary, *ast.Compare:
		return true
	case *ast.Field:
		return breaksBadly(x.X)
	}
	return false
}

func (p *printer) list(opening, closing string, span source.Span, list []ast.Expr) {
	spans := make([]source.Span, len(list))
	for i, x := range list {
		spans[i] = x.Place()
	}
	if len(list) == 1 && bracketed(list[0]) && p.around(opening, closing, span.Start, span.End, spans[0], func() { p.expr(list[0]) }) {
		return
	}
	p.items(opening, closing, span.Start, span.End, spans, func(q *printer, i int) { q.expr(list[i]) })
}

// bracketed reports whether a value is all brackets and what they hold.
func bracketed(x ast.Expr) bool {
	switch x.(type) {
	case *ast.ListLit, *ast.RecordLit, *ast.PathLit:
		return true
	}
	return false
}

func (p *printer) call(c *ast.Call) {
	p.expr(c.Fn)
	if c.Glued {
		spans := make([]source.Span, len(c.Args))
		for i := range c.Args {
			spans[i] = c.Args[i].Span
		}
		open := p.find('(', c.Fn.Place().End, c.Span.End)
		if len(c.Args) == 1 && bracketed(c.Args[0].Value) && p.around("(", ")", open, c.Span.End, spans[0], func() { p.arg(&c.Args[0]) }) {
			return
		}
		p.items("(", ")", open, c.Span.End, spans, func(q *printer, i int) { q.arg(&c.Args[i]) })
		return
	}
	for i := range c.Args {
		switch {
		case i == 0:
			p.write(" ")
		default:
			p.write(",")
			if p.broken(c.Args[i-1].Span.End, c.Args[i].Span.Start) ||
				p.tooLong(c.Args[i].Span.End, 0, func(q *printer) { q.write(" "); q.arg(&c.Args[i]) }) {
				p.continueAt(c.Args[i].Span.Start)
			} else {
				p.write(" ")
			}
		}
		p.arg(&c.Args[i])
	}
}

// choice writes a choice between values: on one line, or with each value on a
// line of its own if the author broke one of them off or it is too long.
func (p *printer) choice(x *ast.Choice) {
	broken := false
	for c := x; c != nil; c, _ = c.Else.(*ast.Choice) {
		broken = broken || p.broken(c.ThenSpan.Start, c.Then.Place().Start) || p.broken(c.Then.Place().End, c.ThenSpan.End) ||
			p.pending(c.Span.End)
		if c.ElseSpan.Known() {
			broken = broken || p.broken(c.ElseSpan.Start, c.Else.Place().Start) || p.broken(c.Else.Place().End, c.ElseSpan.End)
		}
	}
	broken = !p.inline && (broken || p.tooLong(x.Span.End, 0, func(q *printer) { q.choice(x) }))
	base, indent := p.base, p.indent
	branch := func(braces source.Span, value ast.Expr) {
		p.reach(braces.Start)
		p.write("{")
		p.last = braces.Start + 1
		if broken {
			p.fresh = true
			p.breakLine(indent+1, value.Place().Start, false)
			p.base = indent + 1
		} else {
			p.write(" ")
		}
		p.expr(value)
		if broken {
			p.breakComments(indent+1, indent, braces.End-1)
			p.base = base
		} else {
			p.reach(braces.End - 1)
			p.write(" ")
		}
		p.write("}")
		p.last = braces.End
	}
	for {
		p.write("if ")
		p.expr(x.Cond)
		p.write(" ")
		branch(x.ThenSpan, x.Then)
		p.write(" else ")
		next, more := x.Else.(*ast.Choice)
		if !more || x.ElseSpan.Known() {
			branch(x.ElseSpan, x.Else)
			return
		}
		p.last = next.Span.Start
		x = next
	}
}

func (p *printer) field(f *ast.RecordField) {
	p.reach(f.Name.Span.Start)
	if f.Quoted {
		p.write(f.Name.Span.Text())
	} else {
		p.write(f.Name.Name)
	}
	p.last = f.Name.Span.End
	p.write(": ")
	p.expr(f.Value)
}

func (p *printer) arg(a *ast.Arg) {
	if a.Name != nil {
		p.name(*a.Name)
		p.write(": ")
	}
	p.expr(a.Value)
}

// textLit writes a text as it is, but what is inserted in it laid out.
func (p *printer) textLit(t *ast.TextLit) {
	outer := p.inline
	p.inline = true
	p.write(`"`)
	for i := range t.Parts {
		part := &t.Parts[i]
		if part.Value == nil {
			p.write(part.Span.Text())
			continue
		}
		p.write("{")
		p.expr(part.Value)
		p.write("}")
	}
	p.write(`"`)
	p.inline = outer
}
