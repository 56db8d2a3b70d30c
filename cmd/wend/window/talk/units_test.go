package talk

import (
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
)

// Places are counted as the standard library's UTF-16 counts them.
func TestPlacesCountAsUTF16Does(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("aé€\U0001F33F\uFFFD\n"))).Draw(t, "text")
		u := unitsOf(text)
		for i := range text {
			want := len(utf16.Encode([]rune(text[:i])))
			if u.of(i) != want || u.offset(want) != i {
				t.Fatalf("offset %d of %q: %d, %d", i, text, u.of(i), u.offset(want))
			}
		}
	})
}
