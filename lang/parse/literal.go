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
