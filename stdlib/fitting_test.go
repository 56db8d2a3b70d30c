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
