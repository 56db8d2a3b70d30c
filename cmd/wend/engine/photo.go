package engine

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/stdlib"
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
	if err := photoFits(file, settings); err != nil {
		return nil, Faults(err)
	}
	// A large sheet is a lot of work, and nothing else can run away here.
	settings.High = true
	program, list := pictured(file, PhotoProgram(file.Name, settings.Photo), settings)
	if program != nil {
		program.photo = true
	}
	return program, list
}

// photoFits is the fault of a photo that is to be wider or higher than the page.
// That is known before any of it is drawn. What is no picture passes: to draw it
// says why.
func photoFits(file *source.File, settings Settings) error {
	w := settings.Photo
	across, up, err := stdlib.PictureSize(file.Text)
	if err != nil || w.WidthMM == 0 {
		return nil //nolint:nilerr // said where it is read
	}
	aspect := float64(up) / float64(across)
	if c := w.Crop; c != nil {
		aspect *= (c[3] - c[1]) / (c[2] - c[0])
	}
	page := settings.Profile.Page()
	if w.WidthMM <= page.Width()+geom.SamePoint && w.WidthMM*aspect <= page.Height()+geom.SamePoint {
		return nil
	}
	most := math.Floor(min(page.Width(), page.Height()/aspect)*10) / 10
	return &diag.Fault{Code: "photo-page", File: file.Name, Args: diag.Args{
		"name": file.Name, "width": diag.Tenths(w.WidthMM), "height": diag.Tenths(w.WidthMM * aspect), "across": diag.Tenths(page.Width()), "up": diag.Tenths(page.Height()), "most": diag.Tenths(most),
	}}
}

// PhotoSound says what there is to say of a file as a photo, without drawing it.
func PhotoSound(ctx context.Context, file *source.File, settings Settings) diag.List {
	program, list := pictured(file, "note image("+Literal(filepath.ToSlash(file.Name))+").width\n", settings)
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
