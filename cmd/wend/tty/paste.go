package tty

import "bytes"

// A terminal that is asked to marks what is pasted: common practice since xterm,
// whose control sequences have it as mode 2004.
const (
	pasteMarksOn  = "\x1b[?2004h"
	pasteMarksOff = "\x1b[?2004l"
	pasteBegins   = "\x1b[200~"
	pasteEnds     = "\x1b[201~"
)

// stroke is a byte that a terminal sent.
type stroke struct {
	b      byte
	pasted bool
	joined bool // it came together with the byte before, as no hand types
}

// pasteMarks takes the marks out of what a terminal sends.
type pasteMarks struct {
	inside bool
	rest   []byte // that may become a mark
}

func (m *pasteMarks) strokes(chunk []byte) []stroke {
	data := append(m.rest, chunk...)
	m.rest = nil
	var out []stroke
	for at := 0; at < len(data); {
		left := data[at:]
		switch {
		case bytes.HasPrefix(left, []byte(pasteBegins)):
			m.inside = true
			at += len(pasteBegins)
		case bytes.HasPrefix(left, []byte(pasteEnds)):
			m.inside = false
			at += len(pasteEnds)
		case len(left) > 2 && (bytes.HasPrefix([]byte(pasteBegins), left) || bytes.HasPrefix([]byte(pasteEnds), left)):
			// The escape key alone, and its arrows, are shorter or other bytes.
			m.rest = bytes.Clone(left)
			return out
		default:
			out = append(out, stroke{b: data[at], pasted: m.inside, joined: at > 0})
			at++
		}
	}
	return out
}
