package lesson

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/parse"
)

// repeated finds something that is written twice: two statements or more in a row
// that stand again, word for word, in the same block, or one block of several that
// stands again anywhere. It gives the lines where both begin, or zeros.
func repeated(a *Attempt) (first, again int) {
	tree, _ := parse.File(a.file)
	blocks := map[string]int{}
	look := func(body []ast.Stmt) {
		if again > 0 {
			return
		}
		first, again = runAgain(a, body)
		if again > 0 || len(body) < 2 {
			return
		}
		var whole strings.Builder
		for _, s := range body {
			whole.WriteString(plain(s) + "\n")
		}
		line := a.file.LineOf(body[0].Place().Start)
		if before, known := blocks[whole.String()]; known {
			first, again = before, line
			return
		}
		blocks[whole.String()] = line
	}
	look(tree.Body)
	ast.Walk(tree, func(n ast.Node) bool {
		if block, ok := n.(*ast.Block); ok {
			look(block.Stmts)
		}
		return again == 0
	})
	return first, again
}

// runAgain finds two statements that follow one another and do so again later.
func runAgain(a *Attempt, body []ast.Stmt) (first, again int) {
	texts := make([]string, len(body))
	for i, s := range body {
		texts[i] = plain(s)
	}
	for i := 0; i+3 < len(texts); i++ {
		for j := i + 2; j+1 < len(texts); j++ {
			if texts[i] == texts[j] && texts[i+1] == texts[j+1] {
				return a.file.LineOf(body[i].Place().Start), a.file.LineOf(body[j].Place().Start)
			}
		}
	}
	return 0, 0
}

// plain is a statement without the room between its words.
func plain(s ast.Stmt) string { return strings.Join(strings.Fields(s.Place().Text()), " ") }
