package assist

import (
	"fmt"

	"wend/lang/diag"
)

// Mend is one way to mend a fault, as an editor offers it.
type Mend struct {
	Title   string
	Edit    diag.Edit
	Message diag.Diagnostic // what it mends
}

// Mends are the edits of the messages about a part of the text, from the first to
// the last offset. Those that change another file are left out.
func (d *Document) Mends(list diag.List, first, last int) []Mend {
	var all []Mend
	for _, message := range list {
		if !d.about(message) || message.Span.End < first || last < message.Span.Start {
			continue
		}
		for _, e := range message.Edits {
			if e.Span.File != nil && e.Span.File.Name == d.source().Name {
				all = append(all, Mend{Title: title(e), Edit: e, Message: message})
			}
		}
	}
	return all
}

// About are the messages about an offset.
func (d *Document) About(list diag.List, at int) diag.List {
	var found diag.List
	for _, message := range list {
		if d.about(message) && message.Span.Start <= at && at <= message.Span.End {
			found = append(found, message)
		}
	}
	return found
}

// about reports whether a message is about the text.
func (d *Document) about(message diag.Diagnostic) bool {
	return message.Span.File != nil && message.Span.File.Name == d.source().Name
}

// title says what an edit does.
func title(e diag.Edit) string {
	switch old := e.Span.Text(); {
	case old == "":
		return fmt.Sprintf("Put in `%s`", e.Text)
	case e.Text == "":
		return fmt.Sprintf("Leave out `%s`", old)
	default:
		return fmt.Sprintf("Write `%s` in place of `%s`", e.Text, old)
	}
}
