package dataset_test

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/value"
	"wend/stdlib/dataset"
)

func read(text string) (value.Value, error) {
	return dataset.JSON(source.New("x.json", text), free)
}

// Texts by the sections of RFC 8259; those of section 13 are its own examples.
func TestJSONFollowsRFC8259(t *testing.T) {
	for _, c := range []struct{ section, text, want string }{
		{"2: white space around everything", " \t\r\n[ 1 , 2 ]\n", `[1, 2]`},
		{"3: values", `[true, false, "x", {}, [], 0]`, `[true, false, "x", {}, [], 0]`},
		{"3: any value may stand alone", `"x"`, `x`},
		{"4: objects", `{"a": 1, "b c": {"d": [2]}}`, `{a: 1, "b c": {d: [2]}}`},
		{"4: a null member is left out", `{"a": null, "b": 2}`, `{b: 2}`},
		{"4: an empty name", `{"": 1}`, `{"": 1}`},
		{"5: values of different types", `[1, "a", [true]]`, `[1, "a", [true]]`},
		{"6: numbers", `[0, -0, 12, -3.5, 1e3, 1E+2, 25e-1, 0.0]`, `[0, 0, 12, -3.5, 1000, 100, 2.5, 0]`},
		{"6: too small is 0", `1e-400`, `0`},
		{"7: escapes", `["\"\\\/", "\n"]`, `["\"\\/", "\n"]`},
		{"7: G clef as a pair", `"\uD834\uDD1E"`, "\U0001D11E"},
		{"7: case of hexadecimal digits", `"\u00E9\u00e9"`, "éé"},
		{"7: DEL and line separators stand plainly", "\"\u007f\u2028\"", "\u007f\u2028"},
		{"8.1: a byte-order mark is passed over", "\ufeff1", `1`},
		{"13: an array", `[{"precision": "zip", "Latitude": 37.7668, "City": "SAN FRANCISCO"}, {"Latitude": 37.371991}]`,
			`[{precision: "zip", Latitude: 37.7668, City: "SAN FRANCISCO"}, {Latitude: 37.372}]`},
		{"13: an object", `{"Image": {"Width": 800, "Height": 600, "Animated": false, "IDs": [116, 943, 234, 38793]}}`,
			`{Image: {Width: 800, Height: 600, Animated: false, IDs: [116, 943, 234, 38793]}}`},
		{"13: only values", "42", "42"},
	} {
		v, err := read(c.text)
		require.NoError(t, err, c.section)
		require.Equal(t, c.want, v.String(), c.section)
	}
}

func TestFaultsOfJSONHaveTheirPlace(t *testing.T) {
	for _, c := range []struct {
		section, text string
		code          diag.Code
		column        int
	}{
		{"2: nothing", ``, "data-json", 1},
		{"2: two values", `1 2`, "data-json", 3},
		{"2: another space", "[1,\u00a02]", "data-json", 4},
		{"2: a form feed", "[\f1]", "data-json", 2},
		{"3: capitals", `[True]`, "data-json", 2},
		{"3: half a word", `nul`, "data-json", 1},
		{"3: a word that goes on", `truex`, "data-json", 5},
		{"4: no quotes", `{a: 1}`, "data-json", 2},
		{"4: single quotes", `{'a': 1}`, "data-json", 2},
		{"4: no colon", `{"a" 1}`, "data-json", 6},
		{"4: a comma at the end", `{"a": 1,}`, "data-json", 9},
		{"4: no end", `{"a": 1`, "data-json", 8},
		{"4: a number as a name", `{1: 1}`, "data-json", 2},
		{"4: a name twice", `{"a": 1, "a": 2}`, "data-name-twice", 10},
		{"4: a name twice, escaped", `{"a": 1, "\u0061": 2}`, "data-name-twice", 10},
		{"4: a name twice after NFC", "{\"\u00e9\": 1, \"e\u0301\": 2}", "data-name-twice", 10},
		{"4: even if it is null", `{"a": null, "a": 2}`, "data-name-twice", 13},
		{"5: a comma at the end", `[1,]`, "data-json", 4},
		{"5: two commas", `[1,,2]`, "data-json", 4},
		{"5: another bracket", `[1}`, "data-json", 3},
		{"5: no end", `[1`, "data-json", 3},
		{"5: a null", `[1, null]`, "data-null", 5},
		{"the whole is null", `null`, "data-null", 1},
		{"6: a leading zero", `[012]`, "data-number", 2},
		{"6: a plus", `[+1]`, "data-json", 2},
		{"6: no digit before the point", `[.5]`, "data-json", 2},
		{"6: none behind it", `[5.]`, "data-number", 2},
		{"6: an empty exponent", `[1e]`, "data-number", 2},
		{"6: a minus alone", `[-]`, "data-number", 2},
		{"6: hexadecimal", `[0x1F]`, "data-json", 3},
		{"6: infinity", `[Infinity]`, "data-json", 2},
		{"6: not a number", `[NaN]`, "data-json", 2},
		{"6: too large", `[1e400]`, "data-number", 2},
		{"7: a line break", "[\"a\nb\"]", "data-json", 4},
		{"7: a tab", "[\"a\tb\"]", "data-json", 4},
		{"7: an escape that is none", `["\x"]`, "data-escape", 3},
		{"7: an apostrophe", `["\'"]`, "data-escape", 3},
		{"7: too few digits", `["\u12"]`, "data-escape", 3},
		{"7: no end", `["a`, "data-quote-open", 2},
		{"7: an end in an escape", `["\`, "data-escape", 3},
		{"8.1: no UTF-8", "[\"\xff\"]", "data-encoding", 3},
		{"8.1: an overlong slash", "[\"\xc0\xaf\"]", "data-encoding", 3},
		{"8.2: half a pair", `["\uDEAD"]`, "data-escape", 3},
		{"8.2: a high half alone", `["\uD834x"]`, "data-escape", 3},
		{"8.2: two high halves", `["\uD834\uD834"]`, "data-escape", 3},
		{"9: a comment", `[1] // one`, "data-json", 5},
	} {
		_, err := read(c.text)
		requireFault(t, err, c.code, 1, c.column, c.section)
	}
	_, err := read("{\n  \"a\": 1,\n  \"b\": tru\n}")
	requireFault(t, err, "data-json", 3, 8, "lines count")
	_, err = read(strings.Repeat("[", 100_000))
	requireFault(t, err, "data-deep", 1, 202, "section 9: a limit of depth")
	_, err = read(strings.Repeat(`{"a":`, 100_000))
	var fault *diag.Fault
	require.ErrorAs(t, err, &fault)
	require.Equal(t, diag.Code("data-deep"), fault.Code)
}

// What is read here is JSON for another reader too (Go's encoding/json), and
// what is JSON for that is read here, unless it is one of the things that the
// RFC leaves open.
func FuzzJSON(f *testing.F) {
	for _, seed := range []string{`{"a": [1, 2.5e3, "x\u00e9\n"]}`, `[null]`, `{"a": null}`, `"\uD834\uDD1E"`, `[1e400]`, `{"a":1,"a":2}`, " [ ] ", `tru`, `-`, `"`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		v, err := read(text)
		other := strings.TrimPrefix(text, "\ufeff")
		valid := json.Valid([]byte(other)) && utf8.ValidString(text)
		if err == nil {
			require.True(t, valid)
			var held any
			require.NoError(t, json.Unmarshal([]byte(other), &held))
			requireSame(t, held, v)
			return
		}
		var fault *diag.Fault
		require.ErrorAs(t, err, &fault)
		require.True(t, fault.Span.Known())
		require.LessOrEqual(t, fault.Span.Start, fault.Span.End)
		require.LessOrEqual(t, fault.Span.End, len(text))
		if valid {
			require.Contains(t, []diag.Code{"data-null", "data-name-twice", "data-escape", "data-number", "data-deep"}, fault.Code)
		}
	})
}

// requireSame compares what two readers read.
func requireSame(t *testing.T, held any, v value.Value) {
	switch x := held.(type) {
	case float64:
		require.Equal(t, x+0, v.Number())
	case string:
		require.True(t, value.Equal(value.Text(x), v))
	case bool:
		require.Equal(t, x, v.Bool())
	case []any:
		require.Equal(t, len(x), v.Length())
		for i := range x {
			requireSame(t, x[i], v.List()[i])
		}
	case map[string]any:
		filled := 0
		for name, field := range x {
			if field == nil {
				continue
			}
			filled++
			if got, ok := v.Fields().Get(value.Text(name).Text()); ok {
				requireSame(t, field, got)
			} else {
				t.Fatalf("no field %q", name)
			}
		}
		require.Len(t, v.Fields().Layout.Names(), filled)
	}
}

// The peer is the reader of the standard library, into values of any kind.
func BenchmarkJSON(b *testing.B) {
	rows := make([]map[string]any, 15_000)
	for i := range rows {
		rows[i] = map[string]any{"minute": i, "x": float64(i) * 0.37, "y": float64(i) * 0.11, "place": "gate"}
	}
	text, err := json.Marshal(rows)
	require.NoError(b, err)
	b.Run("wend", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			_, err := dataset.JSON(source.New("rows.json", string(text)), free)
			require.NoError(b, err)
		}
	})
	b.Run("encoding/json", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			var v any
			require.NoError(b, json.Unmarshal(text, &v))
		}
	})
}
