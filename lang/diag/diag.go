// Package diag holds what wend has to say about a program, a profile, an
// instruction file or a picture, as data: a stable code, a place, a message, a
// way out. How it looks is the business of diag/render alone.
//
// Every code has a Page (see pages.go): its message with {named} places, the
// rule in prose, one small program that causes exactly that code and one that
// mends it. Codes are only ever added, never reused for another meaning.
package diag

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"wend/lang/source"
)

// Code is the stable name of one kind of diagnostic, such as "unknown-name".
type Code string

// Severity says what a diagnostic means for the run.
type Severity int

const (
	Error   Severity = iota // nothing is written, nothing moves
	Warning                 // the run goes on
)

func (s Severity) String() string {
	if s == Warning {
		return "warning"
	}
	return "error"
}

// Diagnostic is one thing to say.
type Diagnostic struct {
	Code     Code
	Severity Severity
	Span     source.Span // the smallest part of the text that is meant
	File     string      // the file that is meant where no text of it is, such as one that is missing
	Message  string      // what was found and why it cannot work
	Hint     string      // what to do; empty if there is no good advice
	Related  []Related
	Edits    []Edit // alternatives: each by itself mends the fault
	Trail    []Frame
}

// Related is a second place that matters, with what it has to do with it.
type Related struct {
	Span source.Span
	Text string
}

// Edit replaces the text of a span. A certain edit may be applied without
// asking: it mends the fault and adds no other.
type Edit struct {
	Span    source.Span
	Text    string
	Certain bool
}

// Frame is one step of the way by which the program came to the place: a call
// or a pass of a loop, outermost first.
type Frame struct {
	Span source.Span
	Text string // "in vane", "pass 3 of the loop"
}

// Args fill the {named} places of a message.
type Args map[string]any

// New makes the diagnostic of a code at a place. Message, hint and severity
// come from the code's page; args fill their {named} places.
func New(code Code, span source.Span, args Args) Diagnostic {
	page, ok := Lookup(code)
	if !ok {
		panic(fmt.Sprintf("diag: code %q has no page", code))
	}
	return Diagnostic{
		Code: code, Severity: page.Severity, Span: span,
		Message: fill(page.Message, args), Hint: fill(page.Hint, args),
	}
}

// WithHint replaces the hint.
func (d Diagnostic) WithHint(format string, args ...any) Diagnostic {
	d.Hint = fmt.Sprintf(format, args...)
	return d
}

// WithEdit adds one way to mend the fault.
func (d Diagnostic) WithEdit(span source.Span, text string, certain bool) Diagnostic {
	d.Edits = append(slices.Clip(d.Edits), Edit{span, text, certain})
	return d
}

// WithRelated adds a second place.
func (d Diagnostic) WithRelated(span source.Span, text string) Diagnostic {
	d.Related = append(slices.Clip(d.Related), Related{span, text})
	return d
}

// fill puts args into the {named} places of a template.
func fill(template string, args Args) string {
	if !strings.Contains(template, "{") {
		return template
	}
	var b strings.Builder
	for {
		open := strings.IndexByte(template, '{')
		if open < 0 {
			break
		}
		b.WriteString(template[:open])
		template = template[open:]
		name, rest, closed := strings.Cut(template[1:], "}")
		arg, known := args[name]
		if !closed || !known {
			b.WriteByte('{')
			template = template[1:]
			continue
		}
		b.WriteString(OneLine(fmt.Sprint(arg)))
		template = rest
	}
	b.WriteString(template)
	return b.String()
}

// longestArg is how many bytes of a name or value a message repeats.
const longestArg = 400

// OneLine is a name or a value as a message repeats it: control characters as a
// program would write them, and cut where it is too long, since nothing limits
// the length of a name.
func OneLine(text string) string {
	if strings.ContainsFunc(text, unicode.IsControl) {
		var b strings.Builder
		for _, r := range text {
			switch {
			case r == '\n':
				b.WriteString(`\n`)
			case unicode.IsControl(r):
				fmt.Fprintf(&b, `\u{%x}`, r)
			default:
				b.WriteRune(r)
			}
		}
		text = b.String()
	}
	if len(text) <= longestArg {
		return text
	}
	end := longestArg
	for !utf8.RuneStart(text[end]) {
		end--
	}
	return text[:end] + "…"
}

// Fault is an error that knows its code but not yet its place. Library
// functions return one; whoever called them knows where that was.
type Fault struct {
	Code Code
	Args Args
	Hint string // replaces the page's hint if not empty
	File string // the file that it is about, if it is about one
	// Span is the place in a file of data that it is about, if it is about one.
	Span source.Span
	// Written is a piece of the program that it is about, and Instead what is
	// surely meant: an edit, if that piece stands once where the fault is.
	Written, Instead string
}

func (f *Fault) Error() string { return f.At(source.Span{}).Message }

// At gives the fault a place; one that has a place in a file of data keeps
// that, and this is where the file is read.
func (f *Fault) At(span source.Span) Diagnostic {
	d := New(f.Code, span, f.Args)
	if f.Span.Known() {
		d = New(f.Code, f.Span, f.Args)
		if span.Known() {
			d = d.WithRelated(span, "the file is read here")
		}
	}
	if f.Hint != "" {
		d.Hint = f.Hint
	}
	if text := span.Text(); f.Written != "" && strings.Count(text, f.Written) == 1 {
		at := span.Start + strings.Index(text, f.Written)
		d = d.WithEdit(source.Span{File: span.File, Start: at, End: at + len(f.Written)}, f.Instead, true)
	}
	if !span.Known() {
		d.File = f.File
	}
	return d
}

// List is all that one run has to say. It is an error when one of it is.
type List []Diagnostic

func (l List) Error() string {
	switch len(l) {
	case 0:
		return "no diagnostics"
	case 1:
		return l[0].Message
	}
	return fmt.Sprintf("%s (and %d more)", l[0].Message, len(l)-1)
}

// Failed reports whether any of the list is an error.
func (l List) Failed() bool {
	return slices.ContainsFunc(l, func(d Diagnostic) bool { return d.Severity == Error })
}

// Sorted is the list in source order (file by file in order of appearance),
// with repeats of one code at one place dropped.
func (l List) Sorted() List {
	order := map[*source.File]int{}
	for _, d := range l {
		if _, seen := order[d.Span.File]; !seen {
			order[d.Span.File] = len(order)
		}
	}
	sorted := slices.Clone(l)
	slices.SortStableFunc(sorted, func(a, b Diagnostic) int {
		return cmp.Or(cmp.Compare(order[a.Span.File], order[b.Span.File]), cmp.Compare(a.Span.Start, b.Span.Start))
	})
	return slices.CompactFunc(sorted, func(a, b Diagnostic) bool {
		return a.Code == b.Code && a.Span == b.Span && a.Message == b.Message
	})
}
