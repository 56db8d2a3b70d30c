package engine_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

var showMistakes = flag.Bool("mistakes", false, "show each mistake that its message does not mend")

// mistake is one program of a table of everyday mistakes; mistakes.txt tells how
// they are written down.
type mistake struct {
	kind, program string
	meant         []string // programs, one of which was meant; none if no edit can help
	named         []string // what the message must speak of then
}

func mistakesOf(t *testing.T, name string) []mistake {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	require.NoError(t, err)
	var all []mistake
	kind := ""
	for _, block := range strings.Split(string(text), "\n\n") {
		block = strings.Trim(block, "\n")
		if heading, ok := strings.CutPrefix(block, "== "); ok {
			kind = heading
			continue
		}
		if kind == "" {
			continue // what the file says about itself
		}
		m := mistake{kind: kind}
		part, sign := "", ""
		end := func() {
			switch sign {
			case "":
				m.program = part
			case "->":
				m.meant = append(m.meant, part)
			case "~>":
				m.named = append(m.named, strings.TrimSpace(part))
			}
			part = ""
		}
		for line := range strings.Lines(block + "\n") {
			if bare := strings.TrimSpace(line); bare == "->" || bare == "~>" {
				end()
				sign = bare
				continue
			}
			part += line
		}
		end()
		if begins := func(p string) bool { return strings.Contains(p, "begin ") || strings.Contains(p, "begin(") }; !begins(m.program) && !slices.ContainsFunc(m.meant, begins) {
			m.program = "begin page.center\n" + m.program
			for i := range m.meant {
				m.meant[i] = "begin page.center\n" + m.meant[i]
			}
		}
		all = append(all, m)
	}
	return all
}

// run is what a program draws and prints, with all that there is to say of it.
func run(text string) (*plan.Plan, diag.List) {
	program, list := engine.Load(source.New("mistake.wend", text), engine.Settings{Profile: machine.DeskToy(), Read: flowers})
	if program == nil {
		return nil, list
	}
	drawn, more := program.Draw(context.Background())
	return drawn, append(list, more...)
}

// carriedOut is a program with the first edit of each of its errors made; of
// its warnings if it has no error.
func carriedOut(text string, list diag.List) (string, bool) {
	var edits []diag.Edit
	for _, d := range list {
		if len(d.Edits) > 0 && (d.Severity == diag.Error) == list.Failed() {
			edits = append(edits, d.Edits[0])
		}
	}
	slices.SortStableFunc(edits, func(a, b diag.Edit) int { return b.Span.Start - a.Span.Start })
	before := len(text) + 1
	for _, e := range edits {
		if e.Span.End > before {
			continue // it overlaps with the one behind it
		}
		text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
		before = e.Span.Start
	}
	return text, len(edits) > 0
}

// alike reports whether two programs draw the same line and print the same.
func alike(a, b *plan.Plan) bool {
	if len(a.Sheets) != len(b.Sheets) || len(a.Said) != len(b.Said) {
		return false
	}
	for i := range a.Said {
		if a.Said[i].Text != b.Said[i].Text {
			return false
		}
	}
	for i := range a.Sheets {
		p, q := a.Sheets[i].Points, b.Sheets[i].Points
		if len(p) != len(q) {
			return false
		}
		for k := range p {
			if p[k].Distance(q[k]) > 1e-6 {
				return false
			}
		}
	}
	return true
}

// verdict is what became of a mistake when its message's own edits were made.
type verdict int

const (
	mended   verdict = iota // it runs, and does what was meant
	other                   // it runs, and does something else
	misled                  // there is an error still, or a new one
	silent                  // there is no edit
	accepted                // it gave no error, and does something else
)

// offThePage is the kind of mistake for which any line on the page will do.
const offThePage = "off the page"

func judge(m mistake) (verdict, string) {
	drawn, list := run(m.program)
	meant := func(drawn *plan.Plan) bool {
		if m.kind == offThePage {
			return drawn != nil && len(drawn.Sheets[0].Points) > 1
		}
		for _, text := range m.meant {
			if right, _ := run(text); right != nil && drawn != nil && alike(drawn, right) {
				return true
			}
		}
		return false
	}
	if !list.Failed() && meant(drawn) {
		return mended, m.program
	}
	text, edited := carriedOut(m.program, list)
	switch {
	case !edited && !list.Failed():
		return accepted, text
	case !edited:
		return silent, text
	}
	drawn, after := run(text)
	switch {
	case after.Failed():
		return misled, text
	case meant(drawn):
		return mended, text
	}
	return other, text
}

// share judges a table of mistakes and prints, by kind, how many are mended.
func share(t *testing.T, name string) (percent float64) {
	certain := func(m mistake) bool {
		_, list := run(m.program)
		for _, d := range list {
			if len(d.Edits) == 0 || !d.Edits[0].Certain {
				return false
			}
		}
		return list.Failed()
	}
	type count struct{ all, mended, other, misled, silent int }
	counts := map[string]*count{}
	var kinds []string
	total := &count{}
	for _, m := range mistakesOf(t, name) {
		if len(m.meant) == 0 {
			continue
		}
		for _, text := range m.meant {
			_, list := run(text)
			if list.Failed() {
				t.Errorf("what was meant does not run:\n%s%v", text, list)
			}
		}
		c := counts[m.kind]
		if c == nil {
			c = &count{}
			counts[m.kind], kinds = c, append(kinds, m.kind)
		}
		v, text := judge(m)
		if v != mended && certain(m) {
			t.Errorf("an edit that is certain does not do what was meant:\n%s---\n%s", m.program, text)
		}
		if *showMistakes && v != mended {
			_, list := run(m.program)
			_, after := run(text)
			t.Logf("%s\n%s--- %s\n%s--- after the edits\n%s--- %s", [...]string{"mended", "OTHER", "MISLED", "SILENT", "ACCEPTED"}[v], m.program, brief(list), "", text, brief(after))
		}
		for _, c := range []*count{c, total} {
			c.all++
			switch v {
			case mended:
				c.mended++
			case other:
				c.other++
			case misled:
				c.misled++
			default:
				c.silent++
			}
		}
	}
	var table strings.Builder
	row := func(kind string, c *count) {
		fmt.Fprintf(&table, "%-38s %4d of %4d %5.0f %%   otherwise %2d, error left %2d, no edit %2d\n",
			kind, c.mended, c.all, percentOf(c.mended, c.all), c.other, c.misled, c.silent)
	}
	for _, kind := range kinds {
		row(kind, counts[kind])
	}
	row("all", total)
	t.Logf("%s: mended by the message's own edit\n%s", name, table.String())
	return percentOf(total.mended, total.all)
}

func percentOf(part, whole int) float64 { return 100 * float64(part) / math.Max(1, float64(whole)) }

func brief(list diag.List) string {
	var b strings.Builder
	for _, d := range list {
		fmt.Fprintf(&b, "%v %d:%d %s | %s", d.Severity, d.Span.From().Line, d.Span.From().Column, d.Message, d.Hint)
		for _, e := range d.Edits {
			fmt.Fprintf(&b, " [%q → %q %v]", e.Span.Text(), e.Text, e.Certain)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// The floor is what was reached; it only ever rises.
func TestEverydayMistakesAreMendedByTheirMessages(t *testing.T) {
	require.GreaterOrEqual(t, share(t, "mistakes.txt"), 98.0)
}

// The share of mistakes that were written down after the messages says more than
// that of those from which they were learned.
func TestMistakesThatCameAfterTheMessagesAreMended(t *testing.T) {
	for _, name := range []string{"further", "second-held-out", "fresh", "after", "third", "fifth", "sixth", "seventh"} {
		require.GreaterOrEqual(t, share(t, "mistakes-"+name+".txt"), 95.0, name)
	}
	require.GreaterOrEqual(t, share(t, "mistakes-fourth.txt"), 92.0)
	require.GreaterOrEqual(t, share(t, "mistakes-eighth.txt"), 82.0) // as it was at the first reading
	require.GreaterOrEqual(t, share(t, "mistakes-ninth.txt"), 90.0)  // as it was at the first reading
}

// Where no edit can help, the message speaks of what does.
func TestMistakesWithoutAnEditAreToldWhatHelps(t *testing.T) {
	for _, m := range mistakesOf(t, "mistakes.txt") {
		if len(m.named) == 0 {
			continue
		}
		_, list := run(m.program)
		said := brief(list)
		for _, name := range m.named {
			if !strings.Contains(said, name) {
				t.Errorf("nothing is said of %q:\n%s%s", name, m.program, said)
			}
		}
	}
}
