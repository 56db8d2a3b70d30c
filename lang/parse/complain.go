package parse

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
)

// setting is what the text was in the middle of when something else followed.
type setting int

const (
	inStatement    setting = iota // a statement that seemed finished
	inArgumentList                // the arguments of a call without brackets
	inArguments                   // those of a call with brackets
	inList
	inGroup
	inPoint
	inRecord
	inIndex
	inInsert
	inHeader // before a block
)

// found says what a token is, as a person would.
func (s *session) found(i int) string {
	switch k := s.tokens[i].kind; k {
	case kindEnd:
		if s.tokens[i].end > s.tokens[i].start && s.text(i) == ";" {
			return "`;`"
		}
		return "the end of the line"
	case kindEOF:
		return "the end of the text"
	case kindNumber:
		return "the number `" + s.text(i) + "`"
	case kindName:
		return "the name `" + s.text(i) + "`"
	case kindTextOpen, kindTextPart, kindTextClose:
		return "a text"
	default:
		if k.keyword() {
			return "the word `" + s.text(i) + "`"
		}
		return "`" + s.text(i) + "`"
	}
}

// nextSpan is the span of the token that comes, or for an end the empty one before it.
func (s *session) nextSpan() source.Span {
	switch s.kind() {
	case kindEnd, kindEOF:
		return s.here()
	case kindTextOpen:
		for i := s.at; ; i++ {
			if s.tokens[i].kind == kindTextClose && s.tokens[i].end >= s.tokens[s.at].end {
				return s.tokenSpan(s.at).To(s.tokenSpan(i))
			}
		}
	}
	return s.tokenSpan(s.at)
}

// complainExpected is the message of last resort.
func (s *session) complainExpected(wanted string) {
	s.complain(diag.New("expected", s.nextSpan(), diag.Args{"wanted": wanted, "found": s.found(s.at)}))
}

// complainBareFile reports that the name of a used file stands without quotes, or not at
// all. It gives that name, if one stands there, and what it is to be called.
func (s *session) complainBareFile() (path *ast.TextLit, as ast.Ident) {
	if s.kind() != kindName {
		s.complainExpected("the name of a file in quotes")
		return nil, as
	}
	end := s.at
	for s.kindAt(end+1) == kindDot && s.kindAt(end+2) == kindName {
		end += 2
	}
	span := s.span(int(s.tokens[s.at].start), int(s.tokens[end].end))
	name := span.Text()
	file, short := name, name
	if before, isFile := strings.CutSuffix(name, ".wend"); isFile {
		short = before
	} else {
		file += ".wend"
	}
	d := diag.New("expected", span, diag.Args{"wanted": "the name of a file in quotes", "found": "`" + name + "`"})
	last := end
	switch {
	case s.kindAt(end+1) == kindAs && s.kindAt(end+2) == kindName:
		last = end + 2
		as = ast.Ident{Spanned: ast.Spanned{Span: s.tokenSpan(end + 2)}, Name: normal(s.text(end + 2))}
		short = as.Name
		d = d.WithEdit(span, strconv.Quote(file), false)
	case s.endsStatement(end + 1):
		d = d.WithEdit(span, strconv.Quote(file)+" as "+short, false)
	}
	s.complain(d.WithHint("a file of yours: `use \"%s\" as %s`; what the library has, such as `curves`, is always there without `use`", file, short))
	s.at = last + 1
	return &ast.TextLit{Spanned: ast.Spanned{Span: span}, Parts: []ast.TextPart{{Spanned: ast.Spanned{Span: span}, Plain: name}}}, as
}

// complainMissing reports that a value is missing where the next token stands.
func (s *session) complainMissing() {
	if s.faulty {
		return
	}
	k := s.kind()
	if k.keyword() {
		if k.startsStatement() && s.at > s.stmt && s.wrongJoint() == s.at-1 {
			s.complainJoint(s.at - 1)
			return
		}
		if s.misused[k] {
			s.faulty = true // where it was made a name was reported
			return
		}
		s.complain(s.keywordAsValue(s.at))
		return
	}
	if k == kindBlockOpen {
		s.complainBlockForValue()
		return
	}
	if k == kindPlus {
		s.complain(diag.New("unary-plus", s.tokenSpan(s.at), nil).WithEdit(s.tokenSpan(s.at), "", true))
		return
	}
	if k == kindSemicolon {
		s.complain(diag.New("semicolon-in-brackets", s.tokenSpan(s.at), nil).WithEdit(s.tokenSpan(s.at), ",", false))
		return
	}
	if k.infix() && s.at > 0 && !s.tokens[s.at-1].kind.infix() {
		s.complain(diag.New("missing-value", s.tokenSpan(s.at), diag.Args{"side": "before", "sign": s.text(s.at)}))
		return
	}
	if s.at > s.stmt {
		span := s.tokenSpan(s.at - 1)
		s.complain(diag.New("missing-value", span, diag.Args{"side": "after", "sign": s.text(s.at - 1)}))
		return
	}
	s.complainExpected("a value")
}

// complainBlockForValue reports a { that begins no record where a value must
// begin.
func (s *session) complainBlockForValue() {
	open, next := s.at, s.at+1
	span := s.tokenSpan(open)
	switch closer := int(s.tokens[open].pair); {
	case s.tokens[open-1].kind == kindInsertOpen:
		insert := s.tokenSpan(open - 1)
		s.complain(diag.New("brace-in-text", span, nil).WithEdit(insert.Head(), `\`, false))
	case next == closer:
		s.complain(diag.New("empty-record", span.To(s.tokenSpan(closer)), nil))
	case s.kindAt(next) == kindName && s.kindAt(next+1) == kindAssign:
		sign := s.tokenSpan(next + 1)
		s.complain(diag.New("field-colon", sign, diag.Args{"name": s.text(next)}).
			WithEdit(s.span(int(s.tokens[next].end), sign.End), ":", false))
	case s.kindAt(next) == kindTextOpen && s.colonAfterText(next):
		s.complain(diag.New("field-name-insert", s.tokenSpan(next), nil))
	case s.kindAt(next) == kindName && s.kindAt(next+1).startsValue() && s.holdsComma(open):
		end := s.span(int(s.tokens[next].end), int(s.tokens[next].end))
		s.complain(diag.New("field-colon", end, diag.Args{"name": s.text(next)}).WithEdit(end, ":", false))
	case s.kindAt(next).startsValue() && s.kindAt(next) != kindName:
		s.complain(diag.New("list-in-braces", span, nil))
	default:
		s.complain(diag.New("missing-value", s.tokenSpan(max(s.at-1, s.stmt)), diag.Args{"side": "after", "sign": s.text(max(s.at-1, s.stmt))}))
	}
}

// holdsComma reports whether a comma stands directly in the brackets that begin
// at a token.
func (s *session) holdsComma(open int) bool {
	for i := open + 1; i < int(s.tokens[open].pair); i++ {
		switch k := s.tokens[i].kind; {
		case k == kindComma:
			return true
		case k.opens():
			i = int(s.tokens[i].pair)
		}
	}
	return false
}

// colonAfterText reports whether : follows a text that begins at a token.
func (s *session) colonAfterText(i int) bool {
	for ; s.kindAt(i) != kindTextClose; i++ {
		if s.kindAt(i) == kindInsertOpen {
			i = int(s.tokens[i].pair)
		}
	}
	return s.kindAt(i+1) == kindColon
}

// complainAfter reports what follows although nothing more was wanted.
func (s *session) complainAfter(in setting) {
	if s.faulty {
		return
	}
	if in == inStatement || in == inArgumentList {
		if joint := s.wrongJoint(); joint >= 0 {
			s.complainJoint(joint)
			return
		}
	}
	s.complain(s.surplus(in))
}

// complainJoint reports a sign at the end of a line that asks for more in vain.
func (s *session) complainJoint(joint int) {
	span := s.tokenSpan(joint)
	s.complain(diag.New("line-asks-for-more", span, diag.Args{"sign": s.text(joint)}).
		WithRelated(s.tokenSpan(joint+1), "so this goes on with it").WithEdit(span, "", false))
}

// wrongJoint is the sign at the end of a line by which the next line, which
// does not look like it, became part of the statement; or -1.
func (s *session) wrongJoint() int {
	for i := s.at - 1; i > s.stmt; i-- {
		if s.tokens[i].kind.closes() {
			i = int(s.tokens[i].pair)
			continue
		}
		if s.tokens[i].kind.asksForMore() && s.lineBroken(i, i+1) {
			if s.indent(i+1) <= s.indent(s.stmt) {
				return i
			}
			return -1
		}
	}
	return -1
}

func (s *session) surplus(in setting) diag.Diagnostic {
	prev := s.at - 1
	span := s.nextSpan()
	between := s.span(s.prevEnd(), s.prevEnd())
	k := s.kind()
	name := k == kindName
	switch {
	case k == kindSemicolon:
		return diag.New("semicolon-in-brackets", span, nil).WithEdit(span, ",", false)
	case k == kindAssign:
		d := diag.New("stray-equals", span, nil)
		return d.WithEdit(span, "==", false)
	case k == kindChange:
		return diag.New("compound-assignment", span, diag.Args{"found": s.text(s.at)})
	case k == kindComma && s.tokens[prev].kind == kindNumber && s.kindAt(s.at+1) == kindNumber &&
		s.tokens[prev].end == s.tokens[s.at].start && s.tokens[s.at].end == s.tokens[s.at+1].start:
		return diag.New("decimal-comma", span, nil).WithEdit(span, ".", false)
	case k == kindComma:
		return diag.New("stray-comma", span, nil)
	case k == kindColon:
		return diag.New("stray-colon", span, nil)
	case k == kindBlockOpen && s.tokens[prev].kind == kindName && nearPath(s.text(prev)):
		return diag.New("misspelt-word", s.tokenSpan(prev), diag.Args{"found": s.text(prev), "wanted": "path"}).
			WithEdit(s.tokenSpan(prev), "path", false)
	case k == kindBlockOpen:
		return diag.New("stray-block", span, nil)
	case k == kindBy:
		return diag.New("by-without-range", span, nil)
	case k == kindElse:
		return diag.New("lone-else", span, nil)
	case s.tokens[prev].kind == kindBreak || s.tokens[prev].kind == kindContinue:
		return diag.New("expected", span, diag.Args{"wanted": "the end of the line", "found": s.found(s.at)})
	case k == kindIn && in == inGroup:
		return diag.New("expected", span, diag.Args{"wanted": "`)`", "found": s.found(s.at)}).
			WithHint("`loop i in …` has no brackets around it")
	case k.startsValue() || k.startsStatement():
		d := diag.New("side-by-side", between, diag.Args{"first": s.brief(prev), "second": s.brief(s.at)})
		switch {
		case in == inRecord:
			return d.WithHint("fields stand with a comma between them").WithEdit(between, ",", true)
		case s.lineBroken(prev, s.at) || in == inArguments || in == inList || in == inPoint:
			return d.WithHint("put a comma between them, or a sign such as `*`").WithEdit(between, ",", false)
		}
		if k.startsStatement() && k != kindFn {
			return diag.New("missing-line-break", span, diag.Args{"found": s.text(s.at)}).WithEdit(span.Head(), "\n", true)
		}
		if s.tokens[prev].kind == kindNumber && (name || k == kindGroupOpen) {
			d = d.WithEdit(between, " *", false)
		}
		return d.WithEdit(between, ",", false)
	case k == kindGroupOpen || k == kindListOpen:
		return diag.New("side-by-side", between, diag.Args{"first": s.brief(prev), "second": s.brief(s.at)})
	}
	wanted := map[setting]string{
		inStatement: "the end of the statement", inArgumentList: "`,` or the end of the line", inArguments: "`,` or `)`",
		inList: "`,` or `]`", inGroup: "`)`", inPoint: "`)`", inRecord: "`,` or `}`", inIndex: "`]`", inInsert: "`}`", inHeader: "`{`",
	}[in]
	return diag.New("expected", span, diag.Args{"wanted": wanted, "found": s.found(s.at)})
}

// brief is a token quoted for a message about what stands side by side.
func (s *session) brief(i int) string {
	switch s.tokens[i].kind {
	case kindTextOpen, kindTextClose, kindTextPart:
		return "a text"
	}
	return "`" + s.text(i) + "`"
}

func (s *session) keywordAsName(i int) diag.Diagnostic {
	if s.misused == nil {
		s.misused = map[kind]bool{}
	}
	s.misused[s.tokens[i].kind] = true
	word := s.text(i)
	return diag.New("keyword-as-name", s.tokenSpan(i), diag.Args{"word": word}).
		WithEdit(s.tokenSpan(i), word+"1", false)
}

func (s *session) keywordAsValue(i int) diag.Diagnostic {
	return diag.New("keyword-as-value", s.tokenSpan(i), diag.Args{"word": s.text(i)})
}

// complainNoBlock reports that a { is missing before the next token.
func (s *session) complainNoBlock(word string) {
	if s.faulty {
		return
	}
	if word == "path" && s.misused[kindPath] {
		s.faulty = true // it was taken for a name, which was reported
		return
	}
	span := s.nextSpan()
	switch k := s.kind(); {
	case k == kindRecordOpen:
		d := diag.New("record-for-block", span, nil)
		if word == "function" {
			d = d.WithHint("a function that gives a record is written `fn f() = {…}`").WithEdit(s.here(), " =", true)
		}
		s.complain(d)
		s.at = int(s.tokens[s.at].pair) + 1
	case k == kindName && blockWords[s.text(s.at)]:
		meant := "{"
		if s.kindAt(s.at+1) == kindBlockOpen {
			meant = ""
		}
		s.complain(diag.New("block-word", span, diag.Args{"found": s.text(s.at)}).WithEdit(span, meant, false))
	case k == kindAssign && word == "figure":
		s.complain(diag.New("expected", span, diag.Args{"wanted": "`{`", "found": s.found(s.at)}).
			WithHint("a figure draws; what computes a value is a function, `fn …(…) = …`").
			WithEdit(s.tokenSpan(s.stmt), "fn", true))
	case k == kindColon:
		s.complain(diag.New("block-word", span, diag.Args{"found": ":"}).WithEdit(span, "{", false))
	case k == kindAssign || k == kindChange || k == kindComma || k == kindBy || k == kindSemicolon:
		s.complain(s.surplus(inHeader))
	case k == kindEnd || k == kindEOF || k == kindBlockClose || k.startsStatement() || k == kindName:
		s.complain(diag.New("missing-block", s.here(), nil).WithEdit(s.here(), " {", false))
	case k.startsValue():
		s.complain(s.surplus(inHeader))
	default:
		s.complainExpected("`{`")
	}
}

// complainLetWithout reports `let x` without its `=`.
func (s *session) complainLetWithout(name lexer.Token) {
	if s.kind().startsValue() {
		s.complain(diag.New("let-without-equals", s.here(), diag.Args{"name": name.Value}).WithEdit(s.here(), " =", true))
		return
	}
	if s.kind() == kindColon {
		s.complain(diag.New("stray-colon", s.tokenSpan(s.at), nil).WithEdit(s.span(s.prevEnd(), int(s.tokens[s.at].end)), " =", true))
		return
	}
	if s.kind() == kindChange {
		s.complain(diag.New("compound-assignment", s.tokenSpan(s.at), diag.Args{"found": s.text(s.at)}).WithEdit(s.tokenSpan(s.at), "=", false))
		return
	}
	if s.atEnd() {
		s.complain(diag.New("let-without-value", s.here(), diag.Args{"name": name.Value}).WithEdit(s.here(), " = 0", false))
		return
	}
	s.complainExpected("`=`")
}

// complainDefinition reports where the head of a function or figure goes wrong.
func (s *session) complainDefinition(name *lexer.Token, params *paramList, what, then string) {
	switch {
	case name.Value == "" && what == "function" && (s.kind() == kindGroupOpen || s.kind() == kindCallOpen):
		s.complain(diag.New("fn-without-name", s.tokenSpan(s.at-1), nil))
	case name.Value == "":
		*name = s.complainNoName("a " + what)
		if s.faulty && s.kind() == kindGroupOpen {
			s.lookInto(int(s.tokens[s.at].pair))
		}
	case params.Close == "":
		s.complainParams(params)
	case what == "figure":
		s.complainNoBlock(what)
	case s.kind() == kindEnd || s.kind() == kindEOF || s.kind() == kindColon || s.kind() == kindRecordOpen:
		s.complainNoBlock(what)
	default:
		s.complainExpected(then)
	}
}

// complainParams reports where a list of parameters goes wrong.
func (s *session) complainParams(list *paramList) {
	switch {
	case list.Open == "":
		s.complain(diag.New("missing-params", s.here(), nil).WithEdit(s.here(), "()", false))
	case s.kind().keyword():
		s.complain(s.keywordAsName(s.at))
	case s.kind() == kindColon:
		s.complain(diag.New("stray-colon", s.tokenSpan(s.at), nil).WithHint("a default is written with `=`").
			WithEdit(s.span(s.prevEnd(), int(s.tokens[s.at].end)), " =", true))
	case s.kind() == kindName && len(list.Params) > 0:
		s.complain(s.surplus(inArguments))
	case s.kind() == kindComma || s.kind().closes():
		s.complainExpected("the name of a parameter")
	default:
		s.complain(diag.New("parameter-not-name", s.nextSpan(), diag.Args{"found": s.found(s.at)}))
	}
	for !s.atEnd() && s.kind() != kindBlockOpen && !s.kind().closes() {
		if s.kind().opens() {
			s.at = int(s.tokens[s.at].pair)
		}
		s.at++
	}
	if list.Open != "" && s.kind() == kindGroupClose {
		s.at++
	}
}

// complainStart reports a statement that cannot begin as it does.
func (s *session) complainStart() {
	span := s.nextSpan()
	k := s.kind()
	switch {
	case s.before >= 0 && s.beforeFault && s.indent(s.at) > s.indent(s.before):
		s.faulty = true // the line before was to go on here, and was reported
	case k == kindElse:
		s.complain(diag.New("lone-else", span, nil))
	case k == kindPath:
		d := diag.New("loose-path", span, nil)
		if s.kindAt(s.at+1) == kindBlockOpen {
			d = d.WithEdit(span.Head(), "draw ", true)
		} else if s.kindAt(s.at+1) == kindName {
			d = d.WithHint("a path with a name is a figure: `figure %s() { … }`", s.text(s.at+1)).WithEdit(span, "figure", false)
		}
		s.complain(d)
	case k == kindCurve:
		s.complain(diag.New("loose-path", span, nil).WithEdit(span.Head(), "draw ", true))
	case k == kindWhile:
		s.complain(diag.New("foreign-word", span, diag.Args{"found": "while", "wanted": "loop while"}).WithEdit(span, "loop while", true))
	case k.infix() && (k != kindMinus || s.goesOn()) || k == kindComma || k == kindChange || k == kindAnd || k == kindOr:
		d := diag.New("line-starts-with-sign", span, diag.Args{"sign": s.text(s.at)})
		if s.before >= 0 && s.at > 0 && s.tokens[s.at-1].kind == kindEnd {
			end := s.span(int(s.tokens[s.at-2].end), int(s.tokens[s.at-2].end))
			d = d.WithRelated(end, "this line would have to end with it")
			if s.goesOn() {
				d = d.WithEdit(s.signMoved(k))
			}
		}
		s.complain(d)
	case k.startsValue() && s.goesOn():
		end := int(s.tokens[s.at-2].end)
		s.complain(diag.New("side-by-side", s.span(end, end), diag.Args{"first": s.brief(s.at - 2), "second": s.brief(s.at)}).
			WithEdit(s.span(end, end), ",", false))
	case k.startsValue():
		d := diag.New("loose-value", span, diag.Args{"found": s.found(s.at)})
		if s.inFunction() {
			d = d.WithHint("a function gives a value back with `return`").WithEdit(span.Head(), "return ", false)
		}
		s.complain(d)
	case k == kindBlockOpen:
		s.complain(diag.New("stray-block", span, nil))
	default:
		s.complainExpected("a statement")
	}
}

// inFunction reports whether the next token stands in the block of a function,
// not of a figure or a path.
func (s *session) inFunction() bool {
	header := false // what is before the block that was left last
	for i := s.at - 1; i >= 0; i-- {
		switch k := s.tokens[i].kind; {
		case k.closes():
			i = int(s.tokens[i].pair)
		case k == kindBlockOpen:
			header = true
		case k == kindEnd:
			header = false
		case header && k == kindFn:
			return true
		case header && (k == kindFigure || k == kindPath):
			return false
		}
	}
	return false
}

// goesOn reports whether this line is indented as if it went on with the one before.
func (s *session) goesOn() bool {
	return s.before >= 0 && s.at >= 2 && s.tokens[s.at-1].kind == kindEnd && s.indent(s.at) > s.indent(s.before)
}

// signMoved is the edit that puts a sign, which a line begins with, to the end of
// the line before.
func (s *session) signMoved(k kind) (at source.Span, text string, certain bool) {
	sign := s.tokenSpan(s.at)
	at = s.span(int(s.tokens[s.at-2].end), sign.End)
	space := " "
	if k == kindComma {
		space = ""
	}
	gap := strings.TrimSuffix(at.Text(), sign.Text())
	at.End += len(sign.File.Text[sign.End:]) - len(strings.TrimLeft(sign.File.Text[sign.End:], " \t"))
	return at, space + sign.Text() + gap, k != kindMinus && k != kindChange
}

// complainAfterCall reports what follows a glued call that begins a statement.
func (s *session) complainAfterCall(start int, call *ast.Call) {
	k := s.kind()
	if d, wrong := s.habit(start); wrong && (k == kindBlockOpen || k == kindColon || k == kindName) {
		s.complain(d)
		return
	}
	if k == kindAt {
		head := call.Place().Head()
		s.complain(diag.New("expected", s.tokenSpan(s.at), diag.Args{"wanted": "the end of the statement", "found": s.found(s.at)}).
			WithHint("a place belongs to `draw`: `draw %s at …`", call.Place().Text()).WithEdit(head, "draw ", true))
		return
	}
	if k.infix() && k != kindEqual || k == kindComma || k == kindDot {
		open := call.Fn.Place().Tail()
		s.complain(diag.New("glued-call", s.tokenSpan(s.at), diag.Args{"name": call.Fn.Place().Text()}).
			WithEdit(open, " ", false))
		return
	}
	s.complainAfter(inStatement)
}

// notArguments reports a name that is followed by what no argument begins with.
func (s *session) notArguments(start int) (diag.Diagnostic, bool) {
	k := s.kind()
	span := s.tokenSpan(s.at)
	head := s.text(start)
	switch {
	case k == kindBlockOpen:
		if d, wrong := s.habit(start); wrong {
			return d, true
		}
		return diag.New("stray-block", span, nil), true
	case k == kindIn || k == kindAt || k == kindColon || k == kindAs:
		if d, wrong := s.habit(start); wrong {
			return d, true
		}
		if k == kindAt {
			return diag.New("expected", span, diag.Args{"wanted": "the end of the statement", "found": s.found(s.at)}).
				WithHint("a place belongs to `draw`: `draw %s at …`", head).
				WithEdit(s.tokenSpan(start).Head(), "draw ", true), true
		}
		if k == kindColon {
			return diag.New("stray-colon", span, nil), true
		}
	case k == kindMinus && s.kindAt(s.at+1) == kindMinus && s.endsStatement(s.at+2):
		both := span.To(s.tokenSpan(s.at + 1))
		return diag.New("step-sign", both, diag.Args{"found": "--"}).
			WithEdit(s.span(s.prevEnd(), both.End), " -= 1", true), true
	case k == kindEqual:
		return diag.New("loose-value", s.span(int(s.tokens[start].start), int(s.tokens[s.at].end)), diag.Args{"found": "a comparison"}).
			WithHint("to change a variable, use one `=`").WithEdit(span, "=", true), true
	case k == kindPlus && s.tokens[s.at+1].start == s.tokens[s.at].end && int(s.tokens[s.at].start) > s.prevEnd():
		return diag.New("unary-plus", span, nil).WithEdit(span, "", true), true
	case k.infix() && s.kindAt(s.at+1) == kindAssign && s.tokens[s.at].end == s.tokens[s.at+1].start:
		sign := span.To(s.tokenSpan(s.at + 1))
		return diag.New("compound-assignment", sign, diag.Args{"found": sign.Text()}).
			WithHint("a power is written out: `%s = %s %s …`", head, head, s.text(s.at)).
			WithEdit(sign, fmt.Sprintf("= %s %s", head, s.text(s.at)), true), true
	case k.infix() && k != kindMinus || k == kindAnd || k == kindOr:
		d := diag.New("loose-value", s.span(int(s.tokens[start].start), int(s.tokens[s.at].end)),
			diag.Args{"found": fmt.Sprintf("the value `%s %s …`", head, s.text(s.at))})
		if k.infix() && s.at == start+1 { // a sum that is worked out and forgotten
			sum := head + " " + s.text(s.at) + " …"
			d = d.WithHint("to change `%s`, write `%s = %s`; to print it, `note %s`", head, head, sum, sum).
				WithEdit(s.tokenSpan(start).Head(), head+" = ", false)
		}
		return d, true
	}
	return diag.Diagnostic{}, false
}

// habit is what to say of a statement that cannot be read and begins with a
// word that other languages use there, or that is nearly a keyword.
func (s *session) habit(start int) (diag.Diagnostic, bool) {
	word := s.text(start)
	span := s.tokenSpan(start)
	if elseIfWords[strings.ToLower(word)] && s.fits(start, "if") {
		return diag.New("else-if-word", span, diag.Args{"found": word}).WithEdit(span, "else if", false), true
	}
	if wanted, ok := foreignWords[strings.ToLower(word)]; ok && s.fits(start, wanted) {
		return diag.New("foreign-word", span, diag.Args{"found": word, "wanted": wanted}).
			WithEdit(span, wanted, false), true
	}
	if wanted := nearKeyword(word); wanted != "" && s.fits(start, wanted) {
		return diag.New("misspelt-word", span, diag.Args{"found": word, "wanted": wanted}).
			WithEdit(span, wanted, false), true
	}
	return diag.Diagnostic{}, false
}

// fits reports whether what follows a word looks like a statement that begins
// with a keyword, so that a call of a name of one's own with another fault in
// it is not taken for a slip in its name.
func (s *session) fits(start int, keyword string) bool {
	first, _, _ := strings.Cut(keyword, " ")
	next, second := s.kindAt(start+1), s.kindAt(start+2)
	switch first {
	case "let":
		return next == kindName && second == kindAssign
	case "fn", "figure":
		return next == kindName && (second == kindCallOpen || second == kindGroupOpen)
	case "use":
		return next == kindTextOpen || next == kindName && second == kindAs
	case "loop", "if", "else", "branch":
		return s.has(start, kindBlockOpen) || s.has(start, kindIn) || s.has(start, kindColon)
	case "draw":
		return s.has(start, kindAt)
	}
	return false
}

// has reports whether a statement has a token of a kind outside all brackets.
func (s *session) has(start int, k kind) bool {
	for i := start; !s.endsStatement(i); i++ {
		if s.tokens[i].kind == k {
			return true
		}
		if s.tokens[i].kind.opens() {
			i = int(s.tokens[i].pair)
		}
	}
	return false
}
