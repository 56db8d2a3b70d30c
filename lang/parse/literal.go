package parse

import (
	"math"
	"strconv"
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
)

func (s *session) number(i int) ast.Expr {
	text := s.text(i)
	n := &ast.NumberLit{Spanned: s.from(i)}
	digits := text
	for _, unit := range glued {
		if strings.HasSuffix(text, string(unit)) {
			digits, n.Unit = text[:len(text)-len(unit)], unit
			break
		}
	}
	value, err := strconv.ParseFloat(strings.ReplaceAll(digits, "_", ""), 64)
	if err != nil && math.IsInf(value, 0) {
		s.complain(diag.New("number-too-large", n.Span, nil))
		value = math.MaxFloat64
	}
	n.Value = value
	return n
}

// glued are the units; none is the end of another.
var glued = [...]ast.Unit{ast.Millimetre, ast.Centimetre, ast.Inch, ast.Degree, ast.Radian}

// textLit reads a text; the next token is its opening quote.
func (s *session) textLit() ast.Expr {
	start := s.at
	t := &ast.TextLit{}
	height := 1
	for s.at++; s.kind() != kindTextClose; {
		part := s.at
		if s.kind() == kindTextPart {
			s.at++
			t.Parts = append(t.Parts, ast.TextPart{Spanned: s.from(part), Plain: unescape(s.text(part))})
			continue
		}
		closer := int(s.tokens[part].pair)
		s.at++
		var value ast.Expr
		if s.at == closer {
			s.complain(diag.New("empty-insert", s.span(int(s.tokens[part].start), int(s.tokens[closer].end)), nil).
				WithEdit(s.tokenSpan(part).Head(), `\`, false))
			value = s.bad()
		} else {
			value = s.expr()
		}
		height = max(height, s.height)
		s.closeAt(closer, inInsert)
		t.Parts = append(t.Parts, ast.TextPart{Spanned: s.from(part), Value: value})
	}
	s.at++
	s.height = height + 1
	t.Spanned = s.from(start)
	return t
}

// record reads a record; the next token is its {.
func (s *session) record() ast.Expr {
	start := s.at
	r := &ast.RecordLit{}
	height := 1
	s.items(inRecord, func() {
		if f, ok := s.recordField(); ok {
			r.Fields = append(r.Fields, f)
			height = max(height, s.height)
		}
	})
	s.height = height + 1
	r.Spanned = s.from(start)
	return r
}

// recordField reads `name: value`. The name may be a keyword, or a text.
func (s *session) recordField() (ast.RecordField, bool) {
	start := s.at
	f := ast.RecordField{}
	switch k := s.kind(); {
	case k == kindName || k.keyword():
		f.Name = s.fieldName()
	case k == kindTextOpen:
		text := s.textLit().(*ast.TextLit)
		name, plain := text.Plain()
		if !plain {
			s.complain(diag.New("field-name-insert", text.Span, nil))
		}
		f.Name, f.Quoted = ast.Ident{Spanned: text.Spanned, Name: normal(name)}, true
	default:
		s.complain(diag.New("field-name", s.nextSpan(), diag.Args{"found": s.found(s.at)}))
		return f, false
	}
	if s.kind() != kindColon {
		s.complainNoColon(f.Name)
		f.Value = s.bad()
		f.Spanned = s.from(start)
		return f, true
	}
	s.at++
	f.Value = s.expr()
	f.Spanned = s.from(start)
	return f, true
}

// complainNoColon reports a field without a value.
func (s *session) complainNoColon(name ast.Ident) {
	d := diag.New("field-colon", s.here(), diag.Args{"name": name.Name})
	switch k := s.kind(); {
	case k == kindAssign:
		sign := s.tokenSpan(s.at)
		d.Span = sign
		d = d.WithEdit(s.span(s.prevEnd(), sign.End), ":", true)
	case k.startsValue():
		d = d.WithEdit(s.here(), ":", true)
	}
	s.complain(d)
}

// fieldName reads the name of a field: any word, also one that the language
// keeps for itself.
func (s *session) fieldName() ast.Ident {
	if !s.kind().keyword() {
		return s.name("field")
	}
	s.at++
	return ast.Ident{Spanned: s.from(s.at - 1), Name: s.text(s.at - 1)}
}

// group reads round brackets that are no call: a point, or a value in brackets.
func (s *session) group() ast.Expr {
	start := s.at
	closer := int(s.tokens[start].pair)
	s.at++
	if s.at == closer {
		s.complain(diag.New("empty-brackets", s.span(int(s.tokens[start].start), int(s.tokens[closer].end)), nil))
		s.at = closer + 1
		return s.badFrom(int(s.tokens[start].start))
	}
	x := s.expr()
	height := s.height
	if s.kind() != kindComma || s.at >= closer {
		s.closeAt(closer, inGroup)
		s.height = height + 1
		return &ast.Paren{Spanned: s.from(start), X: x}
	}
	s.at++
	y := s.bad()
	if s.at == closer {
		s.complainMissing()
	} else {
		y = s.expr()
	}
	s.height = max(height, s.height) + 1
	if s.at < closer && s.kind() == kindComma {
		s.complain(diag.New("point-size", s.tokenSpan(s.at), nil))
	}
	s.closeAt(closer, inPoint)
	return &ast.PointLit{Spanned: s.from(start), X: x, Y: y}
}
