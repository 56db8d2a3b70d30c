package lesson

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wend/runtime/congruence"
)

// Reason is why a program does not solve a task, in one word.
type Reason string

// The reasons.
const (
	Error    Reason = "error"    // the program has an error
	Nothing  Reason = "nothing"  // it draws no line
	Length   Reason = "length"   // a piece is too long or too short
	Turn     Reason = "turn"     // a corner turns too far or not far enough
	Side     Reason = "side"     // a corner turns to the other side
	Curve    Reason = "curve"    // a bent piece is another one
	Heading  Reason = "heading"  // the line sets off another way
	Missing  Reason = "missing"  // something is not drawn
	Extra    Reason = "extra"    // the line goes on too far
	Again    Reason = "again"    // line is gone over twice
	Moved    Reason = "moved"    // it stands elsewhere
	Turned   Reason = "turned"   // it is turned
	Mirrored Reason = "mirrored" // left and right are swapped
	Course   Reason = "course"   // the line leaves the sketch

	Twice   Reason = "twice"   // something is written twice
	Word    Reason = "word"    // a word is not used that the task is about
	Open    Reason = "open"    // the line does not end where it begins
	Long    Reason = "long"    // the whole line is too long
	Short   Reason = "short"   // or too short
	Large   Reason = "large"   // the drawing is too wide or high
	Small   Reason = "small"   // or too small
	Slow    Reason = "slow"    // it takes the machine too long
	Simple  Reason = "simple"  // it has too few pieces
	Settled Reason = "settled" // chance plays no part
)

// tips are the hints by what went wrong, where a task has none of its own.
var tips = map[Reason]string{
	Error:    "mend that, then check again",
	Nothing:  "a line such as `ahead 40` draws",
	Length:   "look for that measure in the sketch, then for the number in your program that makes it",
	Turn:     "`turn` asks how far the stylus turns away from the way it goes: not how wide the corner is inside",
	Side:     "a number above 0 turns left, one below 0 turns right: think of walking along the line",
	Curve:    "look at the radius and at how far round the curve goes",
	Heading:  "the stylus looks to the right when it begins: 0 degrees is to the right, 90 is up",
	Missing:  "count the pieces in the sketch, and then those in your picture",
	Extra:    "count the pieces in the sketch, and then those in your picture",
	Again:    "count how often the loop runs: once more than it must hides on the picture, for it goes over old line",
	Moved:    "look at `begin`: it says how far right and how far up the line starts",
	Turned:   "look at which way the first piece goes",
	Mirrored: "left and right are swapped: look at the sign of each `turn`",
	Course:   "go along the sketch with your finger from where yours begins, and stop at the ring",
	Twice:    "what is done again and again can be written once, in a block with a name or with `loop` before it",
	Word:     "`wend explain` and the word shows how it is written",
	Open:     "the end of the line must meet its beginning",
	Long:     "make something smaller, or leave something out",
	Short:    "make something larger, or add to it",
	Large:    "make the largest part smaller",
	Small:    "make the largest part larger",
	Slow:     "a shorter line takes less time, and so do fewer sharp corners",
	Simple:   "add more to it",
	Settled:  "ask for the chance anew at each pass, inside the loop",
}

// tell says what differs first.
func tell(d congruence.Difference) (Reason, string) {
	piece := fmt.Sprintf("piece %d", d.Piece)
	switch d.Kind {
	case congruence.Length:
		return Length, fmt.Sprintf("%s of your line is %s mm long; in the sketch it is %s mm", piece, number(d.Found), number(d.Wanted))
	case congruence.Turn:
		reason := Turn
		if math.Abs(d.Found+d.Wanted) < 1 {
			reason = Side
		}
		return reason, fmt.Sprintf("after %s your line turns %s; in the sketch it turns %s", piece, turning(d.Found), turning(d.Wanted))
	case congruence.Curve:
		return Curve, fmt.Sprintf("%s, the bent one, is %s mm long; in the sketch it is %s mm", piece, number(d.Found), number(d.Wanted))
	case congruence.Bend:
		return Curve, fmt.Sprintf("%s of your line bends by %s degrees in all; in the sketch it bends by %s", piece, number(math.Abs(d.Found)), number(math.Abs(d.Wanted)))
	case congruence.Heading:
		return Heading, fmt.Sprintf("your line sets off at %s degrees; in the sketch it sets off at %s", number(d.Found), number(d.Wanted))
	case congruence.Missing:
		return Missing, fmt.Sprintf("your line ends after %s; in the sketch it goes on for %s mm", piece, number(d.Wanted))
	case congruence.Extra:
		return Extra, fmt.Sprintf("%s of your line, %s mm long, is not in the sketch", piece, number(d.Found))
	case congruence.Again:
		return Again, fmt.Sprintf("the picture is right, but your line is %s mm long and the sketch has only %s mm: some of it is drawn twice", number(d.Found), number(d.Wanted))
	case congruence.Moved:
		return Moved, "the drawing is right, but it stands " + away(d.Offset.X, d.Offset.Y)
	case congruence.Turned:
		return Turned, "the drawing is right, but it is turned"
	case congruence.Mirrored:
		return Mirrored, "the drawing is right, but it is the other way round, as in a mirror"
	case congruence.Undrawn:
		return Missing, "a part of the sketch is not drawn yet, near the ring"
	}
	return Course, fmt.Sprintf("at the ring your line leaves the sketch, and goes %s mm away from it", number(d.Found))
}

// written is a statement that turns: its line, and by how much, degrees, left positive.
type written struct {
	line    int
	degrees float64
}

// tellTurns says of a corner that turns wrongly what the learner wrote, where several
// statements turn at it together: none of them says the number that is measured
// there. If a turn that the sketch shows would come of mending one of them, that is
// the one to look at, else the last.
func tellTurns(says string, d congruence.Difference, turns []written, measures []Measure) (string, written) {
	last := turns[len(turns)-1]
	if len(turns) == 1 {
		return says, last
	}
	var lines []string
	for _, t := range turns {
		lines = append(lines, strconv.Itoa(t.line))
	}
	for _, t := range slices.Backward(turns) {
		wanted := math.Remainder(t.degrees+d.Wanted-d.Found, 360)
		for _, m := range measures {
			if m.Sort == "turn" && math.Abs(math.Abs(m.Degrees)-math.Abs(wanted)) < 0.1 {
				return fmt.Sprintf("after piece %d your program turns %s; in the sketch that is %s", d.Piece, turning(t.degrees), turning(wanted)), t
			}
		}
	}
	return fmt.Sprintf("%s. Lines %s of your program turn there, one after the other", says, strings.Join(lines, " and ")), last
}

func turning(degrees float64) string {
	side := "to the left"
	switch {
	case math.Abs(degrees) > 179.5:
		return "right round"
	case degrees < 0:
		side = "to the right"
	}
	if number(degrees) == "0" {
		return "not at all"
	}
	return number(math.Abs(degrees)) + " degrees " + side
}

// away says a way in mm.
func away(x, y float64) string {
	var parts []string
	add := func(mm float64, more, less string) {
		if number(mm) == "0" {
			return
		}
		word := more
		if mm < 0 {
			word = less
		}
		parts = append(parts, number(math.Abs(mm))+" mm too far "+word)
	}
	add(x, "right", "left")
	add(y, "up", "down")
	return strings.Join(parts, " and ")
}
