package engine

import (
	"fmt"
	"strings"
	"unicode"
)

// Literal is a text as programs write it.
func Literal(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\' || r == '{':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\r':
		case unicode.IsPrint(r) || unicode.Is(unicode.Mn, r):
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, `\u{%x}`, r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
