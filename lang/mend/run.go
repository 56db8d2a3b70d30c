package mend

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"wend/internal/expression"
)

// fitting finds, for a statement that leads off the page, how large a number of
// it may be: the program is run with smaller ones. The numbers of the statement
// come first, then those of the calls and loops by which it was reached. So
// what is offered is in the person's own numbers, before any scale or turn.
func fitting(l *line) []rewrite {
	if l.fault.Code != "line-off-page" && l.fault.Code != "begin-off-page" {
		return nil
	}
	if r, ok := l.arcSwapped(); ok {
		return []rewrite{r}
	}
	for _, step := range l.ways() {
		if step.begins {
			if begun := l.begun(); len(begun) > 0 && l.whole(begun[0]) {
				return begun
			}
			continue
		}
		if r, ok := l.smaller(step, false); ok {
			return append([]rewrite{r}, l.begun()...)
		}
	}
	if r, ok := l.smaller(l.ways()[0], true); ok {
		return append([]rewrite{r}, l.begun()...)
	}
	return l.begun()
}

var arcArguments = expression.Of(`^arc\s+([\d.]+),\s*([\d.]+)$`)

// arcSwapped gives an arc its radius first, where a number that is a turn stands
// there: arc 360, 20.
func (l *line) arcSwapped() (rewrite, bool) {
	g := arcArguments.FindStringSubmatch(l.faulty())
	if g == nil {
		return rewrite{}, false
	}
	if turn, err := strconv.Atoi(g[1]); err != nil || turn%45 != 0 || turn < 90 {
		return rewrite{}, false
	}
	r := l.inPlace("arc " + g[2] + ", " + g[1])
	r.hint = "the radius comes first: `" + r.text + "`"
	return r, l.whole(r)
}

// way is a stretch of the program in which a number may be made smaller, or the
// beginning of the line in the middle of the page.
type way struct {
	start, end int
	called     bool // it is not the statement itself
	begins     bool
}

// ways are the stretches in which to look, in turn: the statement, the variables
// that it reads, the calls by which it was reached; then where the line begins;
// and last how often a loop runs, since a shape with fewer sides is another one.
func (l *line) ways() []way {
	span := l.fault.Span
	first := way{start: span.Start, end: min(span.End, len(l.text))}
	all := []way{first}
	for _, w := range scan(l.text, first.start, first.end) {
		if w.class != name {
			continue
		}
		if at := regexp.MustCompile(`\blet\s+` + regexp.QuoteMeta(w.text) + `\s*=\s*([\d._]+)\s*(?:[#;\n]|$)`).FindStringSubmatchIndex(l.text); at != nil {
			all = append(all, way{start: at[2], end: at[3], called: true})
		}
	}
	var loops []way
	for i := len(l.fault.Trail) - 1; i >= 0; i-- {
		s := l.fault.Trail[i].Span
		if s.File != span.File || s.End > len(l.text) {
			continue
		}
		to := way{start: s.Start, end: s.End, called: true}
		if strings.HasPrefix(l.text[s.Start:s.End], "loop") {
			loops = append(loops, to)
		} else {
			all = append(all, to)
		}
	}
	return append(append(all, way{begins: true}), loops...)
}

// whole reports whether nothing is wrong any more with what a rewrite makes.
func (l *line) whole(r rewrite) bool {
	return l.well(l.text[:r.start] + r.text + l.text[r.end:])
}

// smaller makes the first number of a stretch smaller of which that is enough; in
// calls of a theme, the size of which most is left, or, if any number will do, the
// number: a star of one point, in place of a smaller star of five, is not what was meant.
func (l *line) smaller(step way, any bool) (rewrite, bool) {
	_, lineEnd := lineAround(l.text, step.start)
	all := scan(l.text, step.start, min(step.end, lineEnd))
	from := all
	if sizes := l.sizes(all); len(sizes) > 0 && !any {
		from = sizes
	}
	found, best, share := l.smallest(from, l.themed(all))
	if share == 0 {
		return rewrite{}, false
	}
	text := strconv.FormatFloat(best, 'f', -1, 64)
	r := rewrite{start: found.start, end: found.end, text: text, rule: true, room: "with " + text + " in place of " + found.text + " it stays there"}
	if statement := strings.TrimSpace(l.text[step.start:found.start]); !step.called && len(l.fault.Trail) == 0 && statement == "ahead" {
		r.hint = text + " mm are left this way: `ahead " + text + "`"
		r.room = r.hint
	} else {
		first, last := lineAround(l.text, found.start)
		changed := strings.TrimSpace(l.text[first:found.start] + text + l.text[found.end:last])
		if len(changed) <= longestQuote && !strings.Contains(changed, "`") {
			r.hint = "with " + text + " in place of " + found.text + " it stays on the page: `" + changed + "`"
			r.room += ": `" + changed + "`"
		}
	}
	if rest := l.fault.Hint; rest != "" && r.hint != "" && step.called {
		r.hint += "; or: " + rest
	}
	return r, true
}

// smallest is the first of some numbers that is enough if it is made smaller, how large
// it may be then and which share of it that is; of all, the one of which most is left.
func (l *line) smallest(all []word, most bool) (found word, best, share float64) {
	tried := 0
	for i, w := range all {
		if w.class != number || tried == maxFitted {
			continue
		}
		if i > 0 && all[i-1].text == ".." || i+1 < len(all) && all[i+1].text == ".." {
			continue // how far a curve runs, not how large it is
		}
		asked, err := strconv.ParseFloat(strings.ReplaceAll(w.text, "_", ""), 64)
		if err != nil || asked <= 0 {
			continue
		}
		tried++
		left, ok := l.largest(w, asked)
		if !ok || left/asked <= share {
			continue
		}
		found, best, share = w, left, left/asked
		if !most {
			break
		}
	}
	return found, best, share
}

// sizes are the numbers in calls of themes that are given for a size: with fewer turns
// or points it is another shape.
func (l *line) sizes(all []word) []word {
	var out []word
	for i := 0; i+3 < len(all); i++ {
		if all[i].class != name || all[i+1].text != "." || all[i+3].text != "(" || !slices.Contains(l.Library.Modules, all[i].text) {
			continue
		}
		shut := l.closing(all, i+3)
		if shut < 0 {
			continue
		}
		takes := l.Parameters(all[i].text, all[i+2].text)
		depth, place := 0, 0
		for k := i + 3; k < shut; k++ {
			switch all[k].text {
			case "(", "[", "{":
				depth++
			case ")", "]", "}":
				depth--
			case ",":
				if depth == 1 {
					place++
				}
			}
			alone := slices.Contains([]string{",", ")", "*", "/"}, all[k+1].text)
			switch before := all[k-1].text; {
			case depth != 1 || all[k].class != number || !alone:
			case before == ":" && isSize[all[k-2].text], (before == "(" || before == ",") && place < len(takes) && isSize[takes[place]]:
				out = append(out, all[k])
			}
		}
	}
	return out
}

// isSize has the names of what themes take for a size in mm; a test holds that each is
// a name of one.
var isSize = map[string]bool{
	"radius": true, "outer": true, "inner": true, "width": true, "height": true, "length": true, "size": true, "gap": true, "side": true, "depth": true,
	"rx": true, "ry": true, "fixed": true, "rolling": true, "apart": true, "step": true,
}

// themed reports whether a word of a theme is among some words.
func (l *line) themed(all []word) bool {
	for i, w := range all {
		if i+2 < len(all) && all[i+1].text == "." && slices.Contains(l.Library.Modules, w.text) {
			return true
		}
	}
	return false
}

// begun has the line begin in the middle of the page, if it begins nowhere yet.
func (l *line) begun() []rewrite {
	if l.fault.Code != "line-off-page" || beginning.MatchString(l.text) {
		return nil
	}
	const why = "from the middle of the page there is room on all sides"
	return []rewrite{{text: "begin page.center\n", rule: true, why: why, room: why + ": `begin page.center`"}}
}

var beginning = expression.Of(`(?m)^\s*begin\b`)

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
		l.left -= costOf(text)
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
	downward = expression.Of(`\bin\s+(\d+)\s*\.\.\s*(\d+)(\s*\{)`)
	indexed  = expression.Of(`\[\s*-?\d+\s*\]`)
	negative = expression.Of(`^arc\s+-\s*([^,]+),\s*(.+)$`)
)

var passes = expression.Of(`cannot run (\S+) times`)

// wholeOf is the whole number that a count comes to.
func wholeOf(count float64) string {
	return strconv.FormatFloat(math.Max(1, math.Floor(math.Abs(count))), 'f', -1, 64)
}

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
			out = append(out, rewrite{start: start, end: end, text: wholeOf(count), rule: true})
		} else if g := passes.FindStringSubmatch(l.fault.Message); g != nil { // curves.star(5.5, 40, 20)
			inside := scan(l.text, start, end)
			for i := range inside {
				from := i
				if i > 0 && inside[i-1].text == "-" {
					from--
				}
				if count, err := strconv.ParseFloat(l.source(inside[from:i+1]), 64); err == nil && l.source(inside[from:i+1]) == g[1] {
					out = append(out, l.replace(inside[from:i+1], wholeOf(count), false))
				}
			}
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
