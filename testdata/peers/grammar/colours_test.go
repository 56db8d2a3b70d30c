package grammar

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	sitter "github.com/tree-sitter/go-tree-sitter"

	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/vocabulary"
	"wend/stdlib"
)

var modules = flag.String("modules", "", "`folder` that holds vscode-textmate and vscode-oniguruma, from npm")

// document is a program as lang/assist sees it; a file that it uses is missing,
// which takes nothing from what its own words mean.
func document(name, text string) *assist.Document {
	file := source.New(name, text)
	tree, list := parse.File(file)
	program, _ := check.Check(tree, check.Options{
		Library:  stdlib.Library(),
		Reported: list,
		Load: func(_ *source.File, path string) (*ast.File, diag.List) {
			return nil, diag.List{(&diag.Fault{Code: "file-missing", Args: diag.Args{"name": path}}).At(source.Span{})}
		},
		Module: func(name string) *ast.File {
			tree, _ := parse.File(stdlib.Module(name))
			return tree
		},
	})
	return &assist.Document{Tree: tree, Scan: sync.OnceValue(func() []ast.Token { return parse.Tokens(file) }), Program: program, Words: stdlib.Vocabulary()}
}

// compare holds what a grammar makes of each byte of a program against what
// lang/assist says about it. kind puts the grammar's name for it into the words
// below; a grammar knows words, but not which of them a program took for its own.
func compare(t *testing.T, name, text string, kind func(at int) string) {
	t.Helper()
	d := document(name, text)
	within := func(c assist.Colored, allowed ...string) {
		for at := c.Span.Start; at < c.Span.End; at++ {
			if got := kind(at); !slices.Contains(allowed, got) {
				line := c.Span.File.LineOf(at)
				t.Errorf("%s: %q is %q, not one of %q, in line %d: %s", name, c.Span.Text(), got, allowed, line, c.Span.File.Line(line))
				return
			}
		}
	}
	for _, c := range d.Meanings() {
		word, listed := stdlib.Vocabulary().Lookup(c.Span.Text())
		listed = listed && (word.Sort == vocabulary.Statement || word.Sort == vocabulary.Function || word.Sort == vocabulary.Value) ||
			slices.Contains(stdlib.Modules(), c.Span.Text())
		switch c.Meaning {
		case assist.KeywordMeaning:
			within(c, "keyword")
		case assist.NumberMeaning:
			within(c, "number")
		case assist.TextMeaning:
			within(c, "text")
		case assist.CommentMeaning:
			within(c, "comment")
		case assist.OperatorMeaning:
			within(c, "operator")
		case assist.FunctionMeaning, assist.VariableMeaning, assist.FigureMeaning:
			switch {
			case c.Library:
				within(c, "library", "member")
			case listed:
				within(c, "library", "name", "member") // a name of the program's own
			default:
				within(c, "name", "member")
			}
		case assist.ModuleMeaning:
			within(c, "library", "name")
		case assist.ParameterMeaning, assist.FieldMeaning:
			within(c, "name", "member", "text", "library")
		}
	}
}

// What the query of colours gives, in the words of compare; the last pattern that
// fits counts, as in Neovim.
func TestTheColoursOfTreeSitterAreThoseOfWend(t *testing.T) {
	query := compiled(t, "tree-sitter-wend/queries/highlights.scm")
	names := query.CaptureNames()
	for name, text := range programs(t) {
		bytes := []byte(text)
		kinds := make([]string, len(bytes))
		patterns := make([]uint, len(bytes))
		lengths := make([]int, len(bytes))
		cursor := sitter.NewQueryCursor()
		matches := cursor.Matches(query, parsed(t, text).RootNode(), bytes)
		for m := matches.Next(); m != nil; m = matches.Next() {
			for _, capture := range m.Captures {
				from, to := capture.Node.ByteRange()
				for at := from; at < to; at++ {
					// What is further in counts before what is around it.
					if length := int(to - from); kinds[at] == "" || length < lengths[at] || length == lengths[at] && m.PatternIndex >= patterns[at] {
						if kind := capturedKind(names[capture.Index]); kind != "" {
							kinds[at], patterns[at], lengths[at] = kind, m.PatternIndex, length
						}
					}
				}
			}
		}
		cursor.Close()
		compare(t, name, text, func(at int) string { return kinds[at] })
	}
}

func capturedKind(name string) string {
	first, _, _ := strings.Cut(name, ".")
	switch {
	case first == "keyword", name == "boolean":
		return "keyword"
	case first == "number", name == "type":
		return "number"
	case first == "string", name == "punctuation.special":
		return "text"
	case name == "function.builtin", name == "variable.builtin", name == "module":
		return "library"
	case name == "variable.member", name == "function.method.call":
		return "member"
	case first == "variable", first == "function":
		return "name"
	case name == "spell":
		return ""
	}
	return first
}

func compiled(t *testing.T, name string) *sitter.Query {
	t.Helper()
	text, err := os.ReadFile("../../../lang/editors/" + name)
	require.NoError(t, err)
	query, fault := sitter.NewQuery(sitter.NewLanguage(Language()), string(text))
	require.Nil(t, fault, name)
	t.Cleanup(query.Close)
	return query
}

// Every query names nodes that the grammar has.
func TestTheQueriesFitTheGrammar(t *testing.T) {
	for _, name := range []string{
		"tree-sitter-wend/queries/highlights.scm", "tree-sitter-wend/queries/folds.scm", "tree-sitter-wend/queries/indents.scm", "tree-sitter-wend/queries/locals.scm",
		"helix/queries/highlights.scm", "helix/queries/indents.scm", "helix/queries/textobjects.scm",
	} {
		require.Positive(t, compiled(t, name).PatternCount(), name)
	}
}

func TestTheColoursOfTextMateAreThoseOfWend(t *testing.T) {
	if *modules == "" {
		t.Fatal("say where the tokeniser is: -modules FOLDER")
	}
	all := programs(t)
	names := []string{}
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	texts := make([]string, len(names))
	for i, name := range names {
		texts[i] = strings.TrimPrefix(all[name], "\uFEFF")
	}
	asked, err := json.Marshal(texts)
	require.NoError(t, err)
	var faults bytes.Buffer
	cmd := exec.Command("node", "tokenise.mjs", *modules)
	cmd.Stdin, cmd.Stderr = bytes.NewReader(asked), &faults
	answered, err := cmd.Output()
	require.NoError(t, err, faults.String())
	var tokens [][][4]any
	require.NoError(t, json.Unmarshal(answered, &tokens))
	require.Len(t, tokens, len(texts))
	for i, text := range texts {
		file := source.New("", text)
		kinds := make([]string, len(text)+1)
		for _, token := range tokens[i] {
			line := int(token[0].(float64)) + 1
			start := file.LineStart(line)
			from, to := start+bytesOf(file.Line(line), int(token[1].(float64))), start+bytesOf(file.Line(line), int(token[2].(float64)))
			for at := from; at < to; at++ {
				kinds[at] = scopedKind(token[3].(string))
			}
		}
		compare(t, names[i], text, func(at int) string { return kinds[at] })
	}
}

// bytesOf is how many bytes so many units of UTF-16 take at the start of a line.
func bytesOf(line string, units int) int {
	n := 0
	for i, r := range line {
		if n >= units {
			return i
		}
		n += utf16.RuneLen(r)
	}
	return len(line)
}

func scopedKind(scope string) string {
	for _, known := range []struct{ prefix, kind string }{
		{"keyword.operator.word", "keyword"}, {"keyword.operator", "operator"}, {"keyword.other.unit", "number"}, {"keyword", "keyword"},
		{"storage", "keyword"}, {"constant.language", "keyword"}, {"constant.numeric", "number"}, {"constant.character", "text"},
		{"string", "text"}, {"punctuation.definition.string", "text"}, {"comment", "comment"}, {"support", "library"},
		{"entity.name.function.member", "member"}, {"variable.other.member", "member"}, {"entity.name", "name"}, {"variable", "name"},
	} {
		if strings.HasPrefix(scope, known.prefix) {
			return known.kind
		}
	}
	return scope
}
