package value

import (
	"unicode/utf8"

	"github.com/rivo/uniseg"
	"golang.org/x/text/unicode/norm"

	"wend/lang/types"
)

// text is a text in NFC. Programs count what a reader takes for one character
// (grapheme clusters, UAX #29); in ASCII every byte is one.
type text struct {
	s     string
	ascii bool
	// starts holds where each cluster begins, and the end; found when first
	// asked for, never for ASCII.
	starts []int32
}

// Text makes a text; it is brought to NFC.
func Text(s string) Value {
	ascii := isASCII(s)
	if !ascii {
		s = norm.NFC.String(s)
	}
	return Value{box: &box{kind: types.Text, data: &text{s: s, ascii: ascii}}}
}

func isASCII(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf || s[i] == '\r' { // CR LF is one cluster
			return false
		}
	}
	return true
}

// Text is the text that v is.
func (v Value) Text() string { return v.box.data.(*text).s }

// Length is how many clusters the text v has.
func (v Value) textLength() int {
	t := v.box.data.(*text)
	if t.ascii {
		return len(t.s)
	}
	t.index()
	return len(t.starts) - 1
}

// index finds the clusters of a text that is not ASCII.
func (t *text) index() {
	if t.starts != nil {
		return
	}
	rest, state, at := t.s, -1, 0
	t.starts = append(make([]int32, 0, len(t.s)/2+2), 0)
	for rest != "" {
		var cluster string
		cluster, rest, _, state = uniseg.FirstGraphemeClusterInString(rest, state)
		at += len(cluster)
		t.starts = append(t.starts, int32(at))
	}
}

// clusters is the part of the text from cluster i up to, not including, j, from 0.
func (t *text) clusters(i, j int) string {
	if t.ascii {
		return t.s[i:j]
	}
	t.index()
	return t.s[t.starts[i]:t.starts[j]]
}

// Starts holds the byte at which each cluster of the text v begins, and where
// the text ends; nil if every byte is a cluster. Read only.
func (v Value) Starts() []int32 {
	t := v.box.data.(*text)
	if t.ascii {
		return nil
	}
	t.index()
	return t.starts
}
