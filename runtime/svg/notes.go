package svg

import (
	"slices"

	"wend/lang/diag"
	"wend/lang/source"
)

// notes collects what a drawing has that is not drawn as it was meant: once for
// each kind of thing, with its first place.
type notes struct {
	file *source.File
	list []note
}

type note struct {
	thing string
	what  string
	span  source.Span
	count int
}

// thing is what a kind of note says.
type thing struct {
	code   diag.Code
	effect string
	hint   string
}

// things are all kinds of notes.
var things = map[string]thing{
	"text":       {"drawing-left-out", "is left out", "turn it into paths in the program that the drawing comes from, or write it in wend with `text`"},
	"image":      {"drawing-left-out", "is left out", "a picture of pixels has no lines"},
	"foreign":    {"drawing-left-out", "is left out", "it is no drawing, but a document within one"},
	"element":    {"drawing-left-out", "is left out", "SVG 2 knows no such element"},
	"gradient":   {"drawing-left-out", "has no line; its shape is drawn", ""},
	"pattern":    {"drawing-left-out", "has no line here; its shape is drawn", "turn it into shapes in the program that the drawing comes from"},
	"filter":     {"drawing-left-out", "is not applied; what it is for is drawn without", ""},
	"mask":       {"drawing-left-out", "is not applied; what it is for is drawn whole", "a clip path is applied: make one of the mask"},
	"marker":     {"drawing-left-out", "is left out", "turn it into shapes in the program that the drawing comes from"},
	"animation":  {"drawing-left-out", "is not played; the drawing is as the file has it", ""},
	"dashes":     {"drawing-left-out", "is too fine to be seen; the line is drawn whole", ""},
	"background": {"drawing-left-out", "is left out, since it has no edge within the drawing", ""},
	"outside":    {"drawing-left-out", "lies outside its page, and is drawn all the same", "an editor can fit the page to the drawing"},
	"reference":  {"drawing-left-out", "names nothing in this file, and is left out", "only what stands in the file itself is drawn"},
	"attribute":  {"drawing-unreadable", "cannot be read, and is passed over", ""},
	"path":       {"drawing-unreadable", "the path is drawn up to here", ""},
	"selector":   {"drawing-unreadable", "is passed over", "selectors of elements, classes, ids and what stands within them are read"},
	"rule":       {"drawing-unreadable", "is passed over", "style that depends on a medium, or stands in another file, is not read"},
}

// add notes something at the tag of an element.
func (n *notes) add(thing string, e *element, what string) {
	n.addAt(thing, source.Span{File: n.file, Start: e.start, End: e.end}, what)
}

func (n *notes) addAt(thing string, span source.Span, what string) {
	for i := range n.list {
		if n.list[i].thing == thing {
			n.list[i].count++
			return
		}
	}
	n.list = append(n.list, note{thing, what, span, 1})
}

// faults are the notes as warnings, in the order of their places.
func (n *notes) faults() []*diag.Fault {
	list := slices.Clone(n.list)
	slices.SortStableFunc(list, func(a, b note) int { return a.span.Start - b.span.Start })
	all := make([]*diag.Fault, len(list))
	for i, note := range list {
		kind, more := things[note.thing], ""
		if note.count > 1 {
			more = " (and " + diag.Grouped(note.count-1) + " more like it)"
		}
		all[i] = &diag.Fault{Code: kind.code, Hint: kind.hint, Span: note.span, Args: diag.Args{"what": note.what, "effect": kind.effect, "more": more}}
	}
	return all
}

// valueSpan is where a part of the value of an attribute stands; the whole tag
// if it cannot be told, since the file writes it with entities.
func (d *Document) valueSpan(e *element, name string, from, to int) source.Span {
	tag := d.file.Text[e.start:e.end]
	whole := source.Span{File: d.file, Start: e.start, End: e.end}
	value := e.attribute(name)
	for at := 0; at < len(tag); at++ {
		if c := tag[at]; c != '"' && c != '\'' {
			continue
		}
		quote := tag[at]
		before := at
		for before > 0 && (isBlank(tag[before-1]) || tag[before-1] == '=') {
			before--
		}
		end := at + 1
		for end < len(tag) && tag[end] != quote {
			end++
		}
		if before >= len(name) && tag[before-len(name):before] == name && before > len(name) && (isBlank(tag[before-len(name)-1]) || tag[before-len(name)-1] == ':') {
			if tag[at+1:end] != value {
				return whole
			}
			start := e.start + at + 1
			return source.Span{File: d.file, Start: start + from, End: start + to}
		}
		at = end
	}
	return whole
}
