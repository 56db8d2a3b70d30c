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
	from   *label
	mm     float64
}

// mends reports whether it can be that nothing is wrong with the position: the
// board is held and asked.
func (t *trouble) mends() bool {
	switch t.kind {
	case troubleStalled, troubleUnknown, troubleError, troubleOff:
		return true
	}
	return false
}

// fault says it to a person.
func (t *trouble) fault() *diag.Fault {
	switch t.kind {
	case troubleError:
		return &diag.Fault{Code: "board-refused", Args: diag.Args{"line": t.text, "number": t.number, "cause": causeOfError(t.number), "place": t.from.String()}}
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
