package assist

import (
	"fmt"
	"slices"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
	"wend/lang/vocabulary"
)

// Edit replaces the text of a span, in this file or in one that it uses.
type Edit struct {
	Span source.Span
	Text string
}

// Renamable is the name at an offset, if it can have another one; else the error
// says why it cannot.
func (d *Document) Renamable(at int) (source.Span, error) {
	m := d.mentionAt(d.clamped(at))
	switch {
	case m == nil:
		return source.Span{}, fmt.Errorf("there is no name here")
	case m.obj == nil && m.word != "":
		return source.Span{}, fmt.Errorf("`%s` is a field or a measure; which records have it shows only when the program runs", m.span.Text())
	case m.obj == nil:
		return source.Span{}, fmt.Errorf("`%s` is not known", m.span.Text())
	case m.obj.Kind == check.Builtin, !m.obj.Place.Known(), m.obj.Module != nil && d.isTheme(m.obj.Module) && m.obj.Kind != check.ModuleRef:
		return source.Span{}, fmt.Errorf("`%s` is a word of the library", m.span.Text())
	}
	return m.span, nil
}

// Rename gives the name at an offset another one, wherever it is meant, also in
// used files. It is refused where the new name is none, or where some name would
// mean something else than before.
func (d *Document) Rename(at int, to string) ([]Edit, error) {
	at, to = d.clamped(at), norm.NFC.String(to)
	if _, err := d.Renamable(at); err != nil {
		return nil, err
	}
	if w, ok := d.Words.Lookup(to); ok && w.Sort == vocabulary.Keyword {
		return nil, fmt.Errorf("`%s` is a word of the language and cannot be a name", to)
	}
	if !isIdentifier(to) {
		return nil, fmt.Errorf("`%s` is no name; a name is letters, digits and `_`, and begins with a letter", to)
	}
	obj := d.mentionAt(at).obj
	if obj.Name == to {
		return nil, nil
	}
	if err := d.collides(obj, to); err != nil {
		return nil, err
	}
	var edits []Edit
	for _, m := range d.meaning(obj) {
		edits = append(edits, Edit{m.span, to})
	}
	return edits, nil
}

// collides says what would mean something else if a thing were called so: the
// thing itself, where another one of that name is nearer, or another one that it
// would hide.
func (d *Document) collides(obj *check.Object, to string) error {
	clash := func(m mention, what string) error {
		return fmt.Errorf("`%s` %s in line %d of %s", to, what, m.span.From().Line, m.span.File.Name)
	}
	for _, module := range d.Program.Modules {
		if d.isTheme(module) {
			continue
		}
		here := d.of(module)
		for _, m := range here.mentions(module.File) {
			switch {
			case m.obj == obj && !m.dot:
				// Its other definitions and parameters included: two of one name in
				// one call would be one too many.
				if there := here.scopeAt(m.span.End).find(to); there != nil && there != obj {
					return clash(m, "means something else already")
				}
			case m.span.Text() != to, m.obj == obj:
			case m.dot && m.word == "" && (obj.Kind == check.Function || obj.Kind == check.Figure),
				!m.dot && m.word == "" && here.scopeAt(m.span.End+1).find(obj.Name) == obj,
				!m.dot && m.word == "" && m.def && here.sameBody(m, obj),
				!m.dot && m.word == "" && here.leadsTo(m, obj):
				return clash(m, "is used")
			}
		}
	}
	if obj.Module != nil && obj.Module.Members[to] != nil && obj.Module.Members[obj.Name] == obj {
		return fmt.Errorf("`%s` is defined in %s already", to, obj.Place.File.Name)
	}
	return nil
}

// sameBody reports whether a definition is in the body that owns a variable, where
// no two may have one name.
func (d *Document) sameBody(m mention, obj *check.Object) bool {
	return m.obj != nil && m.obj.Body != nil && m.obj.Body == obj.Body
}

// leadsTo reports whether a name stands before a variable in the block of its `let`,
// or in its value: a word of the library would there be a second thing of one name.
func (d *Document) leadsTo(m mention, obj *check.Object) bool {
	if obj.Place.File != d.Tree.Source {
		return false
	}
	from := 0
	for _, n := range d.around(obj.Place.Start) {
		switch n := n.(type) {
		case *ast.Block:
			from = n.Span.Start
		case *ast.Let:
			if d.Program.Defs[n] == obj {
				return from <= m.span.Start && m.span.Start < n.Span.End
			}
		}
	}
	return false
}

// of is the document of another file of the program, without words and signs.
func (d *Document) of(m *check.Module) *Document {
	if m.File == d.Tree {
		return d
	}
	program := *d.Program
	program.Main = m
	return &Document{Tree: m.File, Program: &program, Words: d.Words}
}

// isIdentifier reports whether a text is a name as the language knows them:
// UAX #31 with `_`.
func isIdentifier(text string) bool {
	letters := []rune(text)
	return len(letters) > 0 && !slices.ContainsFunc(letters, func(r rune) bool {
		return r != '_' && !unicode.In(r, unicode.Letter, unicode.Nl, unicode.Other_ID_Start, unicode.Mn, unicode.Mc, unicode.Nd, unicode.Pc, unicode.Other_ID_Continue)
	}) && (letters[0] == '_' || unicode.In(letters[0], unicode.Letter, unicode.Nl, unicode.Other_ID_Start))
}
