package assist_test

import (
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/stdlib"
)

// read makes the document of a text, which may use other files.
func read(text string, files map[string]string) (*assist.Document, diag.List) {
	return readNamed("main.wend", text, files)
}

func readNamed(name, text string, files map[string]string) (*assist.Document, diag.List) {
	file := source.New(name, text)
	tree, list := parse.File(file)
	parsed := map[string]*ast.File{}
	program, more := check.Check(tree, check.Options{
		Library:  stdlib.Library(),
		Reported: list,
		Load: func(_ *source.File, path string) (*ast.File, diag.List) {
			if text, ok := files[path]; ok {
				if parsed[path] == nil {
					parsed[path], _ = parse.File(source.New(path, text))
				}
				return parsed[path], nil
			}
			return nil, diag.List{(&diag.Fault{Code: "file-missing", Args: diag.Args{"name": path}}).At(source.Span{})}
		},
		Module: func(name string) *ast.File {
			tree, _ := parse.File(stdlib.Module(name))
			return tree
		},
	})
	return &assist.Document{
		Tree: tree, Scan: sync.OnceValue(func() []ast.Token { return parse.Tokens(file) }), Program: program, Words: stdlib.Vocabulary(),
	}, append(list, more...).Sorted()
}

// at makes the document of a text in which `|` marks a place.
func at(t *testing.T, marked string) (*assist.Document, int) {
	t.Helper()
	text, behind, marks := strings.Cut(marked, "|")
	require.True(t, marks, "no place is marked")
	d, _ := read(text+behind, map[string]string{"flowers.wend": flowers})
	return d, len(text)
}

const flowers = `# A rose of n petals.
figure rose(n, size = 20) { loop n { arc size, 90; turn 360 / n } }
fn twice(x) = 2 * x
let tall = 80mm
`

// offers are the words that complete a text, in order.
func offers(t *testing.T, marked string) []string {
	d, place := at(t, marked)
	var words []string
	for _, item := range d.Complete(place).Items {
		words = append(words, item.Insert)
	}
	return words
}

func TestCompletionOffersWhatCanStandThere(t *testing.T) {
	for text, want := range map[string]string{
		// at the start of a statement
		"ah|":                              "ahead",
		"shi|":                             "shift",
		"loop 4 { ahe| }":                  "ahead",
		"loop 4 {\n  tur|\n}\nahead 4":     "turn",
		"figure kite(size) { bra| }":       "branch",
		"figure kite(size) { kit| }":       "kite",
		"loop 4 { bre| }":                  "break",
		"figure f() { ret| }":              "return",
		"let size = 3\nif size > 3 { siz|": "size",
		// names of the program
		"let petals = 5\nloop pet|":                            "petals",
		"figure vane(length) { ahead len| }":                   "length",
		"loop lap in 1..5 { ahead la| }":                       "lap",
		"loop lap, item in [1, 2] { ahead it| }":               "item",
		"draw curve angle in 0..360 = (ang|, 2)":               "angle",
		"let f = fn(width) = wid|":                             "width",
		"let outer = 1\nloop 3 { let inner = 2; ahead inn| }":  "inner",
		"figure a() { ahead glob| }\nlet global = 3":           "global",
		"ahead glob|\nlet global = 3":                          "",
		"let double = doub|":                                   "",
		"use \"flowers.wend\" as flowers\nflow|":               "flowers",
		"use \"flowers.wend\" as flowers\nflowers.|":           "rose tall twice",
		"use \"flowers.wend\" as flowers\nlet h = flowers.ta|": "tall",
		"curves.ro|":                                              "rose",
		"draw curves.ro|(3, 40)":                                  "rose",
		"let curves = 3\ncurves.ro|":                              "round",
		"draw rotate(cur|":                                        "curves curve",
		"draw curves.circle(20).ro|":                              "rotate",
		"loop 3 { let deep = 1 }\nahead dee|":                     "",
		"figure f(side = 3) { loop 2 { loop 3 { ahead sid| } } }": "side",
		// parameters of a call
		"draw text(\"A\", hei|":                     "height: ",
		"draw text(\"A\", height: 3, hei|":          "",
		"draw text(\"A\", height: hei|":             "",
		"figure kite(breadth) { }\nkite brea|":      "breadth: ",
		"draw text(\"A\", height: 4, spac|)":        "spacing: ",
		"draw path { }.fit(wid|":                    "width: ",
		"use \"flowers.wend\" as f\nf.rose siz|":    "size: ",
		"use \"flowers.wend\" as f\nf.rose 3, siz|": "size:",
		// measures, fields, functions after a dot
		"let r = {height: 3, hue: 2}\nahead r.h|":               "height hue has",
		"let r = {height: 3}\nr.hei|":                           "height",
		"let trees = [{tall: 3}]\nloop t in trees { note t.ta|": "tall",
		"ahead page.wi|":        "width",
		"ahead here.|":          "*",
		"note \"abc\".le|":      "length",
		"note \"a {page.wi|}\"": "width",
		// units
		"ahead 20m|":  "mm",
		"turn 90d|":   "deg",
		"ahead 20mm|": "mm",
		// after a value
		"draw p a|":                   "and at",
		"let p = path { }\ndraw p a|": "and at",
		"loop i i|":                   "in",
		"loop i in 1..9 b|":           "by",
		"if true { ahead 3 } e|":      "else",
		"use \"flowers.wend\" a|":     "as",
		"if 1 < 2 a|":                 "and",
		"let x = 3 o|":                "or",
		// nothing: new names, texts, comments
		"let sid|":                      "",
		"figure ki|":                    "",
		"note \"ahe|":                   "",
		"note \"ahe|\"":                 "",
		"# ahe|":                        "",
		"ahead 3 # tur|":                "",
		"loop while tr|":                "true trim",
		"loop wh|":                      "while",
		"if page.width > 3 { } else i|": "if",
		"|":                             "*",
		"ahead |":                       "*",
		"qqq|":                          "",
	} {
		got := strings.Join(offers(t, text), " ")
		if want == "*" {
			assert.NotEmpty(t, got, text)
			continue
		}
		assert.Equal(t, strings.TrimSpace(want), strings.TrimSpace(got), text)
	}
}

func TestWhatFitsTheKindThatIsWantedStandsFirst(t *testing.T) {
	for text, first := range map[string]string{
		"let step = 3\nlet shape = path { ahead 4 }\ndraw s|":               "shape",
		"let step = 3\nlet shape = path { ahead 4 }\nahead s|":              "step",
		"let sure = true\nlet step = 3\nif s|":                              "sure",
		"let p = path { ahead 3 }\nlet pt = (2, 3)\ndraw p at p|":           "page",
		"let size = 3\nlet shape = path { ahead 1 }\ndraw rotate(s|":        "shape",
		"let size = 3\nlet shape = path { ahead 1 }\ndraw rotate(shape, s|": "size",
		"s|": "seed",
	} {
		got := offers(t, text)
		require.NotEmpty(t, got, text)
		if first != "page" {
			require.Equal(t, first, got[0], text+" "+strings.Join(got, " "))
		} else {
			require.Less(t, slices.Index(got, "pt"), slices.Index(got, "p"), text)
		}
	}
}

func TestANewLineBeginsAStatement(t *testing.T) {
	for _, text := range []string{"ahead 3\n|", "ahead 3\n\n  |", "ahead 3; |", "loop 2 {\n  ahead 3\n  |\n}", "ahead 3 # far\n|", "if true { }\n|", "|\nahead 3"} {
		require.Contains(t, offers(t, text), "turn", text)
	}
	require.NotContains(t, offers(t, "reach 3,\n|"), "turn")
	require.NotContains(t, offers(t, "let x = [\n1,\n|"), "turn")
}

func TestAnItemBringsThePageOfItsWord(t *testing.T) {
	d, place := at(t, "# A kite that stands on its tip.\nfigure kite(size, tail = 3) { }\nki|")
	items := d.Complete(place).Items
	require.Len(t, items, 1)
	require.Equal(t, []string{"kite size, tail:"}, items[0].Forms)
	require.Equal(t, "A kite that stands on its tip.", items[0].Doc)
	require.Equal(t, assist.Figure, items[0].Sort)

	d, place = at(t, "let side = 20mm\nahead sid|e")
	got := d.Complete(place)
	require.Equal(t, "a number, in mm", got.Items[0].Value)
	require.Equal(t, "sid", got.Span.Text())
}

func TestTheSignatureMarksTheParameterThatIsGiven(t *testing.T) {
	for text, want := range map[string]string{
		"arc |":                                    "arc [radius], angle",
		"arc 20, |":                                "arc radius, [angle]",
		"arc 20, 3|\nahead 3":                      "arc radius, [angle]",
		"draw rotate(|":                            "rotate([line], angle)",
		"draw rotate(p, |":                         "rotate(line, [angle])",
		"draw p.rotate(|":                          "rotate(line, [angle])",
		"draw text(\"A\", height: |":               "text(words, [height:], ",
		"figure kite(a, b = 2) { }\nkite 3, |":     "kite a, [b:]",
		"fn f(x) = x\nahead f(|)":                  "f([x])",
		"use \"flowers.wend\" as fl\nfl.rose 3, |": "fl.rose n, [size:]",
		"draw curves.rose(3, |":                    "curves.rose(k, [radius])",
		"draw curves.rose(3, |)":                   "curves.rose(k, [radius])",
		"loop 3 { arc 20, | }":                     "arc radius, [angle]",
		"ahead sin(3) + |":                         "ahead [distance]",
		"ahead max(1, (2 + 3), |":                  "max(",
		"reach |":                                  "reach [x], y",
		"note \"a {sin(|)}\"":                      "sin([",
		"let x = |":                                "",
		"x = |":                                    "",
		"ahead(3) |":                               "",
		"# arc |":                                  "",
		"ahead|":                                   "",
	} {
		d, place := at(t, text)
		s := d.Signature(place)
		if want == "" {
			require.Nil(t, s, text)
			continue
		}
		require.NotNil(t, s, text)
		f := s.Forms[s.Active]
		label := f.Label
		if f.Active >= 0 {
			p := f.Params[f.Active]
			label = label[:p.Start] + "[" + label[p.Start:p.End] + "]" + label[p.End:]
		}
		assert.True(t, strings.HasPrefix(label, want), "%s: %s", text, label)
	}
}
