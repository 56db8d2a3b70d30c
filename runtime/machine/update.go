//go:build !js

package machine

import (
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"wend/lang/source"
)

// Update is a profile file changed so that it says what a profile says. What a
// person wrote stays as it is, comments, order and spelling of numbers: only
// values that differ are replaced, keys that are new are added to their table,
// and lines of keys that no longer count are removed. Read gives the profile
// back; where the file cannot be kept so, it is written anew (see Marshal).
func Update(file *source.File, now *Profile) string {
	original := file.Text
	if original != "" && !strings.HasSuffix(original, "\n") {
		file = source.New(file.Name, original+"\n")
	}
	r := newReader(file)
	if !r.open() {
		return string(Marshal(now))
	}
	r.take()
	// What the board is set to follows from the drive unless the file says it.
	if _, said := r.places["board.steps_per_mm"]; !said {
		r.profile.Board.StepsPerMM.X = r.profile.X.StepsPerMM()
		r.profile.Board.StepsPerMM.Y = r.profile.Y.StepsPerMM()
	}
	var changes []change
	additions := map[string]string{}
	for i := range keys {
		k := &keys[i]
		at, written := r.places[k.path()]
		needed := k.absent == nil || !k.absent(now)
		value := literal(k.at(now))
		switch {
		case written && !needed:
			changes = append(changes, removeLine(file, at))
		case written && value != literal(k.at(r.profile)):
			changes = append(changes, replaceValue(valueSpan(at.value), value))
		case !written && needed && value != literal(k.at(r.profile)):
			additions[k.table] += k.name + " = " + value + "\n"
		}
	}
	for _, table := range append([]string{""}, tables...) {
		if lines := additions[table]; lines != "" {
			changes = append(changes, r.addTo(table, lines))
		}
	}
	text := original
	if len(changes) > 0 {
		text = apply(file.Text, changes)
	}
	if back, _ := Read(source.New(file.Name, text)); back != nil {
		want := *now
		want.BuiltIn = false
		if reflect.DeepEqual(back, &want) {
			return text
		}
	}
	return string(Marshal(now))
}

// Carry gives a profile with all that changed from one to another; all else is
// as it was.
func Carry(before, now, into *Profile) *Profile {
	out := *into
	for i := range keys {
		k := &keys[i]
		if literal(k.at(before)) == literal(k.at(now)) {
			continue
		}
		to := reflect.ValueOf(k.at(&out)).Elem()
		to.Set(reflect.ValueOf(k.at(now)).Elem())
	}
	return &out
}

// change replaces a part of the text.
type change struct {
	span source.Span
	text string
}

func apply(text string, changes []change) string {
	slices.SortStableFunc(changes, func(a, b change) int { return a.span.Start - b.span.Start })
	var out strings.Builder
	at := 0
	for _, c := range changes {
		if c.span.Start < at {
			continue // two keys on one line, one of which went with the other
		}
		out.WriteString(text[at:c.span.Start])
		out.WriteString(c.text)
		at = c.span.End
	}
	out.WriteString(text[at:])
	return out.String()
}

// valueSpan is a value with the brackets of a list, whose place is known by
// its items.
func valueSpan(at source.Span) source.Span {
	text := at.File.Text
	before := strings.TrimRight(text[:at.Start], " \t\r\n")
	after := strings.TrimLeft(text[at.End:], " \t\r\n,")
	if strings.HasSuffix(before, "[") && strings.HasPrefix(after, "]") {
		return source.Span{File: at.File, Start: len(before) - 1, End: len(text) - len(after) + 1}
	}
	return at
}

// replaceValue puts another value in place of one. A comment after it stays in
// its column as far as the spaces between allow.
func replaceValue(at source.Span, value string) change {
	old, rest := at.Text(), at.File.Text[at.End:]
	spaces := len(rest) - len(strings.TrimLeft(rest, " "))
	if spaces == 0 || !strings.HasPrefix(rest[spaces:], "#") || strings.Contains(old, "\n") {
		return change{at, value}
	}
	left := max(1, spaces+utf8.RuneCountInString(old)-utf8.RuneCountInString(value))
	at.End += spaces
	return change{at, value + strings.Repeat(" ", left)}
}

func removeLine(file *source.File, at place) change {
	line := file.LineOf(at.key.Start)
	end := len(file.Text)
	if line < file.Lines() {
		end = file.LineStart(line + 1)
	}
	return change{span: source.Span{File: file, Start: file.LineStart(line), End: end}}
}

// addTo puts lines after the last line of a table, or a new table at the end.
func (r *reader) addTo(table, lines string) change {
	last := -1
	for path, at := range r.places {
		if path == table || strings.HasPrefix(path, table+".") || table == "" && !strings.Contains(path, ".") && !slices.Contains(tables, path) {
			last = max(last, r.file.LineOf(valueSpan(at.value).End))
		}
	}
	text := r.file.Text
	switch {
	case last > 0 && last < r.file.Lines():
		at := r.file.LineStart(last + 1)
		return change{source.Span{File: r.file, Start: at, End: at}, lines}
	case table == "":
		return change{source.Span{File: r.file}, lines}
	}
	return change{source.Span{File: r.file, Start: len(text), End: len(text)}, "\n[" + table + "]\n" + lines}
}
