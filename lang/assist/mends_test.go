package assist_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/assist"
	"wend/lang/types"
)

func TestTheEditsOfMessagesAreOfferedWhereTheMessagesAre(t *testing.T) {
	d, list := read("ahead 10\nahed 20\nturn 20mm\n", nil)
	require.Empty(t, d.Mends(list, 0, 5))
	found := d.Mends(list, 11, 11)
	require.NotEmpty(t, found)
	require.Equal(t, "Write `ahead` in place of `ahed`", found[0].Title)
	require.Equal(t, "unknown-word", string(found[0].Message.Code))
	require.Greater(t, len(d.Mends(list, 0, 100)), len(found))
	require.Len(t, d.About(list, 10), 1)
	require.Empty(t, d.About(list, 2))
}

func TestPlainNumbersAreKnownByWhatTheyCount(t *testing.T) {
	text := "ahead 10\narc -5, 90\nahead 2cm\nreach (1, 2)\nreach 3, 4\nlet p = path { turn 9 }.rotate(7).hatch(spacing: 2, angle: 45)\nnote sqrt(4)\nahead 1 + 2\n"
	d, _ := read(text, nil)
	written := map[string]types.Unit{}
	for _, h := range d.Units(0, len(text)) {
		written[text[:h.At][max(0, h.At-2):]] = h.Unit
	}
	require.Equal(t, map[string]types.Unit{
		"10": types.Length, "-5": types.Length, "90": types.Angle, " 3": types.Length, " 4": types.Length, " 9": types.Angle, "(7": types.Angle, " 2": types.Length, "45": types.Angle,
	}, written)
	require.Len(t, d.Units(9, 10), 2, "only what is asked for")
	var none []assist.UnitHint
	require.Equal(t, none, d.Units(len(text)-3, len(text)))
}
