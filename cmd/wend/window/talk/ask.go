package talk

import (
	"context"
	"errors"
	"fmt"

	"wend/lang/assist"
	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/eval"
)

// asks are the questions of an editor, by name.
var asks = map[string]func(*reading, *Request, *Answer) error{
	"complete":   complete,
	"hover":      hover,
	"signature":  signature,
	"definition": definition,
	"references": references,
	"rename":     rename,
	"format":     laidOut,
	"outline":    outline,
}

// ask answers what an editor wants to know about a place.
func (s *Session) ask(ctx context.Context, r *Request) error {
	if r.What == "trail" {
		return s.trail(ctx, r)
	}
	question := asks[r.What]
	if question == nil {
		return fmt.Errorf("the engine knows no question %q", diag.OneLine(r.What))
	}
	k := s.reads(r)
	answer := Answer{Type: "answer", ID: r.ID}
	if err := question(k, r, &answer); err != nil {
		s.fail(ctx, r.ID, err.Error(), "")
		return nil
	}
	if ctx.Err() == nil {
		s.to.Text(answer)
	}
	return nil
}

// trail is the way by which the program came to a piece of what was drawn last,
// outermost first.
func (s *Session) trail(ctx context.Context, r *Request) error {
	s.mu.Lock()
	d := s.drawn
	s.mu.Unlock()
	answer := Answer{Type: "answer", ID: r.ID}
	if d == nil {
		return errors.New("nothing is drawn yet")
	}
	sheet, err := d.sheet(r.Sheet)
	if err != nil {
		return err
	}
	if r.Piece >= 0 && r.Piece < len(d.plan.Sheets[sheet].Place) {
		piece := eval.Segment{Sheet: sheet, Index: r.Piece}
		trails, err := d.program.Trails(ctx, []eval.Segment{piece})
		if err != nil {
			return err
		}
		answer.Body = trailOf(trails[piece], true)
	}
	if ctx.Err() == nil {
		s.to.Text(answer)
	}
	return nil
}

func complete(k *reading, r *Request, a *Answer) error {
	found := k.document.Complete(k.units.offset(r.At))
	a.From, a.To = k.units.span(found.Span)
	for _, item := range found.Items {
		i := Item{Label: item.Name, Insert: item.Insert, Sort: item.Sort.String()}
		if i.Label == "" {
			i.Label = item.Insert
		}
		if len(item.Forms) > 0 {
			i.Detail = item.Forms[0]
		}
		a.Items = append(a.Items, i)
	}
	return nil
}

func hover(k *reading, r *Request, a *Answer) error {
	at := k.units.offset(r.At)
	if h := k.document.Hover(at); h != nil {
		a.From, a.To = k.units.span(h.Span)
		a.Title, a.Example = h.Name, h.Example
		a.Body = paragraphs(h.Page)
	}
	for _, d := range k.document.About(k.list, at) {
		if a.Title == "" {
			a.Title = d.Message
			a.From, a.To = k.units.span(d.Span)
		}
		if page, known := diag.Lookup(d.Code); known {
			a.Body = append(a.Body, page.Rule)
		}
	}
	return nil
}

// paragraphs are the page of a name.
func paragraphs(p assist.Page) []string {
	body := append([]string{}, p.Forms...)
	if p.Value != "" {
		body = append(body, p.Sort.String()+": "+p.Value)
	}
	if p.Doc != "" {
		body = append(body, p.Doc)
	}
	return body
}

func signature(k *reading, r *Request, a *Answer) error {
	found := k.document.Signature(k.units.offset(r.At))
	if found == nil {
		return nil
	}
	for _, f := range found.Forms {
		form := Form{Label: f.Label}
		if f.Active >= 0 {
			label, p := unitsOf(f.Label), f.Params[f.Active]
			form.Active = &[2]int{label.of(p.Start), label.of(p.End)}
		}
		a.Forms = append(a.Forms, form)
	}
	if found.Doc != "" {
		a.Body = []string{found.Doc}
	}
	return nil
}

// here adds spans that are in the text itself.
func (k *reading) here(a *Answer, spans ...source.Span) {
	for _, span := range spans {
		if span.File == k.file {
			from, to := k.units.span(span)
			a.Spans = append(a.Spans, [2]int{from, to})
		}
	}
}

func definition(k *reading, r *Request, a *Answer) error {
	if span, ok := k.document.Definition(k.units.offset(r.At)); ok {
		k.here(a, span)
	}
	return nil
}

func references(k *reading, r *Request, a *Answer) error {
	k.here(a, k.document.References(k.units.offset(r.At))...)
	return nil
}

func rename(k *reading, r *Request, a *Answer) error {
	edits, err := k.document.Rename(k.units.offset(r.At), r.Name)
	if err != nil {
		return err
	}
	for _, e := range edits {
		if e.Span.File != k.file {
			return fmt.Errorf("`%s` stands in %s too, which would have to change with it: rename it there by hand", e.Span.Text(), e.Span.File.Name)
		}
		from, to := k.units.span(e.Span)
		a.Changes = append(a.Changes, Change{from, to, e.Text})
	}
	return nil
}

// laidOut changes what the one layout has otherwise: one stretch, so that the caret
// stays where nothing changes.
func laidOut(k *reading, _ *Request, a *Answer) error {
	tree, list := parse.File(k.file)
	if list.Failed() {
		return errors.New("the program has errors; mend them first")
	}
	old, laid := k.file.Text, format.Source(tree)
	if laid == old {
		return nil
	}
	from, to, end := 0, len(old), len(laid)
	for from < to && from < end && old[from] == laid[from] {
		from++
	}
	for to > from && end > from && old[to-1] == laid[end-1] {
		to, end = to-1, end-1
	}
	// A sign of several bytes is not cut.
	for from > 0 && !boundary(old, from) {
		from--
	}
	for to < len(old) && !boundary(old, to) {
		to, end = to+1, end+1
	}
	a.Changes = append(a.Changes, Change{k.units.of(from), k.units.of(to), laid[from:end]})
	return nil
}

func boundary(text string, i int) bool { return i == len(text) || text[i]&0xC0 != 0x80 }

func outline(k *reading, _ *Request, a *Answer) error {
	for _, symbol := range k.document.Outline() {
		from, to := k.units.span(symbol.At)
		a.Symbols = append(a.Symbols, Symbol{Name: symbol.Name, Detail: symbol.Forms[0], Sort: symbol.Sort.String(), From: from, To: to})
	}
	return nil
}
