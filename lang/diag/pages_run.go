package diag

// runPages are the codes about what happens while a program runs, and travel out of the area (raised by runtime/eval and runtime/bounds).
var runPages = []Page{
	// Kinds that are known only while the program runs.
	{
		Code:    "unknown-field",
		Message: "this record has no field `{name}`",
		Rule:    "A record has the fields it was made with. `has(r, \"name\")` asks for one, `names(r)` lists them.",
		Bad:     "let trees = [{name: \"oak\", height: 12}, {name: \"ash\"}]\nloop t in trees { note t.height }\n",
		Good:    "let trees = [{name: \"oak\", height: 12}, {name: \"ash\"}]\nloop t in trees {\n  if has(t, \"height\") { note t.height }\n}\n",
	},
	{
		Code:    "field-left-out",
		Message: "`{name}` is empty in line {line} of `{file}`",
		Hint:    "`has(r, \"{name}\")` asks whether it is there",
		Rule:    "What is empty in a file of data is left out of the record, so that nothing stands for a number that is not known.",
		Subject: Outside,
		Bad:     "`note r.height` for a row of a table whose cell in the column `height` is empty",
		Good:    "`if has(r, \"height\") { note r.height }`",
	},
	{
		Code: "value-kind", Message: "{what} has to be {wanted}, and here it is {found}",
		Rule: "What a list holds and what a function value is given is known only when the program runs, so its kind is looked at then. Nothing is converted by itself.",
		Bad:  "let sizes = [10, \"20\"]\nahead sizes[2]\n", Good: "let sizes = [10, 20]\nahead sizes[2]\n",
	},
	{
		Code: "argument-count", Message: "{function} takes {takes}, and here it is given {given}",
		Hint: "give as many values as it has parameters",
		Rule: "A function value is called with one value for each of its parameters; those with a default may be left out at the end.",
		Bad:  "let fs = [fn(x) = x * 2]\nlet f = fs[1]\nnote f(1, 2)\n", Good: "let fs = [fn(x) = x * 2]\nlet f = fs[1]\nnote f(1)\n",
	},
	{
		Code: "argument-left-out", Message: "{function} needs a value for `{parameter}`",
		Rule: "A parameter without a default has to be given a value.",
		Bad:  "let fs = [fn(x, y) = x * y]\nlet f = fs[1]\nnote f(3)\n", Good: "let fs = [fn(x, y) = x * y]\nlet f = fs[1]\nnote f(3, 2)\n",
	},
	{
		Code: "handed-function", Message: "{library} calls its function with {given}, and {function} takes {takes}",
		Hint: "a function that fits begins `{fitting}`",
		Rule: "Some words of the library call a function that they are given: `map`, `keep` and `sort` with one item, `fold` with what there is so far and one item. The function has a parameter for each of these values.",
		Bad:  "note map([1, 2, 3], fn(a, b) = a * b)\n", Good: "note map([1, 2, 3], fn(a) = a * 2)\n",
	},

	// Numbers.
	{
		Code: "divide-by-zero", Message: "{value} cannot be divided by 0",
		Hint: "ask first whether the divisor is 0, or begin counting at 1",
		Rule: "No number times 0 gives the dividend, so there is no result. Programs know no infinity: the operation that would make one is the error.",
		Bad:  "let n = 0\nturn 360 / n\n", Good: "let n = 6\nturn 360 / n\n",
	},
	{
		Code: "result-beyond-numbers", Message: "{left} {op} {right} is too large for a number",
		Rule: "Numbers reach to about 1.8 times 10 to the power of 308. Beyond it there is no number, and programs know no infinity.",
		Bad:  "let x = 10\nloop 1000 {\n  x = x * x\n}\nnote x\n", Good: "let x = 10\nloop 5 {\n  x = x * x\n}\nnote x\n",
	},
	{
		Code: "no-power", Message: "{base} to the power of {exponent} has no real value",
		Hint: "a negative number has powers with whole exponents only",
		Rule: "`x^y` with a negative x and a y that is not whole would be a complex number. 0 to a negative power would be 1 divided by 0.",
		Bad:  "let x = -8\nnote x^(1 / 3)\n", Good: "let x = 8\nnote x^(1 / 3)\n",
	},
	{
		Code: "too-far", Message: "the point ({x}, {y}) is too far away to be drawn",
		Hint: "look for a number that grows from pass to pass",
		Rule: "Coordinates go up to a thousand million mm (a thousand kilometres) from (0, 0); beyond it they could not be told apart finely enough.",
		Bad:  "ahead 1e12\n", Good: "ahead 12\n",
	},
	{
		Code: "radius-negative", Message: "an arc has a radius of 0 or more, not {radius}",
		Hint: "to turn to the right, make the angle negative",
		Rule: "The sign of the angle says to which side an arc goes: positive to the left, negative to the right.",
		Bad:  "begin page.center\nlet r = -10\narc r, 90\n", Good: "begin page.center\nlet r = 10\narc r, -90\n",
	},

	// Loops, ranges, places in lists.
	{
		Code: "passes-whole", Message: "a loop cannot run {count} times",
		Hint: "`floor`, `round` or `ceil` make it whole",
		Rule: "`loop n { }` runs a whole number of times, 0 or more. What is whole but for rounding (within a billionth) counts as whole.",
		Bad:  "let n = 2.5\nloop n { ahead 10 }\n", Good: "let n = 2.5\nloop round(n) { ahead 10 }\n",
	},
	{
		Code: "range-step", Message: "a range with steps of 0 never comes to its end",
		Rule: "`a..b by s` goes from a in steps of s; s is positive to go up, negative to go down.",
		Bad:  "let s = 0\nloop i in 1..10 by s { ahead i }\n", Good: "let s = 2\nloop i in 1..10 by s { ahead i }\n",
	},
	{
		Code: "range-endless", Message: "the range {from}..{to} by {step} has too many steps to count",
		Rule: "A range has at most 2 to the power of 53 numbers, about 9 000 million million: more cannot be counted exactly.",
		Bad:  "loop i in 0..1 by 1e-300 { note i }\n", Good: "loop i in 0..1 by 0.1 { note i }\n",
	},
	{
		Code: "index-range", Message: "there is no place {place}: the length is {length}",
		Hint: "places go from 1 up to the length, or from -1 (the last) down",
		Rule: "Lists and texts count from 1; -1 is the last place, -2 the one before it.",
		Bad:  "let xs = [10, 20, 30]\nahead xs[4]\n", Good: "let xs = [10, 20, 30]\nahead xs[3]\n",
	},
	{
		Code: "index-empty", Message: "there is no place {place}: there is nothing in it",
		Hint: "ask first whether `.length` is 0",
		Rule: "An empty list or text has no places at all.",
		Bad:  "let xs = []\nnote xs[1]\n", Good: "let xs = [10]\nnote xs[1]\n",
	},
	{
		Code: "index-whole", Message: "a place is a whole number, and this is {place}",
		Hint: "use `floor`, `round` or `ceil`",
		Rule: "Between the places of a list there is nothing.",
		Bad:  "let xs = [10, 20, 30]\nahead xs[1.5]\n", Good: "let xs = [10, 20, 30]\nahead xs[floor(1.5)]\n",
	},
	{
		Code: "seed-whole", Message: "a seed is a whole number of 0 or more, not {value}",
		Rule: "`seed n` begins one of the random sequences, which are numbered 0, 1, 2 and so on, up to 2 to the power of 53.",
		Bad:  "seed 1.5\nahead random(1, 9)\n", Good: "seed 15\nahead random(1, 9)\n",
	},

	{
		Code: "bounds-item", Message: "`.bounds` of a list is the box around its paths, but item {number} is {found}",
		Hint: "`polyline(points).bounds` is the box around points",
		Rule: "A path has bounds, and so has a list of paths: the smallest upright box that holds them all.",
		Bad:  "let marks = [(10, 10), (40, 30)]\nnote marks.bounds\n", Good: "let marks = [(10, 10), (40, 30)]\nnote polyline(marks).bounds\n",
	},
	{
		Code: "bounds-empty", Message: "an empty list has no bounds",
		Hint: "look at `.length` first, or at how the list is made",
		Rule: "The bounds of a list are the box around its paths, and no path is nowhere.",
		Bad:  "let lines = []\nnote lines.bounds\n", Good: "let lines = [path { ahead 10 }]\nnote lines.bounds\n",
	},

	// Curves by formula.
	{
		Code: "curve-jump", Message: "the curve jumps by {width} mm at {variable} = {value}",
		Hint: "draw the parts on both sides as two curves",
		Rule: "A curve is drawn as one line, so it must not jump. If the formula steps (as `floor` and `mod` do), each part is a curve of its own.",
		Bad:  "draw curve t in 0..40 = (t, 10 * floor(t / 20))\n", Good: "draw curve t in 0..40 = (t, 10 * t / 20)\n",
	},
	{
		Code: "curve-undefined", Message: "the curve has no point that can be drawn near {variable} = {value}",
		Hint: "choose an interval in which the formula has a value everywhere",
		Rule: "At each place of its interval a curve has a point. Near a pole, where the formula grows without end, it has none.",
		Bad:  "begin 20, 50\ndraw curve t in 0..9 = (t, 1 / (t - 3.3))\n", Good: "begin 20, 50\ndraw curve t in 4..9 = (t, 1 / (t - 3.3))\n",
	},
	{
		Code: "curve-by-rule", Severity: Warning, Message: "near {variable} = {value} this curve has a detail of {away} mm that was nearly missed",
		Hint: "if one is missing in the picture, draw the part around it as a curve of its own",
		Rule: "Where a formula is made of arithmetic, conditions, choices, words of the library that work on numbers and points, functions made of these, and anything that does not depend on the variable, it is proven that the line stays within the drawing tolerance of the curve. What reads the variable in another way (`xs[t]`, or a call of a function that is held in a variable) can only be looked at in places, at more than 300 of them; a spike that is narrower than the way between two of these may be missed. This warning comes if one nearly was.",
		Bad:  "let spike = fn(t) = 30 * exp(-(20 * (t - 50.18))^2)\ndraw curve t in 0..100 = (t, spike(t))\n", Good: "fn spike(t) = 30 * exp(-(20 * (t - 50.18))^2)\ndraw curve t in 0..100 = (t, spike(t))\n",
	},
	{
		Code: "curve-condition", Severity: Warning, Message: "a condition here cannot be followed: a short stretch of `{variable}` may be missed",
		Hint: "write the condition in the formula itself, or in a `fn` that is called by its name; or draw that part as a curve of its own",
		Rule: "Conditions are followed, and every jump is found, where a formula is made of arithmetic, choices and functions of these. A condition in a function that is held in a variable or handed to a word (as to `map`) is only tried in places, at more than 300 of them: what holds between two of these goes unseen.",
		Bad:  "let bump = fn(t) = if abs(t - 50.1234) < 0.02 { 9 } else { 0 }\ndraw curve t in 0..100 = (t, bump(t))\n", Good: "fn bump(t) = if t < 50 { t / 5 } else { 20 - t / 5 }\ndraw curve t in 0..100 = (t, bump(t))\n",
	},

	// Limits.
	{
		Code: "too-many-operations", Message: "the program did not come to its end within {limit} operations",
		Hint: "look for a loop that never ends; `--limits high` lets a long program run on",
		Rule: "A drawing is worked out whole before anything moves, so a program has to come to an end. Each pass of a loop and each call is an operation.",
		Bad:  "let n = 1\nloop while n > 0 { n = n + 1 }\n", Good: "let n = 1\nloop while n < 100 { n = n + 1 }\n",
	},
	{
		Code: "too-many-points", Message: "the line has more than {limit} points",
		Hint: "draw less, or raise the limit with `--limits high`",
		Rule: "All lines of a program together, and the paths it holds, may have so many points.",
		Bad:  "begin page.center\nloop while true {\n  ahead 1\n  turn 3\n}\n", Good: "begin page.center\nloop 120 {\n  ahead 1\n  turn 3\n}\n",
	},
	{
		Code: "too-much-memory", Message: "the texts, lists and paths of the program need more than {limit}",
		Hint: "look for a text or list that grows from pass to pass; `--limits high` allows more",
		Rule: "What a program holds at one time is bounded, with what a word of the library works with until it is done, so that a slip cannot bring the computer to a halt.",
		Bad:  "let word = \"abc\"\nloop 60 { word = word + word }\nnote word.length\n", Good: "let word = \"abc\"\nloop 6 { word = word + word }\nnote word.length\n",
	},
	{
		Code: "too-deep", Message: "`{name}` is called within itself, or others, more than {limit} deep",
		Hint: "a figure or function that calls itself needs an `if` at which it stops",
		Rule: "A call waits for the calls that its body makes. Calls within calls are allowed up to a depth that no drawing needs.",
		Bad:  "figure twig(size) {\n  ahead size\n  twig size * 0.9\n}\ntwig 10\n", Good: "figure twig(size) {\n  ahead size\n  if size > 1 { twig size * 0.9 }\n}\ntwig 10\n",
	},
	{
		Code: "too-many-at-once", Message: "this holds more values at once than can be kept track of",
		Hint:    "name a part of it with `let` first",
		Rule:    "One statement can work on some 90 values that wait for one another, and a call can have as many arguments. Lists may be as long as they like.",
		Subject: Outside,
		Bad:     "A sum of more than 90 brackets inside one another, each beginning with a variable.",
		Good:    "The same sum in two steps.",
	},
	{
		Code: "run-stopped", Message: "the run was stopped",
		Rule:    "Whoever started the program stopped it before it came to its end.",
		Subject: Outside,
		Bad:     "A long program that is interrupted.",
		Good:    "The same program left alone.",
	},
	{
		Code: "internal-fault", Message: "wend itself has made a mistake here: {detail}",
		Hint:    "this is no fault of the program; please report it together with the program",
		Rule:    "A fault in wend, not in the program. Nothing was written and nothing has moved.",
		Subject: Outside,
		Bad:     "A fault in wend itself.",
		Good:    "The same program after the fault has been mended.",
	},
}
