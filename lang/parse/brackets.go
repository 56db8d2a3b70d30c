package parse

import (
	"slices"

	"wend/lang/diag"
	"wend/lang/source"
)

// How brackets are matched.
//
// The plain way is a stack. If it finds nothing wrong, brackets match and
// indentation means nothing. If something is wrong, the stack knows that but
// not where: one missing brace leaves the last block of the file open. So the
// file is matched once more, now with the help of how its lines are indented,
// which is mostly right where a bracket is not. Of the two readings the one
// with fewer faults holds.
//
// The result is a list of repairs that make every bracket match. Whatever
// comes after can rely on that: no later step knows of unmatched brackets.

// repair changes the raw tokens at one index.
type repair struct {
	before int  // index of the raw token before which a bracket is added
	kind   kind // the bracket; kindEOF for a token that is left out or changed
	drop   int  // index of the raw token that is left out, or -1
	become kind // what the token at drop becomes instead, if not kindEOF
}

type matching struct {
	faults
	repairs []repair
	count   int // faults found, including those that were not worth keeping
}

// found counts a fault at an offset and reports whether to report it.
func (m *matching) found(r rank, at int) bool {
	m.count++
	return !m.echo(r, at)
}

// frame is an open bracket.
type frame struct {
	at          int // index of the raw token; -1 for the file itself
	kind        kind
	line        int // running number of its line
	indent      int // columns of white space before that line
	lastThere   bool
	conditional bool // a block of if or else
	choices     int  // if in brackets whose first { has not come
	breakAt     int  // where a statement inside round or square brackets seems to end; -1 if nowhere
	headers     []header
	seen        [3]int // openers below and including this frame since the last insert, by pair
	near        [3]int // the same since the last block or insert
}

// header is a line that should open a block and does not.
type header struct {
	indent   int
	insertAt int // index of the raw token before which its { belongs
}

type matcher struct {
	*scanner
	guided bool
	stack  []frame
	out    matching

	line, indent int
	lineFirst    int // index of the line's first token
	last         int // index of the last token that is no newline; -1 before any
	stmtFirst    int // index of the first token of the statement
	stmtIndent   int
	stmtOpened   bool // a { was seen in it
	partner      []int32
}

// bracketPair is which of the three pairs a bracket belongs to: (), [] or {}.
func bracketPair(k kind) int {
	switch k {
	case kindGroupOpen, kindCallOpen, kindGroupClose:
		return 0
	case kindListOpen, kindIndexOpen, kindListClose:
		return 1
	}
	return 2
}

// matchBrackets finds the repairs and records the faults.
func (s *scanner) matchBrackets() []repair {
	best := s.match(false)
	if best.count > 0 {
		if guided := s.match(true); guided.count <= best.count {
			best = guided
		}
	}
	for _, f := range best.list {
		s.add(f.rank, f.Diagnostic)
	}
	slices.SortStableFunc(best.repairs, func(a, b repair) int { return a.before - b.before })
	return best.repairs
}

func (s *scanner) match(guided bool) matching {
	m := matcher{scanner: s, guided: guided, out: matching{faults: faults{src: s.src}}, last: -1, lineFirst: -1, stmtFirst: -1, partner: make([]int32, len(s.tokens))}
	m.stack = append(m.stack, frame{at: -1, breakAt: -1, line: -1, indent: -1})
	for i := range s.tokens {
		m.token(i)
	}
	for len(m.stack) > 1 {
		m.popUnclosed(len(s.tokens) - 1)
	}
	return m.out
}

func (m *matcher) top() *frame { return &m.stack[len(m.stack)-1] }

func (m *matcher) token(i int) {
	k := m.tokens[i].kind
	if k == kindNewline {
		m.newline(i)
		return
	}
	if m.lineFirst < 0 {
		m.lineFirst = i
		m.indent = m.indentAt(int(m.tokens[i].start))
		if m.guided {
			m.dedent(i)
		}
	}
	if k == kindElse && m.top().kind == kindBlockOpen && m.top().conditional && m.prevKind() != kindBlockClose {
		m.popUnclosed(i)
	}
	if m.stmtFirst < 0 {
		m.stmtFirst, m.stmtIndent, m.stmtOpened = i, m.indent, false
	}
	if k == kindIf {
		m.top().choices++
	}
	switch {
	case k.opens():
		m.open(i, k)
	case k.closes():
		m.close(i, k)
	case k == kindSemicolon:
		m.stmtFirst = -1
	}
	m.last = i
}

func (m *matcher) prevKind() kind {
	if m.last < 0 {
		return kindEOF
	}
	return m.tokens[m.last].kind
}

// indentAt counts the columns before an offset on its line, with tabs to
// multiples of eight.
func (m *matcher) indentAt(offset int) int {
	start := offset
	for start > 0 && m.text[start-1] != '\n' && m.text[start-1] != '\r' {
		start--
	}
	n := 0
	for _, c := range []byte(m.text[start:offset]) {
		switch c {
		case '\t':
			n += 8 - n%8
		default:
			n++
		}
	}
	return n
}

func (m *matcher) newline(i int) {
	top := m.top()
	if m.lineFirst >= 0 {
		goesOn := m.last >= 0 && (m.tokens[m.last].kind.asksForMore() || m.tokens[m.last].kind.opens())
		switch top.kind {
		case kindGroupOpen, kindCallOpen, kindListOpen, kindIndexOpen, kindRecordOpen:
			if top.breakAt < 0 && !goesOn {
				top.breakAt = i
			}
			if m.guided && m.prevKind() == kindPath && !m.braceFollows(i) {
				top.headers = append(top.headers, header{indent: m.indent, insertAt: i})
			}
		default:
			if m.guided && m.stmtFirst >= 0 && !m.stmtOpened && m.opensBlock() && !m.braceFollows(i) {
				top.headers = append(top.headers, header{indent: m.stmtIndent, insertAt: i})
			}
			if !goesOn && !m.braceFollows(i) {
				m.stmtFirst = -1
			}
		}
	}
	m.line++
	m.lineFirst = -1
}

// opensBlock reports whether the statement that just ended should have had a block.
func (m *matcher) opensBlock() bool {
	switch m.tokens[m.stmtFirst].kind {
	case kindLoop, kindIf, kindElse, kindFigure, kindBranch:
		return true
	}
	switch m.tokens[m.last].kind {
	case kindPath, kindElse:
		return true
	case kindGroupClose: // of the parameters of a fn
		opener := int(m.partner[m.last])
		return opener > 0 && m.tokens[opener-1].kind == kindFn ||
			opener > 1 && m.tokens[opener-1].kind == kindName && m.tokens[opener-2].kind == kindFn
	}
	return false
}

func (m *matcher) braceFollows(i int) bool {
	for i < len(m.tokens) && m.tokens[i].kind == kindNewline {
		i++
	}
	return i < len(m.tokens) && m.tokens[i].kind == kindBlockOpen
}

// dedent closes what must have been meant to end before a line that is not
// indented more than the line that opened it.
func (m *matcher) dedent(i int) {
	k := m.tokens[i].kind
	for len(m.stack) > 1 {
		top := m.top()
		if top.kind == kindInsertOpen || k.closes() || m.indent > top.indent || top.line == m.line || k == kindElse && top.kind == kindBlockOpen {
			return
		}
		if top.kind == kindBlockOpen && k == kindBlockOpen {
			return
		}
		if top.kind != kindBlockOpen && !top.lastThere && m.tokens[m.last].kind.asksForMore() {
			return
		}
		m.popUnclosed(i)
	}
}

func (m *matcher) open(i int, k kind) {
	if k == kindBlockOpen {
		m.closeBeforeBlock(i)
		m.stmtOpened = true
	}
	f := frame{at: i, kind: k, line: m.line, indent: m.indent, breakAt: -1}
	f.lastThere = i+1 >= len(m.tokens) || m.tokens[i+1].kind == kindNewline
	if k != kindInsertOpen {
		f.seen = m.top().seen
		f.seen[bracketPair(k)]++
	}
	if k != kindInsertOpen && k != kindBlockOpen {
		f.near = m.top().near
		f.near[bracketPair(k)]++
	}
	if k == kindBlockOpen {
		if m.stmtFirst >= 0 {
			first := m.tokens[m.stmtFirst].kind
			f.conditional = first == kindIf || first == kindElse
		}
		m.stmtFirst = -1
	}
	m.stack = append(m.stack, f)
}

// closeBeforeBlock: inside round or square brackets and records only path, fn (…)
// and the choice between values can have a block, so before any other { the brackets must have been meant to end.
func (m *matcher) closeBeforeBlock(i int) {
	for {
		top := m.top()
		if top.at < 0 || top.kind == kindBlockOpen || top.kind == kindInsertOpen {
			return
		}
		if top.choices > 0 {
			top.choices--
			return
		}
		switch m.prevKind() {
		case kindPath, kindElse:
			return
		case kindName:
			if nearPath(m.tokenSpan(m.last).Text()) {
				return
			}
		case kindGroupClose:
			if opener := int(m.partner[m.last]); opener > 0 && m.tokens[opener-1].kind == kindFn {
				return
			}
		}
		isFn := top.at > 0 && m.tokens[top.at-1].kind == kindFn
		m.popUnclosed(i)
		if isFn {
			return
		}
	}
}

func (m *matcher) close(i int, k kind) {
	for {
		top := m.top()
		if top.at < 0 || top.kind == kindInsertOpen && k != kindInsertClose {
			if k == kindBlockClose && m.openHeader(i, top) {
				return
			}
			m.extra(i)
			return
		}
		if top.kind.closer() == k {
			if m.guided && m.lineFirst == i && top.line != m.line && top.kind == kindBlockOpen {
				if m.indent < top.indent && top.seen[2] > 1 {
					m.popUnclosed(i)
					continue
				}
				if m.indent > top.indent {
					if !m.openHeader(i, top) {
						m.extra(i)
					}
					return
				}
			}
			if m.guided && m.lineFirst == i && top.line != m.line && top.kind != kindBlockOpen &&
				m.indent < top.indent && top.seen[bracketPair(k)] > 1 {
				m.popUnclosed(i)
				continue
			}
			m.pair(i)
			return
		}
		s := bracketPair(k)
		switch {
		case k == kindInsertClose:
			m.popUnclosed(i)
		case k == kindBlockClose:
			if m.openHeader(i, top) {
				return
			}
			if top.seen[2] > 0 {
				m.popUnclosed(i)
				continue
			}
			if top.line == m.line {
				m.crossed(i)
			} else {
				m.extra(i)
			}
			return
		case top.kind == kindBlockOpen:
			if top.seen[s] > 0 && (m.lineFirst == i && !m.guided || m.indent <= top.indent) {
				m.popUnclosed(i)
				continue
			}
			m.extra(i)
			return
		case i+1 < len(m.tokens) && m.tokens[i+1].kind == top.kind.closer() && top.line == m.line:
			m.crossed(i)
			return
		case top.near[s] > 0:
			m.popUnclosed(i)
		case top.line == m.line:
			m.crossed(i)
			return
		default:
			m.extra(i)
			return
		}
	}
}

func (m *matcher) pair(i int) {
	top := m.top()
	m.partner[i] = int32(top.at)
	block := top.kind == kindBlockOpen
	m.stack = m.stack[:len(m.stack)-1]
	if block {
		m.afterBlock()
	}
}

// afterBlock: what follows a } may be a statement of its own, or an else.
func (m *matcher) afterBlock() {
	if s := m.top().kind; m.top().at < 0 || s == kindBlockOpen {
		m.stmtFirst = -1
	}
}

// openHeader gives a closing brace the { that a line above it, indented as the
// brace is, should have.
func (m *matcher) openHeader(i int, f *frame) bool {
	if !m.guided || m.lineFirst != i {
		return false
	}
	for n := len(f.headers); n > 0; n-- {
		h := f.headers[n-1]
		f.headers = f.headers[:n-1]
		if h.indent < m.indent {
			f.headers = f.headers[:n]
			return false
		}
		if h.indent > m.indent {
			continue
		}
		m.out.repairs = append(m.out.repairs, repair{before: h.insertAt, kind: kindBlockOpen, drop: -1})
		end := int(m.tokens[h.insertAt-1].end)
		if m.out.found(rankBracket, end) {
			m.out.add(rankBracket, diag.New("missing-block", m.span(end, end), nil).
				WithEdit(m.span(end, end), " {", true).WithRelated(m.tokenSpan(i), "this closes it"))
		}
		m.afterBlock()
		return true
	}
	return false
}

func (m *matcher) tokenSpan(i int) source.Span {
	return m.span(int(m.tokens[i].start), int(m.tokens[i].end))
}

func (m *matcher) extra(i int) {
	text := bracketText(m.tokens[i].kind)
	r := rankBracket
	if m.tokens[i].kind == kindBlockClose {
		r = rankGuess
	}
	span := m.tokenSpan(i)
	if !m.tokens[i].virtual && m.out.found(r, span.Start) {
		m.out.add(r, diag.New("extra-bracket", span, diag.Args{"found": text}).WithEdit(span, "", false))
	}
	m.out.repairs = append(m.out.repairs, repair{before: i, drop: i})
	if m.tokens[i].kind == kindBlockClose {
		m.stmtFirst = -1
	}
}

func (m *matcher) crossed(i int) {
	top := *m.top()
	wanted := bracketText(top.kind.closer())
	span := m.tokenSpan(i)
	if m.out.found(rankBracket, span.Start) {
		m.out.add(rankBracket, diag.New("crossed-brackets", span, diag.Args{
			"open": bracketText(top.kind), "found": bracketText(m.tokens[i].kind), "wanted": wanted}).
			WithRelated(m.tokenSpan(top.at), "opened here").WithEdit(span, wanted, false))
	}
	m.out.repairs = append(m.out.repairs, repair{before: i, drop: i, become: top.kind.closer()})
	m.pair(i)
}
