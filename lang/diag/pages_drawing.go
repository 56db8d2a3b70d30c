package diag

// drawingPages are the codes about drawings from elsewhere (raised by runtime/svg and by what reads one).
var drawingPages = []Page{
	{
		Code: "drawing-kind", Message: "`drawing` does not read files like `{name}`",
		Hint: "it reads drawings of lines, `.svg`",
		Rule: "What a file holds is told by its ending. A drawing of another kind can be saved as SVG by the program that it comes from.",
		Bad:  "draw weave(drawing(\"leaf.pdf\"))\n", Good: "follow weave(drawing(\"leaf.svg\"))\n",
	},
	{
		Code: "drawing-fills", Message: "`drawing` knows no way with fills called “{name}”",
		Hint: "the ways are {known}",
		Rule: "What is filled in a drawing has an edge and an area. Either the edge is drawn, or the area is hatched, or neither.",
		Bad:  "follow weave(drawing(\"leaf.svg\", fills: \"solid\"))\n", Good: "follow weave(drawing(\"leaf.svg\", fills: \"outline\"))\n",
	},
	{
		Code: "drawing-encoding", Message: "this is no text in UTF-8: {reason}",
		Hint:    "save it as SVG in UTF-8, not compressed",
		Rule:    "A drawing is read as a text in UTF-8. Editors save SVG so unless told otherwise; compressed ones often end in `.svgz`.",
		Subject: Outside, Bad: "leaf.svg, compressed", Good: "leaf.svg, unpacked by gunzip",
	},
	{
		Code: "drawing-xml", Message: "the drawing cannot be read on here: {reason}",
		Hint:    "save it anew in the program that it comes from, or mend this place",
		Rule:    "SVG is XML: every tag is closed in turn, the values of attributes stand in quotes, and `<` and `&` in a text are written `&lt;` and `&amp;`.",
		Subject: Outside, Bad: "`<g><path d=\"M0 0h9\"></g>`", Good: "`<g><path d=\"M0 0h9\"/></g>`",
	},
	{
		Code: "drawing-cut", Message: "the file ends here, and `<{name}>` of line {line} is still open",
		Hint:    "it was probably cut off on its way: copy or download it anew",
		Rule:    "A drawing ends with `</svg>`. What is missing behind the end cannot be guessed, so nothing of the file is drawn.",
		Subject: Outside, Bad: "the first half of a file", Good: "the whole file",
	},
	{
		Code: "drawing-root", Message: "this is no SVG drawing: it begins with {found}, not with `<svg>`",
		Hint:    "look whether it is the file you meant",
		Rule:    "The outermost element of an SVG drawing is `svg`, of the namespace http://www.w3.org/2000/svg or of none.",
		Subject: Outside, Bad: "a page that was saved from a browser, called leaf.svg", Good: "the drawing that the page shows, saved by itself",
	},
	{
		Code: "drawing-entity", Message: "the entity `{name}` {reason}",
		Hint:    "save the drawing as plain SVG in the program that it comes from",
		Rule:    "Entities are read where the file itself defines them, as plain text of at most 1,000 bytes. Those made of others can grow without bound, and those of other files are never looked at.",
		Subject: Outside, Bad: "`<!ENTITY a \"&b;&b;&b;\">`", Good: "`<!ENTITY a \"http://example.org/\">`",
	},
	{
		Code: "drawing-deep", Message: "more than {limit} elements stand within one another here",
		Hint:    "look whether the file is what you meant; an editor can take groups apart",
		Rule:    "Drawings have a few levels of groups. The limit keeps a broken file from using up the memory.",
		Subject: Outside, Bad: "a file of 100,000 opening `<g>`", Good: "the same without the groups",
	},
	{
		Code: "drawing-large", Message: "this drawing has more than {limit} {what}",
		Hint:    "simplify or divide it in an editor: one line has no room for so much",
		Rule:    "The limits lie far beyond what a line on a page can show: 300,000 elements and 2,000,000 points, for instance. They keep a broken file from using up memory and time.",
		Subject: Outside, Bad: "a map of a continent with every house", Good: "the same with what one sheet can show",
	},
	{
		Code: "drawing-number", Message: "a number here leads beyond all measure",
		Hint:    "look at the numbers and transforms of this element",
		Rule:    "Numbers of a drawing reach to 1,000,000,000, and its points to a kilometre from the corner. What lies farther out is a mistake of the program that wrote it.",
		Subject: Outside, Bad: "`<path d=\"M0 0L1e300 0\"/>`", Good: "`<path d=\"M0 0L100 0\"/>`",
	},
	{
		Code: "drawing-use-loop", Message: "this refers to `{name}`, in which it stands itself",
		Hint:    "let it refer to another element, or remove it",
		Rule:    "An element that repeats what it is part of, or a clip path that is cut by itself, would never end (SVG 2, section 5.5; CSS Masking 1, section 5).",
		Subject: Outside, Bad: "`<g id=\"a\"><use href=\"#a\"/></g>`", Good: "`<g id=\"a\"><use href=\"#b\"/></g>`",
	},
	{
		Code: "drawing-empty", Message: "there is nothing to draw in `{name}`",
		Hint:    "look at it in a viewer: is anything visible, and made of lines or fills?",
		Rule:    "Lines and fills are drawn, if they are visible, have a size, and lie within the viewport of the drawing. Text is drawn where the file holds it as outlines.",
		Subject: Outside, Bad: "a drawing that holds nothing but a photo", Good: "a drawing with a path in it",
	},
	{
		Code: "drawing-work", Message: "`{name}` is too much for one line: too many strokes, or too many places where they cross",
		Hint:    "leave out what nobody would see; `--limits high` allows more",
		Rule:    "Work and memory of a run are bounded. Each place where strokes cross is one through which the line has to be led, and some hundred thousand crossings are more ink than a page holds.",
		Subject: Outside, Bad: "ten thousand lines right across each other", Good: "a few hundred of them",
	},
	{
		Code: "drawing-left-out", Severity: Warning, Message: "{what} {effect}{more}",
		Rule:    "A line has no colour and no blur. Gradients, patterns, filters, masks, markers and animation are not drawn, nor is text that the file does not hold as outlines, nor a picture of pixels. Each is named once, where it first stands.",
		Subject: Outside, Bad: "a drawing with `<text>`", Good: "the same with its text turned into paths",
	},
	{
		Code: "drawing-unreadable", Severity: Warning, Message: "{what}: {effect}{more}",
		Rule:    "What is written wrongly in a drawing is passed over, as SVG asks: a path is drawn up to where it breaks off, and an attribute that means nothing is as if it were not there. Each kind is named once, where it first stands.",
		Subject: Outside, Bad: "`<path d=\"M0 0h9x5\"/>`", Good: "`<path d=\"M0 0h9v5\"/>`",
	},
}
