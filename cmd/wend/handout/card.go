package handout

import (
	"context"
	"fmt"
	"html"
	"io"
	"strings"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/lesson"
	"wend/lang/source"
	"wend/lang/words"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// cardWord is a word of the card: how it is written, what it does, and a program
// whose picture shows it.
type cardWord struct{ form, does, shows string }

// cardWords are the words of the lessons in the order in which they are met.
var cardWords = []cardWord{
	{"begin 30, 40", "start here", "draw curves.circle(1.5) at (30, 16)\n"},
	{"ahead 50", "go 50 mm", "begin 5, 15\nahead 50\n"},
	{"turn 90", "turn left; -90 is right", "begin 5, 5\nahead 35\nturn 90\nahead 20\n"},
	{"face 60", "look that way: 0 right, 90 up", "begin 5, 5\nface 60\nahead 28\n"},
	{"reach 60, 20", "go straight to a place", "begin 5, 5\nreach 60, 25\n"},
	{"arc 15, 180", "along a circle: radius, turn", "begin 25, 5\narc 12, 180\n"},
	{"loop 6 { … }", "do it 6 times", "begin 20, 5\nloop 6 {\n ahead 14\n turn 60\n}\n"},
	{"loop i in 1..5 { … }", "i is 1, 2, 3, 4, 5", "begin 5, 4\nloop i in 1..5 {\n shift 0, i * 5\n shift 5, 0\n shift 0, -i * 5\n shift 5, 0\n}\n"},
	{"figure leaf(size) { … }", "how a leaf is drawn", "figure leaf(size) {\n arc size, 60\n turn 120\n arc size, 60\n turn 120\n}\nbegin 10, 5\nleaf 30\n"},
	{"leaf 20", "draw it, with size 20", "figure leaf(size) {\n arc size, 60\n turn 120\n arc size, 60\n turn 120\n}\nbegin 30, 15\nloop 5 {\n leaf 15\n turn 72\n}\n"},
	{"let side = 5", "a name for a number", "let side = 5\nbegin 30, 14\nloop 8 {\n ahead side\n turn 90\n side += 3\n}\n"},
	{"side = side + 5", "change what it holds", "let step = 2\nbegin 5, 15\nloop 8 {\n shift step, 8\n shift step, -8\n step += 0.6\n}\n"},
	{"side * sqrt(2)", "the way across a square", "begin 18, 4\nreach 42, 4\nreach 42, 28\nreach 18, 28\nreach 18, 4\nreach 42, 28\n"},
	{"if i > 3 { … } else { … }", "this or that", "begin 4, 5\nloop i in 1..6 {\n if i > 3 {\n shift 0, 24\n shift 5, 0\n shift 0, -24\n } else {\n shift 0, 10\n shift 5, 0\n shift 0, -10\n }\n shift 4, 0\n}\n"},
	{"mod(i, 3) == 0", "every third", "begin 4, 5\nloop i in 1..6 {\n if mod(i, 3) == 0 {\n shift 0, 24\n shift 5, 0\n shift 0, -24\n } else {\n shift 0, 10\n shift 5, 0\n shift 0, -10\n }\n shift 4, 0\n}\n"},
	{"random(5, 20)", "a number by chance", "begin 4, 5\nloop 9 {\n let high = random(3, 24)\n shift 0, high\n shift 6, 0\n shift 0, -high\n}\n"},
	{"seed 3", "another order of chance", "seed 8\nbegin 4, 5\nloop 9 {\n let high = random(3, 24)\n shift 0, high\n shift 6, 0\n shift 0, -high\n}\n"},
	{"branch { … }", "there, and back unseen", "begin 30, 2\nface 90\nahead 12\nbranch {\n turn 40\n ahead 16\n}\nbranch {\n turn -40\n ahead 16\n}\nahead 12\n"},
	{"draw curve t in 0..360 = (t / 6, 9 * sin(t)) at (0, 15)", "a rule for each t", "draw curve t in 0..360 = (t / 6, 9 * sin(t)) at (2, 15)\n"},
	{"draw text(\"MIA\", height: 20) at (5, 5)", "write", "draw text(\"MIA\", height: 20) at (8, 5)\n"},
	{"path { … }", "a line as a value", "draw path {\n loop 5 {\n  ahead 26\n  turn -144\n }\n} at (16, 21)\n"},
	{"draw weave([a, b]) at page.center", "many parts made one", "draw weave([curves.circle(12), move(curves.circle(12), (14, 0))]) at (24, 15)\n"},
	{"note 2 * 30", "tell me a number", ""},
	{"# a word to you", "wend does not read it", ""},
}

// The pictures of the card: a part of the page, mm, and how much smaller it is.
const (
	cardWide, cardHigh = 66.0, 32.0
	cardScale          = 0.6
)

// Card writes the words of the lessons on one side of A4, each with a picture.
func Card(ctx context.Context, w io.Writer) error {
	open(w, "The words of wend", fmt.Sprintf(`@page { margin: 9mm }
body { max-width: 190mm; font-size: 8.5pt; line-height: 1.25 }
h1 { font-size: 13pt; margin: 0 0 2mm }
ol { list-style: none; margin: 0; padding: 0; display: grid; grid-template-columns: repeat(4, 1fr); gap: 1.2mm }
li { border: .2mm solid #aaa; padding: 1mm 1.5mm; height: 33mm; overflow: hidden; box-sizing: border-box; break-inside: avoid }
li code { white-space: normal; font-weight: bold; font-size: 8pt; overflow-wrap: anywhere }
svg { width: %.2fmm !important; height: %.2fmm !important; margin: .5mm 0 }
.terms { columns: 3; column-gap: 5mm; margin-top: 2mm; font-size: 6.7pt; line-height: 1.18 }
.terms p { margin: 0 0 .4mm; break-inside: avoid }
`, cardWide*cardScale, cardHigh*cardScale))
	io.WriteString(w, "<h1>The words of wend</h1>\n<ol>\n")
	for _, word := range cardWords {
		fmt.Fprintf(w, "<li><code>%s</code> %s", html.EscapeString(word.form), html.EscapeString(word.does))
		if word.shows != "" {
			a := lesson.Try(ctx, source.New("<card>", word.shows), engine.Settings{Profile: machine.DeskToy()})
			if !a.Drawn() {
				if err := ctx.Err(); err != nil {
					return err
				}
				return fmt.Errorf("the picture of `%s` has no line", word.form)
			}
			pic := a.Picture()
			pic.LineWidthMM = 0.8
			view := geom.Box{Max: geom.Point{X: cardWide, Y: cardHigh}}
			if err := preview.Inline(w, pic, view, nil, "what `"+word.form+"` draws"); err != nil {
				return err
			}
		}
		io.WriteString(w, "</li>\n")
	}
	io.WriteString(w, "</ol>\n<div class=\"terms\">\n")
	for _, term := range words.Glossary() {
		fmt.Fprintf(w, "<p><b>%s</b> %s</p>\n", html.EscapeString(term.Word), marked(strings.TrimSpace(term.Means)))
	}
	_, err := io.WriteString(w, "</div>\n</html>\n")
	return err
}
