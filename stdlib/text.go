package stdlib

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wend/lang/types"
	"wend/runtime/value"
)

// Texts are in NFC, and their characters are grapheme clusters (UAX #29): what
// a person takes for one character.

// between reports whether a byte of a text lies between two characters, given
// where they start (see value.Starts).
func between(starts []int32, at int) bool {
	if starts == nil {
		return true
	}
	_, found := slices.BinarySearch(starts, int32(at))
	return found
}

// match is where a part, in NFC and not empty, stands first at or after byte
// from, beginning and ending between characters; -1 if nowhere.
func match(text, part string, from int, starts []int32) int {
	for {
		i := strings.Index(text[from:], part)
		if i < 0 {
			return -1
		}
		at := from + i
		if between(starts, at) && between(starts, at+len(part)) {
			return at
		}
		_, size := utf8.DecodeRuneInString(text[at:])
		from = at + size
	}
}

// findText is the place of the first character of a part, from 1; 0 if it is
// not in the text.
func findText(h value.Host, v value.Value, part string) (int, error) {
	if err := h.Charge(len(v.Text()), 0); err != nil {
		return 0, err
	}
	if part == "" {
		return 1, nil
	}
	starts := v.Starts()
	at := match(v.Text(), part, 0, starts)
	if starts != nil && at >= 0 {
		at, _ = slices.BinarySearch(starts, int32(at))
	}
	return at + 1, nil
}

func reverseText(h value.Host, v value.Value) (value.Value, error) {
	text := v.Text()
	if err := h.Charge(len(text), len(text)); err != nil {
		return value.Nothing, err
	}
	starts := v.Starts()
	if starts == nil {
		letters := []byte(text)
		slices.Reverse(letters)
		return value.Text(string(letters)), nil
	}
	var b strings.Builder
	b.Grow(len(text))
	for i := len(starts) - 1; i > 0; i-- {
		b.WriteString(text[starts[i-1]:starts[i]])
	}
	return value.Text(b.String()), nil
}

// splitText cuts a text at each separator; into characters if that is empty.
func splitText(h value.Host, v value.Value, separator string) (value.Value, error) {
	text := v.Text()
	if err := h.Charge(len(text), len(text)); err != nil {
		return value.Nothing, err
	}
	if separator == "" {
		items := make([]value.Value, v.Length())
		if err := h.Charge(len(items), len(items)*textBytes); err != nil {
			return value.Nothing, err
		}
		for i := range items {
			items[i] = v.Item(i)
		}
		return value.List(items), nil
	}
	starts := v.Starts()
	var parts []string
	start := 0
	for {
		at := match(text, separator, start, starts)
		if at < 0 {
			return texts(h, append(parts, text[start:]))
		}
		parts = append(parts, text[start:at])
		start = at + len(separator)
	}
}

func splitWords(h value.Host, text string) (value.Value, error) {
	if err := h.Charge(len(text), len(text)); err != nil {
		return value.Nothing, err
	}
	return texts(h, strings.FieldsFunc(text, unicode.IsSpace))
}

// textBytes is what a text takes besides its characters.
const textBytes = itemBytes + 96

func texts(h value.Host, parts []string) (value.Value, error) {
	if err := h.Charge(len(parts), len(parts)*textBytes); err != nil {
		return value.Nothing, err
	}
	items := make([]value.Value, len(parts))
	for i, part := range parts {
		items[i] = value.Text(part)
	}
	return value.List(items), nil
}

func joinTexts(h value.Host, items []value.Value, separator string) (value.Value, error) {
	if err := allOf("join", types.Text, items); err != nil {
		return value.Nothing, err
	}
	size := max(0, len(items)-1) * len(separator)
	for _, item := range items {
		size += len(item.Text())
	}
	if err := h.Charge(len(items)+size, size); err != nil {
		return value.Nothing, err
	}
	var b strings.Builder
	b.Grow(size)
	for i, item := range items {
		if i > 0 {
			b.WriteString(separator)
		}
		b.WriteString(item.Text())
	}
	return value.Text(b.String()), nil
}
