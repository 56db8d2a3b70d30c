package render

import (
	"wend/lang/diag"
	"wend/lang/source"
)

// Diagnostic is the JSON form of one diagnostic. Its fields are a promise:
// they may be added to, not renamed.
type Diagnostic struct {
	Code     diag.Code `json:"code"`
	Severity string    `json:"severity"`
	Message  string    `json:"message"`
	Hint     string    `json:"hint"`
	File     string    `json:"file"`
	Start    Position  `json:"start"`
	End      Position  `json:"end"`
	Related  []Related `json:"related"`
	Edits    []Edit    `json:"edits"`
	Trail    []Related `json:"trail"`
}

// Position counts lines and characters from 1, bytes from 0. All are 0 where
// no place in a text is meant, but a whole file or none.
type Position struct {
	Line   int `json:"line"`
	Column int `json:"column"`
	Offset int `json:"offset"`
}

// Related is a second place with what it has to do with the first.
type Related struct {
	Text  string   `json:"text"`
	File  string   `json:"file"`
	Start Position `json:"start"`
	End   Position `json:"end"`
}

// Edit replaces the text between two positions.
type Edit struct {
	File    string   `json:"file"`
	Start   Position `json:"start"`
	End     Position `json:"end"`
	Text    string   `json:"text"`
	Certain bool     `json:"certain"`
}

// JSON is the list in the form to be encoded; never nil.
func JSON(list diag.List) []Diagnostic {
	out := make([]Diagnostic, 0, len(list))
	for _, d := range list {
		file, start, end := place(d.Span)
		if !d.Span.Known() {
			file = d.File
		}
		j := Diagnostic{
			Code: d.Code, Severity: d.Severity.String(), Message: d.Message, Hint: d.Hint,
			File: file, Start: start, End: end,
			Related: make([]Related, 0, len(d.Related)),
			Edits:   make([]Edit, 0, len(d.Edits)),
			Trail:   make([]Related, 0, len(d.Trail)),
		}
		for _, r := range d.Related {
			j.Related = append(j.Related, related(r.Span, r.Text))
		}
		for _, e := range d.Edits {
			file, start, end := place(e.Span)
			j.Edits = append(j.Edits, Edit{file, start, end, e.Text, e.Certain})
		}
		for _, f := range d.Trail {
			j.Trail = append(j.Trail, related(f.Span, f.Text))
		}
		out = append(out, j)
	}
	return out
}

func related(span source.Span, text string) Related {
	file, start, end := place(span)
	return Related{text, file, start, end}
}

func place(span source.Span) (file string, start, end Position) {
	if !span.Known() {
		return "", Position{}, Position{}
	}
	return span.File.Name, Position(span.From()), Position(span.Until())
}
