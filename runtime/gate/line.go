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
	ShowOffsets
	Unlock
)

// Line is the question as it is sent.
func (q Question) Line() Line {
	switch q {
	case ListStartUp:
		return Line{"$N"}
	case ShowModes:
		return Line{"$G"}
	case ShowOffsets:
		return Line{"$#"}
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
	if !known || !(value >= 0) || value > 1e6 {
		return Line{}, refuse("$"+strconv.Itoa(n), "it is not a setting that is written")
	}
	return Line{"$" + strconv.Itoa(n) + "=" + number(value)}, nil
}

// ClearStartUp empties one of the two lines that a board runs after a reset.
func ClearStartUp(n int) (Line, error) {
	if n != 0 && n != 1 {
		return Line{}, refuse("$N", "there are two start-up lines, 0 and 1")
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

// decimals is how finely places are written: a thousandth of a millimetre is
// below a step of any machine of this kind.
const decimals = 3

// longestLine is the longest line that can be made: "G1 X-12345.678
// Y-12345.678 F123456" fits with room to spare.
const longestLine = 48

// longestDwell is the longest pause within a program, in seconds.
const longestDwell = 3600

// round is the value that its text will have.
func round(v float64) float64 { return math.Round(v*1000) / 1000 }

// number writes a value without exponent and without a negative zero.
func number(v float64) string {
	v = round(v)
	if v == 0 {
		v = 0 // −0 is written as 0
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// lineTo writes a straight motion to an absolute place. The feed, in mm/min,
// is rounded down, but is never 0.
func lineTo(from, to place, feed float64) Item {
	feed = max(1, math.Floor(feed))
	return Item{
		Kind: Move, X: to.x, Y: to.y,
		Length:  math.Hypot(to.x-from.x, to.y-from.y),
		FeedMMS: feed / 60,
		Line:    Line{"G1 X" + number(to.x) + " Y" + number(to.y) + " F" + strconv.FormatFloat(feed, 'f', 0, 64)},
	}
}
