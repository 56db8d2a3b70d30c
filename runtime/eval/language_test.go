package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Each program says what follows it.
var sayings = []struct{ name, program, want string }{
	// Numbers.
	{"numbers print with at most 4 decimals", `say 1 / 3; say 2; say 2.50; say -0.00001; say 1234567.891; say 1e20; say 100`, "0.3333\n2\n2.5\n0\n1234567.891\n1e20\n100"},
	{"units become millimetres and degrees", `say 2cm; say 1in; say 1rad; say 3mm; say 90deg`, "20\n25.4\n57.2958\n3\n90"},
	{"precedence", `say -2^2; say 2^3^2; say 2 + 3 * 4; say (2 + 3) * 4; say 10 - 4 - 3; say 12 / 3 / 2; say -3 - -4`, "-4\n512\n14\n20\n3\n2\n1"},
	{"there is no negative zero", `let x = 0
say -x
say 0 * -1 == 0
let p = (0, 0)
say -p`, "0\ntrue\n(0, 0)"},
	{"equality is exact", `say 0.1 + 0.2 == 0.3; say near(0.1 + 0.2, 0.3); say 1 == 1; say "a" != "b"; say (1, 2) == (1, 2); say [1, [2]] == [1, [2]]`, "false\ntrue\ntrue\ntrue\ntrue\ntrue"},
	{"comparisons can be chained", `let x = 5
say 0 < x < 10
say 0 < x < 5
say 0 < x <= 5
say 10 > x > 1
say 1 < 2 < 3 < 4
let ys = [1, 2, 3]
say ys[1] < ys[2] < ys[3]`, "true\nfalse\ntrue\ntrue\ntrue\ntrue"},
	{"and and or look at the right only if needed", `let xs = []
say xs.length == 0 or xs[1] > 3
say xs.length > 0 and xs[1] > 3
say not (true and false)`, "true\nfalse\ntrue"},
	{"conditions can be kept", `let a = 3 > 2
let b = not a
if a and not b { say "yes" }
let c = a == b
say c`, "yes\nfalse"},
	{"else if", `loop i in 1..3 { if i == 1 { say "one" } else if i == 2 { say "two" } else { say "more" } }`, "one\ntwo\nmore"},

	// Texts.
	{"text holds values", `let n = 3
say "n: {n}, {n * 2}; {(1, 2)} {[1, "a"]} {true}"`, `n: 3, 6; (1, 2) [1, "a"] true`},
	{"text counts characters", `let flag = "né👩‍🌾x"
say flag.length
say flag[2]
say flag[3]
say flag[-1]
say flag[2..3]
loop c in flag { say c }`, "4\né\n👩‍🌾\nx\né👩‍🌾\nn\né\n👩‍🌾\nx"},
	{"text is compared after normalisation", `say "e\u{301}" == "é"; say "e\u{301}".length; say ("e" + "\u{301}").length; say "a" < "b"`, "true\n1\n1\ntrue"},
	{"text joins text", `let s = "ab" + "cd"
say s + "!"
say s[2..-1]`, "abcd!\nbcd"},
	{"long texts with many values", `let a = 1
say "{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}"`, "111111111111111111111111111111111111"},

	// Points.
	{"points", `let p = (1, 2)
let q = (3, 5)
say p + q
say q - p
say p * 2
say 2 * p
say q / 2
say -p
say p.x
say q.y
p = (p.y, p.x)
say p
p = p * p.x
say p
p = q - p
say p`, "(4, 7)\n(2, 3)\n(2, 4)\n(2, 4)\n(1.5, 2.5)\n(-1, -2)\n1\n5\n(2, 1)\n(4, 2)\n(-1, 3)"},
	{"points whose kind is known only while running", `let xs = [(1, 2), 3, (4, 6)]
say xs[1] + xs[3]
say xs[3] - xs[1]
say xs[1] * xs[2]
say xs[2] * xs[1]
say xs[3] / 2
say -xs[1]
say xs[1].x`, "(5, 8)\n(3, 4)\n(3, 6)\n(3, 6)\n(2, 3)\n(-1, -2)\n1"},

	// Lists.
	{"lists are values", `let xs = [1, 2, 3]
let ys = xs
ys[1] = 10
say xs
say ys
xs[2] = 20
say xs
say ys`, "[1, 2, 3]\n[10, 2, 3]\n[1, 20, 3]\n[10, 2, 3]"},
	{"lists in lists are values", `let a = [[1, 2], [3, 4]]
let b = a
b[1][2] = 9
say a
say b
let row = a[2]
row[1] = 7
say a
say row
a[2][2] = 8
say a
say row`, "[[1, 2], [3, 4]]\n[[1, 9], [3, 4]]\n[[1, 2], [3, 4]]\n[7, 4]\n[[1, 2], [3, 8]]\n[7, 4]"},
	{"a list in a list of the library is a value", `let a = [[1], [2]]
let b = reverse(a)
b[1][1] = 5
say a
say b
a[1][1] = 6
say a
say b
let c = map(a, fn(x) = x)
c[1][1] = 7
say a
let d = [a, a]
d[1][1][1] = 0
say d`, "[[1], [2]]\n[[5], [1]]\n[[6], [2]]\n[[5], [1]]\n[[6], [2]]\n[[[0], [2]], [[6], [2]]]"},
	{"a list that is handed to a function is a value", `fn changed(xs) {
  xs[1] = 100
  return xs
}
let xs = [1, 2]
let ys = changed(xs)
say xs
say ys
ys[2] = 5
xs[2] = 6
say xs
say ys
fn build(n) {
  let out = []
  loop i in 1..n { out = out + [i] }
  return out
}
let zs = build(3)
zs[1] = 9
say zs
say build(3)`, "[1, 2]\n[100, 2]\n[1, 6]\n[100, 5]\n[9, 2, 3]\n[1, 2, 3]"},
	{"lists grow", `let xs = []
loop i in 1..5 { xs = xs + [i * i] }
say xs
let ys = xs
xs = xs + [0]
ys = ys + [7]
say xs
say ys
say xs + ys
xs = xs + xs
say xs`, "[1, 4, 9, 16, 25]\n[1, 4, 9, 16, 25, 0]\n[1, 4, 9, 16, 25, 7]\n[1, 4, 9, 16, 25, 0, 1, 4, 9, 16, 25, 7]\n[1, 4, 9, 16, 25, 0, 1, 4, 9, 16, 25, 0]"},
	{"lists that grow from one beginning stay apart", `let base = [1] + [2]
let a = base + [3]
let b = base + [4]
let c = a + [5]
a[1] = 0
c[2] = 9
say base
say a
say b
say c`, "[1, 2]\n[0, 2, 3]\n[1, 2, 4]\n[1, 9, 3, 5]"},
	{"fold grows a list", `say fold(1..5, [], fn(all, x) = all + [x * 2])`, "[2, 4, 6, 8, 10]"},
	{"places and parts", `let xs = [10, 20, 30, 40]
say xs[1]
say xs[-1]
say xs[2..3]
say xs[2..-1]
say xs[-2..-1]
say xs[3..2]
say xs[1..0]
say xs[[4, 1]]
say xs[4..1 by -1]
say xs.length
let one = [5]
say one[2..-1]
let none = []
say none[1..-1]`, "10\n40\n[20, 30]\n[20, 30, 40]\n[30, 40]\n[]\n[]\n[40, 10]\n[40, 30, 20, 10]\n4\n[]\n[]"},
	{"items of any kind", `let xs = [1, "two", (3, 4), [5], true]
loop x in xs { say x }
xs[2] = 2
say xs[1] + xs[2]`, "1\ntwo\n(3, 4)\n[5]\ntrue\n3"},
	{"a long list", `let xs = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20]
say sum(xs)
say xs[17]`, "210\n17"},
	{"a loop goes over the list as it was", `let xs = [1, 2, 3]
loop x in xs {
  xs[3] = 10
  xs = xs + [x]
}
say xs`, "[1, 2, 10, 1, 2, 3]"},

	// Ranges and loops.
	{"ranges", `say 1..4; say 0..1 by 0.25; say 5..1; say 5..1 by -2; say 1..4.5; say 0..0; say 0..1 by 0.1`,
		"[1, 2, 3, 4]\n[0, 0.25, 0.5, 0.75, 1]\n[]\n[5, 3, 1]\n[1, 2, 3, 4]\n[0]\n[0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1]"},
	{"ranges do not pile up rounding", `let last = 0
loop x in 0..1000 by 0.1 { last = x }
say last == 1000
let n = 0
loop x in 0..1 by 1 / 49 { n = n + 1 }
say n`, "true\n50"},
	{"loops", `let n = 0
loop 3 { n = n + 1 }
say n
loop 0 { n = 100 }
loop i in 3..1 { n = 100 }
loop i in 3..1 by -1 { n = n * 10 + i }
say n
loop while n > 10 { n = n / 10 }
say round(n)`, "3\n3321\n3"},
	{"loop counts that are whole but for rounding", `let n = 0
loop 0.1 * 3 * 10 { n = n + 1 }
say n`, "3"},
	{"break and continue", `let out = []
loop i in 1..10 {
  if i == 3 { continue }
  if i == 6 { break }
  loop j in 1..3 { if j == 2 { break }; out = out + [i * 10 + j] }
}
say out
let n = 0
loop while true { n = n + 1; if n == 4 { break } else { continue } }
say n
loop 5 { n = n + 1; if n == 6 { break } }
say n
let vowels = ""
loop c in "wending" { if not contains("aeiou", c) { continue }; vowels = vowels + c }
say vowels`, "[11, 21, 41, 51]\n4\n6\nei"},
	{"the variable of a loop is fresh each time", `let fs = []
loop i in 1..3 { fs = fs + [fn() = i] }
loop f in fs { say f() }`, "1\n2\n3"},

	// Functions.
	{"functions", `fn area(r) = r * r
fn sign2(x) { if x < 0 { return -1 } else { return 1 } }
say area(3)
say sign2(-4)
say 3.area()
fn fact(n) { if n <= 1 { return 1 }; return n * fact(n - 1) }
say fact(10)`, "9\n-1\n9\n3628800"},
	{"functions give values of every kind", `fn flip(p) = (p.y, p.x)
fn both(a, b) = a and b
fn greet(name) = "hello {name}"
fn pair(x) = [x, x]
say flip((1, 2))
say both(true, false)
say greet("fern")
say pair(2)
let p = flip((3, 4)) + (1, 1)
say p`, "(2, 1)\nfalse\nhello fern\n[2, 2]\n(5, 4)"},
	{"defaults are worked out at the call, in the scope of the definition", `let k = 2
fn times(x, factor = k + 1) = x * factor
say times(10)
k = 5
say times(10)
say times(10, 1)
say times(10, factor: 2)
fn place(p = (1, 2), q = [1], yes = true, word = "w") = "{p} {q} {yes} {word}"
say place()
say place(yes: false)`, "30\n60\n10\n20\n(1, 2) [1] true w\n(1, 2) [1] false w"},
	{"fn values copy what they read when they are made", `let k = 2
let f = fn(x) = x * k
k = 10
say f(3)
fn g(x) = x * k
say g(3)
let xs = [1, 2]
let h = fn() = xs
xs[1] = 9
say h()
say xs`, "6\n30\n[1, 2]\n[9, 2]"},
	{"fn values in fn values", `let add = fn(a) = fn(b) = a + b
let add3 = add(3)
say add3(4)
say add(1)(2)
let k = 1
let outer = fn() { let inner = fn(y) = y + k; return inner }
say outer()(5)`, "7\n3\n6"},
	{"fn values with defaults", `let d = 4
let f = fn(x, y = d + 1) = x * y
d = 100
say f(2)
say f(2, 3)`, "10\n6"},
	{"functions as values", `fn twice(x) = x * 2
say map([1, 2, 3], twice)
say map([0, 90], sin)
say keep([1, 2, 3, 4], fn(x) = mod(x, 2) == 0)
let f = twice
say f(21)
say f == twice
let g = max
say g(3, 8)
say sort([3, 1, 2], fn(x) = -x)`, "[2, 4, 6]\n[0, 1]\n[2, 4]\n42\ntrue\n8\n[3, 2, 1]"},
	{"variables that a function reads at file scope", `let n = 1
let p = (1, 2)
let s = "a"
let b = true
fn show() = "{n} {p} {s} {b} {p.x}"
say show()
n = 2
p = (5, 6)
s = "b"
b = false
say show()`, "1 (1, 2) a true 1\n2 (5, 6) b false 5"},
	{"functions that call each other in any order", `say even(10)
fn even(n) { if n == 0 { return true }; return odd(n - 1) }
fn odd(n) { if n == 0 { return false }; return even(n - 1) }`, "true"},
	{"scope is the block", `let x = 1
loop 2 { let y = x * 10; x = y }
if true { let y = 5; say y }
say x`, "5\n100"},

	// Paths.
	{"figures are paths", `figure side(d) { ahead d; turn 90 }
let p = side(10)
say p
say p.length
say p.start
say p.end
say p.closed
say p.bounds
let square = path { loop 4 { side 5 } }
say square.closed
say square.length
say square.bounds.width
figure nothing() { turn 10 }
say nothing()`, "path of 2 points, 10 mm\n10\n(0, 0)\n(10, 0)\nfalse\nbox from (0, 0) to (10, 0)\ntrue\n20\n5\npath of 1 point, 0 mm"},
	{"path bodies read variables outside", `let d = 7
figure spine(n) {
  let half = n / 2
  let p = path { ahead half; turn 90; ahead d; let q = path { ahead half + d }; draw q }
  say p.length
  draw p
}
spine 4`, "18"},
	{"return leaves a figure and a path", `figure f(n) { ahead 1; if n == 0 { return }; ahead 10 }
say f(0).length
say f(1).length
say path { ahead 3; return; ahead 4 }.length`, "1\n11\n3"},
	{"here and heading are those of the frame", `ahead 10
turn 90
figure f() { say "{here} {heading}"; ahead 5; turn -30; say "{here} {heading}" }
f
say here
say heading`, "(0, 0) 0\n(5, 0) 330\n(10, 5)\n60"},
	{"heading stays within a turn", `turn 350; turn 20; say heading; face -90; say heading; turn -360; say heading; face 720; say heading`, "10\n270\n270\n0"},
	{"the page", `say page.width; say page.height; say page.center; say page`, "200\n150\n(100, 75)\nbox from (0, 0) to (200, 150)"},
	{"a call whose value is a path draws it", `fn spoke(d) = path { ahead d; turn 90 }
spoke(10)
say here
say heading
let f = fn(d) = path { ahead d }
f 5
say here`, "(10, 0)\n90\n(10, 5)"},
	{"words of the library hidden by the program", `let sum = 3
say sum
fn area(r) = pi * r
say area(1)`, "3\n3.1416"},
	{"chance follows the seed", `seed 5
let a = random(0, 1)
seed 5
say a == random(0, 1)
say random(0, 1) == a`, "true\nfalse"},
	{"themes of the library", `say curves.rose(5, 30).closed`, "true"},
}

func TestProgramsSayWhatTheLanguageSays(t *testing.T) {
	for _, test := range sayings {
		t.Run(test.name, func(t *testing.T) {
			require.Equal(t, test.want, said(run(t, test.program)))
		})
	}
}
