// Package mend finds edits for programs with errors: what to write instead of
// what was written.
//
// The parser and the checker say what is wrong; many know an edit. Whether it
// helps is another question: behind the first fault of a line there may be a
// second. So each edit is tried. One that leaves the lines it touches without
// an error, and adds none elsewhere, is offered; one that leads on to another
// error is followed up, with that error's own edits and with the rules of this
// package, and offered as one edit once the line is whole; what leads nowhere
// is not offered.
//
// The rules know how people write who do not know the language: everyday words
// (lang/words) and the statement shapes of other languages. They work on the
// words of a line, since there is no tree of what cannot be read.
package mend

import (
	"slices"
	"strings"
	"unicode/utf8"

	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// Options are what the search depends on.
type Options struct {
	Library *types.Library
	// Members are the names that a theme of the library defines.
	Members func(theme string) []string
	// Parameters are the names of what a member of a theme takes, in order.
	Parameters func(theme, member string) []string
	// Try is everything there is to say about a text in place of the program.
	Try func(text string) diag.List
	// Run is what there is to say when such a text is run, within small limits;
	// nil if Try runs it.
	Run func(text string) diag.List
	// Same reports whether two such texts without errors draw and print the same.
	Same func(a, b string) bool
}

// The bounds of a search, so that a long file with many errors is told of as
// fast as a short one.
const (
	maxErrors = 8       // as many errors are followed up
	maxTries  = 120     // for one error
	maxSteps  = 5       // edits that become one
	maxBytes  = 4 << 20 // of text that is tried in all
	maxLine   = 2000    // bytes of a line that is looked at: nobody types longer ones by mistake, and rules look at a line many times
)

// costOf is what it takes off maxBytes to try a text: a short one is read and checked no
// faster than one of some size, since what it uses of the library is checked with it.
func costOf(text string) int { return max(len(text), 8<<10) }

// Improve is the list with edits that were tried, for the errors in file.
func Improve(file *source.File, list diag.List, opts Options) diag.List {
	if !utf8.ValidString(file.Text) {
		return list
	}
	opts.Try, opts.Run = onceEach(opts.Try, opts.Run)
	m := &mender{Options: opts, heads: headsOf(file.Text, opts), left: maxBytes}
	each := m.each(file, list)
	return m.throughout(file, list, each)
}

// onceEach tries each text once, however many rules come to it.
func onceEach(try, run func(string) diag.List) (_, _ func(string) diag.List) {
	tried, ran := map[string]diag.List{}, map[string]diag.List{}
	last := ""
	again := func(text string) diag.List {
		last = text
		tried[text] = try(text)
		return tried[text]
	}
	once := func(text string) diag.List {
		if list, ok := tried[text]; ok {
			return list
		}
		return again(text)
	}
	if run == nil {
		return once, nil
	}
	return once, func(text string) diag.List {
		if list, ok := ran[text]; ok {
			return list
		}
		if last != text { // what is run is what was tried last
			again(text)
		}
		ran[text] = run(text)
		return ran[text]
	}
}

// each is the list with edits that mend one message each.
func (m *mender) each(file *source.File, list diag.List) diag.List {
	out := append(diag.List{}, list...)
	followed := 0
	gone := map[int]bool{}
	for i, d := range list {
		if gone[i] || d.Severity != diag.Error || d.Span.File != file || followed == maxErrors || len(file.Text) > m.left {
			continue
		}
		if first, end := lineAround(file.Text, d.Span.Start); end-first > maxLine {
			continue
		}
		followed++
		out[i] = m.improve(file, list, d)
		// What stands within the edit was an echo of the fault, and goes with it.
		if len(out[i].Edits) == 0 {
			continue
		}
		edit := out[i].Edits[0].Span
		for k := i + 1; k < len(list); k++ {
			if s := list[k].Span; s.File == file && s.Start > d.Span.Start && s.Start >= edit.Start && s.End <= edit.End && file.LineOf(s.Start) > file.LineOf(d.Span.Start) {
				gone[k] = true
			}
		}
	}
	kept := out[:0]
	for i, d := range out {
		if !gone[i] {
			kept = append(kept, d)
		}
	}
	return kept
}

type mender struct {
	Options
	heads heads
	left  int
	room  string // what keeps the line on the page, of the last rule that was offered for that
}

// state is a text that came about by edits.
type state struct {
	text    string
	fault   diag.Diagnostic // what is wrong with it next
	certain bool
	rule    *rewrite // the first rule on the way, if there was one
	edited  bool     // the text is not as it was written
	fitted
}

// fitted is for a text that was changed once more so that its line stays on the page:
// right is the text before that, and room says what keeps it there. Both are empty for
// other texts.
type fitted struct{ right, room string }

func (m *mender) improve(file *source.File, list diag.List, d diag.Diagnostic) diag.Diagnostic {
	if order, ok := m.order(file, d); ok {
		return order
	}
	known := map[string]bool{}
	for _, other := range list {
		known[key(other)] = true
		known[faulty(other)] = true
	}
	level := []state{{text: file.Text, fault: d, certain: true}}
	seen := map[string]bool{file.Text: true}
	tries := 0
	// sure are certain, but show a fault on another line; stuck are right as they
	// are written, and fail when they run.
	var found, sure, stuck []state
	for step := 0; step < maxSteps && len(found) == 0; step++ {
		var next []state
		for _, s := range level {
			for _, r := range m.rewrites(s) {
				text := s.text[:r.start] + r.text + s.text[r.end:]
				if seen[text] || tries == maxTries || len(text) > m.left {
					continue
				}
				seen[text] = true
				tries++
				m.left -= costOf(text)
				after := m.Try(text)
				to := state{text: text, certain: s.certain && r.certain, rule: s.rule, edited: true, fitted: s.fitted}
				fits := r.room != "" && s.edited
				if fits && to.right == "" {
					to.fitted = fitted{s.text, r.room}
				}
				if to.rule == nil && r.rule && !fits {
					to.rule = &r
				}
				fault, whole := touched(file.Text, text, after, known)
				if whole && m.Run != nil && !after.Failed() {
					// What goes wrong on other lines when it runs is told of then.
					fault = firstOnLines(file.Text, text, m.Run(text))
					whole = fault == nil
					if !whole {
						to.fault = *fault
						stuck = append(stuck, to)
					}
				}
				if whole {
					if found = append(found, to); len(found) == 3 || r.rule {
						break
					}
					continue
				}
				if fault == nil && to.certain && len(sure) == 0 && (r.rule || d.Code == "foreign-word") {
					sure = append(sure, to)
				}
				if fault != nil && len(next) < 24 {
					to.fault = *fault
					next = append(next, to)
				}
			}
			if len(found) > 0 {
				break
			}
		}
		level = next
	}
	if len(found) == 0 {
		found = sure
	}
	if len(found) == 0 && len(stuck) > 0 {
		// An everyday word is told of; an edit that fails is not offered.
		if r := stuck[0].rule; r == nil || r.everyday == "" && r.thing == "" {
			stuck = nil
		}
		d = m.offered(file, d, stuck)
		d.Edits = nil
		return d
	}
	return m.offered(file, d, found)
}

// touched looks at the lines that an edit touched: the text is whole if they
// hold no error and nothing new is wrong elsewhere; otherwise the fault is the
// first error on them, if there is one.
func touched(before, after string, list diag.List, known map[string]bool) (fault *diag.Diagnostic, whole bool) {
	first, last := linesTouched(before, after)
	whole = true
	for i, d := range list {
		if d.Severity != diag.Error {
			continue
		}
		if d.Span.Known() && d.Span.Start >= first && d.Span.Start <= last {
			if fault == nil {
				fault = &list[i]
			}
			whole = false
		} else if !known[key(d)] && (first <= last || !known[faulty(d)]) {
			whole = false
		}
	}
	return fault, whole
}

// faulty is the line of an error as it is written: once a line is taken out, as
// `import math`, what else is said of a line with an error is nothing new.
func faulty(d diag.Diagnostic) string {
	if !d.Span.Known() {
		return ""
	}
	start, end := lineAround(d.Span.File.Text, d.Span.Start)
	return "line " + strings.TrimSpace(d.Span.File.Text[start:end])
}

// firstOnLines is the first error on the lines that an edit touched, or nil.
func firstOnLines(before, after string, list diag.List) *diag.Diagnostic {
	first, last := linesTouched(before, after)
	for i, d := range list {
		if d.Severity == diag.Error && d.Code != "program-empty" && d.Span.Known() && d.Span.Start >= first && d.Span.Start <= last {
			return &list[i]
		}
	}
	return nil
}

// linesTouched is the stretch of the lines of a text that an edit changed; it
// is empty if whole lines were taken out.
func linesTouched(before, after string) (first, last int) {
	start, endBefore, end := difference(before, after)
	if start == end && (start == 0 || after[start-1] == '\n') && before[endBefore-1] == '\n' {
		return start, start - 1
	}
	first, _ = lineAround(after, start)
	_, last = lineAround(after, end)
	return first, last
}

func key(d diag.Diagnostic) string { return string(d.Code) + " " + d.Message }

// difference is the stretch in which two texts differ: from start to endBefore
// of the one, to endAfter of the other.
func difference(before, after string) (start, endBefore, endAfter int) {
	for start < len(before) && start < len(after) && before[start] == after[start] {
		start++
	}
	endBefore, endAfter = len(before), len(after)
	for endBefore > start && endAfter > start && before[endBefore-1] == after[endAfter-1] {
		endBefore--
		endAfter--
	}
	return start, endBefore, endAfter
}

// offered is the diagnostic with the edits that were found.
func (m *mender) offered(file *source.File, d diag.Diagnostic, found []state) diag.Diagnostic {
	if len(found) == 0 {
		if len(d.Edits) > 0 {
			d.Edits = nil
		}
		return m.named(file, d)
	}
	own := d.Edits
	d.Edits = nil
	for _, s := range found {
		edit := editBetween(file, s.text)
		edit.Certain = s.certain && (s.rule != nil || isCertain(own, edit))
		d.Edits = append(d.Edits, edit)
	}
	text := found[0].text // without what only keeps it on the page
	if found[0].right != "" {
		text = found[0].right
	}
	d = m.headFirst(file, d, text)
	rule := found[0].rule
	if rule != nil && rule.room != "" {
		m.room = rule.room
	}
	if rule == nil {
		return thenFitted(d, found[0].room)
	}
	if unknown(d.Code) && rule.everyday != "" && strings.HasPrefix(file.Text[min(rule.said, len(file.Text)):], rule.everyday) {
		d.Span = source.Span{File: file, Start: rule.said, End: rule.said + len(rule.everyday)}
	}
	hint := written(file.Text, text)
	switch {
	case rule.everyday != "" && rule.now == "":
		now := diag.New("no-such-word", d.Span, diag.Args{"name": rule.everyday})
		now.Edits = d.Edits
		d = now
		if rule.text == "" {
			hint = "" // the word is left out
		}
	case rule.thing != "" && unknown(d.Code):
		now := diag.New("everyday-thing", d.Span, diag.Args{"thing": rule.thing, "now": rule.text})
		now.Edits, now.Related = d.Edits, d.Related
		d = now
	case rule.everyday != "" && unknown(d.Code):
		now := diag.New("everyday-word", d.Span, diag.Args{"name": rule.everyday, "now": rule.now})
		now.Edits, now.Related = d.Edits, d.Related
		d = now
	}
	if rule.everyday == "" && rule.hint == "" && leavesOutLine(file.Text, text) {
		d.Hint = "leave this line out"
		if rule.why != "" {
			d.Hint += ": " + rule.why
		}
		return thenFitted(d, found[0].room)
	}
	switch {
	case rule.hint != "":
		d.Hint = rule.hint
	case rule.why != "" && hint != "":
		d.Hint = "write " + hint + ": " + rule.why
	case hint != "":
		d.Hint = "write " + hint
	case rule.why != "":
		d.Hint = rule.why
	case strings.Contains(d.Edits[0].Text, "\n"):
		d.Hint = likeThis
	}
	return thenFitted(d, found[0].room)
}

// thenFitted says, behind what mends a fault, that the line leaves the page then and
// what keeps it there.
func thenFitted(d diag.Diagnostic, room string) diag.Diagnostic {
	switch {
	case room == "":
	case d.Hint == "" || d.Hint == likeThis:
		d.Hint = "the line then leaves the page; " + room
	case strings.HasSuffix(d.Hint, "?"):
		d.Hint += " The line then leaves the page; " + room
	default:
		d.Hint += "; the line then leaves the page; " + room
	}
	return d
}

// headFirst is a message about something missing behind a word that nobody knows, as
// one about that word: its slip came first, and what follows may be right after it.
func (m *mender) headFirst(file *source.File, d diag.Diagnostic, after string) diag.Diagnostic {
	first, _ := lineAround(file.Text, d.Span.Start)
	if d.Code != "side-by-side" || first > len(after) || file.Text[:first] != after[:first] {
		return d
	}
	at, to := head.FindStringSubmatchIndex(file.Text[first:]), head.FindStringSubmatchIndex(after[first:])
	if at == nil || to == nil || first+at[1] > d.Span.Start {
		return d
	}
	word, meant := file.Text[first+at[2]:first+at[3]], after[first+to[2]:first+to[3]]
	if m.Library.Lookup(word) != nil || m.heads.own[word] || slices.Contains(keywords, word) || !m.heads.library[meant] || meant == word {
		return d
	}
	end := first + at[1]
	now := diag.New("unknown-word", source.Span{File: file, Start: end - len(word), End: end}, diag.Args{"name": word})
	now.Edits, now.Hint = d.Edits, d.Hint
	return now
}

// head is the word that a line begins with.
var head = expression.Of(`^[ \t]*([\pL_][\pL\pN_]*)`)

// likeThis stands before the lines of an edit, which are shown below it.
const likeThis = "write it like this:"

// unknown reports whether a code is about what is not known, or not as a
// statement; other codes say more than that a word is an everyday one.
func unknown(code diag.Code) bool {
	switch code {
	case "unknown-word", "unknown-name", "side-by-side", "missing-argument", "no-such-form", "value-not-used", "expected", "missing-line-break", "stray-block", "loose-value", "wrong-kind", "draw-kind":
		return true
	}
	return false
}

func isCertain(own []diag.Edit, edit diag.Edit) bool {
	for _, e := range own {
		if e.Certain {
			return true
		}
	}
	return false
}

// editBetween is the one edit that makes a text of the file's. It takes whole
// words, so that it can be read.
func editBetween(file *source.File, text string) diag.Edit {
	start, end, endAfter := difference(file.Text, text)
	for start > 0 && inWord(file.Text, start) {
		start--
	}
	for end < len(file.Text) && inWord(file.Text, end) {
		end++
		endAfter++
	}
	return diag.Edit{Span: source.Span{File: file, Start: start, End: end}, Text: text[start:endAfter]}
}

// inWord reports whether an offset lies within a word, a number or a letter.
func inWord(text string, at int) bool {
	part := func(b byte) bool {
		return b >= utf8.RuneSelf || b == '_' || b >= '0' && b <= '9' || b|0x20 >= 'a' && b|0x20 <= 'z'
	}
	return at > 0 && at < len(text) && part(text[at-1]) && part(text[at])
}

// longestQuote is how much of a program a hint shows at most.
const longestQuote = 64

// written quotes the line as it should be, or nothing if there is more of it
// than a hint can show.
func written(before, after string) string {
	start, endBefore, end := difference(before, after)
	first, _ := lineAround(after, start)
	_, last := lineAround(after, end)
	line := strings.TrimSpace(after[first:last])
	if strings.Contains(line, "\n") && !strings.Contains(before[start:endBefore], "\n") {
		line = onOneLine(line)
	}
	if line == "" || strings.ContainsAny(line, "\n`") || utf8.RuneCountInString(line) > longestQuote {
		return ""
	}
	return "`" + line + "`"
}

// leavesOutLine reports whether a text is another one without a line of it.
func leavesOutLine(before, after string) bool {
	start, endBefore, end := difference(before, after)
	return start == end && strings.Contains(before[start:endBefore], "\n")
}

// onOneLine writes several lines as one, with semicolons between statements.
func onOneLine(lines string) string {
	var out strings.Builder
	for line := range strings.Lines(lines) {
		line = strings.Join(strings.Fields(line), " ")
		if line == "" {
			continue
		}
		if so := out.String(); so != "" {
			if !strings.HasSuffix(so, "{") && !strings.HasPrefix(line, "}") {
				out.WriteString(";")
			}
			out.WriteString(" ")
		}
		out.WriteString(line)
	}
	return out.String()
}
