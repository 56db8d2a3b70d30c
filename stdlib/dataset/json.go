package dataset

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/value"
)

// deepest is how many arrays and objects may stand within one another.
const deepest = 200

// JSON reads a JSON text (RFC 8259): objects become records, arrays lists. A
// member that is null is left out; a null anywhere else is a fault, and so are
// what the RFC leaves open: a name that stands twice in an object (section 4),
// a number too large to hold (section 6), half of a surrogate pair (section
// 8.2). A byte-order mark is passed over (section 8.1).
func JSON(file *source.File, charge Charge) (value.Value, error) {
	if err := wellFormed(file); err != nil {
		return value.Nothing, err
	}
	if err := charge(len(file.Text)/8, 0); err != nil {
		return value.Nothing, err
	}
	r := &reader{file: file, text: file.Text, charge: charge, layouts: layouts{}}
	if strings.HasPrefix(r.text, byteOrderMark) {
		r.at = len(byteOrderMark)
	}
	v, null, err := r.value(0)
	if err != nil {
		return value.Nothing, err
	}
	if null {
		return value.Nothing, fault(file, "data-null", r.at-len("null"), r.at, diag.Args{"what": "the whole file"})
	}
	if r.space(); r.at < len(r.text) {
		return value.Nothing, r.unexpected("the end of the file")
	}
	return v, nil
}

type reader struct {
	file    *source.File
	text    string
	at      int
	charge  Charge
	layouts layouts
}

func (r *reader) space() {
	for r.at < len(r.text) {
		switch r.text[r.at] {
		case ' ', '\t', '\n', '\r':
			r.at++
		default:
			return
		}
	}
}

// unexpected is the fault that something else stands here.
func (r *reader) unexpected(wanted string) error {
	if r.at == len(r.text) {
		return fault(r.file, "data-json", r.at, r.at, diag.Args{"wanted": wanted, "found": "the file ends"})
	}
	found, size := utf8.DecodeRuneInString(r.text[r.at:])
	shown := "`" + string(found) + "`"
	if found < ' ' {
		shown = "a control character"
	}
	return fault(r.file, "data-json", r.at, r.at+size, diag.Args{"wanted": wanted, "found": shown + " stands"})
}

// next reports whether a character comes next, and takes it.
func (r *reader) next(c byte) bool {
	r.space()
	if r.at < len(r.text) && r.text[r.at] == c {
		r.at++
		return true
	}
	return false
}

func (r *reader) value(depth int) (v value.Value, null bool, err error) {
	r.space()
	if depth > deepest {
		return v, false, fault(r.file, "data-deep", r.at, r.at, diag.Args{"limit": deepest})
	}
	if err := r.charge(1, valueBytes); err != nil {
		return v, false, err
	}
	if r.at == len(r.text) {
		return v, false, r.unexpected("a value")
	}
	for _, word := range []struct {
		text string
		v    value.Value
	}{{"true", value.Bool(true)}, {"false", value.Bool(false)}, {"null", value.Nothing}} {
		if strings.HasPrefix(r.text[r.at:], word.text) {
			r.at += len(word.text)
			return word.v, word.text == "null", nil
		}
	}
	switch c := r.text[r.at]; {
	case c == '{':
		v, err = r.object(depth)
	case c == '[':
		v, err = r.array(depth)
	case c == '"':
		var text string
		text, err = r.string()
		v = value.Text(text)
	case c == '-' || '0' <= c && c <= '9':
		v, err = r.number()
	default:
		err = r.unexpected("a value")
	}
	return v, false, err
}

func (r *reader) object(depth int) (value.Value, error) {
	line := r.file.LineOf(r.at)
	r.at++
	var names, empty []string
	var values []value.Value
	var seen nameSet
	if r.next('}') {
		return r.record(names, nil, values, line)
	}
	for {
		r.space()
		from := r.at
		if from == len(r.text) || r.text[from] != '"' {
			return value.Nothing, r.unexpected("a name in quotes")
		}
		name, err := r.string()
		if err != nil {
			return value.Nothing, err
		}
		name = composed(name)
		if !seen.add(name) {
			return value.Nothing, fault(r.file, "data-name-twice", from, r.at, diag.Args{"name": name})
		}
		if !r.next(':') {
			return value.Nothing, r.unexpected("`:`")
		}
		v, null, err := r.value(depth + 1)
		if err != nil {
			return value.Nothing, err
		}
		if null {
			empty = append(empty, name)
		} else {
			names, values = append(names, name), append(values, v)
		}
		switch {
		case r.next(','):
		case r.next('}'):
			return r.record(names, empty, values, line)
		default:
			return value.Nothing, r.unexpected("`,` or `}`")
		}
	}
}

// nameSet is the names of an object so far. Most objects have few, among which
// looking at each is faster than a map.
type nameSet struct {
	few  []string
	many map[string]bool
}

// add reports whether a name is new.
func (s *nameSet) add(name string) bool {
	const enough = 16
	if slices.Contains(s.few, name) || s.many[name] {
		return false
	}
	if len(s.few) < enough {
		s.few = append(s.few, name)
		return true
	}
	if s.many == nil {
		s.many = map[string]bool{}
	}
	s.many[name] = true
	return true
}

func (r *reader) record(names, empty []string, values []value.Value, line int) (value.Value, error) {
	return value.RecordFrom(r.layouts.of(names, empty), values, r.file.Name, line), r.charge(len(names), recordBytes)
}

func (r *reader) array(depth int) (value.Value, error) {
	r.at++
	var items []value.Value
	if r.next(']') {
		return value.List(items), nil
	}
	for {
		v, null, err := r.value(depth + 1)
		if err != nil {
			return value.Nothing, err
		}
		if null {
			return value.Nothing, fault(r.file, "data-null", r.at-len("null"), r.at, diag.Args{"what": "an item of a list"})
		}
		items = append(items, v)
		switch {
		case r.next(','):
		case r.next(']'):
			return value.List(items), nil
		default:
			return value.Nothing, r.unexpected("`,` or `]`")
		}
	}
}

func (r *reader) number() (value.Value, error) {
	from := r.at
	for r.at < len(r.text) && strings.IndexByte("+-.0123456789eE", r.text[r.at]) >= 0 {
		r.at++
	}
	written := r.text[from:r.at]
	x, ok := numberOf(written)
	if !ok {
		return value.Nothing, fault(r.file, "data-number", from, r.at, diag.Args{"text": written})
	}
	return value.Number(x), nil
}

// escapes are the short ones (section 7).
var escapes = map[byte]string{'"': "\"", '\\': "\\", '/': "/", 'b': "\b", 'f': "\f", 'n': "\n", 'r': "\r", 't': "\t"}

func (r *reader) string() (string, error) {
	start := r.at
	r.at++
	var out strings.Builder
	for {
		from := r.at
		for r.at < len(r.text) && r.text[r.at] >= ' ' && r.text[r.at] != '"' && r.text[r.at] != '\\' {
			r.at++
		}
		out.WriteString(r.text[from:r.at])
		switch {
		case r.at == len(r.text):
			return "", fault(r.file, "data-quote-open", start, start+1, diag.Args{})
		case r.text[r.at] == '"':
			r.at++
			return out.String(), r.charge(out.Len()/8, out.Len())
		case r.text[r.at] < ' ':
			return "", r.unexpected("a text without line breaks (write `\\n`)")
		}
		if err := r.escape(&out); err != nil {
			return "", err
		}
	}
}

// escape reads what a backslash begins.
func (r *reader) escape(out *strings.Builder) error {
	from := r.at
	bad := func(to int) error {
		to = min(to, len(r.text))
		return fault(r.file, "data-escape", from, to, diag.Args{"text": r.text[from:to]})
	}
	if from+1 == len(r.text) {
		return bad(from + 1)
	}
	if short, ok := escapes[r.text[from+1]]; ok {
		out.WriteString(short)
		r.at += 2
		return nil
	}
	unit, ok := r.unit(from)
	if !ok {
		return bad(from + 2)
	}
	r.at += len(`\u0000`)
	if !utf16.IsSurrogate(unit) {
		out.WriteRune(unit)
		return nil
	}
	low, ok := r.unit(r.at)
	pair := utf16.DecodeRune(unit, low)
	if !ok || pair == utf8.RuneError {
		return bad(r.at)
	}
	r.at += len(`\u0000`)
	out.WriteRune(pair)
	return nil
}

// unit is the number of a `\u` and four hexadecimal digits at a place.
func (r *reader) unit(at int) (rune, bool) {
	if at+6 > len(r.text) || r.text[at:at+2] != `\u` {
		return 0, false
	}
	for _, c := range []byte(r.text[at+2 : at+6]) {
		if !strings.ContainsRune("0123456789abcdefABCDEF", rune(c)) {
			return 0, false
		}
	}
	u, err := strconv.ParseUint(r.text[at+2:at+6], 16, 16)
	return rune(u), err == nil
}
