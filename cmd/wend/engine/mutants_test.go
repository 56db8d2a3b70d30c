package engine_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/machine"
)

var everyMutant = flag.Bool("mutants", false, "judge every mutant of the examples, not each eighth one")

// A mutant is a program with one fault, made by a change at one place.
type mutant struct {
	kind string
	text string
	line int // of the fault, from 1
}

var (
	nameUse  = regexp.MustCompile(`[A-Za-z_]{4,}`)
	operator = regexp.MustCompile(` [-+*/<] `)
	argument = regexp.MustCompile(`\((\w+), ("[^"]*"|\[[^\]]*\]|\w+)\)`)
)

// mutants makes every mutant of a program.
func mutants(text string) []mutant {
	var all []mutant
	add := func(kind string, at, length int, instead string) {
		changed := text[:at] + instead + text[at+length:]
		all = append(all, mutant{kind, changed, 1 + strings.Count(text[:at], "\n")})
	}
	start := 0
	for _, line := range strings.SplitAfter(text, "\n") {
		code, _, _ := strings.Cut(line, "#")
		for i, c := range []byte(code) {
			switch c {
			case '(', ')', '{', '}', '[', ']':
				add("bracket deleted", start+i, 1, "")
			case ',':
				add("comma deleted", start+i, 1, "")
			case '"':
				add("quote deleted", start+i, 1, "")
			}
		}
		for _, m := range nameUse.FindAllStringIndex(code, -1) {
			name := code[m[0]:m[1]]
			misspelt := name[:1] + name[2:]
			add("letter dropped from a name", start+m[0], len(name), misspelt)
			add("letters of a name swapped", start+m[0], len(name), name[:len(name)-2]+name[len(name)-1:]+name[len(name)-2:len(name)-1])
		}
		for _, m := range operator.FindAllStringIndex(code, -1) {
			add("operator deleted", start+m[0], m[1]-m[0], " ")
		}
		for _, m := range argument.FindAllStringSubmatchIndex(code, -1) {
			add("arguments swapped", start+m[2], m[5]-m[2], code[m[4]:m[5]]+", "+code[m[2]:m[3]])
		}
		if i := strings.Index(code, "=="); i >= 0 {
			add("= in place of ==", start+i, 2, "=")
		}
		if i := strings.Index(code, " in "); i >= 0 {
			add("word `in` deleted", start+i, 4, " ")
		}
		start += len(line)
	}
	return all
}

// Learners read the first message and change the line it names. So the first
// message about a program with one fault has to be on the line of the fault,
// and there has to be little beside it.
func TestTheFirstMessageIsOnTheFaultyLine(t *testing.T) {
	files, err := filepath.Glob("../../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	settings := engine.Settings{Profile: machine.DeskToy(), Read: readSource}
	type tally struct{ faulty, onLine, messages, restored, otherwise, left int }
	byKind := map[string]*tally{}
	var total tally
	for _, name := range files {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		for i, m := range mutants(string(text)) {
			if i%8 != 0 && !*everyMutant {
				continue
			}
			_, list := engine.Load(source.New(name, m.text), settings)
			errors := slices.DeleteFunc(list, func(d diag.Diagnostic) bool { return d.Severity != diag.Error })
			if len(errors) == 0 {
				continue // a name that is still known, arguments of one kind: not a fault
			}
			k := byKind[m.kind]
			if k == nil {
				k = &tally{}
				byKind[m.kind] = k
			}
			// What the messages' own edits come to.
			restored, otherwise, left := 0, 0, 0
			if after, edited := carriedOut(m.text, list); edited {
				_, faults := engine.Load(source.New(name, after), settings)
				switch {
				case faults.Failed():
					left = 1
				case laidOut(after) == laidOut(string(text)):
					restored = 1
				default:
					otherwise = 1
				}
			}
			onLine := 0
			if errors[0].Span.From().Line == m.line {
				onLine = 1
			} else if testing.Verbose() {
				t.Logf("%s:%d: %s, but the first message is on line %d: %s", filepath.Base(name), m.line, m.kind, errors[0].Span.From().Line, errors[0].Message)
			}
			for _, c := range []*tally{k, &total} {
				c.faulty++
				c.onLine += onLine
				c.messages += len(errors)
				c.restored += restored
				c.otherwise += otherwise
				c.left += left
			}
		}
	}
	share := func(c tally) string {
		return fmt.Sprintf("%4d mutants, first message on the faulty line %5.1f %%, %.2f messages each; its edits restore %5.1f %%, make something else %4.1f %%, leave an error %4.1f %%",
			c.faulty, percentOf(c.onLine, c.faulty), float64(c.messages)/float64(c.faulty), percentOf(c.restored, c.faulty), percentOf(c.otherwise, c.faulty), percentOf(c.left, c.faulty))
	}
	kinds := make([]string, 0, len(byKind))
	for kind := range byKind {
		kinds = append(kinds, kind)
	}
	slices.Sort(kinds)
	for _, kind := range kinds {
		t.Logf("%-28s %s", kind, share(*byKind[kind]))
	}
	t.Logf("%-28s %s", "all", share(total))
	require.Greater(t, total.faulty, 500)
	require.GreaterOrEqual(t, float64(total.onLine), 0.9*float64(total.faulty))
	require.LessOrEqual(t, float64(total.messages), 1.2*float64(total.faulty))
	require.LessOrEqual(t, float64(total.left), 0.02*float64(total.faulty))
}

// laidOut is a program as the formatter writes it.
func laidOut(text string) string {
	tree, list := parse.File(source.New("mutant.wend", text))
	if list.Failed() {
		return text
	}
	return format.Source(tree)
}

func readSource(_, name string) (*source.File, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
	}
	return source.New(name, string(text)), nil
}
