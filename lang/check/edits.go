package check

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
)

// putIntoText offers to write an expression within a text: "{x}".
func putIntoText(d diag.Diagnostic, e ast.Expr) diag.Diagnostic {
	text := e.Place().Text()
	if strings.ContainsAny(text, "\"\\\n\r#{}") {
		return d
	}
	return d.WithHint("put the value into a text, as in `\"{%s}\"`", text).WithEdit(e.Place(), "\"{"+text+"}\"", true)
}

// quotedRunes is how much of a program a message quotes at most.
const quotedRunes = 32

// shorten keeps a piece of program short enough to quote in a message.
func shorten(text string) string {
	line, _, more := strings.Cut(text, "\n")
	line = strings.TrimSpace(line)
	if runes := []rune(line); len(runes) > quotedRunes {
		line, more = string(runes[:quotedRunes]), true
	}
	if more {
		line += " …"
	}
	return line
}
