package paraphrase

import (
	"fmt"
	"os"
	"testing"
)

func TestDebug(t *testing.T) {
	b, _ := os.ReadFile(os.Getenv("F"))
	heads := map[string]bool{}
	for _, h := range []string{"ahead", "turn", "face", "arc", "reach", "shift", "sneak", "begin", "note", "pause", "spline", "bezier", "erase", "seed", "follow", "draw", "let", "fn", "figure", "loop", "if", "return", "break", "continue", "branch", "use"} {
		heads[h] = true
	}
	fs := map[string]int{"map": 2, "keep": 2, "fold": 3, "sqrt": 1, "floor": 1, "mod": 2, "text": 1, "sum": 1, "contains": 2, "max": 2, "pi": 0, "number": 1, "upper": 1, "sort": 1, "reverse": 1, "random": 0, "choose": 1, "sin": 1, "cos": 1, "abs": 1, "rotate": 2, "scale": 2}
	fmt.Println(Text(string(b), Vocabulary{Head: func(w string) bool { return heads[w] }, Function: func(w string) bool { _, ok := fs[w]; return ok }, Theme: func(w string) bool { return w == "curves" }, Takes: func(w string) int { return fs[w] }}))
}
