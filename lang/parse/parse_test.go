package parse_test

import (
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/ast"
	"wend/lang/ast/asttest"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

func codes(list diag.List) []string {
	out := []string{}
	for _, d := range list {
		out = append(out, string(d.Code))
	}
	return out
}

func read(t *testing.T, text string) *ast.File {
	t.Helper()
	file, list := parse.File(source.New("test", text))
	require.Empty(t, list, text)
	return file
}

// form is a statement's tree on one line, for tables.
func form(t *testing.T, text string) string {
	t.Helper()
	var b strings.Builder
	var write func(n ast.Node)
	write = func(n ast.Node) {
		lines := strings.SplitN(asttest.Dump(n, false), "\n", 2)
		b.WriteString(lines[0])
		if children := ast.Children(n); len(children) > 0 {
			b.WriteString("(")
			for i, child := range children {
				if i > 0 {
					b.WriteString(", ")
				}
				write(child)
			}
			b.WriteString(")")
		}
	}
	for i, stmt := range read(t, text).Body {
		if i > 0 {
			b.WriteString("; ")
		}
		write(stmt)
	}
	return b.String()
}

// value is the tree of an expression.
func value(t *testing.T, text string) string {
	t.Helper()
	whole := form(t, "let v = "+text)
	return strings.TrimSuffix(strings.TrimPrefix(whole, "Let(Ident v, "), ")")
}

func TestOperatorsBindAsTheirTableSays(t *testing.T) {
	// Each pair must have the same tree once the brackets are taken out.
	for _, c := range []struct{ plain, bracketed string }{
		{"-2 ^ 2", "-(2 ^ 2)"},
		{"2 ^ 3 ^ 2", "2 ^ (3 ^ 2)"},
		{"2 ^ -3 ^ 2", "2 ^ (-(3 ^ 2))"},
		{"-a.b", "-(a.b)"},
		{"-f(1) ^ 2", "-(f(1) ^ 2)"},
		{"-a * b", "(-a) * b"},
		{"a * -b", "a * (-b)"},
		{"a - b - c", "(a - b) - c"},
		{"a - b + c", "(a - b) + c"},
		{"a / b * c", "(a / b) * c"},
		{"a + b * c", "a + (b * c)"},
		{"a + b..c * d by e + f", "(a + b)..(c * d) by (e + f)"},
		{"a..b == c..d", "(a..b) == (c..d)"},
		{"not a == b", "not (a == b)"},
		{"not a and b", "(not a) and b"},
		{"not not a", "not (not a)"},
		{"a or b and c", "a or (b and c)"},
		{"a and b or c and d", "(a and b) or (c and d)"},
		{"a < b and b <= c", "(a < b) and (b <= c)"},
		{"a + 1 < b - 1 < c", "(a + 1) < (b - 1) < c"},
		{"fn(t) = t + 1", "fn(t) = (t + 1)"},
		{"curve t in a + 1..b = t + 1", "curve t in (a + 1)..b = (t + 1)"},
	} {
		bracketed := value(t, c.bracketed)
		for strings.Contains(bracketed, "Paren(") {
			bracketed = withoutParen(bracketed)
		}
		require.Equal(t, bracketed, value(t, c.plain), c.plain)
	}
}

func withoutParen(form string) string {
	start := strings.Index(form, "Paren(")
	depth := 0
	for i := start; i < len(form); i++ {
		switch form[i] {
		case '(':
			depth++
		case ')':
			if depth--; depth == 0 {
				return form[:start] + form[start+len("Paren("):i] + form[i+1:]
			}
		}
	}
	return form
}

func TestBracketsMeanACallOnlyWhenGlued(t *testing.T) {
	require.Equal(t, "Do(Call(NameExpr reach, Arg(PointLit(NumberLit 20, NumberLit 30))))", form(t, "reach (20, 30)"))
	require.Equal(t, "Do(Call glued(NameExpr reach, Arg(NumberLit 20), Arg(NumberLit 30)))", form(t, "reach(20, 30)"))
	require.Equal(t, "Do(Call(NameExpr m, Arg(ListLit(NumberLit 1))))", form(t, "m [1]"))
	require.Equal(t, "Do(Call(Index(NameExpr m, NumberLit 1)))", form(t, "m[1]"))
	require.Equal(t, "Do(Call(NameExpr ahead, Arg(Unary -(NumberLit 5))))", form(t, "ahead -5"))
	require.Equal(t, "Do(Call(NameExpr f, Arg(Binary -(NameExpr x, NumberLit 5))))", form(t, "f x -5"))
	require.Equal(t, "Do(Call(NameExpr f, Arg(Paren(NumberLit 1)), Arg(NumberLit 2)))", form(t, "f (1), 2"))
	require.Equal(t, "Do(Call(Field(NameExpr flowers, Ident rose), Arg(NumberLit 3)))", form(t, "flowers.rose 3"))
	require.Equal(t, "Do(Call(NameExpr star, Arg(Ident size, NumberLit 3)))", form(t, "star size: 3"))
	require.Equal(t, "Assign(Index(Index(NameExpr a, NumberLit 1), NumberLit 2), NumberLit 3)", form(t, "a[1][2] = 3"))
	require.Equal(t, "Assign(Field(NameExpr p, Ident x), NumberLit 3)", form(t, "p.x = 3"), "for the checker to judge")
}

func TestNewlinesEndStatementsOnlyWhereTheyCount(t *testing.T) {
	one := func(text string) { t.Helper(); require.Len(t, read(t, text).Body, 1, text) }
	two := func(text string) { t.Helper(); require.Len(t, read(t, text).Body, 2, text) }
	one("reach 20,\n\n# on\n30")
	one("let x =\n5")
	one("let x = 1 +\n2 ^\n3 and\ntrue")
	one("let x = [\n1,\n2\n]\n")
	one("let x = f(\n1\n)\n")
	one("let x = f(a:\n1)")
	one("let x = a\n.b\n  .c()")
	one("if a\n{\n}\nelse\n{\n}")
	one("if a {\n} # c\n\n# d\nelse if b\n{\n}")
	one("let x = f(path {\nahead 5\nturn 3\n}, [\n1])")
	two("ahead 5\nahead 6")
	two("ahead 5; ahead 6;")
	two("ahead 5\r\nahead 6\r")
	two("let x = a\n-b\n"[:9] + "\nb\n")
}

func TestTextsHoldWhatTheirEscapesSay(t *testing.T) {
	parts := read(t, `note "a\n\"\\\{b}\u{e9}{1}z"`).Body[0].(*ast.Do).Call.Args[0].Value.(*ast.TextLit).Parts
	require.Len(t, parts, 3)
	require.Equal(t, "a\n\"\\{b}é", parts[0].Plain)
	require.Equal(t, 1.0, parts[1].Value.(*ast.NumberLit).Value)
	require.Equal(t, "z", parts[2].Plain)
}

func TestNumbersKeepValueAndUnitAsWritten(t *testing.T) {
	for text, want := range map[string]string{
		"12": "12", "0.5": "0.5", "1e3": "1000", "1E-3": "0.001", "1_000.5": "1000.5", "20mm": "20mm", "2cm": "2cm",
		"1e1in": "10in", "90deg": "90deg", "0.5rad": "0.5rad", "2e+2": "200", "007": "7",
	} {
		require.Equal(t, "NumberLit "+want, value(t, text))
	}
}

// Names are compared in NFC (UAX #15): é as one character or as two is one name.
func TestNamesFollowTheStandardForIdentifiers(t *testing.T) {
	let := read(t, "let cafe\u0301 = 1").Body[0].(*ast.Let)
	require.Equal(t, "caf\u00e9", let.Name.Name)
	require.Equal(t, "cafe\u0301", let.Name.Span.Text())
	for _, name := range []string{"_", "_1", "größe", "Ωmega", "变量", "имя", "नाम", "x१", "a\u0301", "ⅷ", "℘"} {
		read(t, "let "+name+" = 1")
	}
	for _, name := range []string{"1x", "²x", "x²", "a-b", "a\u200db", "😀", "\u0301a", "a\u2e2f", "x\u037a"} {
		_, list := parse.File(source.New("test", "let "+name+" = 1"))
		require.NotEmpty(t, list, name)
	}
}

func TestEveryFaultyStatementOfAFileIsReported(t *testing.T) {
	text := `let a 1
figure f(x) {
  loop 3 {
    reach 1 2
    ahead 5
    if x = 3 {
      turn *
    }
  }
  note "open
}
draw text("A", height = 3)
lop 3 {
  turn 4 5
}
fn g(x {
  return x y
}
let z = (1, 2
ahead 5 }
let good = 1
let bad = 1 2
`
	file, list := parse.File(source.New("test", text))
	lines := []int{}
	for _, d := range list {
		lines = append(lines, d.Span.From().Line)
	}
	require.Equal(t, []int{1, 4, 6, 7, 10, 12, 13, 14, 16, 17, 19, 20, 22}, lines, "%v", codes(list))
	names := []string{}
	ast.Walk(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.Let:
			names = append(names, n.Name.Name)
		case *ast.FigureDef:
			names = append(names, n.Name.Name)
		case *ast.FuncDef:
			names = append(names, n.Name.Name)
		}
		return true
	})
	require.Equal(t, []string{"a", "f", "g", "z", "good", "bad"}, names, "what was read stays in the tree")
}

func TestNestingAndLengthHaveBounds(t *testing.T) {
	deep := func(open, inner, closing string, n int) diag.List {
		_, list := parse.File(source.New("deep", "let x = "+strings.Repeat(open, n)+inner+strings.Repeat(closing, n)))
		return list
	}
	require.Empty(t, deep("(", "1", ")", 200))
	for _, n := range []int{300, 9_000} {
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("(", "1", ")", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("[", "", "]", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("f(", "", ")", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("-", "1", "", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("2 ^ ", "1", "", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("not ", "true", "", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep(`"{`, "1", `}"`, n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("path { let x = ", "1", "}", n)))
		require.Equal(t, []string{"nested-too-deep"}, codes(deep("fn() = ", "1", "", n)))
		require.Equal(t, []string{"unclosed-bracket"}, codes(deep("(", "1", "", n)))
		require.Equal(t, []string{"extra-bracket"}, codes(deep("", "1", ")", n)))
	}
	require.Equal(t, []string{"nested-too-deep"}, codes(deep("(", "1", ")", 1_000_000)))
	require.Equal(t, []string{"nested-too-deep"}, codes(deep("(", "1", "", 1_000_000)))
	require.Empty(t, deep("1 + ", "1", "", 4000))
	require.Equal(t, []string{"chain-too-long"}, codes(deep("1 + ", "1", "", 100_000)))
	require.Equal(t, []string{"chain-too-long"}, codes(deep("", "f", "(1)", 100_000)))
	_, list := parse.File(source.New("blocks", strings.Repeat("if a {\n", 300)+strings.Repeat("}\n", 300)))
	require.Equal(t, []string{"nested-too-deep"}, codes(list))
	_, list = parse.File(source.New("elses", "if a {}"+strings.Repeat(" else if a {}", 100_000)))
	require.Equal(t, []string{"nested-too-deep"}, codes(list))
}

// What limits a text act while it is read: whatever fills eight megabytes costs
// a fraction of a gigabyte, and is told of once.
func TestTheLongestTextsAreReadUpToALimit(t *testing.T) {
	for _, part := range []string{"(", "[", "{", ")", "\"", "{1}", "\"{", "a\n", "ahead 1;", "fn f(x) = x\n", "1 + "} {
		t.Run(part, func(t *testing.T) {
			text := strings.Repeat(part, 8<<20/len(part))
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, list := parse.File(source.New("long", text))
			runtime.ReadMemStats(&after)
			require.Len(t, list, 1)
			require.Contains(t, []string{"nested-too-deep", "text-too-long"}, string(list[0].Code))
			require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(512<<20))
		})
	}
}

func TestIncompleteTextsAskForMoreLines(t *testing.T) {
	for text, want := range map[string]bool{
		"":                          false,
		"ahead 5":                   false,
		"loop 3 {":                  true,
		"loop 3 {\n  ahead 5\n":     true,
		"loop 3 {\n  ahead 5\n}":    false,
		"let x = [1,\n2":            true,
		"let x =":                   true,
		"let x = 1 +":               true,
		"let x = 1 + # and":         true,
		"reach 20,\n":               true,
		"a and":                     true,
		"text(\"a {f(1":             false, // a text ends on its line
		"note \"open":               false,
		"note \"{":                  false,
		"ahead 5)":                  false,
		"loop 3 {\n  ahead 5)\n":    false,
		"# only a comment {":        false,
		"let f = fn(t) = path {\n#": true,
	} {
		_, more := parse.Incomplete(source.New("line", text))
		require.Equal(t, want, more, "%q", text)
	}
	for text, want := range map[string]string{
		"loop 3 {":            "{",
		"loop 3 {\n  f(1,":    "(",
		"let x = [1, (2)":     "[",
		"let x = [1, {":       "{",
		"let x =":             "",
		"loop 3 { a(1) } # {": "",
		"let s = \"{1}\"\nf(": "(",
	} {
		bracket, _ := parse.Incomplete(source.New("line", text))
		require.Equal(t, want, bracket, "%q", text)
	}
}

func TestCommentsAreKeptWithTheirPlaces(t *testing.T) {
	file := read(t, "# one\nahead 5 # two\nlet x = [ # three\n]\nnote \"# none\"#four")
	texts := []string{}
	for _, c := range file.Comments {
		texts = append(texts, c.Span.Text())
	}
	require.Equal(t, []string{"# one", "# two", "# three", "#four"}, texts)
}
