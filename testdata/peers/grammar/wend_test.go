package grammar

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	sitter "github.com/tree-sitter/go-tree-sitter"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/stdlib"
)

// programs are all that stand in the project: the examples, what the documents
// show, the example of every word and the good program of every page of a
// message, the library's own.
func programs(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	read := func(name string) string {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		return string(text)
	}
	for _, pattern := range []string{"examples/*.wend", "examples/*/*.wend", "stdlib/*.wend"} {
		names, err := filepath.Glob("../../../" + pattern)
		require.NoError(t, err)
		for _, name := range names {
			all[name] = read(name)
		}
	}
	block := regexp.MustCompile("(?s)```wend\n(.*?)```")
	for _, name := range []string{"README.md", "lang/REFERENCE.md", "stdlib/REFERENCE.md"} {
		for i, found := range block.FindAllStringSubmatch(read("../../../"+name), -1) {
			all[fmt.Sprintf("%s, block %d", name, i+1)] = found[1]
		}
	}
	for _, theme := range stdlib.Vocabulary().Themes() {
		for _, w := range theme.Words {
			all["the example of `"+w.Name+"`"] = w.Example
		}
	}
	for _, p := range diag.Pages() {
		if p.Subject == diag.Program {
			all["the page of "+string(p.Code)] = p.Good
		}
	}
	for i, text := range corners {
		all[fmt.Sprintf("corner %d", i)] = text
	}
	require.Greater(t, len(all), 300)
	return all
}

// corners are programs that use the finer rules: which line ends count, what is
// glued, where a { begins a record.
var corners = []string{
	"loop 3\n{ ahead 1 }\n\n\n\nahead 2;; ahead 3;\n",
	"if true { ahead 1 }\n# between\n\nelse if false { ahead 2 }\r\nelse { ahead 3 }\r\n",
	"let p = path { ahead 3 }\n  # turned\n  .rotate(3)\n  .scale(2)\ndraw p\n",
	"let xs = [\n  1,\n  2,\n]\nlet r = {\n  in: 1,\n  \"two words\": [{at: 2}]\n}\nnote r.in\nnote xs[1]\nspline [(1, 2), (3, 4)]\n",
	"let f = fn(x, y = 2) = x + y\nlet g = fn(x) {\n  return if x > 1 { {a: x} } else if x == 0 { {a: 0} } else { {a: -2^-x^2} }\n}\n",
	"note \"a {\"b {1 + 1}\"} \\{ \\\\ \\u{1F33F} ä\"\nreach (1, 2)\nahead -5\nahead 1 -\n  5\n",
	"loop i, ä in 1..10 by 2 { if not (0 < i <= 5) and true { break } else { continue } }\n",
	"\uFEFFlet x = 2cm + 5mm\nturn 1e3deg\nx += 1_000.5\nlet e = [{a: 1}]\ne[1].a *= 2\n",
	"draw curve t in 0..360 = (cos(t), if t > 3 { 1 } else { 2 }) at page.center + (1, 2)\n",
	"fn elsewhere(x) = x\nlet a = 1\nelsewhere2 3\nfn elsewhere2(x) { return x }\n",
	"rotate(path {\n  ahead 1\n\n  turn 3 }, by_: 3)\n",
	"ahead 3 # one\n\n   # two\nahead 4",
	"",
	"# nothing",
}

// kindOf is the node of the grammar for a node of the tree.
func kindOf(n ast.Node) string {
	switch n := n.(type) {
	case *ast.Use:
		return "use"
	case *ast.Let:
		return "let"
	case *ast.Assign:
		return "assignment"
	case *ast.FuncDef:
		return "function_definition"
	case *ast.FigureDef:
		return "figure_definition"
	case *ast.Repeat, *ast.LoopIn, *ast.LoopWhile:
		return "loop"
	case *ast.If:
		return "if"
	case *ast.Return:
		return "return"
	case *ast.Break:
		return "break"
	case *ast.Continue:
		return "continue"
	case *ast.Draw:
		return "draw"
	case *ast.Branch:
		return "branch"
	case *ast.Do:
		return "do"
	case *ast.Block:
		return "block"
	case *ast.NumberLit:
		return "number"
	case *ast.TextLit:
		return "text"
	case *ast.PointLit:
		return "point"
	case *ast.ListLit:
		return "list"
	case *ast.RecordLit:
		return "record"
	case *ast.Range:
		return "range"
	case *ast.Binary, *ast.Compare:
		return "binary"
	case *ast.Unary:
		if n.Op == "not" {
			return "not"
		}
		return "negation"
	case *ast.Call:
		if n.Glued {
			return "call"
		}
	case *ast.Index:
		return "index"
	case *ast.Field:
		return "field"
	case *ast.Paren:
		return "group"
	case *ast.Choice:
		return "choice"
	case *ast.FuncLit:
		return "function"
	case *ast.PathLit:
		return "path"
	case *ast.Curve:
		return "curve"
	}
	return ""
}

func parsed(t *testing.T, text string) *sitter.Tree {
	t.Helper()
	parser := sitter.NewParser()
	t.Cleanup(parser.Close)
	require.NoError(t, parser.SetLanguage(sitter.NewLanguage(Language())))
	tree := parser.Parse([]byte(text), nil)
	t.Cleanup(tree.Close)
	return tree
}

func walk(n sitter.Node, visit func(sitter.Node)) {
	visit(n)
	for i := range n.NamedChildCount() {
		walk(*n.NamedChild(i), visit)
	}
}

// The parser for editors finds the same statements and values as wend's own, at
// the same places, in every program.
func TestTheGrammarForEditorsReadsEveryProgramAsWendDoes(t *testing.T) {
	for name, text := range programs(t) {
		file, list := parse.File(source.New(name, text))
		if list.Failed() {
			t.Errorf("%s: %v", name, list)
			continue
		}
		root := parsed(t, text).RootNode()
		if root.HasError() {
			t.Errorf("%s is not read without an error:\n%s\n%s", name, text, root.ToSexp())
			continue
		}
		got := map[string]bool{}
		walk(*root, func(n sitter.Node) { got[fmt.Sprintf("%s %d-%d", n.Kind(), n.StartByte(), n.EndByte())] = true })
		statements := 0
		ast.Walk(file, func(n ast.Node) bool {
			if kind := kindOf(n); kind != "" {
				span := n.Place()
				if want := fmt.Sprintf("%s %d-%d", kind, span.Start, span.End); !got[want] {
					t.Errorf("%s: no %s for\n%s\nin %s", name, want, span.Text(), root.ToSexp())
				}
			}
			if _, is := n.(ast.Stmt); is {
				statements++
			}
			return true
		})
		found := 0
		for node := range got {
			switch kind, _, _ := strings.Cut(node, " "); kind {
			case "use", "let", "assignment", "function_definition", "figure_definition", "loop", "if", "return", "break", "continue", "draw", "branch", "do":
				found++
			}
		}
		require.Equal(t, statements, found, name)
	}
}
