package desk

import (
	"fmt"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/types"
)

// checked is what is known of a text before it is drawn.
func (d *Desk) checked(id uint32, u *units, doc *assist.Document, list diag.List) Checked {
	c := Checked{Type: "checked", ID: id, Messages: messages(u, doc, list), Colours: []Colour{}, Seeds: seeds(u, doc), Measures: measures(u, doc)}
	for _, m := range doc.Meanings() {
		from, to := u.span(m.Span)
		c.Colours = append(c.Colours, Colour{from, to, colourOf(m)})
	}
	return c
}

// colourOf is what a word means, for the page.
func colourOf(m assist.Colored) string {
	switch {
	case m.Library:
		return "word"
	case m.Meaning == assist.NumberMeaning:
		return "number"
	case m.Meaning == assist.TextMeaning:
		return "text"
	case m.Meaning == assist.CommentMeaning:
		return "comment"
	case m.Meaning == assist.OperatorMeaning:
		return "operator"
	case m.Meaning == assist.FigureMeaning, m.Meaning == assist.FunctionMeaning, m.Meaning == assist.ModuleMeaning:
		return "figure"
	case m.Meaning == assist.ParameterMeaning:
		return "parameter"
	case m.Meaning == assist.KeywordMeaning:
		return "keyword"
	}
	return "variable"
}

// messages are those of a list, for the page. Edits of other texts are left out.
func messages(u *units, doc *assist.Document, list diag.List) []Message {
	all := []Message{}
	for _, one := range list.Sorted() {
		m := Message{Severity: one.Severity.String(), Code: string(one.Code), Text: one.Message, Hint: one.Hint, From: -1, To: -1, Edits: []Edit{}}
		m.Title = strings.ReplaceAll(m.Code, "-", " ")
		if one.Span.Known() {
			at := one.Span.From()
			m.From, m.To = u.span(one.Span)
			m.Line, m.Column = at.Line, at.Column
			if m.From < 0 {
				m.Text = fmt.Sprintf("%s, line %d: %s", one.Span.File.Name, at.Line, m.Text)
			}
		}
		for _, frame := range one.Trail {
			m.Text += "\n" + frame.Text
		}
		for _, mend := range doc.Mends(diag.List{one}, 0, len(u.file.Text)) {
			from, to := u.span(mend.Edit.Span)
			m.Edits = append(m.Edits, Edit{mend.Title, []Change{{from, to, mend.Edit.Text}}})
		}
		all = append(all, m)
	}
	return all
}

// seeds are the numbers that the program gives to `seed`.
func seeds(u *units, doc *assist.Document) [][2]int {
	all := [][2]int{}
	ast.Walk(doc.Tree, func(n ast.Node) bool {
		if call, ok := n.(*ast.Call); ok && len(call.Args) == 1 {
			if name, ok := call.Fn.(*ast.NameExpr); ok && name.Name == "seed" {
				from, to := u.span(call.Args[0].Value.Place())
				all = append(all, [2]int{from, to})
			}
		}
		return true
	})
	return all
}

// measures are the numbers that are given to words and figures as they stand:
// those that a hand on the sheet can change.
func measures(u *units, doc *assist.Document) []Measure {
	all := []Measure{}
	ast.Walk(doc.Tree, func(n ast.Node) bool {
		call, ok := n.(*ast.Call)
		if !ok {
			return true
		}
		for _, arg := range call.Args {
			number, ok := arg.Value.(*ast.NumberLit)
			if !ok {
				continue
			}
			m := Measure{Value: number.Value, Unit: string(number.Unit), Kind: kindOf(doc, number), Statement: -1}
			m.From, m.To = u.span(number.Place())
			all = append(all, m)
		}
		return true
	})
	return all
}

// kindOf is what a number measures, by the parameter that it is given to.
func kindOf(doc *assist.Document, number *ast.NumberLit) string {
	call := doc.Signature(number.Place().Start)
	if call == nil || call.Active >= len(call.Forms) {
		return "other"
	}
	form := call.Forms[call.Active]
	if form.Active < 0 || form.Active >= len(form.Params) {
		return "other"
	}
	switch form.Params[form.Active].Unit {
	case types.Length:
		return "length"
	case types.Angle:
		return "angle"
	}
	return "other"
}

// assisted is a text as the page asks about it.
func (d *Desk) assisted(r Request) (*units, *assist.Document) {
	u := unitsOf(sourceOf(r))
	doc, _ := engine.Assisted(u.file, nil, nil, d.settings)
	return u, doc
}
