package diag

import "strconv"

// Counted is a count in words: "1 argument", "2 arguments". What is counted is
// named in the singular and forms its plural with an s.
func Counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

// Grouped is a whole number with its digits in groups of three: 12 500.
func Grouped(n int) string {
	text := strconv.Itoa(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + " " + text[i:]
	}
	return text
}
