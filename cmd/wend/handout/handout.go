// Package handout makes the pages that a teacher prints: lessons with their
// sketches at true size, and the card of words with pictures. They are HTML that
// stands by itself, nothing is fetched, and it prints on A4.
package handout

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"io"
	"strings"

	"wend/cmd/wend/lesson"
	"wend/runtime/preview"
)

// style is how pages look, on a screen and on paper. Margins are on the page, so
// that sizes in mm are those on paper.
const style = `@page { size: A4 portrait; margin: 12mm 14mm }
body { font: 12pt/1.45 sans-serif; color: #222; margin: 0 auto; max-width: 182mm }
h1 { font-size: 20pt; margin: 0 0 4mm }
h2 { font-size: 14pt; margin: 6mm 0 2mm; break-after: avoid }
p, ul, ol { margin: 0 0 3mm; orphans: 3; widows: 3 }
code, pre { font-family: monospace; font-size: .95em }
code { white-space: nowrap }
pre { border: .25mm solid #999; padding: 2mm 3mm; break-inside: avoid }
section { break-inside: avoid; margin-top: 5mm }
svg { display: block; margin: 2mm 0 }
.note { break-before: page }
.rule { width: 50mm; border-top: .3mm solid #222; font-size: 9pt; padding-top: 1mm }
`

// aroundMM is how much is shown around the page of a sketch: dimensions may stand
// there.
const aroundMM = 1.0

func open(w io.Writer, title, more string) {
	fmt.Fprintf(w, "<!doctype html>\n<html lang=\"en\">\n<meta charset=\"utf-8\">\n"+generator+"\n<title>%s</title>\n<style>\n%s%s</style>\n", html.EscapeString(title), style, more)
}

// generator says in a page that wend made it.
const generator = `<meta name="generator" content="wend">`

// Written reports whether a page was made here, of which the first few kilobytes
// are given.
func Written(head []byte) bool { return bytes.Contains(head, []byte(generator)) }

// Lesson writes the page of a lesson, its program and its tasks, and on a page of its
// own, if it is wanted, the note for the teacher.
func Lesson(ctx context.Context, w io.Writer, l lesson.Lesson, teacher bool) error {
	title := fmt.Sprintf("Lesson %d: %s", l.Number, l.Title)
	open(w, title, "")
	fmt.Fprintf(w, "<h1>%s</h1>\n<pre>%s</pre>\n%s", html.EscapeString(title), html.EscapeString(strings.TrimRight(l.Start, "\n")), prose(l.Page))
	for _, t := range l.Tasks {
		fmt.Fprintf(w, "<section>\n<h2>%s&ensp;%s</h2>\n<p>%s</p>\n", t.ID(), html.EscapeString(t.Title), marked(t.Ask))
		if len(t.Mixed) > 0 {
			fmt.Fprintf(w, "<pre>%s</pre>\n", html.EscapeString(strings.Join(t.Mixed, "\n")))
		}
		if t.HasSketch() {
			sketch, err := t.Sketch(ctx)
			if err != nil {
				return err
			}
			pic := sketch.Picture()
			if err := preview.Inline(w, pic, pic.Page.Box().Grow(aroundMM), sketch.Dimensions, t.Title+": "+t.Told()); err != nil {
				return err
			}
		}
		io.WriteString(w, "</section>\n")
	}
	io.WriteString(w, "<p class=\"rule\">50 mm, if it is printed at true size</p>\n")
	if teacher {
		fmt.Fprintf(w, "<div class=\"note\">\n<h1>For the teacher</h1>\n%s</div>\n", prose(l.Teacher))
	}
	_, err := io.WriteString(w, "</html>\n")
	return err
}

// prose is the Markdown of lessons, which has headings, paragraphs, rows with a dash
// and words of programs, and nothing else.
func prose(markdown string) string {
	var out strings.Builder
	list := false
	for _, block := range lesson.Blocks(markdown) {
		if list && block.Sort != "item" {
			out.WriteString("</ul>\n")
			list = false
		}
		switch block.Sort {
		case "heading":
			out.WriteString("<h2>" + marked(block.Text) + "</h2>\n")
		case "item":
			if !list {
				out.WriteString("<ul>\n")
				list = true
			}
			out.WriteString("<li>" + marked(block.Text) + "</li>\n")
		default:
			out.WriteString("<p>" + marked(block.Text) + "</p>\n")
		}
	}
	if list {
		out.WriteString("</ul>\n")
	}
	return out.String()
}

// marked is a text with its words of programs marked.
func marked(text string) string {
	parts := strings.Split(html.EscapeString(text), "`")
	for i := 1; i < len(parts); i += 2 {
		parts[i] = "<code>" + parts[i] + "</code>"
	}
	return strings.Join(parts, "")
}
