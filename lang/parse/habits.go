package parse

import "wend/lang/diag"

// foreignWords begin statements elsewhere; the value is the word to use here.
var foreignWords = map[string]string{
	"for": "loop", "foreach": "loop", "repeat": "loop", "times": "loop", "until": "loop while not", "while": "loop while",
	"function": "fn", "func": "fn", "def": "fn", "define": "fn", "fun": "fn", "proc": "figure", "procedure": "figure", "sub": "figure",
	"var": "let", "const": "let", "val": "let", "set": "let", "local": "let",
	"import": "use", "include": "use", "require": "use",
	"when": "if", "unless": "if not",
}

var elseIfWords = map[string]bool{"elif": true, "elseif": true, "elsif": true}

// blockWords stand elsewhere where wend has a {.
var blockWords = map[string]bool{"then": true, "do": true, "begin": true, "times": true}

// statementKeywords are those a statement can begin with, in the order in
// which they are offered.
var statementKeywords = []string{"let", "fn", "figure", "loop", "if", "else", "return", "break", "continue", "draw", "branch", "use"}

// nearKeyword is the keyword a statement was most likely meant to begin with.
func nearKeyword(word string) string {
	if near := diag.Nearest(word, statementKeywords, 1); len(near) > 0 {
		return near[0]
	}
	return ""
}

// nearPath reports whether a name before a block was most likely meant to be path.
func nearPath(word string) bool { return len(diag.Nearest(word, []string{"path"}, 1)) > 0 }
