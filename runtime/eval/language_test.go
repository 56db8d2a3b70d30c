package eval_test

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Each program says what follows it.
var sayings = []struct{ name, program, want string }{
	// Numbers.
	{"numbers print with at most 4 decimals", `note 1 / 3; note 2; note 2.50; note -0.00001; note 1234567.891; note 1e20; note 100`, "0.3333\n2\n2.5\n0\n1234567.891\n1e20\n100"},
	// An inch is 25.4 mm: the international inch (NIST SP 811, 2008, appendix B.6).
	{"units become millimetres and degrees", `note 2cm; note 1in; note 1rad; note 3mm; note 90deg`, "20\n25.4\n57.2958\n3\n90"},
	{"precedence", `note -2^2; note 2^3^2; note 2 + 3 * 4; note (2 + 3) * 4; note 10 - 4 - 3; note 12 / 3 / 2; note -3 - -4`, "-4\n512\n14\n20\n3\n2\n1"},
	{"there is no negative zero", `let x = 0
note -x
note 0 * -1 == 0
let p = (0, 0)
note -p`, "0\ntrue\n(0, 0)"},
	{"equality is exact", `note 0.1 + 0.2 == 0.3; note near(0.1 + 0.2, 0.3); note 1 == 1; note "a" != "b"; note (1, 2) == (1, 2); note [1, [2]] == [1, [2]]`, "false\ntrue\ntrue\ntrue\ntrue\ntrue"},
	{"comparisons can be chained", `let x = 5
note 0 < x < 10
note 0 < x < 5
note 0 < x <= 5
note 10 > x > 1
note 1 < 2 < 3 < 4
let ys = [1, 2, 3]
note ys[1] < ys[2] < ys[3]`, "true\nfalse\ntrue\ntrue\ntrue\ntrue"},
	{"and and or look at the right only if needed", `let xs = []
note xs.length == 0 or xs[1] > 3
note xs.length > 0 and xs[1] > 3
note not (true and false)`, "true\nfalse\ntrue"},
	{"conditions can be kept", `let a = 3 > 2
let b = not a
if a and not b { note "yes" }
let c = a == b
note c`, "yes\nfalse"},
	{"else if", `loop i in 1..3 { if i == 1 { note "one" } else if i == 2 { note "two" } else { note "more" } }`, "one\ntwo\nmore"},

	// Texts.
	{"text holds values", `let n = 3
note "n: {n}, {n * 2}; {(1, 2)} {[1, "a"]} {true}"`, `n: 3, 6; (1, 2) [1, "a"] true`},
	{"text counts characters", `let flag = "né👩‍🌾x"
note flag.length
note flag[2]
note flag[3]
note flag[-1]
note flag[2..3]
loop c in flag { note c }`, "4\né\n👩‍🌾\nx\né👩‍🌾\nn\né\n👩‍🌾\nx"},
	{"text is compared after normalisation", `note "e\u{301}" == "é"; note "e\u{301}".length; note ("e" + "\u{301}").length; note "a" < "b"`, "true\n1\n1\ntrue"},
	{"text joins text", `let s = "ab" + "cd"
note s + "!"
note s[2..-1]`, "abcd!\nbcd"},
	{"long texts with many values", `let a = 1
note "{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}{a}"`, "111111111111111111111111111111111111"},

	// Records.
	{"records hold values by name", `let tree = {name: "oak", height: 12, "height (m)": (1, 2), if: [1, {a: "x\ny"}]}
note tree
note tree.name + tree["name"]
note tree.if[2].a.length
let column = "height"
note tree[column] + 1
note names(tree)
note has(tree, column)
note has(tree, "width")`, `{name: "oak", height: 12, "height (m)": (1, 2), if: [1, {a: "x\ny"}]}
oakoak
3
13
["name", "height", "height (m)", "if"]
true
false`},
	{"records are equal by their fields in any order", `note {a: 1, b: 2} == {b: 2, a: 1}; note {a: 1} == {a: 1, b: 2}; note {a: 1} != {b: 1}; note {a: [1]} == {a: [1]}`, "true\nfalse\ntrue\ntrue"},
	{"copies of records are copies", `let trees = [{h: 1}, {h: 2}]
let t = trees[2]
t.h = 9
let again = trees
again[1].h += 4
loop i, u in trees { trees[i].h *= 10; note u.h }
fn taller(u) { u.h += 100; return u }
note taller(t)
note t
note trees
note again`, "1\n2\n{h: 109}\n{h: 9}\n[{h: 10}, {h: 20}]\n[{h: 5}, {h: 2}]"},
	{"what is deep in a record changes in one holder alone", `let a = {items: [[1, 2], [3]], tag: {n: 1}}
let b = a
a.items[1][2] += 5
a.items[2] += [4, 5]
a.tag.n -= 3
a["tag"].n *= 10
let inner = a.items
inner[1] = 0
note a
note b
note inner`, "{items: [[1, 7], [3, 4, 5]], tag: {n: -20}}\n{items: [[1, 2], [3]], tag: {n: 1}}\n[0, [3, 4, 5]]"},
	{"functions in fields", `let r = {twice: fn(x) = 2 * x}
note (r.twice)(4)
note r.twice == r.twice`, "8\ntrue"},
	{"fields of several kinds", `let all = [{v: 1}, {v: "a"}, {v: (1, 2)}, {v: [3]}, {v: true}]
loop r in all { note "{r.v}" }
fn value(r) = r.v
note value(all[1]) + 1
note value(all[3]).x`, "1\na\n(1, 2)\n[3]\ntrue\n2\n1"},
	{"more than a few fields", `let r = {a: 1, b: 2, c: 3, d: 4, e: 5, f: 6, g: 7, h: 8, i: 9, j: 10}
r.j += r.a
r["c"] = r.j
note r
note r == {j: 11, i: 9, h: 8, g: 7, f: 6, e: 5, d: 4, c: 11, b: 2, a: 1}`, "{a: 1, b: 2, c: 11, d: 4, e: 5, f: 6, g: 7, h: 8, i: 9, j: 11}\ntrue"},

	// Choices.
	{"a choice is a value", `let a = 3
note if a > 2 { 20 } else { 10 } + 3
fn size(x) = if x > 2 { "big" } else if x > 1 { "mid" } else { "small" }
loop i in 1..3 { note size(i) }
note [if a == 3 { (1, 2) } else { (3, 4) }, max(if a > 5 { 7 } else { 8 }, 3)]
note "{if a == 3 { "yes" } else { "no" }}"
let q = (1, 2)
q = if a > 1 { (q.y, q.x) } else { q }
note q
let xs = [1]
let ys = if a == 3 { xs } else { [] }
ys += [2]
note xs
let n = if a == 3 { 1 } else { "one" }
note n + 1
if (if a == 3 { true } else { false }) { note "both" }
loop if a == 3 { 2 } else { 1 } { note "twice" }`, "23\nsmall\nmid\nbig\n[(1, 2), 8]\nyes\n(2, 1)\n[1]\n2\nboth\ntwice\ntwice"},
	{"only the chosen branch runs", `let x = 0
note if x == 0 { 0 } else { 1 / x }
fn down(n) = if n == 0 { 0 } else { 1 + down(n - 1) }
note down(50)`, "0\n50"},

	// Changes in place.
	{"variables and items change in place", `let x = 3
x += 2
x *= 4
x -= 1
x /= 2
note x
let p = (1, 2)
p += (1, 1)
p *= 3
note p
let word = "a"
word += "b"
note word
let xs = [1, [2, 3]]
xs[-1][1] += 10
xs[1] -= 5
note xs
let grid = [[1, 2], [3, 4]]
let row = grid[1]
grid[1][2] *= 7
note grid
note row`, "9.5\n(6, 9)\nab\n[-4, [12, 3]]\n[[1, 14], [3, 4]]\n[1, 2]"},
	{"a loop runs over its list as it was", `let xs = [1, 2]
loop x in xs { xs += [x * 10] }
loop i, x in xs { xs[i] = i }
note xs`, "[1, 2, 3, 4]"},
	{"index and item", `loop i, x in [5, 7] { note "{i}: {x}" }
loop i, x in 0..1 by 0.5 { note "{i}: {x}" }
loop i, c in "né" { note "{i}: {c}" }
loop i, p in [(1, 2), (3, 4)] { note p * i }
loop i, x in [] { note i }`, "1: 5\n2: 7\n1: 0\n2: 0.5\n3: 1\n1: n\n2: é\n(1, 2)\n(6, 8)"},
	{"the page is read in functions", `fn half() = page.width / 2
fn middle() = page.center
let top = fn() = page.top
figure f() { note half(); note middle() }
f
note top() == page.height`, "100\n(100, 75)\ntrue"},

	// Points.
	{"points", `let p = (1, 2)
let q = (3, 5)
note p + q
note q - p
note p * 2
note 2 * p
note q / 2
note -p
note p.x
note q.y
p = (p.y, p.x)
note p
p = p * p.x
note p
p = q - p
note p`, "(4, 7)\n(2, 3)\n(2, 4)\n(2, 4)\n(1.5, 2.5)\n(-1, -2)\n1\n5\n(2, 1)\n(4, 2)\n(-1, 3)"},
	{"points whose kind is known only while running", `let xs = [(1, 2), 3, (4, 6)]
note xs[1] + xs[3]
note xs[3] - xs[1]
note xs[1] * xs[2]
note xs[2] * xs[1]
note xs[3] / 2
note -xs[1]
note xs[1].x`, "(5, 8)\n(3, 4)\n(3, 6)\n(3, 6)\n(2, 3)\n(-1, -2)\n1"},

	// Lists.
	{"lists are values", `let xs = [1, 2, 3]
let ys = xs
ys[1] = 10
note xs
note ys
xs[2] = 20
note xs
note ys`, "[1, 2, 3]\n[10, 2, 3]\n[1, 20, 3]\n[10, 2, 3]"},
	{"lists in lists are values", `let a = [[1, 2], [3, 4]]
let b = a
b[1][2] = 9
note a
note b
let row = a[2]
row[1] = 7
note a
note row
a[2][2] = 8
note a
note row`, "[[1, 2], [3, 4]]\n[[1, 9], [3, 4]]\n[[1, 2], [3, 4]]\n[7, 4]\n[[1, 2], [3, 8]]\n[7, 4]"},
	{"a list in a list of the library is a value", `let a = [[1], [2]]
let b = reverse(a)
b[1][1] = 5
note a
note b
a[1][1] = 6
note a
note b
let c = map(a, fn(x) = x)
c[1][1] = 7
note a
let d = [a, a]
d[1][1][1] = 0
note d`, "[[1], [2]]\n[[5], [1]]\n[[6], [2]]\n[[5], [1]]\n[[6], [2]]\n[[[0], [2]], [[6], [2]]]"},
	{"a list that is handed to a function is a value", `fn changed(xs) {
  xs[1] = 100
  return xs
}
let xs = [1, 2]
let ys = changed(xs)
note xs
note ys
ys[2] = 5
xs[2] = 6
note xs
note ys
fn build(n) {
  let out = []
  loop i in 1..n { out = out + [i] }
  return out
}
let zs = build(3)
zs[1] = 9
note zs
note build(3)`, "[1, 2]\n[100, 2]\n[1, 6]\n[100, 5]\n[9, 2, 3]\n[1, 2, 3]"},
	{"lists grow", `let xs = []
loop i in 1..5 { xs = xs + [i * i] }
note xs
let ys = xs
xs = xs + [0]
ys = ys + [7]
note xs
note ys
note xs + ys
xs = xs + xs
note xs`, "[1, 4, 9, 16, 25]\n[1, 4, 9, 16, 25, 0]\n[1, 4, 9, 16, 25, 7]\n[1, 4, 9, 16, 25, 0, 1, 4, 9, 16, 25, 7]\n[1, 4, 9, 16, 25, 0, 1, 4, 9, 16, 25, 0]"},
	{"lists that grow from one beginning stay apart", `let base = [1] + [2]
let a = base + [3]
let b = base + [4]
let c = a + [5]
a[1] = 0
c[2] = 9
note base
note a
note b
note c`, "[1, 2]\n[0, 2, 3]\n[1, 2, 4]\n[1, 9, 3, 5]"},
	{"fold grows a list", `note fold(1..5, [], fn(all, x) = all + [x * 2])`, "[2, 4, 6, 8, 10]"},
	{"places and parts", `let xs = [10, 20, 30, 40]
note xs[1]
note xs[-1]
note xs[2..3]
note xs[2..-1]
note xs[-2..-1]
note xs[3..2]
note xs[1..0]
note xs[[4, 1]]
note xs[4..1 by -1]
note xs.length
let one = [5]
note one[2..-1]
let none = []
note none[1..-1]`, "10\n40\n[20, 30]\n[20, 30, 40]\n[30, 40]\n[]\n[]\n[40, 10]\n[40, 30, 20, 10]\n4\n[]\n[]"},
	{"items of any kind", `let xs = [1, "two", (3, 4), [5], true]
loop x in xs { note x }
xs[2] = 2
note xs[1] + xs[2]`, "1\ntwo\n(3, 4)\n[5]\ntrue\n3"},
	{"a long list", `let xs = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20]
note sum(xs)
note xs[17]`, "210\n17"},
	{"a loop goes over the list as it was", `let xs = [1, 2, 3]
loop x in xs {
  xs[3] = 10
  xs = xs + [x]
}
note xs`, "[1, 2, 10, 1, 2, 3]"},

	// Ranges and loops.
	{"ranges", `note 1..4; note 0..1 by 0.25; note 5..1; note 5..1 by -2; note 1..4.5; note 0..0; note 0..1 by 0.1`,
		"[1, 2, 3, 4]\n[0, 0.25, 0.5, 0.75, 1]\n[]\n[5, 3, 1]\n[1, 2, 3, 4]\n[0]\n[0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1]"},
	{"ranges do not pile up rounding", `let last = 0
loop x in 0..1000 by 0.1 { last = x }
note last == 1000
let n = 0
loop x in 0..1 by 1 / 49 { n = n + 1 }
note n`, "true\n50"},
	{"loops", `let n = 0
loop 3 { n = n + 1 }
note n
loop 0 { n = 100 }
loop i in 3..1 { n = 100 }
loop i in 3..1 by -1 { n = n * 10 + i }
note n
loop while n > 10 { n = n / 10 }
note round(n)`, "3\n3321\n3"},
	{"loop counts that are whole but for rounding", `let n = 0
loop 0.1 * 3 * 10 { n = n + 1 }
note n`, "3"},
	{"break and continue", `let out = []
loop i in 1..10 {
  if i == 3 { continue }
  if i == 6 { break }
  loop j in 1..3 { if j == 2 { break }; out = out + [i * 10 + j] }
}
note out
let n = 0
loop while true { n = n + 1; if n == 4 { break } else { continue } }
note n
loop 5 { n = n + 1; if n == 6 { break } }
note n
let vowels = ""
loop c in "wending" { if not contains("aeiou", c) { continue }; vowels = vowels + c }
note vowels`, "[11, 21, 41, 51]\n4\n6\nei"},
	{"the variable of a loop is fresh each time", `let fs = []
loop i in 1..3 { fs = fs + [fn() = i] }
loop f in fs { note f() }`, "1\n2\n3"},

	// Functions.
	{"functions", `fn area(r) = r * r
fn sign2(x) { if x < 0 { return -1 } else { return 1 } }
note area(3)
note sign2(-4)
note 3.area()
fn fact(n) { if n <= 1 { return 1 }; return n * fact(n - 1) }
note fact(10)`, "9\n-1\n9\n3628800"},
	{"functions give values of every kind", `fn flip(p) = (p.y, p.x)
fn both(a, b) = a and b
fn greet(name) = "hello {name}"
fn pair(x) = [x, x]
note flip((1, 2))
note both(true, false)
note greet("fern")
note pair(2)
let p = flip((3, 4)) + (1, 1)
note p`, "(2, 1)\nfalse\nhello fern\n[2, 2]\n(5, 4)"},
	{"defaults are worked out at the call, in the scope of the definition", `let k = 2
fn times(x, factor = k + 1) = x * factor
note times(10)
k = 5
note times(10)
note times(10, 1)
note times(10, factor: 2)
fn place(p = (1, 2), q = [1], yes = true, word = "w") = "{p} {q} {yes} {word}"
note place()
note place(yes: false)`, "30\n60\n10\n20\n(1, 2) [1] true w\n(1, 2) [1] false w"},
	{"fn values copy what they read when they are made", `let k = 2
let f = fn(x) = x * k
k = 10
note f(3)
fn g(x) = x * k
note g(3)
let xs = [1, 2]
let h = fn() = xs
xs[1] = 9
note h()
note xs`, "6\n30\n[1, 2]\n[9, 2]"},
	{"fn values in fn values", `let add = fn(a) = fn(b) = a + b
let add3 = add(3)
note add3(4)
note add(1)(2)
let k = 1
let outer = fn() { let inner = fn(y) = y + k; return inner }
note outer()(5)`, "7\n3\n6"},
	{"fn values with defaults", `let d = 4
let f = fn(x, y = d + 1) = x * y
d = 100
note f(2)
note f(2, 3)`, "10\n6"},
	{"functions as values", `fn twice(x) = x * 2
note map([1, 2, 3], twice)
note map([0, 90], sin)
note keep([1, 2, 3, 4], fn(x) = mod(x, 2) == 0)
let f = twice
note f(21)
note f == twice
let g = max
note g(3, 8)
note sort([3, 1, 2], fn(x) = -x)`, "[2, 4, 6]\n[0, 1]\n[2, 4]\n42\ntrue\n8\n[3, 2, 1]"},
	{"variables that a function reads at file scope", `let n = 1
let p = (1, 2)
let s = "a"
let b = true
fn show() = "{n} {p} {s} {b} {p.x}"
note show()
n = 2
p = (5, 6)
s = "b"
b = false
note show()`, "1 (1, 2) a true 1\n2 (5, 6) b false 5"},
	{"functions that call each other in any order", `note even(10)
fn even(n) { if n == 0 { return true }; return odd(n - 1) }
fn odd(n) { if n == 0 { return false }; return even(n - 1) }`, "true"},
	{"scope is the block", `let x = 1
loop 2 { let y = x * 10; x = y }
if true { let y = 5; note y }
note x`, "5\n100"},

	// Paths.
	{"figures are paths", `figure side(d) { ahead d; turn 90 }
let p = side(10)
note p
note p.length
note p.start
note p.end
note p.closed
note p.bounds
let square = path { loop 4 { side 5 } }
note square.closed
note square.length
note square.bounds.width
figure nothing() { turn 10 }
note nothing()`, "path of 2 points, 10 mm\n10\n(0, 0)\n(10, 0)\nfalse\nbox from (0, 0) to (10, 0)\ntrue\n20\n5\npath of 1 point, 0 mm"},
	{"path bodies read variables outside", `let d = 7
figure spine(n) {
  let half = n / 2
  let p = path { ahead half; turn 90; ahead d; let q = path { ahead half + d }; draw q }
  note p.length
  draw p
}
spine 4`, "18"},
	{"return leaves a figure and a path", `figure f(n) { ahead 1; if n == 0 { return }; ahead 10 }
note f(0).length
note f(1).length
note path { ahead 3; return; ahead 4 }.length`, "1\n11\n3"},
	{"here and heading are those of the frame", `ahead 10
turn 90
figure f() { note "{here} {heading}"; ahead 5; turn -30; note "{here} {heading}" }
f
note here
note heading`, "(0, 0) 0\n(5, 0) 330\n(10, 5)\n60"},
	{"heading stays within a turn", `turn 350; turn 20; note heading; face -90; note heading; turn -360; note heading; face 720; note heading`, "10\n270\n270\n0"},
	{"the page", `note page.width; note page.height; note page.center; note page`, "200\n150\n(100, 75)\nbox from (0, 0) to (200, 150)"},
	{"a call whose value is a path draws it", `fn spoke(d) = path { ahead d; turn 90 }
spoke(10)
note here
note heading
let f = fn(d) = path { ahead d }
f 5
note here`, "(10, 0)\n90\n(10, 5)"},
	{"words of the library hidden by the program", `let sum = 3
note sum
fn area(r) = pi * r
note area(1)`, "3\n3.1416"},
	{"chance follows the seed", `seed 5
let a = random(0, 1)
seed 5
note a == random(0, 1)
note random(0, 1) == a`, "true\nfalse"},
	{"themes of the library", `note curves.rose(5, 30).closed`, "true"},
}

func TestProgramsSayWhatTheLanguageSays(t *testing.T) {
	for _, test := range sayings {
		t.Run(test.name, func(t *testing.T) {
			require.Equal(t, test.want, said(run(t, test.program)))
		})
	}
}
