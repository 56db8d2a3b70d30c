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
