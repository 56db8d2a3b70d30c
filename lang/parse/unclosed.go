package parse

import (
	"strings"

	"wend/lang/diag"
)

// popUnclosed takes the innermost bracket as one whose closing is missing, at
// the latest before raw token i.
func (m *matcher) popUnclosed(i int) {
	top := *m.top()
	m.stack = m.stack[:len(m.stack)-1]
	at := i
	if top.kind == kindBlockOpen {
		m.afterBlock()
	} else if top.breakAt >= 0 {
		at = top.breakAt
		// What encloses it can end no earlier than it does, and not much later.
		if next := m.top(); next.at >= 0 && next.breakAt < 0 && next.kind != kindBlockOpen && next.kind != kindInsertOpen {
			next.breakAt = at
		}
	}
	for at > 0 && m.tokens[at-1].kind == kindNewline {
		at--
	}
	end := 0
	if at > 0 {
		end = int(m.tokens[at-1].end)
	}
	m.out.repairs = append(m.out.repairs, repair{before: at, kind: top.kind.closer(), drop: -1})
	if m.tokens[top.at].virtual {
		return
	}
	offset := end
	atElse := m.tokens[i].kind == kindElse
	if top.lastThere {
		offset = m.blankLineAfter(end, top.indent)
	}
	if atElse = atElse && offset == end; atElse {
		offset = int(m.tokens[i].start)
	}
	if !m.out.found(rankBracket, offset) {
		return
	}
	wanted := bracketText(top.kind.closer())
	d := diag.New("unclosed-bracket", m.span(offset, offset), diag.Args{"open": bracketText(top.kind), "wanted": wanted}).
		WithRelated(m.tokenSpan(top.at), "opened here")
	if atElse {
		d = d.WithEdit(m.span(offset, offset), wanted+" ", false)
	} else if offset == end && top.kind == kindBlockOpen {
		d = d.WithEdit(m.span(offset, offset), "\n"+strings.Repeat(" ", top.indent)+"}", false)
	} else {
		d = d.WithEdit(m.span(offset, offset), wanted, false)
	}
	m.out.add(rankBracket, d)
}

// blankLineAfter is where a block that was left open most likely ends: on the
// first empty line after its last indented line, or else at the end of that.
func (m *matcher) blankLineAfter(offset, indent int) int {
	const mostComments = 5 // more of them are hardly the end of a block
	end := m.lineEnd(offset)
	for at, n := end, 0; at < len(m.text) && n < mostComments; n++ {
		next := at + 1
		if m.text[at] == '\r' && next < len(m.text) && m.text[next] == '\n' {
			next++
		}
		stop := m.lineEnd(next)
		line := strings.TrimLeft(m.text[next:stop], " \t")
		if line == "" {
			return stop
		}
		if line[0] != '#' || m.indentAt(stop-len(line)) <= indent {
			break
		}
		at, end = stop, stop
	}
	if end == m.lineEnd(offset) {
		return offset
	}
	return end
}
