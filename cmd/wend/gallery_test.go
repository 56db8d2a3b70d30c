package main

import (
	"fmt"
	"strings"

	"wend/runtime/gcode"
)

// A piece of the gallery, as examples/README.md tells of it.
type piece struct {
	name, idea      string
	lineMM, addedMM float64
	seconds         float64
}

// idea is the first sentence of the comment at the top of a program.
func idea(text string) string {
	var about []string
	for line := range strings.Lines(text) {
		comment, ok := strings.CutPrefix(line, "#")
		if !ok {
			break
		}
		about = append(about, strings.TrimSpace(comment))
	}
	first, _, _ := strings.Cut(strings.Join(about, " "), ". ")
	return strings.TrimSuffix(first, ".") + "."
}

// galleryPage shows all pieces, three to a row.
func galleryPage(pieces []piece) string {
	const across = 3
	var out strings.Builder
	out.WriteString("# Gallery\n\nEvery picture is one line. Below each stand its length, how long the built-in desk toy draws, and how much of the line was added to reach separate parts. " +
		"`wend new NAME.wend --from PIECE` starts from one. This page and its pictures are made by `go test ./cmd/wend -run SameBytes -update`; where the pictures and data that some pieces use come from: [SOURCE.md](SOURCE.md).\n\n")
	out.WriteString("|" + strings.Repeat(" |", across) + "\n|" + strings.Repeat(" --- |", across) + "\n")
	for i, p := range pieces {
		added := "nothing added"
		if p.addedMM >= 0.5 {
			added = fmt.Sprintf("%.0f mm added", p.addedMM)
		}
		fmt.Fprintf(&out, "| ![%s](%s.png)<br>[**%s**](%s.wend) %s<br>%.1f m, %s, %s ", p.name, p.name, p.name, p.name, p.idea, p.lineMM/1000, gcode.Duration(p.seconds), added)
		if i%across == across-1 || i == len(pieces)-1 {
			out.WriteString(strings.Repeat("| ", across-1-i%across) + "|\n")
		}
	}
	return out.String()
}
