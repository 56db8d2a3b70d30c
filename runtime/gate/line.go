package gate

import (
	"fmt"
	"math"
	"strconv"
)

// Line is a line that may be sent. Only this package makes one that is not
// empty.
type Line struct{ text string }

// String is the text without a line end.
func (l Line) String() string { return l.text }

// Item is one thing that a program asks for.
type Item struct {
	Kind    Kind
	Line    Line    // Move and Dwell
	X, Y    float64 // Move: where it leads, machine mm
	Length  float64 // Move: mm
	FeedMMS float64 // Move: mm/s
	Seconds float64 // Dwell
}

// Kind is what an Item is.
type Kind uint8

// The kinds.
const (
	Move Kind = iota
	Dwell
	Pause // wait for the operator: M0, which is not passed on
	End   // M2 or M30, which is not passed on
)

// Byte is a single byte that a board acts on at once. The list is closed: no
// other value stands for anything but a question for the status.
type Byte uint8

// The bytes that may be sent outside the stream of lines.
const (
	Status Byte = iota
	Hold
	Resume
	Reset
)

// Value is the byte to be sent.
func (b Byte) Value() byte {
	switch b {
	case Hold:
		return '!'
	case Resume:
		return '~'
	case Reset:
		return 0x18
	}
	return '?'
}

// Question is a line that is not motion. The list is closed likewise.
type Question uint8

// The questions, and the one act among them.
const (
	ListSettings Question = iota
	ListStartUp
	ShowModes
	Unlock
)

// Line is the question as it is sent.
func (q Question) Line() Line {
	switch q {
	case ListStartUp:
		return Line{"$N"}
	case ShowModes:
		return Line{"$G"}
	case Unlock:
		return Line{"$X"}
	}
	return Line{"$$"}
}

// Setting writes one of the board's stored numbers. What it would do to the
// scale or the direction of an axis is the operator's to confirm; that it is
// one of the known numbers is seen to here.
func Setting(n int, value float64) (Line, error) {
	known := n == 3 || n == 10 || n == 11 || n == 13 || n >= 20 && n <= 22 ||
		n >= 100 && n <= 101 || n >= 110 && n <= 111 || n >= 120 && n <= 121 || n >= 130 && n <= 131
	if !known || !(value >= 0) || value > 1e6 || n >= 100 && round(value, 3) == 0 {
		return Line{}, refuse("setting "+strconv.Itoa(n), "it is not one that is written")
	}
	return Line{"$" + strconv.Itoa(n) + "=" + decimal(value, 3)}, nil
}

// ClearStartUp empties one of the two lines that a board runs after a reset.
func ClearStartUp(n int) (Line, error) {
	if n != 0 && n != 1 {
		return Line{}, refuse("start-up line "+strconv.Itoa(n), "there are two, 0 and 1")
	}
	return Line{"$N" + strconv.Itoa(n) + "="}, nil
}

// Refusal is why a line was refused.
type Refusal struct {
	Word   string // what was refused, as written or as the standard calls it
	Reason string
}

func (r *Refusal) Error() string { return r.Word + ": " + r.Reason }

func refuse(word, format string, args ...any) error {
	return &Refusal{Word: word, Reason: fmt.Sprintf(format, args...)}
}

// decimalsFor is how finely places must be written so that a board lands on the
// whole step that is meant: two roundings of half a unit, of the place and of
// the one it is counted from, are a fifth of a step together.
func decimalsFor(stepsPerMM [2]float64) int {
	decimals, unit := 2, 0.01
	for unit*max(stepsPerMM[0], stepsPerMM[1]) > 0.2 && decimals < 6 {
		decimals++
		unit /= 10
	}
	return decimals
}

// longestLine is the longest line that can be made, its end included:
// G1X-12345.678901Y-12345.678901F123456.
const longestLine = 40

// longestDwell is the longest wait within a program, in seconds.
const longestDwell = 3600

// round is the value that its text will have.
func round(v float64, decimals int) float64 {
	unit := math.Pow10(decimals)
	return math.Round(v*unit) / unit
}

func (g *Gate) round(v float64) float64 { return round(v, g.decimals) }

// decimal writes a value without exponent, and 0 without a sign.
func decimal(v float64, decimals int) string {
	v = round(v, decimals)
	if v == 0 {
		v = 0 // not −0
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func (g *Gate) number(v float64) string { return decimal(v, g.decimals) }

// lineTo writes a straight motion to an absolute place. The feed, in mm/min,
// is rounded down, but is never 0. Each line says everything, so that one that
// is lost takes nothing with it.
func (g *Gate) lineTo(from, to point, feed float64) Item {
	feed = max(1, math.Floor(feed))
	return Item{
		Kind: Move, X: to.x, Y: to.y,
		Length:  distance(from, to),
		FeedMMS: feed / 60,
		Line:    Line{"G1X" + g.number(to.x) + "Y" + g.number(to.y) + "F" + strconv.FormatFloat(feed, 'f', 0, 64)},
	}
}
