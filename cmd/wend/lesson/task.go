package lesson

import (
	"fmt"
	"strconv"
	"strings"

	"wend/runtime/congruence"
	"wend/runtime/geom"
)

// Task is one thing to draw. In its file each line is a word, a colon and what it
// says; a line that begins with a space goes on.
//
//	title: A square
//	ask: what is to be drawn, in plain words
//	same: moved turned mirrored     the motions that leave the drawing right
//	rule: once                      see rule; may be repeated
//	length: 20,30 80,30 8           a dimension from place to place, so many mm to the left of it
//	rise: 10,50 25,70 6             how much higher one place is than another, drawn so far left of the first
//	turn: 80,30 0 90 14             at a place, from a heading, so many degrees, on a radius
//	radius: 70,50 30 45             of a circle: its centre, its radius, and where to show it
//	mixed: ahead 20                 a line of the answer, out of its order; repeated.
//	                                One of them may be too many, if `ask` says so
//	hint: …                         three of them, the first the least
//	tip turn: …                     a hint for what went wrong, by its reason
//
// The wanted line is drawn by a program of its own beside it, which goes from place
// to place and not the way that a learner goes.
type Task struct {
	Lesson, Number int
	Title, Ask     string
	Same           congruence.Motions
	Measures       []Measure
	Mixed          []string  // lines of an answer out of their order
	Hints          [3]string // the first is the least
	rules          []rule
	tips           map[Reason]string
	wanted         string // the program of the wanted line; empty for a drawing of one's own
}

// ID is how a task is named: `3.2`.
func (t Task) ID() string { return fmt.Sprintf("%d.%d", t.Lesson, t.Number) }

// HasSketch reports whether the drawing is given.
func (t Task) HasSketch() bool { return t.wanted != "" }

func readTask(text string) (Task, error) {
	t := Task{tips: map[Reason]string{}}
	hints := 0
	text = strings.ReplaceAll(text, "\n ", " ")
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		word, rest, found := strings.Cut(line, ":")
		rest = strings.TrimSpace(rest)
		if !found {
			return t, fmt.Errorf("`%s` has no colon", line)
		}
		switch word {
		case "title":
			t.Title = rest
		case "ask":
			t.Ask = rest
		case "same":
			for motion := range strings.FieldsSeq(rest) {
				switch motion {
				case "moved":
					t.Same.Moved = true
				case "turned":
					t.Same.Turned = true
				case "mirrored":
					t.Same.Mirrored = true
				default:
					return t, fmt.Errorf("there is no motion `%s`", motion)
				}
			}
		case "rule":
			r, err := readRule(rest)
			if err != nil {
				return t, err
			}
			t.rules = append(t.rules, r)
		case "length", "rise", "turn", "radius":
			m, err := readMeasure(word, strings.Fields(rest))
			if err != nil {
				return t, fmt.Errorf("`%s`: %w", line, err)
			}
			t.Measures = append(t.Measures, m)
		case "mixed":
			t.Mixed = append(t.Mixed, rest)
		case "hint":
			if hints == len(t.Hints) {
				return t, fmt.Errorf("more than %d hints", hints)
			}
			t.Hints[hints] = rest
			hints++
		default:
			reason, isTip := strings.CutPrefix(word, "tip ")
			if _, known := tips[Reason(reason)]; !isTip || !known {
				return t, fmt.Errorf("`%s` is nothing that stands in a task", word)
			}
			t.tips[Reason(reason)] = rest
		}
	}
	if t.Title == "" || t.Ask == "" || hints < len(t.Hints) {
		return t, fmt.Errorf("a task has a title, what it asks for, and %d hints", len(t.Hints))
	}
	return t, nil
}

// readMeasure reads a measure; places are `x,y` in page mm.
func readMeasure(word string, parts []string) (Measure, error) {
	places, numbers := 1, 3
	if word == "length" || word == "rise" {
		places, numbers = 2, 1
	}
	if word == "radius" {
		numbers = 2
	}
	m := Measure{Sort: word}
	if len(parts) != places+numbers {
		return m, fmt.Errorf("it takes %d places and %d numbers", places, numbers)
	}
	at := make([]geom.Point, places)
	for i := range at {
		x, y, _ := strings.Cut(parts[i], ",")
		var errX, errY error
		at[i].X, errX = strconv.ParseFloat(x, 64)
		at[i].Y, errY = strconv.ParseFloat(y, 64)
		if errX != nil || errY != nil {
			return m, fmt.Errorf("`%s` is no place", parts[i])
		}
	}
	n := make([]float64, numbers)
	for i := range n {
		var err error
		if n[i], err = strconv.ParseFloat(parts[places+i], 64); err != nil {
			return m, fmt.Errorf("`%s` is no number", parts[places+i])
		}
	}
	m.At = at[0]
	switch word {
	case "length", "rise":
		m.To, m.Aside = at[1], n[0]
	case "turn":
		m.Heading, m.Degrees, m.Radius = n[0], n[1], n[2]
	case "radius":
		m.Radius, m.Heading = n[0], n[1]
	}
	return m, nil
}
