package stdlib_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/stdlib"
)

func TestFittedTextFillsTheRoomAndNoMore(t *testing.T) {
	const long = "One long row is broken where that makes the letters largest, so that they fill the page."
	for _, c := range []struct {
		words, font, align string
		broken             bool
	}{
		{"HI", "linden", "center", false},
		{"HAPPY BIRTHDAY", "linden", "center", true},
		{long, "brook", "left", true},
		{long, "linden", "justify", true},
		{"Tilda & Emil\nplease knock twice", "brook", "center", false},
	} {
		height, width, ok := stdlib.FitText(context.Background(), c.words, c.font, c.align, "near", 130, 90)
		require.True(t, ok, c.words)
		require.Equal(t, c.broken, width > 0, c.words)
		named := map[string]any{"height": height, "font": c.font, "align": c.align}
		if width > 0 {
			named["width"] = width
		}
		box := geom.Bounds(written(t, c.words, named))
		require.LessOrEqual(t, box.Width(), 130.0)
		require.LessOrEqual(t, box.Height(), 90.0)
		require.True(t, c.align != "center" || box.Width() > 120 || box.Height() > 80, "%s is %v", c.words, box)
	}
	for _, words := range []string{"漢", fmt.Sprintf("%0500d", 1)} {
		_, _, ok := stdlib.FitText(context.Background(), words, "linden", "center", "near", 130, 90)
		require.False(t, ok)
	}
	_, _, ok := stdlib.FitText(context.Background(), "a", "no such font", "center", "near", 130, 90)
	require.False(t, ok)
}

// Full rows are no reason for smaller letters, and little gained is none for
// breaking rows that somebody made.
func TestTextIsSetAsLargeAsFitsHoweverItIsAligned(t *testing.T) {
	ctx := context.Background()
	const long = "Somebody sings a song we used to know, and what the daylight could not hold or keep the quiet keeps, and will not let it go. Now lamps come on."
	for _, font := range stdlib.Faces() {
		left, _, ok := stdlib.FitText(ctx, long, font, "left", "near", 130, 90)
		require.True(t, ok)
		full, width, ok := stdlib.FitText(ctx, long, font, "justify", "near", 130, 90)
		require.True(t, ok)
		require.Greater(t, width, 125.0)
		require.Greater(t, full, 0.97*left, font)
	}
	const verse = "The evening lays its gold along the hill,\nand every window answers with a spark.\n" +
		"The river keeps its slow and silver will\nand carries all the voices to the dark.\n" +
		"Now lamps come on. The swallows are asleep.\nSomebody sings a song we used to know,\n" +
		"and what the daylight could not hold or keep\nthe quiet keeps, and will not let it go."
	for _, font := range stdlib.Faces() {
		_, width, ok := stdlib.FitText(ctx, verse, font, "center", "ruled", 120, 86)
		require.True(t, ok)
		require.Zero(t, width, font)
	}
}
