package link

import (
	"fmt"

	"wend/lang/diag"
)

// troubleKind is what went wrong, in order of weight.
type troubleKind int

const (
	troubleStalled troubleKind = iota // no answer for lines that were sent
	troubleUnknown                    // bytes that no board sends
	troubleError                      // the board refused a line
	troubleOff                        // the reported place is not on the line
	troubleSilent                     // no reports
	troubleForgot                     // the board has lost its queue or the offset
	troubleReset                      // it greeted
	troubleAlarm
	troubleGone // the port is no more
)

// trouble is the worst of what went wrong since it was last looked at.
type trouble struct {
	kind   troubleKind
	number int
	text   string
	from   *entry
	mm     float64
}

func (l *Link) raise(t trouble) {
	if l.trouble == nil || t.kind > l.trouble.kind {
		l.trouble = &t
	}
}

func (l *Link) forgetTrouble() { l.trouble = nil }

// mends tells whether it can be that nothing is wrong with the position: the
// board is held and asked.
func (t *trouble) mends() bool {
	switch t.kind {
	case troubleStalled, troubleUnknown, troubleError, troubleOff:
		return true
	}
	return false
}

// fault says it to a person.
func (t *trouble) fault(l *Link) *diag.Fault {
	place := "what is told to the board before anything moves"
	if t.from != nil {
		place = placeOf(t.from)
	}
	switch t.kind {
	case troubleError:
		return &diag.Fault{Code: "board-refused", Args: diag.Args{"line": t.text, "number": t.number, "cause": causeOfError(t.number), "place": place}}
	case troubleAlarm:
		return &diag.Fault{Code: "board-alarm", Args: diag.Args{"number": t.number, "cause": causeOfAlarm(t.number)}}
	case troubleReset:
		return &diag.Fault{Code: "board-reset"}
	case troubleForgot:
		return &diag.Fault{Code: "board-forgot"}
	case troubleSilent:
		return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": trimmed(silentS)}}
	case troubleGone:
		return &diag.Fault{Code: "link-gone", Args: diag.Args{"reason": t.text}}
	case troubleOff:
		return &diag.Fault{Code: "board-off-line", Args: diag.Args{"mm": fmt.Sprintf("%.2f", t.mm)}}
	case troubleStalled:
		return &diag.Fault{Code: "board-stalled"}
	}
	return &diag.Fault{Code: "board-unexplained", Args: diag.Args{"text": fmt.Sprintf("%.40q", t.text)}}
}

// placeOf says where a line came from.
func placeOf(e *entry) string {
	if e.origin != "" {
		return e.origin
	}
	if e.line > 0 {
		return fmt.Sprintf("line %d of the instructions", e.line)
	}
	return "a motion by hand"
}
