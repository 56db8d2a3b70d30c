package link

import (
	"context"
	"math"
	"strconv"
	"time"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// armedIdle is how long a machine stays armed of which nothing is asked.
const armedIdle = 5 * time.Minute

// Mode is what the machine may do.
func (l *Link) Mode() Mode {
	if l.mode == Armed && l.now().Sub(l.armedAt) > armedIdle {
		l.mode, _ = l.mode.next(idles)
	}
	return l.mode
}

// Where is the position: in whole steps of the motors, as the stylus' place in
// page mm, and how well it is known. While it is lost, the places mean nothing.
func (l *Link) Where() (at Place, stylus geom.Point, certainty Certainty) {
	return l.position.where()
}

// WhyLost says in words why the position is lost; empty while it is not.
func (l *Link) WhyLost() string {
	if l.position.certainty != Lost {
		return ""
	}
	return l.position.why
}

// Declare says where the stylus stands, in page mm: an operator looked. Where
// each axis stands in its slack stays what it is; what is not known counts as
// after a move to larger coordinates.
func (l *Link) Declare(ctx context.Context, page geom.Point) error {
	if l.mode != Connected {
		return l.refused("declare the position")
	}
	// An alarm that it stands in is older than what somebody sees now.
	if err := l.board.unlock(ctx); err != nil {
		return err
	}
	if err := l.position.declare(page); err != nil {
		return err
	}
	if err := l.state(ctx); err != nil {
		return err
	}
	return l.keep(still)
}

// Confirm says that an operator looked and the position is what it is taken for.
func (l *Link) Confirm() error {
	if err := l.position.known(); err != nil {
		return err
	}
	l.position.certainty = Confirmed
	return l.keep(still)
}

// Doubt says that the stylus may have moved: nobody has seen it since.
func (l *Link) Doubt() error {
	if l.position.certainty == Confirmed {
		l.position.certainty = Assumed
	}
	return l.keep(still)
}

// lose says that nobody knows where the stylus is, nor therefore the board.
func (l *Link) lose(why string) {
	l.position.lose(why)
	l.board.stated = false
}

// Lose says that the stylus is elsewhere, or is about to be brought elsewhere
// by hand. The board is told with the next motion.
func (l *Link) Lose(why string) error {
	if l.mode != Connected && l.mode != Armed {
		return l.refused("say that the position is lost")
	}
	l.mode = Connected
	l.lose(why)
	return l.keep(still)
}

// keep writes down where the motors stand, or that they are about to turn.
func (l *Link) keep(why motion) error {
	shift := geom.Point{}
	if l.board.stated {
		shift = l.board.shift
	}
	return l.position.keep(why, shift, l.now())
}

// Arm lets a drawing start. The caller has asked for the typed word, and somebody
// has looked where the stylus stands.
func (l *Link) Arm() error { return l.arm(Confirmed) }

// ArmAssumed lets a drawing start though nobody has looked where the stylus
// stands: a script has said that it answers for that. The position stays
// assumed.
func (l *Link) ArmAssumed() error { return l.arm(Assumed) }

func (l *Link) arm(least Certainty) error {
	switch {
	case l.position.certainty < least:
		return &diag.Fault{Code: "position-unconfirmed", Args: diag.Args{"certainty": l.position.certainty.String()}}
	case len(l.Mismatches()) > 0:
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(l.Mismatches())}}
	}
	mode, err := l.Mode().next(arms)
	if err != nil {
		return l.refused("be armed")
	}
	l.mode, l.armedAt, l.armedBy = mode, l.now(), least
	return nil
}

// Disarm goes back to connected.
func (l *Link) Disarm() {
	if l.mode == Armed {
		l.mode, _ = l.mode.next(stops)
	}
}

func (l *Link) refused(what string) error {
	return &diag.Fault{Code: "machine-mode", Args: diag.Args{"mode": l.Mode().String(), "what": what}}
}

// KeptRunning reports whether the board went on when its port was opened.
func (l *Link) KeptRunning() bool { return l.board.keptRunning }

// Counts reports whether the board itself has counted on since the position was
// written down, and stands there by its own count: it was not switched off, nor
// reset by opening its port.
func (l *Link) Counts() bool { return l.counts }

func (l *Link) countsOn() bool {
	if l.position.memory == nil || l.position.certainty == Lost {
		return false
	}
	shift := l.position.memory.shift()
	return l.board.heldOffset(shift) && l.board.opening.at.Add(shift).Distance(l.position.rest) <= l.position.stillMM()
}

func short(mm float64) string { return decimals(mm, 2) }

func decimals(v float64, n int) string {
	unit := math.Pow10(n)
	return trimmed(math.Round(v*unit)/unit + 0)
}

func trimmed(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
