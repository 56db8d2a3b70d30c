package format

import (
	"wend/lang/ast"
	"wend/lang/source"
)

func (p *printer) statement(s ast.Stmt) {
	if p.onOneLine(s) {
		return
	}
	outer := p.opening
	p.opening = !p.inline && !p.endless && p.oneLine(s)
	defer func() { p.opening = outer }()
	switch s := s.(type) {
	case *ast.Use:
		p.write("use ")
		p.expr(s.Path)
		p.write(" as ")
		p.name(s.Name)
	case *ast.Let:
		p.write("let ")
		p.name(s.Name)
		p.equals("=", s.Value)
	case *ast.Assign:
		p.expr(s.Target)
		p.equals(string(s.Op)+"=", s.Value)
	case *ast.FuncDef:
		p.write("fn ")
		p.name(s.Name)
		p.function(s.Params, s.Result, s.Body)
	case *ast.FigureDef:
		p.write("figure ")
		p.name(s.Name)
		p.function(s.Params, nil, s.Body)
	case *ast.Repeat:
		p.write("loop ")
		p.expr(s.Count)
		p.write(" ")
		p.block(s.Body)
	case *ast.LoopIn:
		p.write("loop ")
		if s.Index != nil {
			p.name(*s.Index)
			p.write(", ")
		}
		p.name(s.Var)
		p.write(" in ")
		p.expr(s.Values)
		p.write(" ")
		p.block(s.Body)
	case *ast.LoopWhile:
		p.write("loop while ")
		p.expr(s.Cond)
		p.write(" ")
		p.block(s.Body)
	case *ast.If:
		p.ifElse(s)
	case *ast.Return:
		p.write("return")
		if s.Value != nil {
			p.write(" ")
			p.expr(s.Value)
		}
	case *ast.Break:
		p.write("break")
	case *ast.Continue:
		p.write("continue")
	case *ast.Draw:
		p.write("draw ")
		p.expr(s.Path)
		if s.At != nil {
			p.write(" at ")
			p.expr(s.At)
		}
	case *ast.Branch:
		p.write("branch ")
		p.block(s.Body)
	case *ast.Do:
		p.call(s.Call)
	}
	p.last = s.Place().End
}

func (p *printer) ifElse(s *ast.If) {
	for {
		p.write("if ")
		p.expr(s.Cond)
		p.write(" ")
		p.block(s.Then)
		switch e := s.Else.(type) {
		case *ast.If:
			p.write(" else ")
			s = e
			continue
		case *ast.Block:
			p.write(" else ")
			p.block(e)
		}
		return
	}
}

func (p *printer) name(id ast.Ident) {
	p.reach(id.Span.Start)
	p.write(id.Name)
	p.last = id.Span.End
}

// function writes what follows the name of a function or figure.
func (p *printer) function(params []ast.Param, result ast.Expr, body *ast.Block) {
	p.params(params, result, body)
	if body != nil {
		p.write(" ")
		p.block(body)
		return
	}
	p.equals("=", result)
}

func (p *printer) params(params []ast.Param, result ast.Expr, body *ast.Block) {
	spans := make([]source.Span, len(params))
	for i := range params {
		spans[i] = params[i].Span
	}
	from, to := p.brackets(p.last, spans, result, body)
	p.items("(", ")", from, to, spans, func(q *printer, i int) {
		q.name(params[i].Name)
		if params[i].Default != nil {
			q.write(" = ")
			q.expr(params[i].Default)
		}
	})
}

// brackets finds the round brackets of parameters in the source: the tree
// keeps the parameters alone.
func (p *printer) brackets(from int, spans []source.Span, result ast.Expr, body *ast.Block) (int, int) {
	stop := len(p.text)
	if result != nil {
		stop = result.Place().Start
	} else if body != nil {
		stop = body.Span.Start
	}
	open := p.find('(', from, stop)
	if len(spans) > 0 {
		return open, p.find(')', spans[len(spans)-1].End, stop) + 1
	}
	return open, p.find(')', open, stop) + 1
}

// find gives the offset of a sign between two others, not in a comment.
func (p *printer) find(sign byte, from, to int) int {
	for i := from; i < to; i++ {
		switch p.text[i] {
		case sign:
			return i
		case '#':
			for i < to && p.text[i] != '\n' && p.text[i] != '\r' {
				i++
			}
		}
	}
	return from
}
