package check_test

import (
	"strings"
	"testing"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/types"
)

// A small library, enough for each thing that the checker tells apart.
func library() *types.Library {
	const stylus = "stylus"
	num := func(name string) types.Param { return types.Param{Name: name, Kinds: types.Number} }
	mm := func(name string) types.Param {
		return types.Param{Name: name, Kinds: types.Number, Unit: types.Length}
	}
	deg := func(name string) types.Param {
		return types.Param{Name: name, Kinds: types.Number, Unit: types.Angle}
	}
	of := func(k types.Kind, name string) types.Param { return types.Param{Name: name, Kinds: k} }
	optional := func(p types.Param) types.Param { p.Optional = true; return p }
	form := func(result types.Kind, params ...types.Param) types.Form {
		return types.Form{Params: params, Result: result}
	}
	word := func(op types.Op, name string, may types.Effect, forms ...types.Form) *types.Builtin {
		return &types.Builtin{Name: name, Theme: stylus, Op: op, May: may, Forms: forms}
	}
	read := func(op types.Op, name string, may types.Effect, f types.Form) *types.Builtin {
		return &types.Builtin{Name: name, Theme: stylus, Op: op, May: may, Value: true, Forms: []types.Form{f}}
	}
	pure := func(name string, forms ...types.Form) *types.Builtin {
		return &types.Builtin{Name: name, Forms: forms}
	}
	numeric := func(name string, params ...types.Param) *types.Builtin {
		return pure(name, form(types.Number, params...))
	}
	chance := func(name string, f types.Form) *types.Builtin {
		return &types.Builtin{Name: name, May: types.Chance, Forms: []types.Form{f}}
	}
	same := func(f types.Form) types.Form { f.SameKind = true; return f }
	toPoint := []types.Form{form(types.Nothing, mm("x"), mm("y")), form(types.Nothing, of(types.Point, "p"))}
	heading := form(types.Number)
	heading.Unit = types.Angle
	split := form(types.List, of(types.Text, "text"), of(types.Text, "by"))
	split.Items = types.Text
	others := num("others")
	others.Rest = true
	pi := read(types.NoOp, "pi", 0, form(types.Number))
	return &types.Library{
		Renamed: map[string]string{"say": "note", "pick": "choose"},
		Modules: []string{"curves"},
		Builtins: []*types.Builtin{
			word(types.Ahead, "ahead", types.Draws, form(types.Nothing, mm("distance"))),
			word(types.Turn, "turn", types.Draws, form(types.Nothing, deg("angle"))),
			word(types.Face, "face", types.Draws, form(types.Nothing, deg("angle"))),
			word(types.Reach, "reach", types.Draws, toPoint...),
			word(types.Shift, "shift", types.Draws, form(types.Nothing, mm("dx"), mm("dy"))),
			word(types.Arc, "arc", types.Draws, form(types.Nothing, mm("radius"), deg("angle"))),
			word(types.Spline, "spline", types.Draws, form(types.Nothing, of(types.List, "points"))),
			word(types.Sneak, "sneak", types.Draws, toPoint...),
			word(types.Follow, "follow", types.Draws, form(types.Nothing, of(types.Path, "line"))),
			word(types.Begin, "begin", types.Draws|types.TopLevel|types.Outermost, toPoint...),
			word(types.Note, "note", 0, form(types.Nothing, of(types.Any, "value"))),
			word(types.Pause, "pause", types.TopLevel, form(types.Nothing, of(types.Text, "message"))),
			word(types.Erase, "erase", types.TopLevel|types.NoBranch, form(types.Nothing)),
			word(types.Seed, "seed", types.TopLevel, form(types.Nothing, num("n"))),
			read(types.Here, "here", types.Stylus, form(types.Point)),
			read(types.Heading, "heading", types.Stylus, heading),
			read(types.Page, "page", 0, form(types.Box)),
			pi,
			numeric("sqrt", num("x")), numeric("sin", deg("angle")), numeric("cos", deg("angle")), numeric("mod", num("a"), num("b")),
			pure("max", form(types.Number, num("a"), num("b")), form(types.Number, num("a"), num("b"), others), form(types.Number, of(types.List, "numbers"))),
			pure("map", form(types.List, of(types.List, "list"), of(types.Function, "f"))),
			pure("sort", same(form(types.List, of(types.List, "list"), optional(of(types.Function, "key"))))),
			pure("sum", form(types.Number|types.Point, of(types.List, "list"))),
			pure("split", split),
			pure("rotate", same(form(types.Path|types.List, of(types.Path|types.List, "line"), deg("angle")))),
			pure("weave", form(types.Path, of(types.List, "strokes"))),
			pure("text", form(types.Path, of(types.Text, "words"), optional(mm("height")), optional(of(types.Text, "font")))),
			pure("near", form(types.Bool, of(types.Number|types.Point, "a"), of(types.Number|types.Point, "b"))),
			pure("image", form(types.Image, of(types.Text, "file"))),
			chance("random", form(types.Number, num("a"), num("b"))),
			chance("choose", form(types.Any, of(types.List, "list"))),
		},
	}
}

const curves = `figure rose(petals, size = 10) {
  draw curve t in 0..360 = (size * cos(petals * t), size * sin(t))
}
fn golden() = (1 + sqrt(5)) / 2
let unread = 3
`

// checkFiles checks the first of several files; `use` finds the others by name.
func checkFiles(t testing.TB, names []string, texts map[string]string, set map[string]*ast.Let) (*check.Program, diag.List) {
	t.Helper()
	trees := map[string]*ast.File{}
	var faults diag.List
	tree := func(name string) *ast.File {
		if trees[name] == nil {
			file, list := parse.File(source.New(name, texts[name]))
			faults = append(faults, list...)
			trees[name] = file
		}
		return trees[name]
	}
	main := tree(names[0])
	reported := faults
	program, list := check.Check(main, check.Options{
		Library: library(),
		Load: func(_ *source.File, path string) (*ast.File, diag.List) {
			if _, known := texts[path]; !known {
				return nil, diag.List{{Code: "file-missing", Message: "there is no file of that name"}}
			}
			return tree(path), nil
		},
		Module: func(name string) *ast.File {
			if name != "curves" {
				return nil
			}
			file, _ := parse.File(source.New("<curves>", curves))
			return file
		},
		Reported: reported,
		Set:      set,
	})
	return program, append(faults, list...).Sorted()
}

func checkText(t testing.TB, text string) (*check.Program, diag.List) {
	t.Helper()
	return checkFiles(t, []string{"test.wend"}, map[string]string{"test.wend": text}, nil)
}

func codes(list diag.List) []string {
	out := []string{}
	for _, d := range list {
		out = append(out, string(d.Code))
	}
	return out
}

// shown is a list as a failing test prints it.
func shown(list diag.List) string {
	var b strings.Builder
	for _, d := range list {
		line := 0
		if d.Span.Known() {
			line = d.Span.From().Line
		}
		b.WriteString(strings.TrimSpace(d.Span.Text()))
		b.WriteString("\n  ")
		b.WriteString(string(d.Code))
		b.WriteString(": ")
		b.WriteString(d.Message)
		b.WriteString("\n  line ")
		b.WriteByte(byte('0' + line%10))
		b.WriteString(", hint: ")
		b.WriteString(d.Hint)
		b.WriteString("\n")
	}
	return b.String()
}
