package format_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
)

// writer makes up programs: every form of the language, laid out as badly as
// the language allows, with comments wherever a line can end.
type writer struct {
	t     *rapid.T
	depth int
	long  bool // no line ends but between statements
}

func (w *writer) pick(options ...string) string { return rapid.SampledFrom(options).Draw(w.t, "pick") }

func (w *writer) chance(percent int) bool { return rapid.IntRange(0, 99).Draw(w.t, "chance") < percent }

// gap is white space that does not end a line.
func (w *writer) gap() string { return w.pick("", " ", "  ", "\t") }

// space is at least one blank.
func (w *writer) space() string { return w.pick(" ", "  ", " \t") }

// freely is white space where a line may end.
func (w *writer) freely() string {
	if w.long || w.chance(75) {
		return w.gap()
	}
	return w.gap() + w.lineEnd() + w.gap()
}

func (w *writer) lineEnd() string {
	return w.pick("\n", "\n", "\n\n", "\r\n", " # c\n", "# a \n\n# b\n", "\n# own\n\n\n", " # x\n # y\n")
}

func (w *writer) list(opening, closing string, item func() string, least int) string {
	var b strings.Builder
	b.WriteString(opening)
	n := rapid.IntRange(least, 3).Draw(w.t, "items")
	for i := range n {
		if i > 0 {
			b.WriteString(w.freely() + ",")
		}
		b.WriteString(w.freely() + item())
	}
	if n > 0 && least == 0 && w.chance(10) {
		b.WriteString(",\n")
	}
	b.WriteString(w.freely() + closing)
	return b.String()
}

func (w *writer) expr() string {
	w.depth++
	defer func() { w.depth-- }()
	if w.depth > 4 {
		return w.pick("1", "x", "page.center", "0.5cm", "true", `"text"`)
	}
	switch rapid.IntRange(0, 17).Draw(w.t, "expr") {
	case 0:
		return w.pick("12", "1_000", "1e3", "2.5mm", "90deg", "true", "false", "the_height_of_the_second_tree", "the_longest_of_the_branches_that_bear_leaves")
	case 1:
		return w.pick(`""`, `"plain"`, `"a\n\{b\u{41}"`, `"} {x}"`, `"{ f( 1 ) }!"`, `"{path{ahead 5;turn 3}} {"in {x}"}"`, `"# no comment"`)
	case 2, 3:
		return w.pick("x", "petal", "Größe", "_1")
	case 4, 5:
		sign := w.pick("+", "-", "*", "/", "and", "or")
		return w.operand() + w.space() + sign + w.space() + w.freely() + w.operand()
	case 6:
		return w.operand() + w.gap() + "^" + w.gap() + w.operand()
	case 7:
		return w.operand() + w.gap() + "<" + w.freely() + w.operand() + w.gap() + "<=" + w.operand()
	case 8:
		return w.operand() + w.gap() + "==" + w.gap() + w.operand()
	case 9:
		return w.pick("-", "- ", "not ") + w.operand()
	case 10:
		return "(" + w.freely() + w.expr() + w.freely() + "," + w.freely() + w.expr() + w.freely() + ")"
	case 11:
		return w.list("[", "]", w.expr, 0)
	case 12:
		return w.callee() + w.list("(", ")", w.arg, 0)
	case 13:
		return w.callee() + "[" + w.freely() + w.expr() + w.freely() + "]"
	case 14:
		if w.chance(50) {
			return "fn" + w.gap() + w.params() + w.gap() + "=" + w.freely() + w.operand()
		}
		return "path" + w.space() + w.block()
	case 15:
		return w.list("{", "}", w.field, 1)
	case 16:
		return w.choice()
	default:
		return "curve" + w.space() + "t" + w.space() + "in" + w.space() + w.operand() + w.gap() + ".." + w.gap() + w.operand() + w.gap() + "=" + w.freely() + w.operand()
	}
}

// field is one of a record.
func (w *writer) field() string {
	return w.pick("a", "if", `"height (m)"`) + w.freely() + ":" + w.freely() + w.expr()
}

// choice is one between values.
func (w *writer) choice() string {
	branch := func() string { return "{" + w.pick(" ", "\n") + w.operand() + w.pick(" ", "\n", " # c\n") + "}" }
	text := "if " + w.operand() + w.space() + branch() + " else "
	if w.chance(30) {
		return text + w.choice()
	}
	return text + branch()
}

// operand is a value that can stand beside any sign.
func (w *writer) operand() string {
	if w.chance(60) {
		return w.pick("x", "7", "page.center", "xs[1]", "f(2)", "x\n.y")
	}
	return "(" + w.freely() + w.expr() + w.freely() + ")"
}

func (w *writer) callee() string { return w.pick("f", "a.b", "f(1)", "xs[2]", "a\n  .b") }

func (w *writer) arg() string {
	if w.chance(30) {
		return "name" + w.gap() + ":" + w.freely() + w.expr()
	}
	return w.expr()
}

func (w *writer) params() string {
	return w.list("(", ")", func() string {
		if w.chance(30) {
			return "b" + w.gap() + "=" + w.freely() + w.expr()
		}
		return "a"
	}, 0)
}

func (w *writer) block() string {
	w.depth++
	defer func() { w.depth-- }()
	n := rapid.IntRange(0, 3).Draw(w.t, "statements")
	if w.depth > 4 {
		n = 0
	}
	return w.freely() + "{" + w.freely() + w.statements(n) + "}"
}

func (w *writer) statements(n int) string {
	var b strings.Builder
	for range n {
		b.WriteString(w.gap() + w.statement())
		b.WriteString(w.gap() + w.pick(";", w.lineEnd(), w.lineEnd()))
	}
	return b.String()
}

func (w *writer) statement() string {
	switch rapid.IntRange(0, 12).Draw(w.t, "statement") {
	case 0:
		return "let" + w.space() + "x" + w.gap() + "=" + w.freely() + w.expr()
	case 1:
		return w.pick("x", "xs[1]") + w.gap() + "=" + w.freely() + w.expr()
	case 2:
		return "loop" + w.space() + w.operand() + w.gap() + w.block()
	case 3:
		return "loop" + w.space() + "i" + w.space() + "in" + w.space() + w.operand() + w.gap() + w.block()
	case 4:
		return "loop" + w.space() + "while" + w.space() + w.operand() + w.gap() + w.block()
	case 5:
		out := "if" + w.space() + w.operand() + w.gap() + w.block()
		if w.chance(50) {
			out += w.freely() + "else" + w.space() + "if" + w.space() + w.operand() + w.block()
		}
		if w.chance(50) {
			out += w.freely() + "else" + w.gap() + w.block()
		}
		return out
	case 6:
		return "draw" + w.space() + w.operand() + w.space() + w.pick("", "at"+w.space()+w.operand())
	case 7:
		return w.pick("return", "return x", "break", "continue", "petal", "petal()", "a.b[1](2)")
	case 8:
		return "branch" + w.gap() + w.block()
	case 9:
		return "fn" + w.space() + "f" + w.gap() + w.params() + w.gap() + w.pick("= x", w.block())
	case 10:
		return "figure" + w.space() + "g" + w.params() + w.gap() + w.block()
	case 11:
		return "reach" + w.space() + w.arg() + w.gap() + "," + w.freely() + w.arg()
	default:
		return "ahead" + w.space() + w.expr()
	}
}

func TestLayoutOfMadeUpProgramsIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := &writer{t: t, long: rapid.Bool().Draw(t, "long")}
		text := w.pick("", "# top\n", "\n\n") + w.statements(rapid.IntRange(0, 4).Draw(t, "length")) + w.pick("", "# end")
		requireSound(t, text)
	})
}

func FuzzLayoutIsSound(f *testing.F) {
	for _, text := range corpus(f, "testdata/*.input") {
		f.Add(text)
	}
	for _, text := range corpus(f, "../parse/testdata/programs/*.wend") {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if readable(text) {
			requireSound(t, text)
		}
	})
}
