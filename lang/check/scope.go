package check

import (
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// maxSuggestions is how many names "did you mean" offers at most.
const maxSuggestions = 3

// maxSearches bounds the work of suggestions: after so many unknown names of a
// program the reason is another one than misspelling.
const maxSearches = 100

// scope holds the names of one block. A variable enters it when its let has
// run, so that a name before means what it meant outside.
type scope struct {
	outer *scope
	body  *Body
	names map[string]*Object
	later map[string]*ast.Let // lets of this block that have not run
}

func (s *scope) find(name string) *Object {
	for ; s != nil; s = s.outer {
		if obj := s.names[name]; obj != nil {
			return obj
		}
	}
	return nil
}

// findLater finds the let, in this block or one around it, that will define a name.
func (s *scope) findLater(name string) *ast.Let {
	for ; s != nil; s = s.outer {
		if let := s.later[name]; let != nil {
			return let
		}
	}
	return nil
}

// lookup finds what a name stands for: the nearest definition, then the library.
func (r *resolver) lookup(name string, span source.Span) *Object {
	if obj := r.scope.find(name); obj != nil {
		return obj
	}
	obj := r.lookupLibrary(name)
	if obj != nil && !r.module.theme {
		// From its let on the same word will mean something else.
		if let := r.scope.findLater(name); let != nil && !r.hidden[let] {
			r.hidden[let] = true
			r.report(nil, diag.New("hidden-word", let.Name.Span, diag.Args{"name": name}).
				WithRelated(span, "here it is the word of the library"))
		}
	}
	return obj
}

func (r *resolver) lookupLibrary(name string) *Object {
	if b := r.library.Lookup(name); b != nil {
		return r.builtin(b)
	}
	if slices.Contains(r.library.Modules, name) {
		if m := r.theme(name, r.module); m != nil {
			if m.self == nil {
				m.self = &Object{Kind: ModuleRef, Name: name, Module: m.Module}
			}
			return m.self
		}
	}
	return nil
}

// lookupMethod finds what a name after a dot stands for: variables are skipped.
func (r *resolver) lookupMethod(name string) *Object {
	if obj := r.module.scope.names[name]; obj != nil && (obj.Kind == Function || obj.Kind == Figure) {
		return obj
	}
	if b := r.library.Lookup(name); b != nil && !b.Value {
		return r.builtin(b)
	}
	return nil
}

// usage is what a name is looked up for; suggestions are of the same kind.
type usage uint8

const (
	asValue     usage = iota
	asCallee          // f(…) in an expression
	asStatement       // f … in statement position
	asMethod          // x.f(…)
)

// unknown reports a name that nothing is known by, once in a file.
func (r *resolver) unknown(name string, span source.Span, use usage) {
	if now, ok := r.library.Renamed[name]; ok && !r.unreadable.mentions(span.File, name) {
		// Each one is reported: the statement may be well but for its old words.
		r.report(nil, diag.New("renamed-word", span, diag.Args{"name": name, "now": now}).WithEdit(span, now, use != asValue))
		r.failed[r.stmt] = true
		return
	}
	if r.module.unknown[name] && !(use == asStatement && r.slip(name)) {
		r.spelt.again(r.module, name)
		return
	}
	if name == "" || r.unreadable.mentions(span.File, name) {
		return
	}
	r.module.unknown[name] = true
	if let := r.scope.findLater(name); let != nil && use != asMethod {
		r.report(r.stmt, diag.New("used-before-let", span, diag.Args{"name": name}).
			WithRelated(let.Name.Span, "the variable begins here"))
		return
	}
	code := diag.Code("unknown-word")
	if use == asValue {
		code = "unknown-name"
	}
	if gone := r.module.gone[name]; gone != nil && gone.Body == r.body && use != asMethod {
		r.read[gone] = true
		within := "block"
		if gone.Kind == LoopVar {
			within = "loop"
		}
		r.report(r.stmt, diag.New("name-gone", span, diag.Args{"name": name, "within": within}).
			WithRelated(gone.Place, "it is known from here to the end of its "+within))
		return
	}
	near := r.near(name, use)
	if len(near) > 0 {
		r.spelt.note(r.module, name, span, r.scope.find(near[0]))
	}
	d := suggest(diag.New(code, span, diag.Args{"name": name}), near)
	if use == asMethod {
		if obj := r.scope.find(name); obj != nil {
			r.read[obj] = true
			d.Hint = "after a dot only functions and figures count; `" + name + "` is a variable: call it as `" + name + "(…)`"
		}
	}
	r.report(r.stmt, d)
}

// slip reports whether an unknown word is one that people bring along, or a word
// of the library in other capitals: then each of its uses is a slip of its own.
func (r *resolver) slip(name string) bool {
	return r.opts.Everyday(name) || r.library.Lookup(strings.ToLower(name)) != nil
}

// near are the known names that a misspelt one may have meant, best first.
func (r *resolver) near(name string, use usage) []string {
	r.unknowns++
	if r.unknowns > maxSearches || use == asValue && r.opts.Absent(name) {
		return nil
	}
	var known []string
	if use != asMethod {
		for s := r.scope; s != nil; s = s.outer {
			for n := range s.names {
				known = append(known, n)
			}
		}
	} else {
		for n, obj := range r.module.scope.names {
			if obj.Kind == Function || obj.Kind == Figure {
				known = append(known, n)
			}
		}
	}
	for _, n := range r.libraryNames() {
		b := r.library.Lookup(n)
		switch {
		case b == nil && use != asMethod: // a theme
			known = append(known, n)
		case b != nil && fits(b, use):
			known = append(known, n)
		}
	}
	near := diag.Nearest(name, known, maxSuggestions)
	for _, n := range near {
		// It is likely what was meant, so it is not unused.
		if obj := r.scope.find(n); obj != nil {
			r.read[obj] = true
		}
	}
	return near
}

// fits reports whether a library word can stand where a name was used.
func fits(b *types.Builtin, use usage) bool {
	statement := isStatement(b)
	switch use {
	case asValue:
		return !statement
	case asCallee, asMethod:
		return !b.Value && !statement
	}
	return statement || !b.Value && slices.ContainsFunc(b.Forms, func(f types.Form) bool { return f.Result.Has(types.Path) })
}

// suggest puts names that may have been meant into the hint, with their edits.
func suggest(d diag.Diagnostic, names []string) diag.Diagnostic {
	if len(names) == 0 {
		return d
	}
	written := d.Span.Text()
	for _, n := range names {
		d = d.WithEdit(d.Span, n, len(names) == 1 && strings.EqualFold(n, written))
	}
	d.Hint = "did you mean " + joinWith(quoted(names), "or") + "?"
	return d
}

func quoted(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = "`" + n + "`"
	}
	return out
}

// joinWith lists words in a sentence: "a, b or c".
func joinWith(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}
