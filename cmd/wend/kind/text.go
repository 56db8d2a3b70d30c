package kind

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"
)

// NotText is where and why bytes are no UTF-8 text, and what to do about it.
type NotText struct {
	Offset      int // of the first byte that cannot be
	Reason, Way string
}

// Text says why a content is no UTF-8 text; ok is true if it is one.
func Text(content []byte) (fault NotText, ok bool) {
	if bytes.HasPrefix(content, []byte("\x1f\x8b")) { // RFC 1952, section 2.3.1
		return NotText{Reason: "it is compressed (gzip)", Way: "unpack it first: `gunzip -c OLD > NEW`"}, false
	}
	if order, is := wide(content); is {
		return NotText{
			Reason: "it is written in UTF-16" + order,
			Way:    "save it as UTF-8 in your editor; on Linux and macOS: `iconv -f UTF-16" + order + " -t UTF-8 OLD > NEW`",
		}, false
	}
	if at := bytes.IndexByte(content, 0); at >= 0 {
		return NotText{at, fmt.Sprintf("byte %d is zero", at), ""}, false
	}
	if utf8.Valid(content) {
		return NotText{}, true
	}
	at := 0
	for at < len(content) {
		r, size := utf8.DecodeRune(content[at:])
		if r == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	c := content[at]
	if isBinary(content[:min(len(content), HeadBytes)]) {
		return NotText{at, fmt.Sprintf("byte %d is not UTF-8", at), ""}, false
	}
	// Bytes from 0xA0 on are the characters of the same number (ISO/IEC 8859-1).
	reason := fmt.Sprintf("byte %d (hexadecimal %02x) is not UTF-8", at, c)
	if c >= 0xa0 {
		reason += fmt.Sprintf("; in Latin-1 it is `%c`", c)
	} else {
		reason += "; it may be Windows-1252"
	}
	from := "LATIN1"
	if strings.Contains(reason, "Windows") {
		from = "WINDOWS-1252"
	}
	return NotText{at, reason, "save it as UTF-8 in your editor; on Linux and macOS: `iconv -f " + from + " -t UTF-8 OLD > NEW`"}, false
}

// wide reports whether a content is UTF-16, by its mark (Unicode 16, section
// 23.8), or by a zero in nearly every second byte, as Western text has.
func wide(content []byte) (order string, is bool) {
	head := content[:min(len(content), 1<<10)]
	switch {
	case bytes.HasPrefix(head, []byte{0xff, 0xfe}), bytes.HasPrefix(head, []byte{0xfe, 0xff}):
		return "", true
	case len(head) < 8:
		return "", false
	}
	var zeros [2]int
	for i, c := range head {
		if c == 0 {
			zeros[i%2]++
		}
	}
	most := len(head) / 2
	switch {
	case zeros[0] == 0 && 10*zeros[1] >= 9*most:
		return "LE", true
	case zeros[1] == 0 && 10*zeros[0] >= 9*most:
		return "BE", true
	}
	return "", false
}
