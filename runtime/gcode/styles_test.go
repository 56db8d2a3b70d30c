package gcode_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/machine"
)

// styles are the ways in which programs that prepare work for other machines
// write instruction files (common practice, no source; the files are invented).
var styles = []struct{ file, words string }{
	{"mill-one-depth", "a mill, one outline; preamble, tool change, coolant, `%`, lengths of tools"},
	{"mill-several-depths", "a mill, several depths and arcs"},
	{"mill-inches", "a mill, in inches"},
	{"numbered-lines", "line numbers, words with leading zeros, decimal points without digits"},
	{"engraver-relative", "relative coordinates throughout"},
	{"knife", "a knife on a lift, arcs by radius"},
	{"foam-wire", "a hot wire: one line, one value of S"},
	{"laser-switched", "a beam switched by M3 and M5"},
	{"laser-power-words", "a beam with its power on every motion"},
	{"laser-always-on", "a beam that goes out in rapid motions"},
	{"laser-grey", "grey in rows of changing power"},
	{"pen-on-z", "a pen lifted by Z, motors switched off at the end"},
	{"pen-on-a-switch", "a pen lifted by M3 and M5, with waits"},
	{"pen-on-a-servo-rapid", "a pen on a servo, two values of S, rapid between"},
	{"pen-on-a-servo-fed", "a pen on a servo, two values of S, one speed throughout"},
	{"material-fed", "layers of material (E), heaters, fans, G28"},
	{"one-line-no-lift", "two axes without a lift, its start said by G92"},
	{"one-line-rapid-only", "two axes without a lift, rapid motions alone"},
	{"other-letters", "small letters, no blanks, comments that are not UTF-8"},
	{"cut-off", "a file that was cut off"},
}

// mostWarnings on a file of a usual style: more are not read.
const mostWarnings = 3

// The table of the README says what is read of each style, and what is told.
func TestTheTableOfStylesIsWhatTheFilesGive(t *testing.T) {
	files, err := filepath.Glob("testdata/styles/*.gcode")
	require.NoError(t, err)
	require.Len(t, styles, len(files))
	p := machine.DeskToy()
	total := 0
	table := []string{"| made for, or written with | read | told |", "| --- | --- | --- |"}
	for _, style := range styles {
		text, err := os.ReadFile(filepath.Join("testdata", "styles", style.file+".gcode"))
		require.NoError(t, err)
		name := style.file + ".gcode"
		_, plain := gcode.Trace(name, string(text), p, gcode.TraceOptions{})
		traced, list := gcode.Trace(name, string(text), p, gcode.TraceOptions{DrawTravel: true})
		require.False(t, list.Failed(), "%s: %v", name, list)
		read := "yes"
		if plain.Failed() {
			require.Equal(t, []string{"instruction-travel"}, codes(failed(plain)), "%s: %v", name, plain)
			require.Positive(t, traced.TravelMM, name)
			read = "with `--draw-travel`"
		}
		require.LessOrEqual(t, len(list), mostWarnings, "%s: %v", name, list)
		total += len(list)
		var told []string
		for _, d := range list {
			told = append(told, map[diag.Code]string{
				"instruction-unheard":      "what is left out",
				"instruction-travel-drawn": "the travel",
				"instruction-start-unsaid": "where it is taken to start",
				"instruction-end-missing":  "that it may be cut off",
			}[d.Code])
			require.NotEmpty(t, told[len(told)-1], "%v", d)
		}
		if len(told) == 0 {
			told = []string{"nothing"}
		}
		table = append(table, fmt.Sprintf("| %s | %s | %s |", style.words, read, strings.Join(told, ", ")))
	}
	t.Logf("%d messages on %d files", total, len(styles))

	const readme = "../../README.md"
	page, err := os.ReadFile(readme)
	require.NoError(t, err)
	lines := strings.Split(string(page), "\n")
	from := slices.Index(lines, table[0])
	require.NotEqual(t, -1, from, "the README has no such table")
	to := from
	for to < len(lines) && strings.HasPrefix(lines[to], "|") {
		to++
	}
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(strings.Join(slices.Concat(lines[:from], table, lines[to:]), "\n")), 0o644))
		return
	}
	require.Equal(t, table, lines[from:to])
}

func failed(list diag.List) diag.List {
	return slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool { return d.Severity != diag.Error })
}
