package preview

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"wend/runtime/geom"
)

// Inline writes a picture as an SVG to stand in a page of HTML: a view of the page,
// in page mm, with the line, its dimensions, and the edge of the page if all of it is in view, true
// to scale. The label says in
// words what is shown.
func Inline(w io.Writer, pic Picture, view geom.Box, dimensions []Dimension, label string) error {
	if err := pic.check(); err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	left, top := thousandths(view.Min.X), thousandths(pic.Page.HeightMM-view.Max.Y)
	width, height := thousandths(view.Width()), thousandths(view.Height())
	fmt.Fprintf(out, `<svg role="img" aria-label="%s" style="width:%smm;height:%smm" viewBox="%d %d %d %d">`,
		escaped(label), micrometres(width), micrometres(height), left, top, width, height)
	if view.Union(pic.Page.Box()) == view {
		fmt.Fprintf(out, `<rect fill="none" stroke="#b9b6ae" stroke-width="200" width="%d" height="%d"/>`,
			thousandths(pic.Page.WidthMM), thousandths(pic.Page.HeightMM))
	}
	line := newOutline(pic)
	if line.any {
		fmt.Fprintf(out, `<path fill="none" stroke="#%06x" stroke-width="%d" stroke-linecap="round" stroke-linejoin="round" d="`, graphite, max(1, thousandths(pic.LineWidthMM)))
		line.path(out, pic)
		out.WriteString(`"/>`)
	}
	if len(dimensions) > 0 {
		fmt.Fprintf(out, `<g fill="none" stroke="#%06x" stroke-width="180">`, blue)
		for _, d := range dimensions {
			for _, points := range d.Lines {
				out.WriteString(`<path d="`)
				thin := pic
				thin.Points = points
				newOutline(thin).path(out, thin)
				out.WriteString(`"/>`)
			}
		}
		fmt.Fprintf(out, `</g><g fill="#%06x" font-size="%d" text-anchor="middle" font-family="sans-serif">`, blue, int(wordsHeightMM*1000))
		for _, d := range dimensions {
			if d.Words != "" {
				fmt.Fprintf(out, `<text x="%d" y="%d">%s</text>`, thousandths(d.At.X), thousandths(pic.Page.HeightMM-d.At.Y+0.36*wordsHeightMM), escaped(d.Words))
			}
		}
		out.WriteString(`</g>`)
	}
	out.WriteString("</svg>\n")
	return out.Flush()
}

// wordsHeightMM is the size of words beside dimensions: 3.5 mm is a usual height of
// lettering (ISO 3098 has it among its sizes; from memory).
const wordsHeightMM = 3.5

// A sheet of paper to print on, A4 (ISO 216), and how much of it printers reach, mm.
const (
	paperShort, paperLong = 210.0, 297.0
	paperEdge             = 12.0
)

// Printed writes a page of HTML to print: the drawing at true size, and the program
// that draws it, if there is one. A drawing that is larger than A4 asks for larger
// paper.
func Printed(w io.Writer, pic Picture, program string) error {
	if err := pic.check(); err != nil {
		return err
	}
	area := pic.Page.area()
	paper := "A4 portrait"
	switch across, up := area.Width()+2*paperEdge, area.Height()+2*paperEdge+30; {
	case across <= paperShort && up <= paperLong:
	case across <= paperLong && up <= paperShort:
		paper = "A4 landscape"
	default:
		paper = fmt.Sprintf("%.0fmm %.0fmm", math.Ceil(max(across, 120)), math.Ceil(up))
	}
	title := pic.Title
	if title == "" {
		title = pic.Source
	}
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<title id="title">%s</title>
<style>
@page { size: %s; margin: %gmm }
body { font: 11pt/1.4 sans-serif; color: #222; margin: 0 }
h1 { font-size: 15pt; margin: 0 0 3mm }
figure { margin: 0; break-inside: avoid }
svg { display: block }
.rule { width: 50mm; border-top: .3mm solid #222; font-size: 9pt; margin-top: 3mm; padding-top: 1mm }
pre { font: 10pt/1.35 monospace; white-space: pre-wrap; border-top: .2mm solid #999; padding-top: 3mm; margin-top: 5mm }
</style>
<h1>%s</h1>
<figure>
`, escaped(pic.Source+titleEnd), paper, paperEdge, escaped(title))
	if err := Inline(out, pic, area, nil, newOutline(pic).words(pic)); err != nil {
		return err
	}
	out.WriteString("</figure>\n<p class=\"rule\">50 mm, if it is printed at true size</p>\n")
	if program != "" {
		fmt.Fprintf(out, "<pre>%s</pre>\n", strings.TrimRight(escaped(program), "\n"))
	}
	out.WriteString("</html>\n")
	return out.Flush()
}
