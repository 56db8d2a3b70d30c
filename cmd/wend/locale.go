package main

import (
	"io"
	"runtime"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// ascii reports whether a terminal has nothing but ASCII: the locale names
// another encoding than UTF-8, or none (POSIX.1-2017, Base Definitions 8.2: the
// first of these variables that is set counts). Windows has no such variables;
// its terminals are given Unicode.
func (c console) ascii() bool {
	if runtime.GOOS == "windows" {
		return false
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if locale := c.environment(name); locale != "" {
			_, encoding, _ := strings.Cut(locale, ".")
			encoding = strings.ToLower(strings.ReplaceAll(encoding, "-", ""))
			return !strings.HasPrefix(encoding, "utf8")
		}
	}
	return true
}

// letters is a stream that shows texts with the letters that it has: a terminal
// without UTF-8 is sent ASCII.
func (c console) letters(stream io.Writer) io.Writer {
	if c.onTerminal(stream) && c.ascii() {
		return asciiWriter{stream}
	}
	return stream
}

// asciiWriter writes every text in ASCII, as near as that comes.
type asciiWriter struct{ to io.Writer }

var inASCII = strings.NewReplacer("…", "...", "°", " deg", "×", "x", "·", "*", "→", "->", "▶", ">", "≥", ">=", "≤", "<=", "≠", "!=",
	"–", "-", "—", "-", "−", "-", "“", `"`, "”", `"`, "„", `"`, "‘", "'", "’", "'", "ß", "ss", "ø", "o", "Ø", "O", "æ", "ae", "ł", "l", "Ł", "L")

func (w asciiWriter) Write(text []byte) (int, error) {
	var out strings.Builder
	for _, r := range norm.NFKD.String(inASCII.Replace(string(text))) {
		switch {
		case r < 0x80:
			out.WriteRune(r)
		case r >= 0x300 && r < 0x370: // the mark of the letter before
		default:
			out.WriteByte('?')
		}
	}
	if _, err := io.WriteString(w.to, out.String()); err != nil {
		return 0, err
	}
	return len(text), nil
}
