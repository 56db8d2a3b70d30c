package diag

// libraryPages are the codes about values that a library function cannot work with (raised by stdlib).
var libraryPages = []Page{
	{
		Code: "root-of-negative", Message: "`sqrt` has no result for the negative number {value}",
		Hint: "look at how the number came about; `sqrt(abs(x))` ignores its sign",
		Rule: "No number times itself is negative, so a negative number has no square root.",
		Bad:  "ahead sqrt(4 - 8)\n", Good: "ahead sqrt(8 - 4)\n",
	},
	{
		Code: "log-not-positive", Message: "`log` has no result for {value}: only numbers above 0 have one",
		Hint: "add a small number first, or leave out the values that are 0",
		Rule: "The logarithm grows below every limit as its number nears 0, and no power of e is 0 or negative.",
		Bad:  "say log(0)\nahead 10\n", Good: "say log(0.5)\nahead 10\n",
	},
	{
		Code: "sine-range", Message: "`{name}` takes numbers from -1 to 1, not {value}",
		Hint: "`clamp(x, -1, 1)` mends a number that lies a hair outside",
		Rule: "Sines and cosines lie from -1 to 1, so no angle has another one. A computed number can pass the limit by a rounding error.",
		Bad:  "turn asin(2)\nahead 10\n", Good: "turn asin(0.5)\nahead 10\n",
	},
	{
		Code: "tangent-endless", Message: "`tan` has no result at {value} degrees",
		Hint: "keep the angle away from 90 and 270 degrees",
		Rule: "The tangent is the slope of a direction; straight up and straight down have none.",
		Bad:  "ahead tan(90)\n", Good: "ahead tan(80)\n",
	},
	{
		Code: "mod-by-zero", Message: "`mod({value}, 0)` has no result: 0 cannot be taken away step by step",
		Hint: "the second number says where counting starts anew; it must not be 0",
		Rule: "`mod(a, b)` is what is left of a after taking away b as often as it goes in. With b = 0 that never ends.",
		Bad:  "say mod(7, 0)\nahead 10\n", Good: "say mod(7, 3)\nahead 10\n",
	},
	{
		Code: "result-too-large", Message: "the result of `{name}` with {value} is too large to hold",
		Hint: "look at how the number came about: nothing on a page needs one of this size",
		Rule: "Numbers reach up to about 1.8e308. There is no infinite number, so a result beyond that is an error.",
		Bad:  "say exp(1000)\nahead 10\n", Good: "say exp(2)\nahead 10\n",
	},
	{
		Code: "clamp-order", Message: "`clamp` was given {low} as the lowest and {high} as the highest number",
		Hint: "write the lower limit before the upper one",
		Rule: "`clamp(x, low, high)` keeps x between the two limits; with low above high nothing lies between.",
		Bad:  "ahead clamp(5, 10, 0)\n", Good: "ahead clamp(5, 0, 10)\n",
	},
	{
		Code: "decimals-range", Message: "`round` cannot round to {value} decimals",
		Hint: "give a whole number from 0 to 15",
		Rule: "Numbers hold 15 to 17 digits, so more decimals than 15 have no meaning; half a decimal has none either.",
		Bad:  "say round(pi, 2.5)\nahead 10\n", Good: "say round(pi, 2)\nahead 10\n",
	},
	{
		Code: "no-direction", Message: "`{name}` finds no direction: {reason}",
		Hint: "leave this case out with `if`",
		Rule: "A direction needs two different places. Points within a millionth of a millimetre of each other are one point.",
		Bad:  "turn direction((10, 10), (10, 10))\nahead 10\n", Good: "turn direction((10, 10), (20, 20))\nahead 10\n",
	},
	{
		Code: "empty-list", Message: "`{name}` needs at least one item, and this list is empty",
		Hint: "look at `xs.length` first, or at how the list is made",
		Rule: "An empty list has no smallest item and none to pick, and paths that are not there cannot be joined.",
		Bad:  "say max([])\nahead 10\n", Good: "say max([3, 5])\nahead 10\n",
	},
	{
		Code: "list-item-kind", Message: "`{name}` needs a list of {wanted}, but item {number} is {found}",
		Hint: "look at how the list is made; `keep` leaves out items that do not fit",
		Rule: "A list may hold values of all kinds together. Functions that work on all items of a list say which kinds they can use.",
		Bad:  "say sum([1, \"2\"])\nahead 10\n", Good: "say sum([1, 2])\nahead 10\n",
	},
	{
		Code: "sort-kinds", Message: "`sort` cannot put item {number}, {found}, in order with {first}",
		Hint: "give a key: `sort(xs, fn(x) = …)` orders by a number or a text for each item",
		Rule: "Only numbers, or only texts, have an order. A key function gives one of these for each item of any kind.",
		Bad:  "say sort([2, \"a\"])\nahead 10\n", Good: "say sort([\"b\", \"a\"])\nahead 10\n",
	},
	{
		Code: "sort-unordered", Message: "`sort` knows no order for item {number}, {found}",
		Hint: "give a key: `sort(xs, fn(x) = …)` orders by a number or a text for each item",
		Rule: "Numbers and texts have an order. Points, paths, lists and other values have none until a key says by what they are ordered.",
		Bad:  "say sort([(2, 1), (1, 2)])\nahead 10\n", Good: "say sort([(2, 1), (1, 2)], fn(p) = p.x)\nahead 10\n",
	},
	{
		Code: "keep-test", Message: "the function given to `keep` answers with {found}, not true or false",
		Hint: "make it a comparison, such as `fn(x) = x > 0`",
		Rule: "`keep` asks the function about each item and keeps those for which it gives true. Numbers are never taken for yes or no.",
		Bad:  "say keep([1, 2, 3], fn(x) = x - 1)\nahead 10\n", Good: "say keep([1, 2, 3], fn(x) = x > 1)\nahead 10\n",
	},
	{
		Code: "zip-lengths", Message: "`zip` pairs two lists of one length; these have {first} and {second} items",
		Hint: "cut the longer one: `xs[1..n]`",
		Rule: "Each item of the first list gets a partner from the second. With different lengths some would be left without one, which is seldom meant.",
		Bad:  "say zip([1, 2, 3], [4, 5])\nahead 10\n", Good: "say zip([1, 2], [4, 5])\nahead 10\n",
	},
	{
		Code: "fill-count", Message: "`fill` cannot make a list of {value} items",
		Hint: "give a whole number, 0 or more; `round(x)` makes one",
		Rule: "A list holds a whole number of items.",
		Bad:  "say fill(2.5, 0)\nahead 10\n", Good: "say fill(2, 0)\nahead 10\n",
	},
	{
		Code: "join-without-separator", Message: "`join` needs to know what stands between these texts",
		Hint: "give a separator: `join(xs, \", \")`, or `join(xs, \"\")` for nothing",
		Rule: "A list alone is joined as paths, each going on where the one before it ends. A list of texts is joined with a separator.",
		Bad:  "let words = [\"fern\", \"moss\"]\nsay join(words)\nahead 10\n", Good: "let words = [\"fern\", \"moss\"]\nsay join(words, \" \")\nahead 10\n",
	},
	{
		Code: "beyond-path", Message: "`{name}` was asked for {value} mm along a path that is {length} mm long",
		Hint: "keep to 0..p.length; `p.length * 0.5` is the middle",
		Rule: "Places along a path are counted in mm from its start, from 0 to its length.",
		Bad:  "say spot(path { ahead 20 }, 25)\nahead 10\n", Good: "say spot(path { ahead 20 }, 15)\nahead 10\n",
	},
	{
		Code: "fit-size", Message: "nothing fits into a {side} of {value} mm",
		Hint: "give a size above 0",
		Rule: "`fit` makes a path as large as a width and a height allow. Both must be above 0.",
		Bad:  "draw fit(path { ahead 20; turn 90; ahead 20 }, width: 0)\n", Good: "draw fit(path { ahead 20; turn 90; ahead 20 }, width: 40)\n",
	},
	{
		Code: "fit-without-size", Message: "`fit` was given neither a width nor a height",
		Hint: "give one of them or both: `fit(p, width: 60)`",
		Rule: "Either size may be left out, since the path keeps its proportions, but with neither there is nothing to fit it into.",
		Bad:  "draw fit(path { ahead 20; turn 90; ahead 20 })\n", Good: "draw fit(path { ahead 20; turn 90; ahead 20 }, height: 40)\n",
	},
	{
		Code: "fit-flat", Message: "this path has no {side}, so no scale gives it one",
		Hint: "fit it by its other side, or by both",
		Rule: "A straight upright line has no width and a straight level one no height. Scaling multiplies, and 0 stays 0.",
		Bad:  "draw fit(path { ahead 20 }, height: 40)\n", Good: "draw fit(path { ahead 20 }, width: 40)\n",
	},
	{
		Code: "path-too-large", Message: "`{name}` leads to a point that is too far away to hold",
		Hint: "look at the numbers that it was given: nothing on a page is of this size",
		Rule: "Points reach up to about 1.8e308 mm, and motifs that are bent along a line up to 1e9 mm. A page is a few hundred wide.",
		Bad:  "say scale(path { ahead 20 }, 1e308)\nahead 10\n", Good: "say scale(path { ahead 20 }, 2)\nahead 10\n",
	},
}
