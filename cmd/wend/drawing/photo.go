package drawing

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"wend/lang/diag"
	"wend/lang/source"
)

// PhotoWishes are what is said of how a photo is drawn; the zero value of each
// leaves it to `halftone`.
type PhotoWishes struct {
	Style    string
	WidthMM  float64
	Minutes  float64
	Contrast *float64
	Crop     *[4]float64 // left, bottom, right and top, 0..1 from the lower left
}

// Any reports whether anything is said.
func (w PhotoWishes) Any() bool { return w != PhotoWishes{} }

// Photo makes a photo ready: the program that PhotoProgram writes for it is what
// draws it. The result is nil if any of the list is an error.
func Photo(file *source.File, settings Settings) (*Program, diag.List) {
	// A large sheet is a lot of work, and nothing else can run away here.
	settings.High = true
	program, list := pictured(file, PhotoProgram("photo", settings.Photo), settings)
	if program != nil {
		program.photo = true
	}
	return program, list
}

// PhotoSound says what there is to say of a file as a photo, without drawing it.
func PhotoSound(ctx context.Context, file *source.File, settings Settings) diag.List {
	program, list := pictured(file, "note image(\"photo\").width\n", settings)
	if program == nil {
		return list
	}
	_, more := program.Draw(ctx)
	return append(list, more...)
}

// PhotoProgram is the program that draws a photo as one line in the middle of the
// page.
func PhotoProgram(name string, w PhotoWishes) string {
	var b strings.Builder
	b.WriteString("# " + filepath.Base(name) + " as one line.\n")
	picture := "image(" + Literal(filepath.ToSlash(name)) + ")"
	if c := w.Crop; c != nil {
		picture = fmt.Sprintf("crop(%s, (%v, %v), (%v, %v))", picture, c[0], c[1], c[2], c[3])
	}
	b.WriteString("let photo = " + picture + "\n")
	b.WriteString("let line = halftone(photo")
	if w.Style != "" {
		b.WriteString(", style: " + Literal(w.Style))
	}
	for _, number := range []struct {
		name string
		said bool
		is   float64
	}{{"width", w.WidthMM != 0, w.WidthMM}, {"minutes", w.Minutes != 0, w.Minutes}} {
		if number.said {
			fmt.Fprintf(&b, ", %s: %v", number.name, number.is)
		}
	}
	if w.Contrast != nil {
		fmt.Fprintf(&b, ", contrast: %v", *w.Contrast)
	}
	b.WriteString(")\ndraw centered(line) at page.center\n")
	return b.String()
}
