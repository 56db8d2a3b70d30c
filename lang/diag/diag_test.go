package diag_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
)

func TestNearestFindsWhatWasMeant(t *testing.T) {
	known := []string{"ahead", "arc", "heading", "petal", "petals", "Size", "width", "x", "y", "turn"}
	for _, c := range []struct {
		typed string
		want  []string
	}{
		{"widht", []string{"width"}},
		{"size", []string{"Size"}},
		{"petl", []string{"petal"}},
		{"petall", []string{"petal", "petals"}},
		{"z", nil},
		{"zebra", nil},
		{"trun", []string{"turn"}},
		{"ahed", []string{"ahead"}},
		{"Ahead", []string{"ahead"}},
	} {
		require.Equal(t, c.want, diag.Nearest(c.typed, known, 3), c.typed)
	}
}

// The rules for messages that a program can hold them to.
func TestEveryPageIsWrittenInPlainNeutralWords(t *testing.T) {
	banned := regexp.MustCompile(`(?i)\b(tokens?|pars(e|er|ing)|identifiers?|operands?|EOF|illegal|invalid|fatal|abort(ed)?|unexpected|you (forgot|should)|oops)\b|!($|[^=])`)
	name := regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	for _, p := range diag.Pages() {
		t.Run(string(p.Code), func(t *testing.T) {
			require.Regexp(t, name, string(p.Code))
			require.NotEmpty(t, p.Message)
			require.NotEmpty(t, p.Rule)
			require.NotEmpty(t, p.Bad)
			require.NotEmpty(t, p.Good)
			require.LessOrEqual(t, len(p.Message), 90, "headline")
			require.LessOrEqual(t, len(strings.Fields(p.Hint)), 30, "hint")
			for _, text := range []string{p.Message, p.Hint} {
				quoted := regexp.MustCompile("`[^`]*`").ReplaceAllString(text, "")
				require.NotRegexp(t, banned, quoted)
				require.False(t, strings.HasSuffix(text, "."), "a headline has no full stop")
			}
			require.NotRegexp(t, `\{[a-z]+\} mm`, p.Rule, "places are filled in message and hint alone")
			require.NotRegexp(t, `^[A-Z][a-z]`, p.Message, "a headline goes on from the place, in small letters")
		})
	}
}

func TestNewFillsTheNamedPlaces(t *testing.T) {
	d := diag.New("file-large", source.Span{}, diag.Args{"name": "a.wend", "size": "9.0", "limit": 8})
	require.Equal(t, "`a.wend` has 9.0 MB; at most 8 MB are read", d.Message)
}

func TestALongNameIsCutInMessages(t *testing.T) {
	for _, name := range []string{strings.Repeat("a", 1<<20), strings.Repeat("山", 1<<20)} {
		d := diag.New("unknown-name", source.Span{}, diag.Args{"name": name})
		require.Less(t, len(d.Message), 500)
		require.Contains(t, d.Message, "…")
		require.True(t, utf8.ValidString(d.Message))
	}
}

func TestSortedIsInSourceOrderWithoutRepeats(t *testing.T) {
	a, b := source.New("a", "xxxxx"), source.New("b", "xxxxx")
	at := func(f *source.File, start int) diag.Diagnostic {
		return diag.Diagnostic{Code: "c", Span: source.Span{File: f, Start: start, End: start + 1}}
	}
	list := diag.List{at(b, 3), at(a, 2), at(b, 1), at(a, 2)}
	require.Equal(t, diag.List{at(b, 1), at(b, 3), at(a, 2)}, list.Sorted())
	require.True(t, slices.Equal([]bool{true, false}, []bool{list.Failed(), diag.List{}.Failed()}))
}

func TestNamesInMessagesStayOnTheirLine(t *testing.T) {
	d := diag.New("field-twice", source.Span{}, diag.Args{"name": "a\nb\x07"})
	require.Equal(t, "the field `a\\nb\\u{7}` stands twice in this record", d.Message)
	require.Len(t, []rune(diag.OneLine(strings.Repeat("ä", 1000))), 201)
}
