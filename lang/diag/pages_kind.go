package diag

// kindPages are the codes about kinds of values, units and arguments (raised by lang/check).
var kindPages = []Page{
	{
		Code: "missing-argument", Message: "`{word}` needs a value for {names}",
		Rule: "Every parameter without a default is given a value, by its place or by its name.",
		Bad:  "arc 20\n", Good: "arc 20, 90\n",
	},
	{
		Code: "too-many-arguments", Message: "`{word}` takes {most}, not {count}",
		Rule: "A call gives at most one value for each parameter.",
		Bad:  "ahead 20, 30\n", Good: "ahead 20\n",
	},
	{
		Code: "no-such-form", Message: "`{word}` cannot be called with {count}",
		Rule: "Some words can be called in several ways, told apart by the number of their arguments.",
		Bad:  "reach 1, 2, 3\n", Good: "reach 1, 2\n",
	},
	{
		Code: "unknown-argument", Message: "`{word}` has no parameter named `{name}`",
		Rule: "An argument with a name goes to the parameter of that name.",
		Bad:  "figure side(size) { ahead size }\nside sise: 20\n", Good: "figure side(size) { ahead size }\nside size: 20\n",
	},
	{
		Code: "argument-twice", Message: "`{name}` is given a value twice",
		Rule: "A parameter is given one value: by its place among the first arguments, or by its name.",
		Bad:  "figure side(size) { ahead size }\nside 10, size: 20\n", Good: "figure side(size) { ahead size }\nside size: 20\n",
	},
	{
		Code: "argument-order", Message: "an argument without a name stands after `{name}:`",
		Hint: "move it before those with names, or give it its name",
		Rule: "Arguments without names go to the parameters in order and stand first; those with names follow, in any order.",
		Bad:  "figure side(size, angle) {\n  ahead size\n  turn angle\n}\nside size: 10, 90\n", Good: "figure side(size, angle) {\n  ahead size\n  turn angle\n}\nside 10, angle: 90\n",
	},
	{
		Code: "names-for-value", Message: "arguments of a function value cannot be named",
		Hint: "give them in the order of its parameters",
		Rule: "Which function a variable holds is known only when the program runs, so its arguments go by their order.",
		Bad:  "let half = fn(x) = x / 2\nahead half(x: 20)\n", Good: "let half = fn(x) = x / 2\nahead half(20)\n",
	},
	{
		Code: "wrong-kind", Message: "`{word}` needs {wanted} for `{param}`, and this is {found}",
		Rule: "Each parameter of a word of the library takes values of certain kinds. Nothing is converted by itself.",
		Bad:  "ahead \"20\"\n", Good: "ahead 20\n",
	},
	{
		Code: "not-a-function", Message: "`{name}` is {found}, so it cannot be called",
		Hint: "to change a variable, write `=` between it and the value",
		Rule: "A name with values or brackets behind it is a call, which needs a function or a figure.",
		Bad:  "let size = 20\nsize 30\n", Good: "let size = 20\nsize = 30\nahead size\n",
	},
	{
		Code: "measure-called", Message: "`.{name}` is a measure, so it takes no brackets",
		Hint: "leave the brackets out",
		Rule: "Measures without arguments are read after a dot: `xs.length`. Functions are called with brackets: `xs.sort()`.",
		Bad:  "let xs = [1, 2]\nnote xs.length()\n", Good: "let xs = [1, 2]\nnote xs.length\n",
	},
	{
		Code: "no-measure", Message: "{found} has no measure `.{name}`",
		Rule: "What can be read after a dot depends on the kind of the value: a path has `.length`, a point `.x` and `.y`.",
		Bad:  "let p = (1, 2)\nnote p.width\n", Good: "let p = (1, 2)\nnote p.x\n",
	},
	{
		Code: "no-field", Message: "no record of this program has a field `{name}`",
		Rule: "A record has the fields it was made with, which are read after a dot or by `r[\"name\"]`.",
		Bad:  "let tree = {name: \"oak\", height: 12}\nnote tree.hight\n", Good: "let tree = {name: \"oak\", height: 12}\nnote tree.height\n",
	},
	{
		Code: "field-by-place", Message: "a field of a record is found by its name, and this is {found}",
		Hint: "write the name: `r.height`, or `r[\"height\"]`",
		Rule: "The fields of a record have names, a text each. `names(r)` lists them in order, so `r[names(r)[1]]` is the first.",
		Bad:  "let tree = {name: \"oak\", height: 12}\nnote tree[1]\n", Good: "let tree = {name: \"oak\", height: 12}\nnote tree[\"name\"]\n",
	},
	{
		Code: "field-twice", Message: "the field `{name}` stands twice in this record",
		Hint: "leave one of them out",
		Rule: "Each field of a record has a name of its own.",
		Bad:  "let tree = {height: 12, height: 13}\nnote tree\n", Good: "let tree = {height: 13}\nnote tree\n",
	},
	{
		Code: "field-called", Message: "`.{name}(…)` calls a function `{name}`, and there is none",
		Hint: "a function that a field holds is called as `(r.{name})(…)`",
		Rule: "`x.f(a)` is `f(x, a)` for the function or figure f of the program or the library. A field is read as `x.f`; in brackets, what it gives can be called.",
		Bad:  "let r = {twice: fn(x) = 2 * x}\nnote r.twice(3)\n", Good: "let r = {twice: fn(x) = 2 * x}\nnote (r.twice)(3)\n",
	},
	{
		Code: "no-value", Message: "`{word}` gives no value that could be used here",
		Hint: "write it on a line of its own",
		Rule: "Words such as `ahead` and `note` do something and give nothing back.",
		Bad:  "let d = ahead(20)\nnote d\n", Good: "let d = 20\nahead d\n",
	},
	{
		Code: "value-not-used", Message: "this gives {found}, and nothing is done with it",
		Hint: "keep it with `let`, show it with `note`, or leave the line out",
		Rule: "A call on a line of its own draws the path that it gives, or does something without giving a value. Any other value would be lost.",
		Bad:  "sqrt(2)\n", Good: "note sqrt(2)\n",
	},
	{
		Code: "draw-list", Message: "a list of strokes cannot be drawn as it is",
		Hint: "`weave` makes one line of it: `draw weave(…)`",
		Rule: "The stylus never lifts, so only one line can be drawn. `weave` joins many strokes with as little additional line to be seen as it can.",
		Bad:  "let parts = [path { ahead 20 }, path { ahead 30 }]\ndraw parts\n", Good: "let parts = [path { ahead 20 }, path { ahead 30 }]\ndraw weave(parts)\n",
	},
	{
		Code: "draw-kind", Message: "`draw` needs a path, and this is {found}",
		Rule: "`draw` puts a path on the page: the value of a figure, of `path { }`, of `curve` or of a function that gives one.",
		Bad:  "draw 20\n", Good: "ahead 20\n",
	},
	{
		Code: "draw-at", Message: "after `at` stands a point, and this is {found}",
		Hint: "write a point in brackets, as in `at (20, 30)`",
		Rule: "`draw p at q` places the path with its (0, 0) on the point q.",
		Bad:  "draw path { ahead 20 } at 30\n", Good: "draw path { ahead 20 } at (30, 0)\n",
	},
	{
		Code: "not-a-condition", Message: "a condition is true or false, and this is {found}",
		Rule: "`if`, `loop while`, `and`, `or` and `not` take what a comparison gives. Numbers, texts and lists are neither true nor false.",
		Bad:  "let n = 3\nif n { ahead 20 }\n", Good: "let n = 3\nif n > 0 { ahead 20 }\n",
	},
	{
		Code: "operator-kinds", Message: "`{op}` cannot work on {x} and {y}",
		Rule: "`+` adds numbers and points and joins texts and lists; `-` takes numbers or points; `*` and `/` take two numbers, or a point and a number; `^` takes numbers.",
		Bad:  "note (1, 2) + 3\n", Good: "note (1, 2) + (3, 3)\n",
	},
	{
		Code: "text-plus", Message: "`+` joins text with text only, and this is {found}",
		Hint: "put the value into a text with `{ }`",
		Rule: "A value becomes text where it is asked to: `\"{n}\"`.",
		Bad:  "let n = 3\nnote \"petals: \" + n\n", Good: "let n = 3\nnote \"petals: \" + \"{n}\"\n",
	},
	{
		Code: "list-plus", Message: "`+` joins a list with a list only, and this is {found}",
		Rule: "`xs + [v]` is the list with v behind its items.",
		Bad:  "let xs = [1, 2]\nnote xs + 3\n", Good: "let xs = [1, 2]\nnote xs + [3]\n",
	},
	{
		Code: "negate-kind", Message: "`-` before a value needs a number or a point, and this is {found}",
		Rule: "A number or a point has an opposite. To turn a path round use `reverse`, to say that something is not so use `not`.",
		Bad:  "note -\"a\"\n", Good: "note -1\n",
	},
	{
		Code: "compare-kinds", Message: "`{op}` compares two values of one kind, not {x} and {y}",
		Rule: "Values of different kinds are never equal and have no order, so comparing them is always a slip.",
		Bad:  "if 1 == \"1\" { ahead 20 }\n", Good: "if 1 == 1 { ahead 20 }\n",
	},
	{
		Code: "compare-order", Message: "`{op}` orders numbers and texts, and this compares {x} with {y}",
		Hint: "compare numbers, such as lengths or the parts of points",
		Rule: "Numbers have an order, and texts that of the alphabet; points, paths and lists can only be equal or not.",
		Bad:  "if (1, 2) < (3, 4) { ahead 20 }\n", Good: "if (1, 2).x < (3, 4).x { ahead 20 }\n",
	},
	{
		Code: "point-kind", Message: "a point is made of two numbers, and this is {found}",
		Rule: "`(x, y)` with numbers x and y, in mm.",
		Bad:  "reach (\"1\", 2)\n", Good: "reach (1, 2)\n",
	},
	{
		Code: "range-kind", Message: "a range goes from number to number, and this is {found}",
		Rule: "`a..b` and `a..b by s` are lists of numbers.",
		Bad:  "loop i in 1..\"3\" { ahead i }\n", Good: "loop i in 1..3 { ahead i }\n",
	},
	{
		Code: "range-downward", Severity: Warning, Message: "`{range}` is empty: a range goes upward",
		Hint: "to count down, write `{range} by -1`",
		Rule: "`a..b` counts upward from a to b. With a step below 0 it counts down, as in `5..1 by -1`; otherwise a range whose end is below its start holds nothing.",
		Bad:  "ahead 10\nloop i in 3..1 { ahead i }\n", Good: "ahead 10\nloop i in 3..1 by -1 { ahead i }\n",
	},
	{
		Code: "dollar-in-text", Severity: Warning, Message: "the `$` before `{` is printed too",
		Hint: "leave the `$` out; if it is to be printed, write `\\u{24}`",
		Rule: "In a text, `{…}` alone puts a value in. A `$` before it is a character like any other.",
		Bad:  "let name = \"Mia\"\nnote \"hello ${name}\"\n", Good: "let name = \"Mia\"\nnote \"hello {name}\"\n",
	},
	{
		Code: "no-items", Message: "only lists and texts have items, and this is {found}",
		Rule: "`xs[i]` is the item of a list at place i, or a character of a text; places count from 1.",
		Bad:  "let p = (1, 2)\nnote p[1]\n", Good: "let p = (1, 2)\nnote p.x\n",
	},
	{
		Code: "index-kind", Message: "a place in a list is a number, and this is {found}",
		Hint: "a part of a list is taken with a range: `xs[2..4]`",
		Rule: "`xs[1]` is the first item, `xs[-1]` the last, `xs[2..4]` the list of three of them.",
		Bad:  "let xs = [1, 2]\nnote xs[\"1\"]\n", Good: "let xs = [1, 2]\nnote xs[1]\n",
	},
	{
		Code: "assign-item", Message: "only items and fields can be given a value, and this is {found}",
		Hint: "make a new value and give it to the variable",
		Rule: "`xs[i] = v` changes an item of the list that a variable holds, `r.name = v` a field of a record. Texts and points do not change; a variable can be given another one.",
		Bad:  "let word = \"abc\"\nword[1] = \"x\"\nnote word\n", Good: "let word = \"abc\"\nword = \"xbc\"\nnote word\n",
	},
	{
		Code: "loop-count", Message: "`loop` needs how often it runs, and this is {found}",
		Rule: "`loop 6 { }` runs six times, `loop x in xs { }` once for each item, `loop while c { }` as long as c is true.",
		Bad:  "loop [1, 2] { ahead 20 }\n", Good: "loop x in [1, 2] { ahead x }\n",
	},
	{
		Code: "loop-values", Message: "a loop goes over a list or a text, and this is {found}",
		Rule: "`loop i in 1..6 { }` counts, `loop p in points { }` visits the items of a list, `loop c in \"text\" { }` the characters of a text.",
		Bad:  "loop i in 3 { ahead i }\n", Good: "loop i in 1..3 { ahead i }\n",
	},
	{
		Code: "curve-interval", Message: "a curve runs over a range, such as `0..360`",
		Hint: "write where it begins and ends: `curve t in 0..360 = …`",
		Rule: "The interval of a curve is written as a range, whose ends may be computed. It may run downward.",
		Bad:  "draw curve t in 360 = (t, 0)\n", Good: "draw curve t in 0..36 = (t, 0)\n",
	},
	{
		Code: "curve-step", Message: "a curve has no steps, so its range takes no `by`",
		Hint: "leave the `by` out: the curve is sampled as finely as its shape needs",
		Rule: "How many points a curve gets follows from the drawing tolerance.",
		Bad:  "draw curve t in 0..36 by 2 = (t, 0)\n", Good: "draw curve t in 0..36 = (t, 0)\n",
	},
	{
		Code: "curve-point", Message: "a curve's formula gives a point, and this is {found}",
		Hint: "write both coordinates, as in `(t, sin(t))`",
		Rule: "For each value of its variable a curve has a point (x, y) in mm.",
		Bad:  "draw curve t in 0..36 = t * 2\n", Good: "draw curve t in 0..36 = (t, t * 2)\n",
	},
	{
		Code: "unit-mixed", Message: "{x} and {y} cannot be added or compared",
		Hint: "a number without a unit goes with both",
		Rule: "A number with a unit is a length (`mm`, `cm`, `in`) or an angle (`deg`, `rad`). Adding, subtracting and comparing keep to one of them. `*`, `/` and calls give plain numbers.",
		Bad:  "ahead 20mm + 30deg\n", Good: "ahead 20mm + 30mm\n",
	},
	{
		Code: "unit-wrong", Message: "`{word}` needs {wanted} for `{param}`, and this is {found}",
		Rule: "A length goes where millimetres are wanted and an angle where degrees are; a number without a unit goes with both. A variable has the unit of the values it is given; products, quotients and results of calls are plain numbers.",
		Bad:  "turn 20mm\n", Good: "turn 20deg\n",
	},
}
