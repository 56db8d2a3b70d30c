package mend

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"wend/lang/source"
)

// fitting finds, for a statement that leads off the page, how large a number of
// it may be: the program is run with smaller ones. The numbers of the statement
// come first, then those of the calls and loops by which it was reached. So
// what is offered is in the person's own numbers, before any scale or turn.
func fitting(l *line) []rewrite {
	if l.fault.Code != "line-off-page" && l.fault.Code != "begin-off-page" {
		return nil
	}
	spans := []source.Span{l.fault.Span}
	for i := len(l.fault.Trail) - 1; i >= 0; i-- {
		if s := l.fault.Trail[i].Span; s.File == l.fault.Span.File {
			spans = append(spans, s)
		}
	}
	seen := map[int]bool{}
	tried := 0
	for nth, s := range spans {
		if s.End > len(l.text) {
			continue
		}
		_, lineEnd := lineAround(l.text, s.Start)
		for _, w := range scan(l.text, s.Start, min(s.End, lineEnd)) {
			if w.class != number || seen[w.start] || tried == maxFitted {
				continue
			}
			seen[w.start] = true
			asked, err := strconv.ParseFloat(strings.ReplaceAll(w.text, "_", ""), 64)
			if err != nil || asked <= 0 {
				continue
			}
			tried++
			best, ok := l.largest(w, asked)
			if !ok {
				continue
			}
			text := strconv.FormatFloat(best, 'f', -1, 64)
			r := rewrite{start: w.start, end: w.end, text: text, rule: true, fits: true}
			if statement := strings.TrimSpace(l.text[s.Start:w.start]); nth == 0 && len(l.fault.Trail) == 0 && statement == "ahead" {
				r.hint = text + " mm are left this way: `ahead " + text + "`"
			} else {
				first, last := lineAround(l.text, w.start)
				changed := strings.TrimSpace(l.text[first:w.start] + text + l.text[w.end:last])
				if len(changed) <= longestQuote && !strings.Contains(changed, "`") {
					r.hint = "with " + text + " in place of " + w.text + " it stays on the page: `" + changed + "`"
				}
			}
			if rest := l.fault.Hint; rest != "" && r.hint != "" && nth > 0 {
				r.hint += "; or: " + rest
			}
			return append([]rewrite{r}, l.begun()...)
		}
	}
	return l.begun()
}

// begun has the line begin in the middle of the page, if it begins nowhere yet.
func (l *line) begun() []rewrite {
	if l.fault.Code != "line-off-page" || beginning.MatchString(l.text) {
		return nil
	}
	return []rewrite{{text: "begin page.center\n", rule: true, why: "from the middle of the page there is room on all sides"}}
}

var beginning = regexp.MustCompile(`(?m)^\s*begin\b`)

// maxFitted is how many numbers are tried.
const maxFitted = 4

// largest is the largest number in place of a word with which the program stays
// on the page: a whole one where a whole one stood, else in tenths.
func (l *line) largest(w word, asked float64) (float64, bool) {
	unit := 1.0
	if asked != math.Floor(asked) || asked < 4 {
		unit = 0.1
	}
	fits := func(n int) bool {
		text := l.text[:w.start] + strconv.FormatFloat(math.Round(float64(n)*unit*10)/10, 'f', -1, 64) + l.text[w.end:]
		if l.left < len(text) {
			return false
		}
		l.left -= len(text)
		list := l.Try(text)
		if l.Run != nil && !list.Failed() {
			list = l.Run(text)
		}
		for _, d := range list {
			if d.Severity == 0 && d.Code != "program-empty" {
				return false
			}
		}
		return true
	}
	low, high := 0, int(math.Ceil(asked/unit))
	if high > 1<<20 || !fits(low) && !fits(1) {
		return 0, false
	}
	for high-low > 1 {
		if middle := (low + high) / 2; fits(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return math.Round(float64(low)*unit*10) / 10, low > 0
}

var (
	downward = regexp.MustCompile(`\bin\s+(\d+)\s*\.\.\s*(\d+)(\s*\{)`)
	indexed  = regexp.MustCompile(`\[\s*-?\d+\s*\]`)
	negative = regexp.MustCompile(`^arc\s+-\s*([^,]+),\s*(.+)$`)
)

// atRunTime mends what only shows when the program runs.
func atRunTime(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	span := func() (int, int) { return l.fault.Span.Start, min(l.fault.Span.End, len(l.text)) }
	switch l.fault.Code {
	case "passes-whole":
		start, end := span()
		if count, err := strconv.ParseFloat(strings.ReplaceAll(l.text[start:end], " ", ""), 64); err == nil {
			out = append(out, rewrite{start: start, end: end, text: strconv.FormatFloat(math.Max(1, math.Floor(math.Abs(count))), 'f', -1, 64), rule: true})
		}
	case "index-range":
		start, end := span()
		if at := indexed.FindStringIndex(l.text[start:end]); at != nil {
			to := "[-1]"
			if strings.Trim(l.text[start+at[0]:start+at[1]], "[] ") == "0" {
				to = "[1]"
			}
			out = append(out, rewrite{start: start + at[0], end: start + at[1], text: to, rule: true, hint: "places count from 1; the last is `[-1]`: write `" + strings.TrimSpace(l.text[l.start:start+at[0]]) + to + strings.TrimRight(l.text[start+at[1]:l.end], " \t\r") + "`"})
		}
	case "radius-negative":
		if g := negative.FindStringSubmatch(l.source(ws)); g != nil {
			angle := "-" + g[2]
			if rest, ok := strings.CutPrefix(g[2], "-"); ok {
				angle = rest
			}
			out = append(out, l.replace(ws, "arc "+strings.TrimSpace(g[1])+", "+angle, false))
		}
	case "program-empty":
		for _, at := range downward.FindAllStringSubmatchIndex(l.text, -1) {
			from, _ := strconv.Atoi(l.text[at[2]:at[3]])
			to, _ := strconv.Atoi(l.text[at[4]:at[5]])
			if from > to {
				out = append(out, rewrite{start: at[5], end: at[5], text: " by -1", rule: true})
			}
		}
	}
	return out
}
