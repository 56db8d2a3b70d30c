package mend

import (
	"strings"

	"wend/lang/words"
)

// A stylus that is lifted elsewhere goes somewhere before it is put down: each of
// these moves is what `sneak` does here.

// lifted has a rewrite reach over the moves that follow a word that lifts: all up
// to the word that puts down, if it stands in the same block and only moves and
// turns are between, or else one move right behind it. Where a move goes to must be
// clear from its words.
func (l *line) lifted(r *rewrite) bool {
	first, text := rewrite{}, "" // with the one move, and with all so far
	shown := ""                  // the first move
	end := min(r.end, len(l.text))
	kept := -1 // from where what stands between moves is taken over
	for from := end; ; {
		from += len(l.text[from:]) - len(strings.TrimLeft(l.text[from:], " \t\r\n;"))
		to := len(l.text)
		if i := strings.IndexAny(l.text[from:], ";{}\n"); i >= 0 {
			to = from + i
		}
		ws := scan(l.text, from, to)
		if len(ws) == 0 && to < len(l.text) && l.text[to] == '\n' {
			from = to
			continue // a comment
		}
		m, args := l.meant(ws)
		if m != nil && m.Lowers && r.text != "" {
			if strings.Contains(r.text, "\n") {
				r.hint = "write `sneak` for each move up to where it is put down, such as `" + shown + "`: the stylus never lifts, and `sneak` goes over line that is there, where it can"
			}
			return true
		}
		said, moves := "", false
		if where, ok := l.reached(ws); ok {
			said, moves = "sneak "+where, true
		} else if m != nil && (strings.HasPrefix(m.Write, "turn ") || strings.HasPrefix(m.Write, "face ")) {
			said, _ = m.Fill(args)
		} else if len(ws) > 1 && (ws[0].text == "turn" || ws[0].text == "face") {
			said = l.source(ws)
		}
		if said == "" {
			break
		}
		if kept < 0 {
			kept = ws[0].start
		}
		text += l.text[kept:ws[0].start] + said
		kept = ws[len(ws)-1].end
		if moves {
			if shown == "" {
				shown = said
			}
			r.end, r.text = kept, text
			if first.text == "" && text == said {
				first = *r
			}
		}
		from = to
	}
	r.end, r.text = end, ""
	if first.text != "" {
		*r = first
	}
	return first.text != ""
}

// meant is what an everyday word or phrase at the begin of a statement means, and
// its arguments; nil if it is none.
func (l *line) meant(ws []word) (*words.Meaning, []string) {
	for n := min(len(ws), words.LongestPhrase); n > 0; n-- {
		phrase := phraseOf(ws[:n])
		if m := words.Statement(phrase); m != nil && !l.heads.own[phrase] {
			return m, l.arguments(ws[n:])
		}
	}
	return nil, nil
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
