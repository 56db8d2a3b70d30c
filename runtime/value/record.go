package value

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"wend/lang/types"
)

// Layout is the names of a record's fields, in order, each in NFC and once.
// Records made at one place of a program share theirs, so that a field found
// once is found again by comparing pointers.
type Layout struct {
	names   []string
	at      map[string]int // nil while there are few names
	leftOut []string       // names of a file of data that are empty in these records
}

// fewFields is how many names are looked through one by one: faster than a map.
const fewFields = 8

// NewLayout makes a layout; it owns names from now on.
func NewLayout(names []string) *Layout {
	l := &Layout{names: names}
	if len(names) > fewFields {
		l.at = make(map[string]int, len(names))
		for i, name := range names {
			l.at[name] = i
		}
	}
	return l
}

// NewLayoutOf is NewLayout for records that were read, with the names that are
// empty in them.
func NewLayoutOf(names, leftOut []string) *Layout {
	l := NewLayout(names)
	l.leftOut = leftOut
	return l
}

// LeftOut are the names that are empty where the records were read.
func (l *Layout) LeftOut() []string { return l.leftOut }

// Names are the names in order; read only.
func (l *Layout) Names() []string { return l.names }

// Index is where the field of a name stands, from 0, or -1.
func (l *Layout) Index(name string) int {
	if l.at != nil {
		if i, ok := l.at[name]; ok {
			return i
		}
		return -1
	}
	for i, n := range l.names {
		if n == name {
			return i
		}
	}
	return -1
}

// Fields is what a record holds: one value a name of its layout. Records are
// values as lists are: shared until one is changed.
type Fields struct {
	Layout *Layout
	values []Value
	// File and Line say where the record was read; Line is 0 for one that a
	// program made.
	File string
	Line int
}

// Record makes a record, which owns values from now on.
func Record(layout *Layout, values []Value) Value {
	return Value{box: &box{kind: types.Record, data: &Fields{Layout: layout, values: values}}}
}

// RecordFrom makes a record that was read from a line of a file, for messages.
func RecordFrom(layout *Layout, values []Value, file string, line int) Value {
	return Value{box: &box{kind: types.Record, data: &Fields{Layout: layout, values: values, File: file, Line: line}}}
}

// small is a record with its first fields beside it, so that to make one is to
// ask for memory once.
type small struct {
	box    box
	fields Fields
	values [smallRecord]Value
}

// smallRecord is how many fields a small record has at most.
const smallRecord = 4

// RecordWith makes a record of a copy of values.
func RecordWith(layout *Layout, values []Value) Value {
	n := len(values)
	if n > smallRecord {
		return Record(layout, slices.Clone(values))
	}
	s := &small{}
	copy(s.values[:], values)
	s.fields.Layout, s.fields.values = layout, s.values[:n:n]
	s.box.kind, s.box.data = types.Record, &s.fields
	return Value{box: &s.box}
}

// Fields is what the record v holds.
func (v Value) Fields() *Fields { return v.box.data.(*Fields) }

// At is field i, from 0, to be looked at.
func (f *Fields) At(i int) Value { return f.values[i] }

// Get is the field of a name, to be looked at.
func (f *Fields) Get(name string) (Value, bool) {
	if i := f.Layout.Index(name); i >= 0 {
		return f.values[i], true
	}
	return Nothing, false
}

// SetField gives a record like v with field i, from 0, replaced, and reports how
// many fields were copied to make it. A record that is not shared is changed in
// place.
func (v Value) SetField(i int, x Value) (Value, int) {
	f := v.box.data.(*Fields)
	if !v.box.shared {
		f.values[i] = x
		return v, 0
	}
	for _, item := range f.values {
		item.Share()
	}
	changed := RecordWith(f.Layout, f.values)
	made := changed.Fields()
	made.values[i], made.File, made.Line = x, f.File, f.Line
	return changed, len(f.values)
}

// equalFields reports whether two records have the same names with equal values,
// in whatever order.
func equalFields(a, b *Fields) bool {
	if len(a.values) != len(b.values) {
		return false
	}
	for i, name := range a.Layout.names {
		j := i
		if b.Layout != a.Layout {
			if j = b.Layout.Index(name); j < 0 {
				return false
			}
		}
		if !Equal(a.values[i], b.values[j]) {
			return false
		}
	}
	return true
}

func (f *Fields) write(out *strings.Builder, depth int) {
	if depth == printedDepth {
		out.WriteString("{…}")
		return
	}
	out.WriteByte('{')
	for i, name := range f.Layout.names {
		if i > 0 {
			out.WriteString(", ")
		}
		if i == printedItems {
			out.WriteString("… " + strconv.Itoa(len(f.values)-i) + " more")
			break
		}
		if isName(name) {
			out.WriteString(name)
		} else {
			writeQuoted(out, name)
		}
		out.WriteString(": ")
		f.values[i].write(out, depth+1)
	}
	out.WriteByte('}')
}

// isName reports whether a text can be written as a name.
func isName(text string) bool {
	for i, r := range text {
		if r != '_' && !unicode.IsLetter(r) && (i == 0 || !unicode.In(r, unicode.Digit, unicode.Mark)) {
			return false
		}
	}
	return text != ""
}

// writeQuoted writes a text as a program would have it.
func writeQuoted(out *strings.Builder, text string) {
	out.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '\n':
			out.WriteString(`\n`)
		case r == '"' || r == '\\' || r == '{':
			out.WriteByte('\\')
			out.WriteRune(r)
		case unicode.IsControl(r):
			out.WriteString(`\u{` + strconv.FormatInt(int64(r), 16) + `}`)
		default:
			out.WriteRune(r)
		}
	}
	out.WriteByte('"')
}
