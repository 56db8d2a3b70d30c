package lesson

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wend/lang/ast"
	"wend/lang/parse"
	"wend/runtime/congruence"
	"wend/runtime/geom"
)

// rule is what a task asks for beside the shape of the line:
//
//	once              nothing is written twice
//	word loop         the program has the word, or one of several: word loop|while
//	closed            the line ends where it begins
//	length 200 600    the line is so long, mm
//	width 40 130      the drawing is so wide, mm
//	height 20 90      and so high
//	minutes 5         the machine needs so long at most
//	corners 8         the line has so many corners at least
//	chance            other seeds draw other lines
type rule struct {
	sort     string
	words    []string
	from, to float64
}

func readRule(text string) (rule, error) {
	parts := strings.Fields(text)
	if len(parts) == 0 {
		return rule{}, fmt.Errorf("a rule is missing")
	}
	r := rule{sort: parts[0]}
	numbers := 0
	switch r.sort {
	case "once", "closed", "chance":
	case "word":
		if len(parts) != 2 {
			return r, fmt.Errorf("`%s`: name one word, or several with | between", text)
		}
		r.words = strings.Split(parts[1], "|")
		return r, nil
	case "minutes", "corners":
		numbers = 1
	case "length", "width", "height":
		numbers = 2
	default:
		return r, fmt.Errorf("there is no rule `%s`", r.sort)
	}
	if len(parts) != 1+numbers {
		return r, fmt.Errorf("`%s`: it takes %d numbers", text, numbers)
	}
	for i, to := range []*float64{&r.from, &r.to}[:numbers] {
		var err error
		if *to, err = strconv.ParseFloat(parts[i+1], 64); err != nil {
			return r, err
		}
	}
	return r, nil
}

// broken says how a program breaks the rule, with the line if there is one; the
// reason is empty if it does not.
func (r rule) broken(ctx context.Context, a *Attempt) (reason Reason, says string, line int, err error) {
	points := a.line.Points
	box := geom.Bounds(points)
	switch r.sort {
	case "once":
		if first, again := repeated(a); again > 0 {
			return Twice, fmt.Sprintf("what begins on line %d is written again on line %d", first, again), again, nil
		}
	case "word":
		if !uses(a, r.words) {
			return Word, fmt.Sprintf("the program does not use `%s`, which this task is about", strings.Join(r.words, "` or `")), 0, nil
		}
	case "closed":
		if gap := points[0].Distance(points[len(points)-1]); gap > toleranceMM {
			return Open, fmt.Sprintf("the line ends %s mm from where it begins", number(gap)), 0, nil
		}
	case "length":
		reason, says = r.between(geom.Length(points), "the line is %s mm long", Short, Long)
	case "width":
		reason, says = r.between(box.Width(), "the drawing is %s mm wide", Small, Large)
	case "height":
		reason, says = r.between(box.Height(), "the drawing is %s mm high", Small, Large)
	case "minutes":
		seconds, err := a.program.Seconds(ctx, points)
		if err != nil {
			return "", "", 0, err
		}
		if seconds > 60*r.from {
			return Slow, fmt.Sprintf("the machine needs %s minutes for it; the task allows %s", number(math.Ceil(seconds/6)/10), number(r.from)), 0, nil
		}
	case "corners":
		if n := congruence.Corners(points); n < int(r.from) {
			return Simple, fmt.Sprintf("the line has %d corners; the task wants %s or more", n, number(r.from)), 0, nil
		}
	case "chance":
		same, err := a.settled(ctx)
		if err != nil || !same {
			return "", "", 0, err
		}
		return Settled, "another seed draws the same picture: chance plays no part in it", 0, nil
	}
	return reason, says, 0, nil
}

func (r rule) between(measure float64, words string, less, more Reason) (Reason, string) {
	says := fmt.Sprintf(words, number(measure)) + "; the task wants "
	switch {
	case measure < r.from-toleranceMM:
		return less, says + number(r.from) + " mm or more"
	case measure > r.to+toleranceMM:
		return more, says + number(r.to) + " mm or less"
	}
	return "", ""
}

// settled reports whether other seeds draw the same line.
func (a *Attempt) settled(ctx context.Context) (bool, error) {
	for seed := range uint64(3) {
		settings := a.settings
		settings.Seed = new(uint64)
		*settings.Seed = 101 + seed
		other := Try(ctx, a.file, settings)
		if err := ctx.Err(); err != nil {
			return false, err
		}
		if other.line == nil || !slices.Equal(other.line.Points, a.line.Points) {
			return false, nil
		}
	}
	return true, nil
}

// uses reports whether the program has one of some words, as a statement, a value
// or a keyword.
func uses(a *Attempt, words []string) bool {
	for _, token := range parse.Tokens(a.file) {
		if slices.Contains(words, token.Place().Text()) && (token.Kind == ast.NameToken || token.Kind == ast.KeywordToken) {
			return true
		}
	}
	return false
}
