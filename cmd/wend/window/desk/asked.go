package desk

import (
	"context"
	"fmt"
	"strings"

	"wend/lang/assist"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
)

// ask answers what the page wants to know about a place of a text.
func (d *Desk) ask(_ context.Context, r Request) error {
	u, doc := d.assisted(r)
	a := Answer{Type: "answer", ID: r.ID}
	at := u.offset(r.At)
	switch r.What {
	case "complete":
		completions := doc.Complete(at)
		a.From, a.To = u.span(completions.Span)
		for _, item := range completions.Items {
			a.Items = append(a.Items, Item{item.Name, item.Insert, strings.Join(item.Forms, " · "), item.Sort.String()})
		}
	case "hover":
		if hover := doc.Hover(at); hover != nil {
			a.From, a.To = u.span(hover.Span)
			a.Title, a.Body, a.Example = hover.Name, paragraphs(hover.Page), hover.Example
		}
	case "signature":
		if call := doc.Signature(at); call != nil && call.Active < len(call.Forms) {
			a.Title, a.Body = call.Forms[call.Active].Label, []string{call.Doc}
		}
	case "definition":
		if span, ok := doc.Definition(at); ok {
			a.Spans = spans(u, []source.Span{span})
		}
	case "references":
		a.Spans = spans(u, doc.References(at))
	case "rename":
		edits, err := doc.Rename(at, r.Name)
		if err != nil {
			return err
		}
		a.Changes = changes(u, edits)
	case "format":
		tree, list := parse.File(u.file)
		if list.Failed() {
			return fmt.Errorf("the program has errors; mend them first")
		}
		if laid := format.Source(tree); laid != u.file.Text {
			a.Changes = []Change{{0, u.of(len(u.file.Text)), laid}}
		}
	default:
		return fmt.Errorf("nobody here can answer `%.40s`", r.What)
	}
	d.tell(a)
	return nil
}

// paragraphs are what there is to say about a name.
func paragraphs(p assist.Page) []string {
	var all []string
	for _, text := range []string{strings.Join(p.Forms, "\n"), p.Value, p.Doc} {
		if text != "" {
			all = append(all, text)
		}
	}
	return all
}

// spans are those that lie in the text.
func spans(u *units, of []source.Span) [][2]int {
	var all [][2]int
	for _, s := range of {
		if from, to := u.span(s); from >= 0 {
			all = append(all, [2]int{from, to})
		}
	}
	return all
}

func changes(u *units, edits []assist.Edit) []Change {
	var all []Change
	for _, e := range edits {
		if from, to := u.span(e.Span); from >= 0 {
			all = append(all, Change{from, to, e.Text})
		}
	}
	return all
}
