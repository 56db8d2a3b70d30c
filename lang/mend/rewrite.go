package mend

import (
	"slices"
	"strings"

	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/paraphrase"
	"wend/lang/source"
	"wend/lang/types"
	"wend/lang/words"
)

// rewrite is one way to write a stretch of text otherwise.
type rewrite struct {
	start, end int
	text       string
	certain    bool
	rule       bool   // by a rule of this package, not by the message's own edit
	everyday   string // the everyday word that was put into wend's
	said       int    // where it begins
	now        string // wend's word for it
	thing      string // what it names, if it is something to draw
	why        string
	room       string // what keeps the line on the page then, if that is what it is for
	hint       string // all that the hint is to say
}

// heads are the words that can begin a statement.
type heads struct {
	library map[string]bool // statement words of the library
	own     map[string]bool // figures and functions of the program
}

// keywords that begin a statement.
var keywords = []string{"let", "fn", "figure", "loop", "if", "return", "break", "continue", "draw", "branch", "use", "follow"}

var definition = expression.Of(`(?m)\b(?:figure|fn|let)\s+([\pL_][\pL\pN_]*)`)

func headsOf(text string, opts Options) heads {
	h := heads{map[string]bool{}, map[string]bool{}}
	for _, b := range opts.Library.Builtins {
		if !b.Value && len(b.Forms) > 0 && !slices.ContainsFunc(b.Forms, func(f types.Form) bool { return f.Result != types.Nothing }) {
			h.library[b.Name] = true
		}
	}
	for _, m := range definition.FindAllStringSubmatch(text, -1) {
		h.own[m[1]] = true
	}
	return h
}

// vocabulary is what a paraphrase asks of wend's words.
func (h *heads) vocabulary(opts Options) paraphrase.Vocabulary {
	return paraphrase.Vocabulary{
		Head: func(word string) bool { return h.library[word] || slices.Contains(keywords, word) },
		Function: func(word string) bool {
			b := opts.Library.Lookup(word)
			return b != nil && !h.library[word]
		},
		Theme: func(word string) bool { return slices.Contains(opts.Library.Modules, word) },
		Takes: func(word string) int {
			most := 0
			if b := opts.Library.Lookup(word); b != nil && !b.Value {
				for _, f := range b.Forms {
					positional := 0
					for _, p := range f.Params {
						if !p.Optional {
							positional++
						}
					}
					most = max(most, positional)
				}
			}
			return most
		},
	}
}

// starts reports whether a word can begin a statement.
func (h *heads) starts(text string) bool {
	return h.library[text] || h.own[text] || slices.Contains(keywords, text) ||
		words.Statement(text) != nil && strings.ToLower(text) == text
}

// line is where a fault lies: the words of its line, and those of its statement.
type line struct {
	*mender
	text       string
	start, end int    // of the line
	all        []word // of the line
	from, to   int    // the statement among them
	fault      diag.Diagnostic
	followed   bool // the text came about by an edit
}

func (m *mender) line(s state) *line {
	l := &line{mender: m, text: s.text, fault: s.fault, followed: s.edited}
	at := s.fault.Span.Start
	l.start, l.end = lineAround(s.text, at)
	l.all = scan(s.text, l.start, l.end)
	if len(l.all) == 0 {
		return l
	}
	// The statement reaches from the block bracket or semicolon before the fault
	// to the one behind it.
	at = min(max(at, l.all[0].start), l.all[len(l.all)-1].end-1)
	l.to = len(l.all)
	depth := 0
	for i, w := range l.all {
		if w.class == sign {
			switch w.text {
			case "(", "[":
				depth++
			case ")", "]":
				depth--
			}
		}
		if w.class != sign || w.text != "{" && w.text != "}" && (w.text != ";" || depth > 0) {
			continue
		}
		if w.end <= at {
			l.from = i + 1
		} else if w.start >= at {
			l.to = i
			break
		} else {
			l.from = i + 1
		}
	}
	if l.from > l.to {
		l.from = l.to
	}
	return l
}

// words of the statement.
func (l *line) statement() []word { return l.all[l.from:l.to] }

// source is the text from one word to another.
func (l *line) source(ws []word) string {
	if len(ws) == 0 {
		return ""
	}
	return l.text[ws[0].start:ws[len(ws)-1].end]
}

// replace is the rewrite of some words.
func (l *line) replace(ws []word, text string, certain bool) rewrite {
	return rewrite{start: ws[0].start, end: ws[len(ws)-1].end, text: text, certain: certain, rule: true}
}

// block reports whether a block follows the statement on its line.
func (l *line) block() bool { return l.to < len(l.all) && l.all[l.to].text == "{" }

// arguments splits words at the commas outside all brackets; numbers, names and
// texts that stand side by side without any are arguments too.
func (l *line) arguments(ws []word) []string {
	if len(ws) == 0 {
		return nil
	}
	var out []string
	depth, from, commas := 0, 0, false
	for i, w := range ws {
		if w.class != sign {
			continue
		}
		switch w.text {
		case "(", "[", "{":
			depth++
		case ")", "]", "}":
			depth--
		case ",":
			if depth == 0 {
				out = append(out, l.source(ws[from:i]))
				from, commas = i+1, true
			}
		}
	}
	if commas {
		return append(out, l.source(ws[from:]))
	}
	plain := true
	for i, w := range ws {
		plain = plain && (w.class == number || w.class == name && i > 0 && l.text[w.start-1] == ' ') && (i == 0 || ws[i-1].end < w.start)
	}
	if plain {
		for _, w := range ws {
			out = append(out, w.text)
		}
		return out
	}
	// One bracket around all arguments.
	if inner, ok := unwrapped(ws, "(", ")"); ok {
		return l.arguments(inner)
	}
	return []string{l.source(ws)}
}

// unwrapped is what stands within a pair of brackets around all words.
func unwrapped(ws []word, open, shut string) ([]word, bool) {
	if len(ws) < 2 || ws[0].text != open || ws[len(ws)-1].text != shut {
		return nil, false
	}
	depth := 0
	for i, w := range ws {
		switch w.text {
		case "(", "[":
			depth++
		case ")", "]":
			depth--
		}
		if depth == 0 && i < len(ws)-1 {
			return nil, false
		}
	}
	return ws[1 : len(ws)-1], true
}

// rewrites are all ways to go on from a state, the likeliest first.
func (m *mender) rewrites(s state) []rewrite {
	var out []rewrite
	if !s.fault.Span.Known() {
		return nil
	}
	l := m.line(s)
	own := func() {
		for _, e := range s.fault.Edits {
			if e.Span.End <= len(s.text) {
				out = append(out, rewrite{start: e.Span.Start, end: e.Span.End, text: e.Text, certain: e.Certain})
			}
		}
	}
	if len(l.all) > 0 {
		for _, rule := range likely {
			out = append(out, rule(l)...)
		}
		own()
		for _, rule := range possible {
			out = append(out, rule(l)...)
		}
		return out
	}
	own()
	return out
}

// likely are the rules that come before a message's own edits, and possible
// those that come after them.
var (
	likely   = []func(*line) []rewrite{hidden, everyday, sentence, numberWords, idioms, blockSigns, foreignValue, twoStatements, headSigns, spacedUnit, points, calls, members, methods, definitions, quotes, blockLeftOpen, linesBelow, numberedName}
	possible = []func(*line) []rewrite{misspeltEveryday, leftOut, library, withPaths, slipped, misfits, missing, unfed, surplus, moves, atRunTime, fitting}
)

// order is what to say of a word that is an order to the prompt.
func (m *mender) order(file *source.File, d diag.Diagnostic) (diag.Diagnostic, bool) {
	l := m.line(state{text: file.Text, fault: d})
	if len(l.all) == 0 || d.Code != "unknown-word" && d.Code != "unknown-name" && d.Code != "side-by-side" && d.Code != "missing-argument" {
		return d, false
	}
	ws := l.statement()
	if len(ws) == 0 || l.heads.own[ws[0].text] {
		return d, false
	}
	for n := min(len(ws), words.LongestPhrase); n > 0; n-- {
		phrase := phraseOf(ws[:n])
		if o, ok := words.OrderFor(phrase); ok && n == len(ws) {
			order := diag.New("order-word", d.Span, diag.Args{"name": phrase}).WithHint("%s", o.Why)
			if o.Write != "" {
				if r := l.replace(ws, o.Write, false); l.whole(r) {
					order = order.WithEdit(source.Span{File: file, Start: r.start, End: r.end}, r.text, false)
				}
			}
			return order, true
		}
	}
	return d, false
}

// named is what to say of a word that no edit can help with.
func (m *mender) named(file *source.File, d diag.Diagnostic) diag.Diagnostic {
	if d.Code != "unknown-word" && d.Code != "unknown-name" {
		return d
	}
	word := d.Span.Text()
	if v, ok := words.Value(word); ok && v == "" {
		return d.WithHint("a variable always has a value here; there is none for nothing, so take `0`, `\"\"` or `[]`")
	}
	return d
}

func phraseOf(ws []word) string {
	parts := make([]string, len(ws))
	for i, w := range ws {
		parts[i] = w.text
	}
	return strings.Join(parts, " ")
}
