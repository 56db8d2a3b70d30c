package parse

import (
	"wend/lang/ast"
	"wend/lang/source"
)

// reading is a text made ready for the grammar: every bracket has its partner
// and every statement its end.
type reading struct {
	faults
	tokens   []token
	comments []ast.Comment
}

func read(src *source.File) *reading {
	s := scan(src)
	if s.over != nil {
		end := int32(len(s.text))
		r := &reading{faults: faults{src: src}, tokens: layOut([]token{{kind: kindNewline, start: end, end: end}})}
		r.add(rankText, *s.over)
		return r
	}
	repairs := s.matchBrackets()
	r := &reading{faults: s.faults, comments: s.comments}
	r.tokens = layOut(s.mend(repairs))
	return r
}

// mend applies repairs, which are sorted by place, to the raw tokens.
func (s *scanner) mend(repairs []repair) []token {
	if len(repairs) == 0 {
		return s.tokens
	}
	out := make([]token, 0, len(s.tokens)+len(repairs))
	next := 0
	for i, t := range s.tokens {
		dropped := false
		for ; next < len(repairs) && repairs[next].before <= i; next++ {
			r := repairs[next]
			switch {
			case r.drop < 0:
				end := int32(0)
				if len(out) > 0 {
					end = out[len(out)-1].end
				}
				out = append(out, token{kind: r.kind, start: end, end: end, virtual: true, tainted: true})
			case r.become != kindEOF:
				t.kind, t.tainted, t.virtual = r.become, true, true
			default:
				dropped = true
				last := len(out) - 1
				for last > 0 && out[last].kind == kindNewline {
					last--
				}
				if t.kind != kindBlockClose && last >= 0 {
					out[last].cut = t.start + 1
				}
			}
		}
		if !dropped {
			out = append(out, t)
		}
	}
	return out
}

// layOut turns the newlines that end a statement into ends, drops the others,
// and notes for each bracket where its partner is.
//
// The innermost bracket decides: newlines count in { } and outside all
// brackets, not in ( ), [ ], a record or a text. They also do not count after a sign
// that asks for more, and before {, else and a leading .name.
func layOut(raw []token) []token {
	out := make([]token, 0, len(raw)+1)
	var open []int32
	counts := func() bool {
		if len(open) == 0 {
			return true
		}
		return out[open[len(open)-1]].kind == kindBlockOpen
	}
	for i, t := range raw {
		switch {
		case t.kind == kindSemicolon:
			if counts() {
				t.kind = kindEnd
			}
			out = append(out, t)
		case t.kind == kindNewline:
			if len(out) == 0 || out[len(out)-1].kind == kindEnd || out[len(out)-1].kind.asksForMore() ||
				!counts() || newlineDropped(raw, i) {
				continue
			}
			t.kind = kindEnd
			out = append(out, t)
		case t.kind.opens():
			open = append(open, int32(len(out)))
			out = append(out, t)
		case t.kind.closes():
			opener := open[len(open)-1]
			open = open[:len(open)-1]
			out[opener].pair = int32(len(out))
			t.pair = opener
			if out[opener].kind == kindRecordOpen {
				t.kind = kindRecordClose
			}
			out = append(out, t)
		default:
			out = append(out, t)
		}
	}
	end := int32(0)
	if n := len(raw); n > 0 {
		end = raw[n-1].end
	}
	return append(out, token{kind: kindEOF, start: end, end: end})
}

// newlineDropped reports whether what follows a newline takes it away. Of
// several newlines in a row only the last is asked.
func newlineDropped(raw []token, i int) bool {
	if i+1 >= len(raw) {
		return false
	}
	switch raw[i+1].kind {
	case kindNewline:
		return true
	case kindBlockOpen, kindElse:
		return true
	case kindDot:
		return i+2 < len(raw) && (raw[i+2].kind == kindName || raw[i+2].kind.keyword())
	}
	return false
}
