package kind

import (
	"bytes"
	"strings"

	"wend/internal/expression"
)

// signatures are the first bytes of images: PNG (W3C, third edition, section
// 5.2), JPEG (ITU-T T.81, B.1.1.3: SOI and the marker after it), GIF (GIF89a,
// section 17), TIFF (revision 6.0, section 2), and BMP (common practice, no
// source).
var signatures = [][]byte{
	[]byte("\x89PNG\r\n\x1a\n"), {0xff, 0xd8, 0xff}, []byte("GIF87a"), []byte("GIF89a"),
	[]byte("II*\x00"), []byte("MM\x00*"),
}

func isImage(head []byte) bool {
	for _, s := range signatures {
		if bytes.HasPrefix(head, s) {
			return true
		}
	}
	// WebP is a RIFF file (RFC 9649, section 2.4); a bitmap has zeros after its
	// size.
	return len(head) >= 12 && (bytes.HasPrefix(head, []byte("RIFF")) && string(head[8:12]) == "WEBP" ||
		bytes.HasPrefix(head, []byte("BM")) && bytes.Equal(head[6:10], []byte{0, 0, 0, 0}))
}

// prolog is what may stand before the first element of an XML text: a
// declaration, comments, a document type, and blanks (XML 1.0, production 22).
var prolog = expression.Of(`^(?s:\s+|<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^\[>]*(?:\[.*?\])?\s*>)`)

var svgElement = expression.Of(`^<(?:[A-Za-z_][\w.-]*:)?svg[\s/>]`)

func isSVG(text string) bool {
	if !strings.HasPrefix(strings.TrimSpace(text), "<") {
		return false
	}
	for {
		at := prolog.FindStringIndex(text)
		if at == nil {
			return svgElement.MatchString(text)
		}
		text = text[at[1]:]
	}
}

// profileTable is the heading of a table that only profiles have. No program
// has such a line: a list alone is no statement.
var profileTable = expression.Of(`(?m)^[ \t]*\[[ \t]*(?:area|x|y|frame|drawing|board|eraser)[ \t]*\][ \t]*(?:#.*)?\r?$`)

func isProfile(text string) bool { return profileTable.MatchString(text) }

// linesOf are the lines that say something, at most so many; the last one of a
// text that goes on is left out.
func linesOf(text string, whole bool, most int) []string {
	if at := strings.LastIndexAny(text, "\r\n"); !whole && at >= 0 {
		text = text[:at]
	}
	var lines []string
	for line := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == '\r' || r == '\n' }) {
		if line = strings.TrimSpace(line); line != "" && len(lines) < most {
			lines = append(lines, line)
		}
	}
	return lines
}

var (
	// words is a line of letters with numbers (NISTIR 6556, section 3.3). Blanks
	// may follow the slash of a line that can be left out.
	words = expression.Of(`^(?:/[ \t]*)?(?:[A-Za-z][ \t]*[-+]?(?:\d[\d \t]*\.?[\d \t]*|\.\d[\d \t]*)[ \t]*)+$`)
	// command is a word that says what to do, at the beginning of a line or
	// after its number.
	command = expression.Of(`^(?:/[ \t]*)?(?:[Nn][ \t]*\d+[ \t]*)?[GgMm][ \t]*\d`)
)

// withoutRemarks takes out the comments of a line of instructions: what stands
// behind a semicolon, and in round brackets, also those within brackets. It
// goes over the line once, since a program may open brackets without end.
func withoutRemarks(line string) string {
	kept := make([]byte, 0, len(line))
	var open []int // where in kept the brackets around begin
scan:
	for i := 0; i < len(line); i++ {
		switch line[i] {
		case ';':
			break scan
		case '(':
			// A semicolon in the innermost brackets belongs to the comment.
			if n := strings.IndexAny(line[i+1:], "()"); n >= 0 && line[i+1+n] == ')' {
				i += 1 + n
				continue
			}
			open = append(open, len(kept))
		case ')':
			if n := len(open); n > 0 {
				kept, open = kept[:open[n-1]], open[:n-1]
				continue
			}
		}
		kept = append(kept, line[i])
	}
	return strings.TrimSpace(string(kept))
}

// linesLookedAt is how many lines with words decide.
const linesLookedAt = 60

// isInstructions: nearly every line is made of letters with numbers, and one of
// the first says G or M. No program is like that: its own names of one letter
// must be made before, with words that have more.
func isInstructions(text string, whole bool) bool {
	said, like, commands := 0, 0, 0
	for _, line := range linesOf(text, whole, 1<<16) {
		line = withoutRemarks(line)
		if line == "" || line == "%" {
			continue
		}
		said++
		switch {
		case words.MatchString(line):
			like++
			if command.MatchString(line) {
				commands++
			}
		case command.MatchString(line):
			// Words that a machine of another kind understands, such as one
			// with a text after it.
			like++
			commands++
		}
		if said == linesLookedAt {
			break
		}
	}
	return commands > 0 && 10*like >= 9*said
}

// figures is a field of a table that is a number.
var figures = expression.Of(`^[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?$`)

// isTable: lines of numbers, as many in each, parted by one mark. A first line
// may name the columns.
func isTable(text string, whole bool) bool {
	lines := linesOf(text, whole, linesLookedAt)
	if len(lines) > 1 {
		lines = lines[1:]
	}
	for _, mark := range []string{",", ";", "\t"} {
		columns, ok := 0, len(lines) > 0
		for _, line := range lines {
			fields := strings.Split(line, mark)
			if columns == 0 {
				columns = len(fields)
			}
			ok = ok && len(fields) == columns && columns > 1
			for _, f := range fields {
				f = strings.TrimSpace(f)
				ok = ok && (f == "" || figures.MatchString(f))
			}
		}
		if ok {
			return true
		}
	}
	return false
}

// isBinary: bytes that no text has, whatever its encoding, but for the zeros of
// UTF-16.
func isBinary(head []byte) bool {
	if _, wide := wide(head); wide {
		return false
	}
	for _, c := range head {
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			return true
		}
	}
	return false
}
