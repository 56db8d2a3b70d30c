package engine

import (
	"context"
	"path/filepath"
	"strings"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/plan"
)

// Picture makes a drawing from elsewhere ready (SVG): the program that
// PictureProgram writes for it is what draws it. The result is nil if any of the
// list is an error.
func Picture(file *source.File, settings Settings) (*Program, diag.List) {
	return pictured(file, PictureProgram("drawing.svg", settings.Fills), settings)
}

// pictured makes the program ready that draws a file from elsewhere.
func pictured(file *source.File, program string, settings Settings) (*Program, diag.List) {
	settings.Read = func(string, string) (*source.File, error) { return file, nil }
	text := source.New("<drawing>", program)
	ready, list := Load(text, settings)
	if ready == nil {
		return nil, list
	}
	ready.text, ready.name, ready.picture = nil, file.Name, text
	return ready, list
}

// PictureProgram is the program that draws a drawing from elsewhere as one line,
// as large as the page allows and in its middle. fills is what is said of
// fills, or "".
func PictureProgram(name, fills string) string {
	var b strings.Builder
	b.WriteString("# " + filepath.Base(name) + " as one line, as large as the page allows.\n")
	file := Literal(filepath.ToSlash(name))
	if fills == "hatch" {
		// Rows are so far apart once the drawing is as large as the page.
		b.WriteString("let size = drawing(" + file + ").bounds\nlet scale = max(size.width / page.width, size.height / page.height)\n")
	}
	b.WriteString("let strokes = drawing(" + file)
	if fills != "" {
		b.WriteString(", fills: " + Literal(fills))
	}
	if fills == "hatch" {
		b.WriteString(", spacing: 2 * scale")
	}
	b.WriteString(")\nlet line = weave(fit(strokes, page.width, page.height))\ndraw centered(line) at page.center\n")
	return b.String()
}

// FromElsewhere reports whether the line comes from an instruction file or a
// drawing rather than from a program of one's own.
func (p *Program) FromElsewhere() bool { return p.traced != nil || p.picture != nil }

// Pictured reports whether the line comes from a drawing.
func (p *Program) Pictured() bool { return p.picture != nil && !p.photo }

// Photographed reports whether the line comes from a photo.
func (p *Program) Photographed() bool { return p.photo }

// drawPicture draws the program of a picture. Nobody has seen that program, so
// what there is to say is said of the file, and pieces of line come from no
// place.
func (p *Program) drawPicture(ctx context.Context) (*plan.Plan, diag.List) {
	drawn, list := p.draw(ctx, p.options())
	if drawn != nil {
		for i := range drawn.Places {
			drawn.Places[i].Span = source.Span{}
		}
		for _, sheet := range drawn.Sheets {
			sheet.Beginning = source.Span{}
		}
	}
	for i := range list {
		d := &list[i]
		d.Trail, d.Related = nil, nil
		switch d.Code {
		case "too-many-operations", "too-many-points", "too-much-memory":
			if p.Pictured() {
				*d = diag.New("drawing-work", d.Span, diag.Args{"name": p.name})
			}
		}
		if d.Span.File == p.picture {
			d.Span, d.File, d.Edits = source.Span{}, p.name, nil
		}
	}
	return drawn, list
}
