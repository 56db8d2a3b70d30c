package mend

import (
	"strings"

	"wend/lang/words"
)

// A stylus that is lifted elsewhere goes somewhere before it is put down: that
// move is what `sneak` does here. Both lines are put into one.

// lifted has a rewrite reach over the move that follows a word that lifts, if it
// is one move whose end can be said.
func (l *line) lifted(r *rewrite) bool {
	end := min(r.end, len(l.text))
	rest := strings.TrimLeft(l.text[end:], " \t\r\n;")
	from := len(l.text) - len(rest)
	if i := strings.IndexAny(rest, ";{}\n"); i >= 0 {
		rest = rest[:i]
	}
	ws := scan(l.text, from, from+len(rest))
	to, ok := l.reached(ws)
	if ok {
		r.end, r.text = ws[len(ws)-1].end, "sneak "+to
	}
	return ok
}

// reached is where a statement goes to, as `sneak` is told it.
func (l *line) reached(ws []word) (to string, ok bool) {
	for n := min(len(ws)-1, words.LongestPhrase); n > 0; n-- {
		phrase := phraseOf(ws[:n])
		write := ""
		if m := words.Statement(phrase); m != nil && !l.heads.own[phrase] {
			write, _, _ = strings.Cut(m.Write, "$")
		}
		args := l.arguments(ws[n:])
		switch {
		case (phrase == "reach" || write == "reach ") && len(args) <= 2:
			return strings.Join(args, ", "), true
		case (phrase == "ahead" || write == "ahead " || write == "ahead -") && len(args) == 1:
			if write == "ahead -" {
				args[0] = opposite(args[0])
			}
			return "here + polar(" + args[0] + ", heading)", true
		}
	}
	return "", false
}

// opposite is a value with the other sign, as it is written.
func opposite(value string) string {
	if without, ok := strings.CutPrefix(value, "-"); ok && !strings.ContainsAny(without, "+-*/ ") {
		return without
	}
	if strings.ContainsAny(value, "+-*/ ") {
		return "-(" + value + ")"
	}
	return "-" + value
}
