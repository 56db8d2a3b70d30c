package mend

import (
	"slices"
	"strings"
	"unicode"

	"wend/lang/diag"
	"wend/lang/paraphrase"
	"wend/lang/source"
)

// A person makes the edit of each message and reads on. Where that leads to a
// further error, the edits are followed to the end here: the text with all of
// them made is looked at again, and so is the program as it would be said in
// wend if it is in the manner of another language. Once one of these is free of
// errors, each message is given the part of the way that lies at its place.

// maxRounds is how often edits are made and the text is looked at again.
const maxRounds = 4

// throughout is the list with edits that mend the program together, if there
// are such; each is what the messages of list say one by one.
func (m *mender) throughout(file *source.File, list, each diag.List) diag.List {
	lines := 0
	for l := range strings.Lines(file.Text) {
		if lines++; lines > maxLines || len(l) > maxLine {
			return each
		}
	}
	said := m.paraphrased(file.Text)
	if said != file.Text && m.well(said) {
		return m.shared(file, list, each, said, fitted{})
	}
	first := applied(file, each)
	if first != file.Text && m.well(first) {
		return each
	}
	for _, begin := range []string{said, first} {
		if begin == file.Text {
			continue
		}
		if text, fit, ok := m.followed(file.Name, begin); ok {
			if fit.right == first {
				if out, ok := thenMoved(file, each, fit, text); ok {
					return out
				}
			}
			return m.shared(file, list, each, text, fit)
		}
	}
	return each
}

// maxLines is how long a program may be that is put into other words as a whole.
const maxLines = 400

func (m *mender) paraphrased(text string) string {
	out := paraphrase.Text(text, m.heads.vocabulary(m.Options))
	if !strings.HasSuffix(text, "\n") {
		out = strings.TrimSuffix(out, "\n")
	}
	return out
}

// well reports whether there is nothing wrong with a text.
func (m *mender) well(text string) bool {
	if len(text) > m.left {
		return false
	}
	m.left -= costOf(text)
	list := m.Try(text)
	return !list.Failed() && (m.Run == nil || !m.Run(text).Failed())
}

// followed makes edits until there is nothing wrong with a text.
func (m *mender) followed(name, text string) (_ string, fit fitted, ok bool) {
	for range maxRounds {
		if len(text) > m.left {
			return "", fit, false
		}
		m.left -= costOf(text)
		list := m.Try(text)
		if !list.Failed() && m.Run != nil {
			list = m.Run(text)
		}
		if !list.Failed() {
			return text, fit, true
		}
		file := source.New(name, text)
		list = placed(list, file)
		m.room = ""
		after := applied(file, m.each(file, list))
		if m.room != "" && fit.room == "" {
			fit = fitted{text, m.room}
		}
		if after == text {
			if after = m.paraphrased(text); after == text {
				return "", fit, false
			}
		}
		text = after
	}
	return text, fit, m.well(text)
}

// placed is a list about another file with the same text.
func placed(list diag.List, file *source.File) diag.List {
	out := slices.Clone(list)
	for i := range out {
		if s := out[i].Span; s.Known() && s.File.Text == file.Text {
			out[i].Span.File = file
			out[i].Edits = slices.Clone(out[i].Edits)
			for k := range out[i].Edits {
				out[i].Edits[k].Span.File = file
			}
		}
	}
	return out
}

// applied is a text with the first edit of each of its errors made.
func applied(file *source.File, list diag.List) string {
	var edits []diag.Edit
	for _, d := range list {
		if d.Severity == diag.Error && len(d.Edits) > 0 && d.Edits[0].Span.File == file {
			edits = append(edits, d.Edits[0])
		}
	}
	slices.SortStableFunc(edits, func(a, b diag.Edit) int { return b.Span.Start - a.Span.Start })
	text, before := file.Text, len(file.Text)+1
	for _, e := range edits {
		if e.Span.End <= before {
			text = text[:e.Span.Start] + e.Text + text[e.Span.End:]
			before = e.Span.Start
		}
	}
	return text
}

// hunk is a stretch of lines and what stands in its place.
type hunk struct {
	start, end int // bytes of the text before
	text       string
}

// shared gives each message the part of the way to a text that lies at its
// place. Parts that no message lies in go with the one before them.
func (m *mender) shared(file *source.File, list, each diag.List, text string, fit fitted) diag.List {
	hunks := hunksBetween(file.Text, text)
	// What is missing at the end of the text is said of the place behind its last line.
	within := func(d diag.Diagnostic, h hunk) bool {
		at := d.Span.Start
		return at >= h.start && (at < max(h.end, h.start+1) || at == len(file.Text) && h.end == at)
	}
	faults := func(h hunk) bool {
		return slices.ContainsFunc(list, func(d diag.Diagnostic) bool {
			return d.Severity == diag.Error && d.Span.File == file && within(d, h)
		})
	}
	hunks = m.needed(file.Text, hunks, faults)
	hunks = merged(file.Text, hunks, faults)
	if len(hunks) == 1 && !faults(hunks[0]) {
		// What is wrong shows elsewhere: from there to here.
		for _, d := range list {
			if d.Severity == diag.Error && d.Span.File == file {
				first, last := lineAround(file.Text, d.Span.Start)
				last = min(last+1, len(file.Text))
				if h := hunks[0]; last <= h.start {
					hunks[0] = join(file.Text, []hunk{{first, last, file.Text[first:last]}, h})
				} else if first >= h.end {
					hunks[0] = join(file.Text, []hunk{h, {first, last, file.Text[first:last]}})
				}
				break
			}
		}
	}
	// A part that is wrong without the others goes with them.
	known := map[string]bool{}
	lines := map[int]bool{}
	for _, d := range list {
		known[key(d)] = true
		if d.Span.File == file {
			lines[file.LineOf(d.Span.Start)] = true
		}
	}
	if len(hunks) > 1 && slices.ContainsFunc(hunks, func(h hunk) bool { return !m.stands(file, h, known) }) {
		hunks = []hunk{join(file.Text, hunks)}
	}
	var out diag.List
	given := make([]bool, len(hunks))
	for i, d := range list {
		if d.Severity != diag.Error || d.Span.File != file {
			out = append(out, d)
			continue
		}
		at := slices.IndexFunc(hunks, func(h hunk) bool { return within(d, h) })
		if at < 0 || given[at] {
			continue // it follows from what is mended elsewhere
		}
		given[at] = true
		out = append(out, m.told(file, d, said(each, list[i]), hunks[at], fit.within(text, hunks, at)))
	}
	if !out.Failed() {
		return each // a program with an error is never one without
	}
	return out
}

// said is what a list says of the place of a message.
func said(each diag.List, d diag.Diagnostic) diag.Diagnostic {
	for _, other := range each {
		if other.Span == d.Span {
			return other
		}
	}
	return d
}

// thenMoved is a list whose edits together make a text that was fitted after them,
// with that last change in the edit beside it: each fault keeps its own message.
func thenMoved(file *source.File, each diag.List, fit fitted, text string) (diag.List, bool) {
	start, end, endAfter := difference(fit.right, text)
	var edited []int // messages with an edit, in the order of the edits
	for i, d := range each {
		if d.Severity == diag.Error && len(d.Edits) > 0 {
			edited = append(edited, i)
		}
	}
	slices.SortStableFunc(edited, func(a, b int) int { return each[a].Edits[0].Span.Start - each[b].Edits[0].Span.Start })
	// Where the change lies in the file: behind the edits before it.
	behind, shift := 0, 0
	for _, i := range edited {
		e := each[i].Edits[0]
		if e.Span.Start+shift+len(e.Text) > start {
			break
		}
		behind++
		shift += len(e.Text) - (e.Span.End - e.Span.Start)
	}
	start, end = start-shift, end-shift
	if start < 0 || end > len(file.Text) || behind < len(edited) && each[edited[behind]].Edits[0].Span.Start < end {
		return nil, false // it is within an edit
	}
	line := file.LineOf(start)
	beside := behind - 1
	if beside < 0 || behind < len(edited) && file.LineOf(each[edited[behind]].Edits[0].Span.Start) == line && file.LineOf(each[edited[beside]].Edits[0].Span.Start) != line {
		beside = behind
	}
	if beside == len(edited) {
		return nil, false
	}
	out := slices.Clone(each)
	d := out[edited[beside]]
	e := d.Edits[0]
	change := text[start+shift : endAfter]
	if e.Span.Start >= end {
		e.Text = change + file.Text[end:e.Span.Start] + e.Text
		e.Span.Start = start
	} else {
		e.Text += file.Text[e.Span.End:start] + change
		e.Span.End = end
	}
	e.Certain = false
	d.Edits = []diag.Edit{e}
	out[edited[beside]] = thenFitted(d, fit.room)
	return out, applied(file, out) == text
}

// within is what part at of a way to a text was before it was fitted, if it was.
func (f fitted) within(text string, hunks []hunk, at int) fitted {
	if f.room == "" {
		return f
	}
	from := hunks[at].start
	for _, h := range hunks[:at] {
		from += len(h.text) - (h.end - h.start)
	}
	part := hunks[at].text
	start, endRight, end := difference(f.right, text)
	if start < from || end > from+len(part) {
		return fitted{}
	}
	return fitted{part[:start-from] + f.right[start:endRight] + part[end-from:], f.room}
}

// told is a message with a part as its edit. If its own edit comes to the same,
// it stays as it is. What it says of a part that was fitted is what it says of the part
// before that, and then what was fitted.
func (m *mender) told(file *source.File, d, own diag.Diagnostic, h hunk, fit fitted) diag.Diagnostic {
	edit := editWithin(file, h)
	if fit.room != "" {
		h.text = fit.right
	}
	after := file.Text[:h.start] + h.text + file.Text[h.end:]
	if len(own.Edits) > 0 {
		e := own.Edits[0]
		if file.Text[:e.Span.Start]+e.Text+file.Text[e.Span.End:] == after {
			if fit.room != "" {
				own.Edits = []diag.Edit{edit}
			}
			return thenFitted(own, fit.room)
		}
	}
	d.Edits = []diag.Edit{edit}
	if fit.room == "" || d.Hint == "" {
		d.Hint = likeThis
	}
	if hint := written(file.Text, after); hint != "" {
		d.Hint = "write " + hint
	}
	switch {
	case leavesOutLine(file.Text, after):
		d.Hint = "leave this line out"
	case strings.TrimSpace(h.text) == "":
		d.Hint = "leave this out"
	}
	return thenFitted(m.headFirst(file, d, after), fit.room)
}

// editWithin is the edit of a part. It reaches over no other: where two lines
// begin alike, taking out the first is not taking out what follows of both.
func editWithin(file *source.File, h hunk) diag.Edit {
	if h.text == "" {
		return diag.Edit{Span: source.Span{File: file, Start: h.start, End: h.end}}
	}
	e := editBetween(file, file.Text[:h.start]+h.text+file.Text[h.end:])
	if e.Span.End > h.end || e.Span.Start < h.start {
		return diag.Edit{Span: source.Span{File: file, Start: h.start, End: h.end}, Text: h.text}
	}
	return e
}

// stands reports whether a part alone brings no error where there was none.
func (m *mender) stands(file *source.File, h hunk, known map[string]bool) bool {
	text := file.Text[:h.start] + h.text + file.Text[h.end:]
	if len(text) > m.left {
		return false
	}
	m.left -= costOf(text)
	for _, d := range m.Try(text) {
		if d.Severity == diag.Error && !known[key(d)] && d.Span.Known() {
			// On a line that has a fault of its own, another one is nothing new.
			at := d.Span.Start
			if at >= h.start && at <= h.start+len(h.text) {
				return false
			}
		}
	}
	return true
}

// needed leaves out the parts without a message that nothing hangs on: what was
// right, stands apart from the rest and is only put otherwise, so that the same
// is drawn without it.
func (m *mender) needed(text string, hunks []hunk, faults func(hunk) bool) []hunk {
	for i := 0; i < len(hunks); i++ {
		h := hunks[i]
		apart := (i == 0 || hunks[i-1].end < h.start) && (i+1 == len(hunks) || h.end < hunks[i+1].start)
		if faults(h) || !apart {
			continue
		}
		without := slices.Delete(slices.Clone(hunks), i, i+1)
		if len(without) > 0 && m.well(patched(text, without)) && m.Same(patched(text, without), patched(text, hunks)) {
			hunks = without
			i--
		}
	}
	return hunks
}

func patched(text string, hunks []hunk) string {
	for _, h := range slices.Backward(hunks) {
		text = text[:h.start] + h.text + text[h.end:]
	}
	return text
}

// merged joins parts without a message to the part before them, or to the one
// behind if there is none before; and what is put in before a line to what
// becomes of the line, since the message of the line is about both.
func merged(text string, hunks []hunk, faults func(hunk) bool) []hunk {
	var out []hunk
	for _, h := range hunks {
		if len(out) > 0 && (!faults(h) || !faults(out[len(out)-1]) || out[len(out)-1].start == h.start) {
			out[len(out)-1] = join(text, []hunk{out[len(out)-1], h})
			continue
		}
		out = append(out, h)
	}
	return out
}

// join is several parts, with what stands between them, as one.
func join(text string, hunks []hunk) hunk {
	out := hunks[0]
	for _, h := range hunks[1:] {
		out.text += text[out.end:h.start] + h.text
		out.end = h.end
	}
	return out
}

// hunksBetween are the stretches of lines in which two texts differ. Lines are
// set against each other so that as few as can be are new or gone, and those
// that changed stand beside lines that are like them.
func hunksBetween(before, after string) []hunk {
	a, b := slices.Collect(strings.Lines(before)), slices.Collect(strings.Lines(after))
	cost := make([][]float64, len(a)+1)
	for i := range cost {
		cost[i] = make([]float64, len(b)+1)
	}
	change := func(i, k int) float64 {
		switch {
		case a[i] == b[k]:
			return 0
		case alike(a[i], b[k]):
			return 0.8
		}
		return 1.6
	}
	for i := len(a); i >= 0; i-- {
		for k := len(b); k >= 0; k-- {
			switch {
			case i == len(a):
				cost[i][k] = float64(len(b) - k)
			case k == len(b):
				cost[i][k] = float64(len(a) - i)
			default:
				cost[i][k] = min(cost[i+1][k]+1, cost[i][k+1]+1, cost[i+1][k+1]+change(i, k))
			}
		}
	}
	var out []hunk
	i, k, at := 0, 0, 0
	open := false
	for i < len(a) || k < len(b) {
		both := i < len(a) && k < len(b) && cost[i][k] == cost[i+1][k+1]+change(i, k)
		if both && a[i] == b[k] {
			at += len(a[i])
			i, k, open = i+1, k+1, false
			continue
		}
		if !open || both {
			out = append(out, hunk{start: at, end: at})
			open = !both
		}
		h := &out[len(out)-1]
		gone := both || i < len(a) && cost[i][k] == cost[i+1][k]+1
		if gone {
			at += len(a[i])
			h.end = at
			i++
		}
		if both || !gone {
			h.text += b[k]
			k++
		}
	}
	return out
}

// alike reports whether one line may have come from another: half of its words
// are in it.
func alike(a, b string) bool {
	words := strings.FieldsFunc(a, notOfWord)
	others := strings.FieldsFunc(b, notOfWord)
	if len(words) == 0 || len(others) == 0 {
		return false
	}
	common := 0
	for _, w := range words {
		if slices.Contains(others, w) {
			common++
		}
	}
	return 2*common >= min(len(words), len(others))
}

func notOfWord(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) }
