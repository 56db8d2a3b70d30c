// Package dataset reads tables (RFC 4180) and JSON texts (RFC 8259) into values
// of the language. It is pure: it is given the text of a file and never opens
// one.
//
// What is empty is left out: a cell of a column of numbers, and a member that
// is null, have no field in their record.
//
// Every fault is a *diag.Fault with its place in the file.
package dataset

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/value"
)

// Charge counts work and memory against the limits of a run, as value.Host does.
type Charge func(operations, bytes int) error

// Memory that is kept, in bytes: what Charge is told.
const (
	valueBytes  = 64
	recordBytes = 128
)

// byteOrderMark may begin a text and does not belong to it.
const byteOrderMark = "\uFEFF"

// fault is what is wrong with a file at some bytes of it.
func fault(file *source.File, code diag.Code, from, to int, args diag.Args) error {
	return &diag.Fault{Code: code, Args: args, Span: source.Span{File: file, Start: from, End: to}}
}

// wellFormed finds bytes that no UTF-8 text has.
func wellFormed(file *source.File) error {
	if utf8.ValidString(file.Text) {
		return nil
	}
	for i, r := range file.Text {
		if r != utf8.RuneError {
			continue
		}
		if _, size := utf8.DecodeRuneInString(file.Text[i:]); size == 1 {
			return fault(file, "data-encoding", i, i+1, diag.Args{"byte": "0x" + strconv.FormatUint(uint64(file.Text[i]), 16)})
		}
	}
	return nil
}

// isNumber reports whether a text is a number as JSON has them (RFC 8259,
// section 6): minus, a whole part without leading zeros, a fraction, an exponent.
func isNumber(text string) bool {
	rest := strings.TrimPrefix(text, "-")
	whole := digits(rest)
	if whole == 0 || whole > 1 && rest[0] == '0' {
		return false
	}
	rest = rest[whole:]
	if rest != "" && rest[0] == '.' {
		n := digits(rest[1:])
		if n == 0 {
			return false
		}
		rest = rest[1+n:]
	}
	if rest != "" && (rest[0] == 'e' || rest[0] == 'E') {
		rest = rest[1:]
		if rest != "" && (rest[0] == '+' || rest[0] == '-') {
			rest = rest[1:]
		}
		n := digits(rest)
		return n > 0 && n == len(rest)
	}
	return rest == ""
}

// digits is how many digits a text begins with.
func digits(text string) int {
	n := 0
	for n < len(text) && '0' <= text[n] && text[n] <= '9' {
		n++
	}
	return n
}

// numberOf reads a JSON number; false if a text is none, or one too large to hold.
func numberOf(text string) (float64, bool) {
	if !isNumber(text) {
		return 0, false
	}
	x, err := strconv.ParseFloat(text, 64)
	return x + 0, err == nil // no negative zero
}

// layouts keeps one layout for all records with the same names, of which the same
// are empty.
type layouts map[string]*value.Layout

func (s layouts) of(names, leftOut []string) *value.Layout {
	key := strings.Join(names, "\x00") + "\x01" + strings.Join(leftOut, "\x00")
	layout := s[key]
	if layout == nil {
		layout = value.NewLayoutOf(slices.Clone(names), slices.Clone(leftOut))
		s[key] = layout
	}
	return layout
}

func composed(name string) string { return norm.NFC.String(name) }
