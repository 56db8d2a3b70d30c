package calibrate

import (
	"context"
	"fmt"
	"strings"
)

// reading is a length that is read off the sheet, and what it says.
type reading struct {
	name string // such as "tick 3 of the first row"
	ask  Question
	row  func(answer float64) row
	// shows is the answer that would give a value.
	shows func(value float64) float64
}

// mostTries is how often one and the same thing is asked at most.
const mostTries = 3

// judge asks for readings and holds each against all the others, and against
// what was known before: the sheet is still there, so whatever does not fit is
// asked for again.
type judge struct {
	s        *Session
	unknowns int
	rows     []row
	answers  []float64 // by row
	readings []reading
	tries    []int
}

// knows adds what an earlier part found.
func (j *judge) knows(r row) {
	r.item = known
	j.rows, j.answers = append(j.rows, r), append(j.answers, 0)
}

// ask asks for one more reading, and settles what does not fit among those from
// the one given on; the ones before are on no sheet any more.
func (j *judge) ask(ctx context.Context, r reading, from int) error {
	j.readings, j.tries = append(j.readings, r), append(j.tries, 0)
	if err := j.put(ctx, len(j.readings)-1, ""); err != nil {
		return err
	}
	for {
		f := fit(j.unknowns, j.rows)
		again := -1
		for i := from; i < len(j.readings) && again < 0; i++ {
			if !j.fits(f, i) && j.tries[i] < mostTries {
				again = i
			}
		}
		if again < 0 {
			return nil
		}
		said, should := j.said(f, again)
		doubt := fmt.Sprintf("by the other readings it should be about %.1f mm, not %.1f: measure once more", should, said)
		if err := j.put(ctx, again, doubt); err != nil {
			return err
		}
	}
}

func (j *judge) put(ctx context.Context, i int, doubt string) error {
	q := j.readings[i].ask
	if doubt != "" {
		q.More = strings.TrimPrefix(q.More+". "+doubt, ". ")
	}
	answer, err := j.s.operator.Measure(ctx, q)
	if err != nil {
		return err
	}
	r := j.readings[i].row(answer)
	r.item = i
	j.rows, j.answers = append(j.rows, r), append(j.answers, answer)
	j.tries[i]++
	return nil
}

// fits reports whether some answer to a reading goes with the others.
func (j *judge) fits(f fitted, i int) bool {
	for k, r := range j.rows {
		if r.item == i && !f.odd[k] {
			return true
		}
	}
	return false
}

// said is the last answer to a reading, and what the others make of it.
func (j *judge) said(f fitted, i int) (said, should float64) {
	for k, r := range j.rows {
		if r.item == i {
			said, should = j.answers[k], j.readings[i].shows(f.expects(r))
		}
	}
	return said, should
}

// verdict is what the readings say together. Readings that fit with nothing are
// named, and with many of them nothing is concluded.
func (j *judge) verdict() (fitted, []string, error) {
	f := fit(j.unknowns, j.rows)
	var doubts []string
	for i, r := range j.readings {
		if !j.fits(f, i) {
			said, should := j.said(f, i)
			doubts = append(doubts, fmt.Sprintf("%s (%.2f mm, by the others %.2f)", r.name, said, should))
		}
	}
	if 3*len(doubts) > len(j.readings) {
		return f, nil, &Trouble{Text: fmt.Sprintf("these readings do not fit with the rest: %s. See that nothing slips, and that each is measured between the right marks", strings.Join(doubts, "; "))}
	}
	for k, r := range j.rows {
		if r.item == known && f.odd[k] {
			doubts = append(doubts, "what was known before")
		}
	}
	return f, doubts, nil
}

// leftOut is what a finding says of readings that did not fit.
func leftOut(doubts []string) string {
	if len(doubts) == 0 {
		return ""
	}
	return "; left out, since it does not fit: " + strings.Join(doubts, "; ")
}
