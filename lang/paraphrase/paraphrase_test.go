package paraphrase_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/paraphrase"
)

// A few of wend's words are enough to read with.
func text(program string) string {
	heads := []string{"ahead", "turn", "arc", "reach", "begin", "note", "draw", "follow", "let", "fn", "figure", "loop", "if", "return", "break", "continue", "branch", "use"}
	functions := map[string]int{"map": 2, "keep": 2, "fold": 3, "sqrt": 1, "floor": 1, "mod": 2, "text": 1, "sum": 1, "contains": 2, "max": 2, "number": 1, "upper": 1, "sort": 1, "fill": 2}
	return paraphrase.Text(program, paraphrase.Vocabulary{
		Head:     func(w string) bool { return slices.Contains(heads, w) },
		Function: func(w string) bool { _, ok := functions[w]; return ok },
		Theme:    func(w string) bool { return w == "curves" },
		Takes:    func(w string) int { return functions[w] },
	})
}

func TestAProgramInAnotherMannerIsSaidInWend(t *testing.T) {
	for name, c := range map[string]struct{ in, out string }{
		"a block that is set in": {
			"for i in range(1, 5):\n    ahead i\n    if i == 2:\n        turn 9\n    elif i > 3:\n        turn 8\nahead 1",
			"loop i in 1..4 {\n    ahead i\n    if i == 2 {\n        turn 9\n    } else if i > 3 {\n        turn 8\n    }\n}\nahead 1",
		},
		"a block that ends with a word": {
			"FOR k = 3 TO 1 STEP -1\n  ahead k\nNEXT k\nWHILE a < 3\n  LET a = a + 1\nWEND",
			"loop k in 3..1 by -1 {\n  ahead k\n}\nloop while a < 3 {\n  let a = a + 1\n}",
		},
		"a loop that asks at its end": {
			"do {\n  ahead d\n} while (d < 40);",
			"loop while true {\n  ahead d\n  if not (d < 40) { break }\n}",
		},
		"a loop that counts": {
			"for (let i = 0; i < n; i += 2) { ahead(i); turn(9); }",
			"loop i in 0..n - 1 by 2 { ahead(i); turn(9) }",
		},
		"round brackets around everything": {
			"(define (double x) (* x 2))\n(repeat 4\n  (ahead (double 10))\n  (turn 90))",
			"fn double(x) = x * 2\nloop 4 {\n  ahead double(10)\n  turn 90\n}",
		},
		"functions as values":    {"let ys = xs.map(x => x * 2)\nlet f = function(a, b) { return a + b; }", "let ys = xs.map(fn(x) = x * 2)\nlet f = fn(a, b) = a + b"},
		"values side by side":    {"let f x y = x + y\nahead f 1 2\nlet s = map f [1; 2]", "fn f(x, y) = x + y\nahead f(1, 2)\nlet s = map([1, 2], f)"},
		"a choice as a value":    {"let a = 3 if b else 4\nlet c = d > 1 ? 2 : 3\nlet e = if d then 1 else 2", "let a = if b { 3 } else { 4 }\nlet c = if d > 1 { 2 } else { 3 }\nlet e = if d { 1 } else { 2 }"},
		"division":               {"let a = 7 // 2\nlet b = 7 % 2\nlet c = 7 MOD b\nahead 3 // an edge", "let a = floor(7 / 2)\nlet b = mod(7, 2)\nlet c = mod(7, b)\nahead 3 # an edge"},
		"places from 0":          {"let xs = [1, 2]\nahead xs[0]\nahead xs[1]\nlet p = (1, 2)\nreach p[0], p[1]", "let xs = [1, 2]\nahead xs[1]\nahead xs[2]\nlet p = (1, 2)\nreach p.x, p.y"},
		"several at once":        {"a, b = 1, 2\nlet (x, y) = p", "let a = 1; let b = 2\nlet x = p.x; let y = p.y"},
		"names with a hyphen":    {"let way-in = 2\nahead way-in", "let way_in = 2\nahead way_in"},
		"comments":               {"-- one\n' two\nREM three\n; four\nahead 1 ;; five", "# one\n# two\n# three\n# four\nahead 1 # five"},
		"numbers before lines":   {"10 ahead 2\n20 turn 9", "ahead 2\nturn 9"},
		"a choice among values":  {"switch (n) {\n  case 1: ahead 1; break;\n  default: ahead 2;\n}", "if n == 1 {\n  ahead 1\n} else {\n  ahead 2\n}"},
		"cases as a value":       {"let d = match n with\n  | 1 -> 2\n  | _ -> 3", "let d = if n == 1 { 2 } else { 3 }"},
		"conditions of a case":   {"sign x | x < 0 = 1 | otherwise = 2\nahead (sign 3)", "fn sign(x) = if x < 0 { 1 } else { 2 }\nahead sign(3)"},
		"a kind before its use":  {"double :: Int -> Int\ndouble x = x * 2\nahead double 3", "fn double(x) = x * 2\nahead double(3)"},
		"kinds with brackets":    {"List<int> xs = [1, 2];\nint[] ys = {1, 2};\nzs := []int{1, 2}", "let xs = [1, 2]\nlet ys = [1, 2]\nlet zs = [1, 2]"},
		"a chain of statements":  {"ahead(20).turn(90)\nahead(1) >> turn(2)", "ahead(20); turn(90)\nahead(1); turn(2)"},
		"a tool before a dot":    {"p = Pen()\np.ahead(20)\np.turn(9)", "ahead(20)\nturn(9)"},
		"a loop by a function":   {"[1, 2] |> List.iter (fun x -> ahead x)\n3.times do\n  turn 9\nend\n(1..3).each { |i| ahead i }", "loop x in [1, 2] { ahead x }\nloop 3 {\n  turn 9\n}\nloop i in 1..3 { ahead i }"},
		"how often, behind":      {"ahead 20 three times\nahead 20 repeat 4", "loop 3 { ahead 20 }\nloop 4 { ahead 20 }"},
		"where a program begins": {"def main():\n    ahead 20\nif __name__ == \"__main__\":\n    main()", "figure main() {\n    ahead 20\n}\nmain()"},
		"texts":                  {"print(\"n\", n)\nprint(f\"{n} mm\")\nnote `a ${n}`\nPRINT \"n = \" & n", "note \"n {n}\"\nnote \"{n} mm\"\nnote \"a {n}\"\nnote \"n = {n}\""},
	} {
		require.Equal(t, c.out+"\n", text(c.in), name)
	}
}

// What is wend already, and what nothing is known of, stays to the letter.
func TestWhatIsWendStaysAsItIs(t *testing.T) {
	for _, program := range []string{
		"# A pinwheel.\nfigure vane(size) {\n  ahead  size   # mm\n  arc size / sqrt(2), 90\n}\n\nbegin page.center\nloop 9 { vane 45; turn 360 / 9 }\n",
		"let trees = [{name: \"oak\", height: 12}]\nloop i, t in trees { note \"{i}: {t.name}\" }\n",
		"let c = curve t in 0..360 = (40 * cos(t), 30 * sin(t))\ndraw c at (30, 30)\n",
		"let f = fn(x) = x * 2\nlet g = if true { 1 } else { 2 }\nlet xs = map(1..4, f)\n",
		"wozzle the frobnitz\n",
	} {
		require.Equal(t, program, text(program))
	}
}
