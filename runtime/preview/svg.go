package preview

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"wend/runtime/geom"
)

// SVG writes the line as one path, true to scale: the size is given in mm and
// a unit is a µm, so that every coordinate is a whole number and steps from
// vertex to vertex add up exactly. The picture is the area; title and
// description say in words what is drawn, metadata the seed that draws it
// again. The paper is a background in CSS, so that the line is read on light
// and dark alike and no shape of the file stands for paper.
func SVG(w io.Writer, pic Picture, seed uint64) error {
	if err := pic.check(); err != nil {
		return err
	}
	area := pic.Page.area()
	// y points down in SVG: the page's upper edge is 0.
	left, top := thousandths(area.Min.X), -thousandths(pic.Page.MarginMM)
	width, height := thousandths(area.Width()), thousandths(area.Height())
	line := newOutline(pic)

	out := bufio.NewWriterSize(w, 1<<16)
	title := pic.Title
	if title == "" {
		title = "A drawing in one line"
		if pic.Source != "" {
			title = pic.Source + titleEnd
		}
	}
	fmt.Fprintf(out, `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="%smm" height="%smm" viewBox="%d %d %d %d" style="background:#%06x" role="img" aria-labelledby="title description">
<title id="title">%s</title>
<desc id="description">%s</desc>
<metadata>seed %d</metadata>
`, micrometres(width), micrometres(height), left, top, width, height, paperTone, escaped(title), escaped(line.words(pic)), seed)
	if line.any {
		fmt.Fprintf(out, `<path fill="none" stroke="#%06x" stroke-width="%d" stroke-linecap="round" stroke-linejoin="round" d="`,
			graphite, max(1, thousandths(pic.LineWidthMM)))
		line.path(out, pic)
		out.WriteString("\"/>\n")
	}
	out.WriteString("</svg>\n")
	return out.Flush()
}

func micrometres(n int64) string { return string(appendMillionths(nil, n*1000)) }

func escaped(text string) string {
	var s strings.Builder
	// Writing to a strings.Builder cannot fail.
	_ = xml.EscapeText(&s, []byte(strings.ToValidUTF8(text, "\uFFFD")))
	return s.String()
}

// outline is a line measured.
type outline struct {
	first, last geom.Point
	any         bool
	box         geom.Box
	length      float64
}

func newOutline(pic Picture) outline {
	o := outline{box: geom.EmptyBox()}
	for _, p := range pic.Points {
		p, ok := sound(p)
		if !ok {
			continue
		}
		if !o.any {
			o.first, o.any = p, true
		} else {
			o.length += o.last.Distance(p)
		}
		o.last = p
		o.box = o.box.Include(p)
	}
	return o
}

// words describe the line to somebody who cannot see it.
func (o outline) words(pic Picture) string {
	tenth := func(v float64) string { return strconv.FormatFloat(v, 'f', 1, 64) }
	page := fmt.Sprintf("The page is %s mm wide and %s mm high, with a margin of %s mm; (0, 0) is its lower left.",
		micrometres(thousandths(pic.Page.WidthMM)), micrometres(thousandths(pic.Page.HeightMM)), micrometres(thousandths(pic.Page.MarginMM)))
	if !o.any {
		return "No line is drawn. " + page
	}
	text := fmt.Sprintf("One continuous line, %s mm long. It begins at (%s) and ends at (%s). It lies between %s and %s mm across and between %s and %s mm up. %s",
		tenth(o.length), coordinates(o.first), coordinates(o.last),
		tenth(o.box.Min.X), tenth(o.box.Max.X), tenth(o.box.Min.Y), tenth(o.box.Max.Y), page)
	if pic.Text != "" {
		text = pic.Text + ". " + text
	}
	return text
}

// path writes the vertices as whole µm, each relative to the one before.
func (o outline) path(out *bufio.Writer, pic Picture) {
	top := thousandths(pic.Page.HeightMM)
	var x, y int64
	begun, moved := false, false
	var step []byte
	for _, p := range pic.Points {
		p, ok := sound(p)
		if !ok {
			continue
		}
		px, py := thousandths(p.X), top-thousandths(p.Y)
		dx, dy := px-x, py-y
		switch {
		case !begun:
			step = append(step[:0], 'M')
		case dx == 0 && dy == 0:
			continue
		case !moved:
			step, moved = append(step[:0], 'l'), true
		default:
			step = step[:0]
			if dx >= 0 {
				step = append(step, ' ')
			}
		}
		begun = true
		step = strconv.AppendInt(step, dx, 10)
		if dy >= 0 {
			step = append(step, ' ')
		}
		step = strconv.AppendInt(step, dy, 10)
		out.Write(step)
		x, y = px, py
	}
	if begun && !moved {
		out.WriteString("h0") // a dot: round caps need a path that goes somewhere
	}
}
