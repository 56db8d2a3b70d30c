package link

import "fmt"

// Mode is what a machine may do at a time.
type Mode int

// The modes. Dry is the mode without a machine: there is no Link in it.
const (
	Dry Mode = iota
	Connected
	Armed
	Moving
	Held
)

func (m Mode) String() string {
	return [...]string{"dry", "connected", "armed", "moving", "held"}[m]
}

// Certainty is how well the position is known.
type Certainty int

const (
	// Lost: nobody knows where the stylus is.
	Lost Certainty = iota
	// Assumed: remembered or computed, not seen by anyone since.
	Assumed
	// Confirmed: an operator looked.
	Confirmed
)

func (c Certainty) String() string { return [...]string{"lost", "assumed", "confirmed"}[c] }

// happening is what can change the mode.
type happening int

const (
	connects happening = iota
	disconnects
	arms
	idles // five minutes armed and nothing asked for
	starts
	finishes
	holds // the operator, a pause of the program, or an error of the board
	resumes
	stops
	alarms // an alarm, or the link is lost
)

// next is the table of modes: what leads from one to another. Everything else
// is refused.
func (m Mode) next(h happening) (Mode, error) {
	switch {
	case m == Dry && h == connects,
		m == Armed && h == idles,
		(m == Moving || m == Held || m == Armed) && h == stops,
		m != Dry && h == alarms:
		return Connected, nil
	case m == Connected && h == disconnects, m == Armed && h == disconnects:
		return Dry, nil
	case m == Connected && h == arms, m == Moving && h == finishes:
		return Armed, nil
	case m == Armed && h == starts, m == Held && h == resumes:
		return Moving, nil
	case m == Moving && h == holds:
		return Held, nil
	}
	return m, fmt.Errorf("a machine that is %s cannot do that", m)
}
