package words

import (
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// LongestPhrase is how many words an everyday phrase has at most.
const LongestPhrase = 5

// Statement is what a word or phrase that begins a statement stands for, or nil.
// Capitals do not count, nor does it whether the words of a phrase stand apart
// or as one (turnLeft, turn_left, turnleft).
func Statement(phrase string) *Meaning {
	all := index()
	if m := all.statements[folded(phrase)]; m != nil || strings.Contains(phrase, " ") {
		return m
	}
	return all.joined[strings.ReplaceAll(folded(phrase), "_", "")]
}

// All are all everyday words and phrases that can be asked about, in order, none twice.
func All() []string {
	var all []string
	for phrase := range index().statements {
		all = append(all, phrase)
	}
	for phrase := range index().orders {
		all = append(all, phrase)
	}
	for _, table := range []map[string]string{functions, subjects, shapes} {
		for word := range table {
			all = append(all, word)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// Single are all everyday words that begin a statement alone, in order.
func Single() []string { return index().single }

// OrderFor is the order that a word or phrase alone on a line asks for.
func OrderFor(phrase string) (Order, bool) {
	o, ok := index().orders[folded(phrase)]
	return o, ok
}

// Value is what wend writes for a word that is used as a value; it is empty
// where wend has no such value.
func Value(word string) (string, bool) {
	v, ok := values[norm.NFC.String(word)]
	if !ok {
		v, ok = values[folded(word)]
	}
	return v, ok
}

// Function is what wend calls a function of another language: what is read after
// a value begins with a dot or a bracket, and a sign stands between two values.
func Function(word string) (string, bool) {
	f, ok := functions[norm.NFC.String(word)]
	return f, ok
}

// Subject is the word under which wend's pages speak of what a word means.
func Subject(word string) (string, bool) {
	t, ok := subjects[folded(word)]
	return t, ok
}

// TakenFor are functions of wend that a word for something else may mean.
func TakenFor(function string) []string { return takenFor[function] }

// Measure are the measures that an everyday name for one may mean, the likeliest
// first; a place in a list begins with a bracket.
func Measure(word string) []string { return measures[folded(word)] }

// Shape is the beginning of a call of a curve, up to its size, for the everyday
// name of a shape.
func Shape(word string) (string, bool) {
	s, ok := shapes[folded(word)]
	return s, ok
}

// Places reports whether a word stands before a place.
func Places(word string) bool { return places[folded(word)] }

// Appends reports whether a method of that name puts a value at the end of a
// list elsewhere.
func Appends(word string) bool { return appending[folded(word)] }

// Chooses reports whether a method of that name takes one of several by chance
// elsewhere.
func Chooses(word string) bool { return choosing[folded(word)] }

// Endless reports whether a word says that something never ends.
func Endless(word string) bool { return endless[folded(word)] }

// Parameters are the parameters that an everyday name for one may mean, the
// likeliest first.
func Parameters(word string) []string { return parameters[folded(word)] }

// Unit is the unit that a word after a number stands for; it is empty where the
// bare number means that.
func Unit(word string) (string, bool) {
	u, ok := units[folded(word)]
	return u, ok
}

// Number is the number that a number word stands for.
func Number(word string) (string, bool) {
	n, ok := index().numbers[folded(word)]
	return n, ok
}

// NumberOf is the number that two number words beside each other stand for: tens
// and ones.
func NumberOf(tens, ones string) (string, bool) {
	a, _ := Number(tens)
	b, _ := Number(ones)
	if len(a) != 2 || len(b) != 1 || a[1] != '0' || b == "0" {
		return "", false
	}
	return a[:1] + b, true
}

// Times reports whether a word behind a number says that something is done so
// often.
func Times(word string) bool { return times[folded(word)] }

// Takes is how many arguments the meaning has at most.
func (m *Meaning) Takes() int {
	switch {
	case strings.Contains(m.Write, "$2"):
		return 2
	case strings.Contains(m.Write, "$1"):
		return 1
	}
	return 0
}

// Fill writes the meaning with arguments; where there are too few, the usual
// ones stand in. The result is certain if the meaning is and all were given.
func (m *Meaning) Fill(args []string) (text string, certain bool) {
	certain = m.Certain
	taken := args
	if len(args) == 0 {
		taken = m.Usual
		certain = certain && len(m.Usual) == 0
	}
	var out strings.Builder
	for i := 0; i < len(m.Write); i++ {
		negated := strings.HasPrefix(m.Write[i:], "-$")
		if negated {
			i++
		}
		if m.Write[i] != '$' {
			out.WriteByte(m.Write[i])
			continue
		}
		i++
		arg := ""
		if n := int(m.Write[i] - '1'); n < len(taken) {
			arg = taken[n]
			if _, err := strconv.ParseFloat(arg, 64); err == nil && n < len(m.Usual) && strings.HasPrefix(m.Usual[n], "\"") && m.Write != "note $1" {
				arg = strconv.Quote(arg) // a text is wanted there
			}
		} else if n > 0 && len(taken) == 1 {
			// One argument for two: a point, or a length for both.
			written := strings.TrimSuffix(out.String(), ", ")
			if written != out.String() {
				out.Reset()
				out.WriteString(written)
				continue
			}
			arg = taken[0]
		}
		if negated {
			arg = negative(arg)
		}
		out.WriteString(arg)
	}
	return out.String(), certain
}

// negative is the opposite of a number or a value as it is written.
func negative(value string) string {
	if rest, ok := strings.CutPrefix(value, "-"); ok {
		return strings.TrimSpace(rest)
	}
	for _, r := range value {
		if r != '.' && r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			return "-(" + value + ")"
		}
	}
	return "-" + value
}

type lookup struct {
	statements map[string]*Meaning
	single     []string
	joined     map[string]*Meaning // phrases of several words, written as one
	orders     map[string]Order
	numbers    map[string]string
}

var index = sync.OnceValue(func() *lookup {
	all := &lookup{map[string]*Meaning{}, nil, map[string]*Meaning{}, map[string]Order{}, map[string]string{}}
	for i := range meanings {
		for _, phrase := range phrases(meanings[i].everyday) {
			if all.statements[phrase] == nil { // the first meaning is the commonest
				all.statements[phrase] = &meanings[i]
			}
			if one := strings.ReplaceAll(phrase, " ", ""); one != phrase && all.joined[one] == nil {
				all.joined[one] = &meanings[i]
			}
		}
	}
	for phrase := range all.statements {
		if !strings.Contains(phrase, " ") {
			all.single = append(all.single, phrase)
		}
	}
	slices.Sort(all.single)
	for _, row := range orderRows {
		for _, phrase := range phrases(row.everyday) {
			if _, taken := all.orders[phrase]; !taken {
				all.orders[phrase] = Order{row.does, row.why, row.write}
			}
		}
	}
	for number, row := range numberRows {
		for _, word := range phrases(row) {
			all.numbers[word] = number
		}
	}
	return all
})

func phrases(list string) []string {
	all := strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ';' })
	for i := range all {
		all[i] = folded(strings.TrimSpace(all[i]))
	}
	return all
}

func folded(word string) string { return norm.NFC.String(strings.ToLower(word)) }
