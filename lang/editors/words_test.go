// Package editors_test holds what editors know of wend against what wend knows
// of itself: the words of every grammar are those of the one table.
package editors_test

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/vocabulary"
	"wend/stdlib"
)

var update = flag.Bool("update", false, "write the lists of words into the grammars")

var sorts = map[string]vocabulary.Sort{
	"keyword": vocabulary.Keyword, "statement": vocabulary.Statement, "function": vocabulary.Function,
	"value": vocabulary.Value, "unit": vocabulary.Unit,
}

// words are those of some sorts, in the order of the alphabet; a module is what
// stands before the dot of its words.
func words(asked string) []string {
	var all []string
	for _, name := range strings.Fields(asked) {
		if name == "module" {
			all = append(all, stdlib.Modules()...)
			continue
		}
		for _, w := range stdlib.Vocabulary().Words(sorts[name]) {
			if !strings.Contains(w.Name, ".") {
				all = append(all, w.Name)
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// lists says how each file writes a list of words, on the line below one that
// names the sorts.
var lists = []struct {
	file  string
	list  *regexp.Regexp // around the list
	write func(words []string) string
}{
	{"tree-sitter-wend/queries/highlights.scm", regexp.MustCompile(`\^\(([^)]*)\)\$`), pattern},
	{"helix/queries/highlights.scm", regexp.MustCompile(`\^\(([^)]*)\)\$`), pattern},
	{"vscode/syntaxes/wend.tmLanguage.json", regexp.MustCompile(`\(\?:([a-z_0-9|]*)\)\\\\b`), pattern},
	{"emacs/wend-mode.el", regexp.MustCompile(`'\(([^)]*)\)`), func(words []string) string { return `"` + strings.Join(words, `" "`) + `"` }},
	{"kate/wend.xml", regexp.MustCompile(`<item>(.*)</item>`), func(words []string) string { return strings.Join(words, "</item><item>") }},
}

func pattern(words []string) string { return strings.Join(words, "|") }

var marker = regexp.MustCompile(`words: ((?:(?:keyword|statement|function|value|unit|module)\b ?)+)`)

func TestTheListsOfWordsAreThoseOfTheTable(t *testing.T) {
	for _, l := range lists {
		text, err := os.ReadFile(l.file)
		require.NoError(t, err)
		lines := strings.Split(string(text), "\n")
		found := 0
		for i, line := range lines {
			asked := marker.FindStringSubmatch(line)
			if asked == nil {
				continue
			}
			found++
			want := l.write(words(asked[1]))
			require.NotEmpty(t, want, line)
			at := l.list.FindStringSubmatchIndex(lines[i+1])
			require.NotNil(t, at, "%s: no list below %q", l.file, line)
			if *update {
				lines[i+1] = lines[i+1][:at[2]] + want + lines[i+1][at[3]:]
			}
			require.Equal(t, want, l.list.FindStringSubmatch(lines[i+1])[1], "%s, below %q: run `go test ./lang/editors -update`", l.file, line)
		}
		require.Greater(t, found, 2, l.file)
		if *update {
			require.NoError(t, os.WriteFile(l.file, []byte(strings.Join(lines, "\n")), 0o644))
		}
	}
}

var word = regexp.MustCompile(`^[a-z]+$`)

// The grammar of tree-sitter names its words one by one; the parser is made from it.
func TestTheGrammarHasTheWordsOfTheTable(t *testing.T) {
	text, err := os.ReadFile("tree-sitter-wend/src/grammar.json")
	require.NoError(t, err)
	var rules any
	require.NoError(t, json.Unmarshal(text, &rules))
	var found []string
	var walk func(any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if s, ok := v["value"].(string); ok && v["type"] == "STRING" && word.MatchString(s) {
				found = append(found, s)
			}
			for _, inner := range v {
				walk(inner)
			}
		case []any:
			for _, inner := range v {
				walk(inner)
			}
		}
	}
	walk(rules)
	slices.Sort(found)
	require.Equal(t, words("keyword unit"), slices.Compact(found))
}

// Every keyword has a colour of its own in each file that sets them one by one.
func TestEveryKeywordHasAColour(t *testing.T) {
	for _, name := range []string{"tree-sitter-wend/queries/highlights.scm", "helix/queries/highlights.scm", "emacs/wend-mode.el"} {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, w := range words("keyword") {
			if !strings.Contains(string(text), `"`+w+`"`) && !strings.Contains(string(text), "("+w+")") {
				t.Errorf("%s gives `%s` no colour", name, w)
			}
		}
	}
	text, err := os.ReadFile("vscode/syntaxes/wend.tmLanguage.json")
	require.NoError(t, err)
	var colored []string
	for _, list := range regexp.MustCompile(`"(?:keyword|storage|constant\.language)[a-z.]*",\n *"match": "\\\\b\(\?:([a-z|]*)\)\\\\b"`).FindAllStringSubmatch(string(text), -1) {
		colored = append(colored, strings.Split(list[1], "|")...)
	}
	slices.Sort(colored)
	require.Equal(t, words("keyword"), colored)
}

// The rules by which VS Code indents lay every example out as it is, but for lines
// with which a statement goes on.
func TestTheRulesOfIndentationKeepTheExamplesAsTheyAre(t *testing.T) {
	text, err := os.ReadFile("vscode/language-configuration.json")
	require.NoError(t, err)
	var configuration struct {
		Comments         struct{ LineComment string }
		IndentationRules struct{ IncreaseIndentPattern, DecreaseIndentPattern string }
	}
	require.NoError(t, json.Unmarshal(text, &configuration))
	require.Equal(t, "#", configuration.Comments.LineComment)
	more, less := regexp.MustCompile(configuration.IndentationRules.IncreaseIndentPattern), regexp.MustCompile(configuration.IndentationRules.DecreaseIndentPattern)
	goesOn := regexp.MustCompile(`([,=:+*/^<>-]|\b(and|or))$`)
	names, err := filepath.Glob("../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		program, err := os.ReadFile(name)
		require.NoError(t, err)
		var opened []int // how far the lines are set in whose brackets are open
		before, indent := "", 0
		for i, line := range strings.Split(string(program), "\n") {
			if strings.TrimSpace(line) == "" {
				continue
			}
			if more.MatchString(before) {
				opened = append(opened, indent)
			}
			want := 0
			if n := len(opened); n > 0 {
				want = opened[n-1] + 2
				if less.MatchString(line) {
					want = opened[n-1]
					opened = opened[:n-1]
				}
			}
			indent = len(line) - len(strings.TrimLeft(line, " "))
			if !goesOn.MatchString(before) && !strings.HasPrefix(strings.TrimSpace(line), ".") {
				require.Equal(t, want, indent, "%s, line %d: %s", name, i+1, line)
			}
			before = line
		}
	}
}

// Every editor that the README has a section for has its commands there, and they
// name files that exist.
func TestTheReadmeSetsUpEveryEditor(t *testing.T) {
	text, err := os.ReadFile("README.md")
	require.NoError(t, err)
	file := regexp.MustCompile(`(?m) ((?:tree-sitter-wend|neovim|helix|emacs|kate|vscode)[a-z./*-]*)`)
	for _, editor := range []string{"Neovim", "Helix", "Emacs", "Kate", "VS Code"} {
		_, section, found := strings.Cut(string(text), "\n## "+editor+"\n")
		require.True(t, found, editor)
		section, _, _ = strings.Cut(section, "\n## ")
		commands := regexp.MustCompile("(?s)```sh\n(.*?)```").FindStringSubmatch(section)
		require.NotNil(t, commands, editor)
		named := file.FindAllStringSubmatch(commands[1], -1)
		require.NotEmpty(t, named, editor)
		for _, n := range named {
			there, err := filepath.Glob(n[1])
			require.NoError(t, err)
			require.NotEmpty(t, there, "%s: %s", editor, n[1])
		}
	}
}
