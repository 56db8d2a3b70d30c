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
	var first, all rewrite // with the first move, and with all so far
	text := ""
	from := min(r.end, len(l.text))
	for until := -1; ; {
		ws, end := l.next(from)
		if m, _ := l.meant(ws); m != nil && m.Lowers && all.text != "" {
			*r = all
			if strings.Contains(r.text, "\n") {
				r.hint = "write `sneak` for each move up to where it is put down, such as `" + first.text + "`: the stylus never lifts, and `sneak` goes over line that is there, where it can"
			}
			return true
		}
		said, moves := l.carried(ws)
		if said == "" {
			break
		}
		if until >= 0 {
			text += l.text[until:ws[0].start]
		}
		text += said
		until, from = ws[len(ws)-1].end, end
		if moves {
			all = *r
			all.end, all.text = until, text
		}
		if moves && first.text == "" {
			first = all
			first.text = said
		}
	}
	if first.text == "" || !strings.HasPrefix(text, first.text) {
		return false // a turn comes first, and nothing says how far it goes on
	}
	*r = first
	return true
}

// next are the words of the statement behind a place, and where it ends. There are
// none where the block does.
func (l *line) next(from int) (ws []word, end int) {
	for {
		from += len(l.text[from:]) - len(strings.TrimLeft(l.text[from:], " \t\r\n;"))
		end = len(l.text)
		if i := strings.IndexAny(l.text[from:], ";{}\n"); i >= 0 {
			end = from + i
		}
		ws = scan(l.text, from, end)
		if len(ws) > 0 || end == len(l.text) || l.text[end] != '\n' {
			return ws, end
		}
		from = end // it was a comment
	}
}

// carried is a statement as it is done without a line, and whether it moves: one that
// turns stays a turn. It is empty for any other.
func (l *line) carried(ws []word) (said string, moves bool) {
	if to, ok := l.reached(ws); ok {
		return "sneak " + to, true
	}
	switch m, args := l.meant(ws); {
	case m != nil && (strings.HasPrefix(m.Write, "turn ") || strings.HasPrefix(m.Write, "face ")):
		said, _ = m.Fill(args)
	case len(ws) > 1 && (ws[0].text == "turn" || ws[0].text == "face"):
		said = l.source(ws)
	}
	return said, false
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
