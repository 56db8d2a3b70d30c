package dataset_test

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/value"
	"wend/stdlib/dataset"
)

func free(int, int) error { return nil }

func table(text string) (value.Value, error) {
	return dataset.Table(source.New("walk.csv", text), free)
}

// requireFault checks the code, line and column of a fault.
func requireFault(t *testing.T, err error, code diag.Code, line, column int, about string) {
	t.Helper()
	var fault *diag.Fault
	require.ErrorAs(t, err, &fault, about)
	require.Equal(t, code, fault.Code, about)
	_, known := diag.Lookup(code)
	require.True(t, known)
	require.NotRegexp(t, `\{\w+\}`, fault.Error())
	at := fault.At(source.Span{}).Span.From()
	require.Equal(t, [2]int{line, column}, [2]int{at.Line, at.Column}, about)
}

// The rules of RFC 4180, section 2, with its own examples where it has some.
func TestTablesFollowRFC4180(t *testing.T) {
	for _, c := range []struct{ rule, text, want string }{
		{"1: lines end in CRLF", "a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", `[{a: "aaa", b: "bbb", c: "ccc"}, {a: "zzz", b: "yyy", c: "xxx"}]`},
		{"2: the last may have no end", "a,b,c\r\naaa,bbb,ccc\r\nzzz,yyy,xxx", `[{a: "aaa", b: "bbb", c: "ccc"}, {a: "zzz", b: "yyy", c: "xxx"}]`},
		{"3: a header line", "field_name,field_two\r\naaa,bbb\r\n", `[{field_name: "aaa", field_two: "bbb"}]`},
		{"5: quotes or none", "a,b,c\r\n\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", `[{a: "aaa", b: "bbb", c: "ccc"}, {a: "zzz", b: "yyy", c: "xxx"}]`},
		{"6: line ends and commas in quotes", "a,b,c\r\n\"aaa\",\"b\r\nb,b\",\"ccc\"\r\n", `[{a: "aaa", b: "b\nb,b", c: "ccc"}]`},
		{"7: quotes in quotes", "a,b,c\r\n\"aaa\",\"b\"\"bb\",\"ccc\"", `[{a: "aaa", b: "b\"bb", c: "ccc"}]`},
	} {
		v, err := table(c.text)
		require.NoError(t, err, c.rule)
		require.Equal(t, c.want, v.String(), c.rule)
	}
}

func TestTablesNameTheirColumnsAndKnowTheirNumbers(t *testing.T) {
	for _, c := range []struct{ about, text, want string }{
		{"numbers", "x,y\n1,-2.5\n3e1,0\n", `[{x: 1, y: -2.5}, {x: 30, y: 0}]`},
		{"a code is text", "code\n01234\n12\n", `[{code: "01234"}, {code: "12"}]`},
		{"an empty number is left out", "x,y\n1,2\n,4\n", `[{x: 1, y: 2}, {y: 4}]`},
		{"an empty text is empty", "a,b\nfern,\n,moss\n", `[{a: "fern", b: ""}, {a: "", b: "moss"}]`},
		{"a column of nothing", "a,b\n1,\n2,\n", `[{a: 1}, {a: 2}]`},
		{"no header", "1,2\n3,4\n", `[{"column 1": 1, "column 2": 2}, {"column 1": 3, "column 2": 4}]`},
		{"empty and repeated headers", "a,,a\n1,2,3\n", `[{a: 1, "column 2": 2, "column 3": 3}]`},
		{"a header of that name", "column 2,\n1,2\n", `[{"column 2": 1, "column 2'": 2}]`},
		{"outer spaces go", " a , b \n  fern ,\t 2 \n", `[{a: "fern", b: 2}]`},
		{"but not within quotes", "a,b\n \" fern \" ,2\n", `[{a: " fern ", b: 2}]`},
		{"a byte-order mark goes", "\ufeffa\n1\n", `[{a: 1}]`},
		{"blank lines are skipped", "\n\na,b\n\n1,2\n   \n3,4\n\n", `[{a: 1, b: 2}, {a: 3, b: 4}]`},
		{"semicolons", "x;y\n1,5;2\n-0,25;3.5\n", `[{x: 1.5, y: 2}, {x: -0.25, y: 3.5}]`},
		{"tabs", "x\ty\n1\t2\n\t4\n", `[{x: 1, y: 2}, {y: 4}]`},
		{"a comma in the header wins", "x,y;z\n1,2\n", `[{x: 1, "y;z": 2}]`},
		{"but not one in quotes", "\"x,y\";z\n1,5;2\n", `[{"x,y": 1.5, z: 2}]`},
		{"one column", "name\nfern\nmoss\n", `[{name: "fern"}, {name: "moss"}]`},
		{"a quoted empty cell alone is a row", "name\n\"\"\nmoss\n", `[{name: ""}, {name: "moss"}]`},
		{"lone CR", "a,b\r1,2\r", `[{a: 1, b: 2}]`},
		{"no negative zero", "x\n-0\n", `[{x: 0}]`},
		{"too large for a number is text", "x\n1e999\n", `[{x: "1e999"}]`},
		{"a header alone", "a,b\n", `[]`},
		{"nothing", "", `[]`},
	} {
		v, err := table(c.text)
		require.NoError(t, err, c.about)
		require.Equal(t, c.want, v.String(), c.about)
	}
	v, err := table("cafe\u0301\n1\n")
	require.NoError(t, err)
	require.Equal(t, "caf\u00e9", v.List()[0].Fields().Layout.Names()[0], "names are compared after NFC")
	v, _ = table("x\n\n1\n2\n")
	require.Equal(t, 4, v.List()[1].Fields().Line)
	require.Equal(t, "walk.csv", v.List()[1].Fields().File)
}

func TestFaultsOfTablesHaveTheirPlace(t *testing.T) {
	for _, c := range []struct {
		about, text  string
		code         diag.Code
		line, column int
	}{
		{"section 2, rule 4: as many cells", "a,b\n1,2\n3\n", "data-row-width", 3, 1},
		{"one cell more", "a,b\n1,2,3\n", "data-row-width", 2, 1},
		{"a comma at the end", "a,b\n1,2,\n", "data-row-width", 2, 1},
		{"rule 5: no quotes within a plain cell", "a,b\nfe\"rn,2\n", "data-quote", 2, 3},
		{"a quote that is not closed", "a,b\nfern,\"moss\n", "data-quote-open", 2, 6},
		{"something behind a quote", "a,b\n\"fern\" x,2\n", "data-after-quote", 2, 8},
		{"no UTF-8", "a,b\nf\xe9rn,2\n", "data-encoding", 2, 2},
	} {
		_, err := table(c.text)
		requireFault(t, err, c.code, c.line, c.column, c.about)
	}
	limit := errors.New("limit")
	_, err := dataset.Table(source.New("walk.csv", strings.Repeat("1,2\n", 1000)), func(int, int) error { return limit })
	require.ErrorIs(t, err, limit)
}

// What is a table here is one for another reader, too, and holds the same: Go's
// encoding/csv, which also lets a cell begin with spaces.
func FuzzTable(f *testing.F) {
	for _, seed := range []string{"a,b\n1,2\n", "a;b\n\"x\"\"y\";1,5\n", "\ufeffa\tb\r\n1\t\r\n", "\"a\n\",b\n,\n", "1\n2\n", " \n,,\n"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := table(text)
		if err != nil {
			var fault *diag.Fault
			require.ErrorAs(t, err, &fault)
			require.True(t, fault.Span.Known())
			require.LessOrEqual(t, fault.Span.Start, fault.Span.End)
			require.LessOrEqual(t, fault.Span.End, len(text))
			return
		}
		if strings.ContainsAny(text, "\r;\t\ufeff") || strings.Contains(text, " \"") || strings.Contains(text, "\" ") {
			return // read more freely here
		}
		reader := csv.NewReader(strings.NewReader(text))
		reader.FieldsPerRecord = -1
		rows, err := reader.ReadAll()
		require.NoError(t, err)
		filled := 0
		for _, row := range rows {
			if len(row) > 1 || strings.Trim(row[0], " ") != "" {
				filled++
			}
		}
		for _, record := range v.List() {
			require.LessOrEqual(t, len(record.Fields().Layout.Names()), len(rows[0])+strings.Count(text, ","))
		}
		require.LessOrEqual(t, filled-1, v.Length())
	})
}

// A megabyte of rows, beside the table reader of the standard library, which
// makes texts of all cells and no records.
func BenchmarkTable(b *testing.B) {
	var out strings.Builder
	out.WriteString("minute,x,y,place\n")
	for i := range 30_000 {
		fmt.Fprintf(&out, "%d,%.4f,%.4f,\"gate %d\"\n", i, float64(i)*0.37, float64(i)*0.11, i%97)
	}
	text := out.String()
	b.Run("wend", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			_, err := table(text)
			require.NoError(b, err)
		}
	})
	b.Run("encoding/csv", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			_, err := csv.NewReader(strings.NewReader(text)).ReadAll()
			require.NoError(b, err)
		}
	})
}
