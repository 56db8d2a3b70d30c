package stdlib

import "wend/lang/vocabulary"

// keyword is a word of the language itself.
type keyword struct {
	word    string
	forms   []string // the ways to write it
	doc     string
	example string // a whole program that a test runs
}

// keywordTheme holds all words that the language keeps for itself, in the order
// in which a newcomer meets them.
func keywordTheme() vocabulary.Theme {
	theme := vocabulary.Theme{Title: "The language", Intro: "Words that cannot be names: they say how statements and values are put together."}
	for _, k := range keywords() {
		theme.Words = append(theme.Words, vocabulary.Word{Name: k.word, Sort: vocabulary.Keyword, Forms: k.forms, Doc: k.doc, Example: k.example})
	}
	return theme
}

func keywords() []keyword {
	return []keyword{
		{"let", []string{"let NAME = VALUE"}, "Makes a variable. It lives to the end of its block; `NAME = VALUE` changes it.",
			"let side = 30\nloop 4 { ahead side; turn 90 }\nside = side / 2\nloop 4 { ahead side; turn 90 }\n"},
		{"loop", []string{"loop N { … }", "loop NAME in VALUES { … }", "loop COUNT, NAME in VALUES { … }", "loop while CONDITION { … }"},
			"Runs a block again and again: so many times, once for each number of a range, item of a list or character of a text, or as long as a condition holds. The loop variable is new in each pass; with two names, the first counts the passes from 1.",
			"begin page.center\nloop i in 1..12 {\n  ahead i * 5\n  turn 90\n}\n"},
		{"in", []string{"loop NAME in VALUES { … }", "curve NAME in A..B = POINT"}, "Names the variable of a loop or of a curve: it takes each value in turn.",
			"begin 10, 10\nloop p in [(60, 10), (60, 60), (10, 60)] { reach p }\n"},
		{"while", []string{"loop while CONDITION { … }"}, "Makes a loop run as long as a condition is true. The condition is looked at before each pass.",
			"begin 10, 10\nlet size = 40\nloop while size > 1 {\n  ahead size\n  turn 90\n  size = size * 0.9\n}\n"},
		{"by", []string{"loop NAME in A..B by STEP { … }"}, "Gives the step of a range. A negative step runs downward.",
			"begin 40, 40\nloop r in 20..5 by -5 { arc r, 180 }\n"},
		{"break", []string{"break"}, "Leaves the loop it stands in.",
			"begin 10, 10\nloop i in 1..100 {\n  if here.x > 100 { break }\n  shift 10, 5\n}\n"},
		{"continue", []string{"continue"}, "Goes on with the next pass of the loop it stands in.",
			"begin 10, 50\nloop i in 1..12 {\n  shift 8, 0\n  if mod(i, 3) > 0 { continue }\n  branch { shift 0, 20 }\n}\n"},
		{"if", []string{"if CONDITION { … } else if CONDITION { … } else { … }"}, "Runs a block only if a condition is true. Where a value stands, `if CONDITION { A } else { B }` chooses one of two. Conditions are yes-or-no values: comparisons, `and`, `or`, `not`.",
			"begin 10, 50\nface 90\nloop i in 1..10 {\n  if mod(i, 2) == 0 { arc 6, 180 } else { arc 6, -180 }\n}\n"},
		{"else", []string{"if CONDITION { … } else { … }"}, "Begins what runs when the condition of `if` is not true.",
			"begin 10, 50\nloop i in 1..10 {\n  if i < 6 { shift 10, 4 } else { shift 10, -4 }\n}\n"},
		{"and", []string{"A and B"}, "True if both sides are. The right side is looked at only if the left one is true.",
			"let x = 4\nnote x > 1 and x < 9   # true\n"},
		{"or", []string{"A or B"}, "True if one of the sides is. The right side is looked at only if the left one is false.",
			"let x = 12\nnote x < 1 or x > 9   # true\n"},
		{"not", []string{"not A"}, "True if A is false.", "let done = false\nnote not done   # true\n"},
		{"true", []string{"true"}, "The yes-or-no value that says yes.", "let big = true\nif big { ahead 90 }\n"},
		{"false", []string{"false"}, "The yes-or-no value that says no.", "let big = false\nif not big { ahead 20 }\n"},
		{"figure", []string{"figure NAME(PARAMETERS) { … }"},
			"Defines a drawing with its own frame: inside, (0, 0) is where it began and heading 0 the way it faced. As a statement it draws here; in an expression it is the path it draws.",
			"figure kite(size) {\n  turn 60\n  loop 2 { ahead size; turn -120; ahead size; turn -60 }\n}\n\nbegin page.center\nloop 6 { kite 22 }\n"},
		{"fn", []string{"fn NAME(PARAMETERS) = VALUE", "fn NAME(PARAMETERS) { … return VALUE }"},
			"Defines a function: it computes a value and cannot draw. `fn(x) = …` without a name is a value itself.",
			"fn half(x) = x / 2\nnote half(9)   # 4.5\nnote [1, 2, 3].map(fn(x) = x * x)   # [1, 4, 9]\n"},
		{"return", []string{"return VALUE", "return"}, "Leaves a function with its value, or a figure.",
			"figure spiral(size) {\n  if size < 3 { return }\n  ahead size\n  turn 74\n  spiral size * 0.93\n}\n\nbegin 45, 25\nspiral 50\n"},
		{"path", []string{"path { … }"}, "A drawing without a name, as a value: the line that the block draws, in a frame of its own.",
			"let step = path { ahead 12; turn 90; ahead 8; turn -90 }\nbegin 10, 10\nloop 6 { draw step }\n"},
		{"draw", []string{"draw PATH", "draw PATH at POINT"},
			"Draws a path. Without `at` it goes on from here, along the heading, which turns by what the path turned. With `at` the path's (0, 0) lies on the point and the path stands upright; the heading stays.",
			"begin 20, 50\nlet wave = curve t in 0..360 = (t / 9, 12 * sin(t))\ndraw wave\ndraw wave.scale(1, 2)\ndraw wave at (20, 50)\n"},
		{"at", []string{"draw PATH at POINT"}, "Says where the (0, 0) of a path lies.",
			"let dot = path { loop 4 { ahead 6; turn 90 } }\nloop i in 1..5 { draw dot at (i * 20, i * 12) }\n"},
		{"branch", []string{"branch { … }"},
			"Runs a block, then comes back over what it drew, with side trips cut out, and restores position and heading. It is what a pen would be lifted for.",
			"begin 70, 10\nface 90\nahead 40\nloop a in -60..60 by 20 {\n  branch { turn a; ahead 35 }\n}\n"},
		{"curve", []string{"curve NAME in A..B = POINT"},
			"A path by formula. It is sampled finely enough to lie within the drawing tolerance of the true curve.",
			"draw curve t in 0..360 = (60 * cos(3 * t), 45 * sin(4 * t)) at page.center\n"},
		{"use", []string{`use "FILE" as NAME`}, "Makes the functions, figures and variables of another file known, after the name and a dot. The file lies beside the program or below.",
			"use \"flowers.wend\" as flowers\nbegin 30, 20\nflowers.tulip 50\n"},
		{"as", []string{`use "FILE" as NAME`}, "Gives a used file the name by which its members are called.",
			"use \"flowers.wend\" as f\nbegin 30, 20\nf.tulip 50\n"},
	}
}
