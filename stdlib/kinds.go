package stdlib

import (
	"strings"

	"wend/lang/types"
	"wend/lang/vocabulary"
)

// kindTheme holds the kinds of values and the units, each with how one is
// written.
func kindTheme() vocabulary.Theme {
	return vocabulary.Theme{
		Title: "Kinds of values",
		Intro: "Everything that a program counts with is a value of one of these kinds. Values are copied: changing one variable never changes another.",
		Words: []vocabulary.Word{
			{Name: "number", Sort: vocabulary.Kind, Forms: []string{"12", "0.5", "1e3", "20mm", "90deg"},
				Doc:     "A number, of mm or degrees where it measures something. `+ - * / ^` work things out, `/` is real division, and a unit may be glued to it.",
				Example: "let side = 4.5cm\nbegin 10, 10\nloop 4 { ahead side; turn 360 / 4 }\n"},
			{Name: "text", Sort: vocabulary.Kind, Forms: []string{`"…"`, `"side {n}"`},
				Doc:     "Letters in double quotes. `{value}` inside is replaced by the value; `+` joins two texts.",
				Example: "let n = 3\nnote \"side {n} of \" + \"4\"   # side 3 of 4\n"},
			{Name: "point", Sort: vocabulary.Kind, Forms: []string{"(x, y)"},
				Doc:     "A place, or an offset, in mm: how far to the right and how far up. Points are added, subtracted, and multiplied or divided by a number.",
				Example: "let corner = (20, 30)\nbegin corner\nreach corner + (40, 0)\nnote corner.x   # 20\n"},
			{Name: "list", Sort: vocabulary.Kind, Forms: []string{"[a, b, c]", "a..b", "a..b by step"},
				Doc:     "Several values in a row, counted from 1: `xs[1]` is the first, `xs[-1]` the last, `xs[2..4]` a part. `xs + [v]` is one longer.",
				Example: "let sizes = [10, 20, 15]\nsizes += [25]\nbegin 10, 10\nloop s in sizes { ahead s; turn 90 }\nnote sizes[-1]   # 25\n"},
			{Name: "record", Sort: vocabulary.Kind, Forms: []string{`{name: "oak", height: 12}`},
				Doc:     "Several values, each by its name. A field is read as `r.height`, or as `r[name]` where the name is worked out, and changed by `r.height = 13`.",
				Example: "let tree = {name: \"oak\", height: 12}\ntree.height += 1\nnote \"{tree.name}: {tree.height}\"   # oak: 13\n"},
			{Name: "box", Sort: vocabulary.Kind, Forms: []string{"page", "p.bounds"},
				Doc:     "An upright rectangle, such as the `page` or what surrounds a path. It is read by its measures: `.left .right .top .bottom .width .height .center`.",
				Example: "let tile = path { loop 4 { ahead 40; turn 90 } }\nnote tile.bounds.width   # 40\nbegin page.center\ndraw tile\n"},
			{Name: "function", Sort: vocabulary.Kind, Forms: []string{"fn(x) = x * x", "fn(x) { … return y }"},
				Doc:     "A recipe that makes one value out of others. One without a name is a value: it can be kept, and given to `map` or `sort`.",
				Example: "let double = fn(x) = 2 * x\nnote [1, 2, 3].map(double)   # [2, 4, 6]\n"},
			{Name: "yes-or-no value", Sort: vocabulary.Kind, Forms: []string{"true", "false", "a < b"},
				Doc:     "What a comparison gives, and what `if` and `loop while` want: `true` or `false`.",
				Example: "let wide = page.width > 100\nif wide { ahead 40 } else { ahead 20 }\nnote 3 < 2   # false\n"},
			unit("mm", "Millimetres, which a bare length is in too.", "ahead 40mm\nahead 40\n"),
			unit("cm", "Centimetres: `2cm` is 20 mm.", "ahead 4cm\n"),
			unit("in", "Inches: `1in` is 25.4 mm.", "ahead 2in\n"),
			unit("deg", "Degrees, which a bare angle is in too. A full turn has 360.", "ahead 30\nturn 90deg\nahead 30\n"),
			unit("rad", "Radians, the other way to measure angles: a full turn has 2π, about 6.283.", "ahead 30\nturn 1.5rad\nahead 30\n"),
		},
	}
}

func unit(name, doc, example string) vocabulary.Word {
	return vocabulary.Word{Name: name, Sort: vocabulary.Unit, Forms: []string{"12" + name}, Doc: doc, Example: example}
}

// measureTheme holds the measures, which are read after a dot. Several kinds
// have measures of one name.
func measureTheme() vocabulary.Theme {
	theme := vocabulary.Theme{
		Title: "Measures",
		Intro: "What a value says of itself is read after a dot, without brackets.",
	}
	at := map[string]int{}
	for _, f := range types.Fields {
		i, there := at[f.Name]
		if !there {
			i = len(theme.Words)
			at[f.Name] = i
			theme.Words = append(theme.Words, vocabulary.Word{Name: "." + f.Name, Sort: vocabulary.Measure, Example: measureExamples[f.Name]})
		}
		w := &theme.Words[i]
		w.Forms = append(w.Forms, measuredValues[f.Of]+"."+f.Name)
		doc := "Of " + f.Of.String() + ": " + strings.TrimPrefix(f.Doc, "of "+f.Of.String()+" ") + "."
		w.Doc = strings.TrimSpace(w.Doc + " " + doc)
	}
	return theme
}

// measuredValues are values of the kinds that have measures, as they are written in
// forms.
var measuredValues = map[types.Kind]string{
	types.Path: "path", types.List: "list", types.Text: "text", types.Box: "box", types.Point: "point", types.Image: "image",
}

// measureExamples are the examples of the measures.
var measureExamples = map[string]string{
	"length": "note path { ahead 30; turn 90; ahead 10 }.length   # 40\nnote [7, 8].length   # 2\nnote \"hello\".length   # 5\n",
	"start":  "let ring = curves.circle(30)\nbegin page.center + ring.start\ndraw ring at page.center\n",
	"end":    "let hook = path { ahead 30; arc 10, 180 }\nnote hook.end   # (30, 20)\n",
	"closed": "note curves.circle(10).closed   # true\n",
	"bounds": "note path { ahead 20; turn 90; ahead 5 }.bounds.width   # 20\n",
	"left":   "note page.left   # 0\n",
	"right":  "begin page.right - 10, 10\nahead -40\n",
	"top":    "begin 10, page.top - 10\nahead 40\n",
	"bottom": "note page.bottom   # 0\n",
	"width":  "begin 0, 0\nahead page.width\n",
	"height": "begin 0, 0\nturn 90\nahead page.height\n",
	"center": "begin page.center\nloop 5 { ahead 30; turn 144 }\n",
	"x":      "let p = (20, 30)\nnote p.x   # 20\n",
	"y":      "let p = (20, 30)\nnote p.y   # 30\n",
}
