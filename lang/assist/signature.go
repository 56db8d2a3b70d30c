package assist

import (
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
	"wend/lang/types"
)

// Signature is how the call at a place is written.
type Signature struct {
	Forms  []Form
	Active int // the form that the arguments so far can fit
	Doc    string
}

// Form is one way to write a call.
type Form struct {
	Label  string
	Params []Param
	Active int // index of the parameter that is being given; -1 if there is none
}

// Param is a parameter of a form.
type Param struct {
	Name       string
	Start, End int // where it stands in the label
	Kinds      types.Kind
	Unit       types.Unit
	Optional   bool // may be left out
	Rest       bool // takes all further arguments
}

// Value says what the parameter takes, in words; empty where anything will do.
func (p Param) Value() string { return valueOf(p.Kinds, p.Unit) }

// site is a call around a place, as far as it is written.
type site struct {
	callee   *check.Object
	name     string // as it is written: `curves.rose`
	receiver bool   // called after a dot: what stands before it is the first argument
	index    int    // of the argument at the place, the receiver not counted
	named    string // the parameter that the argument at the place is for, if it says so
	given    []string
	nested   bool // the place is within brackets of the argument
}

// Signature is how the call around a place is written, with the parameter that
// is being given; nil where there is no call, or nothing is known about it.
func (d *Document) Signature(at int) *Signature {
	at = d.clamped(at)
	if d.silent(at) {
		return nil
	}
	call := d.callAt(at)
	if call == nil {
		return nil
	}
	forms := call.forms()
	if len(forms) == 0 {
		return nil
	}
	s := &Signature{Forms: forms, Doc: d.pageOf(call.callee).Doc}
	best := -1
	for i := range forms {
		forms[i].Active = call.active(forms[i])
		// The first form that has room for what is given.
		if best < 0 && forms[i].Active >= 0 {
			best = i
		}
	}
	s.Active = max(best, 0)
	return s
}

// active is the parameter of a form that the argument at the place is for.
func (c *site) active(f Form) int {
	for _, name := range c.given {
		if !slices.ContainsFunc(f.Params, func(p Param) bool { return p.Name == name }) {
			return -1
		}
	}
	if c.named != "" {
		return slices.IndexFunc(f.Params, func(p Param) bool { return p.Name == c.named })
	}
	i := c.index
	if c.receiver {
		i++
	}
	switch last := len(f.Params) - 1; {
	case i <= last:
		return i
	case last >= 0 && f.Params[last].Rest:
		return last
	}
	return -1
}

// forms are the ways to write the call.
func (c *site) forms() []Form {
	if c.callee == nil {
		return nil
	}
	var forms []Form
	for _, f := range formsOf(c.callee, c.name) {
		if !slices.ContainsFunc(forms, func(other Form) bool { return other.Label == f.Label }) {
			forms = append(forms, f)
		}
	}
	return forms
}

// formsOf are the ways to write a call of a function, a figure or a word of the
// library, under the name that is written for it.
func formsOf(obj *check.Object, name string) []Form {
	switch obj.Kind {
	case check.Builtin:
		var forms []Form
		for i := range obj.Builtin.Forms {
			f := &obj.Builtin.Forms[i]
			params := make([]Param, len(f.Params))
			for j, p := range f.Params {
				params[j] = Param{Name: p.Name, Kinds: p.Kinds, Unit: p.Unit, Optional: p.Optional, Rest: p.Rest}
			}
			if !obj.Builtin.Value {
				forms = append(forms, form(name, params, f.Result != types.Nothing))
			}
		}
		return forms
	case check.Function, check.Figure:
		params := make([]Param, len(obj.Params))
		for i, p := range obj.Params {
			params[i] = Param{Name: p.Name, Optional: p.Default != nil}
			if p.Object != nil {
				params[i].Kinds, params[i].Unit = p.Object.Kinds, p.Object.Unit
			}
		}
		return []Form{form(name, params, obj.Kind == check.Function)}
	}
	return nil
}

// form writes a call: with brackets if it gives a value, else as a statement.
func form(name string, params []Param, brackets bool) Form {
	var label strings.Builder
	label.WriteString(name)
	if brackets {
		label.WriteByte('(')
	} else if len(params) > 0 {
		label.WriteByte(' ')
	}
	for i := range params {
		if i > 0 {
			label.WriteString(", ")
		}
		params[i].Start = label.Len()
		label.WriteString(params[i].Name)
		switch {
		case params[i].Rest:
			label.WriteString(", …")
		case params[i].Optional:
			label.WriteByte(':')
		}
		params[i].End = label.Len()
	}
	if brackets {
		label.WriteByte(')')
	}
	return Form{Label: label.String(), Params: params}
}

// callAt finds the call around a place by going back over the words and signs
// before it, since a call that is being typed may be in no tree. It is nil where
// there is none.
func (d *Document) callAt(at int) *site {
	call := &site{}
	closed := 0 // brackets that were closed again
	i := d.before(at)
	if i >= 0 && d.tokens()[i].Span.End >= at && d.isWord(i) {
		i-- // the word that is being typed
	}
	for ; i >= 0; i-- {
		switch d.kind(i) {
		case ast.CloseToken:
			closed++
		case ast.EndToken:
			if closed == 0 {
				return d.statementCall(call, i+1, at)
			}
		case ast.OpenToken, ast.CallToken, ast.BlockToken:
			if closed > 0 {
				closed--
				break
			}
			switch {
			case d.kind(i) == ast.BlockToken:
				return d.statementCall(call, i+1, at)
			case d.kind(i) == ast.CallToken && d.text(i) == "(":
				call.calls(d, i-1, at)
				return call
			}
			call = &site{nested: true}
		case ast.SignToken:
			if closed > 0 {
				break
			}
			switch d.text(i) {
			case ",":
				call.index++
			case ":":
				if name := d.text(i - 1); d.isWord(i - 1) {
					if call.index == 0 && call.named == "" {
						call.named = name
					}
					call.given = append(call.given, name)
				}
			}
		}
	}
	return d.statementCall(call, 0, at)
}

// statementCall is a call without brackets, if a statement that begins with a
// token is one.
func (d *Document) statementCall(call *site, first, at int) *site {
	last := first
	for d.text(last+1) == "." && d.isWord(last+2) {
		last += 2
	}
	if d.kind(first) != ast.NameToken || d.tokens()[last].Span.End >= at {
		return nil
	}
	if next := last + 1; next < len(d.tokens()) && d.tokens()[next].Span.Start < at {
		switch text := d.text(next); d.kind(next) {
		case ast.CallToken:
			return nil // written with brackets, which are closed here
		case ast.SignToken:
			if text != "-" {
				return nil // a change of a variable
			}
		}
	}
	call.calls(d, last, at)
	return call
}

// calls finds what is called: the name that ends with a token.
func (c *site) calls(d *Document, last, at int) {
	if !d.isWord(last) {
		return
	}
	scope := d.scopeAt(at)
	name := d.text(last)
	if d.text(last-1) != "." {
		if d.kind(last) == ast.NameToken {
			c.name, c.callee = name, d.target(scope, name)
		}
		return
	}
	if d.kind(last-2) == ast.NameToken && d.text(last-3) != "." {
		if of := d.target(scope, d.text(last-2)); of != nil && of.Kind == check.ModuleRef {
			c.name = d.text(last-2) + "." + name
			if of.Module != nil {
				c.callee = of.Module.Members[name]
			}
			return
		}
	}
	c.name, c.receiver, c.callee = name, true, d.method(name)
}

// silent reports whether an offset is within a comment or plain text, where
// nothing of the language is written.
func (d *Document) silent(at int) bool {
	i := d.before(at)
	if i < 0 {
		return false
	}
	t := d.tokens()[i]
	switch {
	case t.Kind == ast.CommentToken:
		return at <= t.Span.End || d.source().LineOf(at) == d.source().LineOf(t.Span.Start)
	case t.Kind != ast.TextToken:
		return false
	case at < t.Span.End:
		return true
	}
	// Just behind a quote that opens a text, or behind a part of one.
	return d.withinText(i)
}

// withinText reports whether the text that a token belongs to goes on behind it.
func (d *Document) withinText(i int) bool {
	line := d.source().LineStart(d.source().LineOf(d.tokens()[i].Span.Start))
	open, inserts := false, 0
	for _, t := range d.tokens()[d.before(line)+1 : i+1] {
		switch {
		case t.Kind == ast.TextToken && t.Span.Text() == `"` && inserts == 0:
			open = !open
		case open && t.Kind == ast.OpenToken && t.Span.Text() == "{":
			inserts++
		case open && t.Kind == ast.CloseToken && t.Span.Text() == "}" && inserts > 0:
			inserts--
		}
	}
	return open && inserts == 0
}

// span is a part of the text.
func (d *Document) span(start, end int) source.Span {
	return source.Span{File: d.source(), Start: start, End: end}
}
