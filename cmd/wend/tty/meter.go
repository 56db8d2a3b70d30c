package tty

import (
	"fmt"
	"io"

	"wend/cmd/wend/operate"
	"wend/runtime/link"
)

// Meter shows how far a motion is: one line that is rewritten, or in plain mode
// a line every tenth of the way.
type Meter struct {
	standing bool // a line that is rewritten stands there
	tenth    int  // of the way, that plain mode has told
}

// Show is that of operate.Person, in a window of so many columns; 0 where that is
// not known. A line that is rewritten stays one: what has no room is left out.
func (m *Meter) Show(out io.Writer, status *operate.Status, plain, keys bool, columns int) {
	switch {
	case status == nil:
		if m.standing {
			fmt.Fprintln(out)
		}
		m.standing, m.tenth = false, 0
	case plain:
		if tenth := int(status.Part * 10); tenth > m.tenth {
			m.tenth = tenth
			fmt.Fprintln(out, status)
		}
	default:
		line := status.String()
		if keys && status.Mode == link.Moving {
			line += "; space holds, s stops"
		}
		if runes := []rune(line); columns > 0 && len(runes) >= columns {
			line = string(runes[:columns-1])
		}
		fmt.Fprintf(out, "\r\x1b[K%s", line)
		m.standing = true
	}
}
