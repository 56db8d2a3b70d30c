package mend

import (
	"slices"
	"strings"

	"wend/lang/words"
)

// separators stand elsewhere between two statements.
var separators = map[string]bool{",": true, ".": true, ":": true, "|": true, "&": true, "&&": true, "+": true, "then": true, "and": true, "dann": true, "und": true, "puis": true, "et": true, "luego": true, "y": true, "potem": true, "i": true, "dan": true, "en": true}

// twoStatements parts statements that stand on one line without a semicolon.
func twoStatements(l *line) []rewrite {
	ws := l.statement()
	var text strings.Builder
	depth, last, parted := 0, 0, false
	phrase := l.phraseAt(ws, 0)
	certain := true
	for i := 0; i < len(ws); i++ {
		switch w := ws[i]; {
		case w.text == "(" || w.text == "[":
			depth++
		case w.text == ")" || w.text == "]":
			depth--
		case depth == 0 && i >= last+phrase && i > 0 && w.class == name && l.beginsStatement(ws, i):
			until := i
			for until > last+1 && separators[strings.ToLower(ws[until-1].text)] {
				until--
			}
			if until == last {
				continue
			}
			// `ahead forward`, `not ahead`: no two statements.
			if prev := ws[until-1]; prev.class == sign && prev.text != ")" && prev.text != "]" && prev.text != "°" {
				continue
			}
			if until == last+1 && !l.standsAlone(ws[last]) {
				continue
			}
			text.WriteString(l.text[ws[last].start:ws[until-1].end] + "; ")
			last, parted, phrase = i, true, l.phraseAt(ws, i)
		}
	}
	if !parted {
		// A sign that only ends the line.
		if n := len(ws); n > 1 && ws[n-1].class == sign && slices.Contains([]string{".", ",", ":", ";", "!"}, ws[n-1].text) && !l.block() {
			return []rewrite{{start: ws[n-2].end, end: ws[n-1].end, certain: true, rule: true}}
		}
		return nil
	}
	text.WriteString(l.text[ws[last].start:ws[len(ws)-1].end])
	return []rewrite{l.replace(ws, text.String(), certain)}
}

// phraseAt is how many words the everyday phrase has that begins with word i,
// if it has several: in `go forward 20` no statement begins with `forward`.
func (l *line) phraseAt(ws []word, i int) int {
	if i >= len(ws) || ws[i].class != name || l.heads.own[ws[i].text] {
		return 0
	}
	for n := min(len(ws)-i, words.LongestPhrase); n > 1; n-- {
		if words.Statement(phraseOf(ws[i:i+n])) != nil {
			return n
		}
	}
	return 0
}

// beginsStatement reports whether a statement may begin with word i.
func (l *line) beginsStatement(ws []word, i int) bool {
	w := ws[i]
	if i+1 < len(ws) && (ws[i+1].text == "(" && ws[i+1].start == w.end && !l.heads.library[w.text] && !(l.heads.own[w.text] && l.heads.own[ws[0].text] && ws[i-1].text == ")") || ws[i+1].text == ":" || ws[i+1].text == "." || ws[i+1].text == "=") {
		return false
	}
	if ws[i-1].text == "." || ws[i-1].text == "draw" || ws[0].text == "let" || ws[0].text == "fn" || ws[0].text == "figure" {
		return false
	}
	if slices.Contains([]string{"fn", "if", "loop"}, w.text) && separators[ws[i-1].text] && ws[i-1].text == "," {
		return false
	}
	return l.heads.starts(w.text)
}

// standsAlone reports whether a word can be a whole statement.
func (l *line) standsAlone(w word) bool {
	return l.heads.own[w.text] || w.text == "erase" || w.text == "break" || w.text == "continue" || w.text == "return" || words.Statement(w.text) != nil
}

// headSigns takes away signs between a statement's word and its arguments, and
// parts a word from a number that is glued to it.
func headSigns(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 || ws[0].class != name {
		return nil
	}
	head := ws[0]
	// A space within a word: a head 20.
	if len(ws) > 1 && ws[1].class == name && l.heads.library[head.text+ws[1].text] {
		return []rewrite{{start: head.end, end: ws[1].start, certain: true, rule: true}}
	}
	if len(ws) > 1 && (l.heads.library[head.text] || head.text == "draw") && slices.Contains([]string{"=", ":", ",", ":=", "->", "=="}, ws[1].text) && len(ws) > 2 {
		return []rewrite{{start: head.end, end: ws[2].start, text: " ", certain: true, rule: true}}
	}
	if len(ws) > 2 && l.heads.library[head.text] && ws[1].text == "-=" {
		return []rewrite{{start: head.end, end: ws[2].start, text: " -", rule: true}}
	}
	if len(ws) > 2 && l.heads.library[head.text] && ws[1].text == "+=" {
		return []rewrite{{start: head.end, end: ws[2].start, text: " ", rule: true}}
	}
	// ahead50, ahead-20
	letters := strings.TrimRight(head.text, "0123456789_")
	if rest := head.text[len(letters):]; rest != "" && l.heads.starts(letters) && !l.heads.own[head.text] {
		return []rewrite{{start: head.start + len(letters), end: head.start + len(letters), text: " ", certain: true, rule: true}}
	}
	if len(ws) > 1 && l.heads.library[head.text] && ws[1].text == "-" && ws[1].start == head.end {
		return []rewrite{{start: head.end, end: head.end, text: " ", certain: true, rule: true}}
	}
	// reach x=90, y=60
	if l.heads.library[head.text] {
		var text strings.Builder
		named, at := false, head.start
		for i := 1; i+1 < len(ws); i++ {
			if ws[i].class == name && (ws[i+1].text == "=" || ws[i+1].text == ":=") && (i == 1 || ws[i-1].text == ",") && i+2 < len(ws) {
				text.WriteString(l.text[at:ws[i].start])
				at, named = ws[i+2].start, true
			}
		}
		if named {
			text.WriteString(l.text[at:ws[len(ws)-1].end])
			return []rewrite{l.replace(ws, text.String(), false)}
		}
	}
	return nil
}

// spacedUnit glues a unit to its number, or takes away what is none; it puts a
// point in place of a decimal comma.
func spacedUnit(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	for i := range ws {
		w := ws[i]
		if w.class != number {
			if w.text == "." && i+1 < len(ws) && ws[i+1].class == number && ws[i+1].start == w.end && (i == 0 || ws[i-1].end < w.start || ws[i-1].text == "(" || ws[i-1].text == ",") {
				out = append(out, rewrite{start: w.start, end: w.start, text: "0", certain: true, rule: true})
			}
			continue
		}
		// The letters O and l among digits.
		if i+1 < len(ws) && ws[i+1].start == w.end && strings.Trim(ws[i+1].text, "oOlI0123456789") == "" {
			out = append(out, rewrite{start: w.end, end: ws[i+1].end, text: lookalike.Replace(ws[i+1].text), certain: true, rule: true})
			continue
		}
		if i+1 < len(ws) && ws[i+1].class == name && l.text[w.end:ws[i+1].start] == strings.Repeat(" ", ws[i+1].start-w.end) {
			if unit, ok := words.Unit(ws[i+1].text); ok && (unit != ws[i+1].text || ws[i+1].start > w.end) && !l.heads.own[ws[i+1].text] {
				out = append(out, rewrite{start: w.end, end: ws[i+1].end, text: unit, certain: true, rule: true})
			} else if !ok && ws[i+1].start == w.end { // 3w
				out = append(out, rewrite{start: w.end, end: w.end, text: " * ", rule: true})
			}
		}
		if i+1 < len(ws) && ws[i+1].text == "(" && ws[i+1].start == w.end {
			out = append(out, rewrite{start: w.end, end: w.end, text: " * ", rule: true})
		}
		if i+2 < len(ws) && ws[i+1].text == "," && ws[i+2].class == number && ws[i+1].start == w.end && ws[i+2].start == ws[i+1].end && !(i > 0 && ws[i-1].text == "(" && i+3 < len(ws) && ws[i+3].text == ")") {
			out = append(out, rewrite{start: ws[i+1].start, end: ws[i+1].end, text: ".", rule: true})
		}
	}
	return out
}

var lookalike = strings.NewReplacer("o", "0", "O", "0", "l", "1", "I", "1")

// blockSigns gives a block its curly brackets, on one line.
func blockSigns(l *line) []rewrite {
	ws := l.all[l.from:]
	if len(ws) == 0 || ws[0].class != name {
		return nil
	}
	var out []rewrite
	header := slices.Contains([]string{"loop", "if", "else", "branch", "path", "figure", "fn"}, ws[0].text)
	foreign := words.Statement(ws[0].text)
	header = header || foreign != nil && strings.HasSuffix(foreign.Write, "{") || slices.Contains([]string{"for", "while", "foreach", "until", "unless"}, ws[0].text)
	if !header {
		// 4 times { … } is no name; `do 4 times {` comes by the everyday words.
		return nil
	}
	// The last bracket of the line, around statements.
	for i := 1; i < len(ws); i++ {
		for _, pair := range [][2]string{{"(", ")"}, {"[", "]"}} {
			if ws[i].text != pair[0] || ws[i-1].end == ws[i].start && ws[i-1].class == name {
				continue
			}
			inner, ok := unwrapped(ws[i:], pair[0], pair[1])
			if !ok || len(inner) == 0 || !l.heads.starts(inner[0].text) {
				continue
			}
			out = append(out, l.replace(ws[i:], "{ "+l.source(inner)+" }", true))
		}
	}
	// then ahead 20, do ahead 20 end, : ahead 20, and a bare statement behind (…).
	for i := 1; i < len(ws); i++ {
		w := ws[i]
		joint := slices.Contains([]string{"then", "do", ":", "dann", "alors", "entonces"}, w.text)
		if joint && i+1 < len(ws) && ws[i+1].text == "{" {
			out = append(out, rewrite{start: ws[i-1].end, end: w.end, certain: true, rule: true})
		} else if joint && i+1 < len(ws) && (l.heads.starts(ws[i+1].text) || ws[0].text == "if") {
			last := len(ws)
			if ws[last-1].text == "end" {
				last--
			}
			if i+1 < last {
				out = append(out, rewrite{start: ws[i-1].end, end: ws[len(ws)-1].end, text: " { " + l.source(ws[i+1:last]) + " }", certain: true, rule: true})
			}
		}
		if w.text == "times" && i+1 < len(ws) && ws[i+1].text == "{" {
			out = append(out, rewrite{start: ws[i-1].end, end: w.end, certain: true, rule: true})
		}
	}
	if len(ws) > 3 && ws[1].text == "(" {
		depth := 0
		for i := 1; i < len(ws)-1; i++ {
			switch ws[i].text {
			case "(", "[":
				depth++
			case ")", "]":
				depth--
			}
			if depth == 0 && ws[i].text == ")" {
				if l.heads.starts(ws[i+1].text) {
					out = append(out, l.replace(ws[1:], l.source(ws[2:i])+" { "+l.source(ws[i+1:])+" }", true))
				}
				break
			}
		}
	}
	// loop forever { … }
	if len(ws) > 2 && slices.Contains([]string{"loop", "repeat", "while", "do"}, ws[0].text) && ws[2].text == "{" && words.Endless(ws[1].text) && !l.heads.own[ws[1].text] {
		out = append(out, rewrite{start: ws[0].start, end: ws[1].end, text: "loop 4", rule: true, why: "a drawing comes to an end, so the number says how often; here 4 stands for it"})
	}
	// loop { … } without a count.
	if ws[0].text == "loop" && len(ws) > 1 && ws[1].text == "{" {
		out = append(out, rewrite{start: ws[0].end, end: ws[0].end, text: " 4", rule: true, why: "the number says how often; here 4 stands for it"})
	}
	return out
}

// points writes a point, or two coordinates, as wend does.
func points(l *line) []rewrite {
	ws := l.statement()
	var out []rewrite
	for i := 1; i < len(ws); i++ {
		// [20, 30] → (20, 30)
		if ws[i].text == "[" && ws[i-1].end < ws[i].start {
			for j := i + 1; j < len(ws); j++ {
				if ws[j].text == "]" {
					if args := l.arguments(ws[i+1 : j]); len(args) == 2 {
						out = append(out, l.replace(ws[i:j+1], "("+args[0]+", "+args[1]+")", false))
					}
					break
				}
			}
		}
		// draw p at 90, 50
		if ws[i].text == "at" && i+1 < len(ws) && ws[i+1].text != "(" {
			if args := l.arguments(ws[i+1:]); len(args) == 2 {
				out = append(out, l.replace(ws[i+1:], "("+args[0]+", "+args[1]+")", true))
			} else if len(args) == 1 && ws[i+1].class == number {
				out = append(out, l.replace(ws[i+1:], "("+args[0]+", 50)", false))
			}
		}
	}
	// draw p (90, 50)
	if n := len(ws); n > 6 && ws[0].text == "draw" && ws[n-1].text == ")" && ws[n-5].text == "(" && ws[n-3].text == "," && ws[n-6].end < ws[n-5].start {
		out = append(out, rewrite{start: ws[n-6].end, end: ws[n-5].start, text: " at ", rule: true})
	}
	if len(ws) > 2 && l.heads.library[ws[0].text] {
		rest := ws[1:]
		// reach 90 60
		if args := l.arguments(rest); len(args) > 1 && !strings.Contains(l.source(rest), ",") && !slices.ContainsFunc(rest, func(w word) bool { return l.heads.starts(w.text) && !l.heads.own[w.text] }) {
			out = append(out, l.replace(rest, strings.Join(args, ", "), true))
		}
	}
	// draw (90, 60), ahead (90, 60)
	if len(ws) > 3 && (ws[0].text == "draw" || ws[0].text == "ahead") && ws[1].text == "(" {
		if inner, ok := unwrapped(ws[1:], "(", ")"); ok && len(l.arguments(inner)) == 2 {
			out = append(out, l.replace(ws[:1], "reach", false))
		}
	}
	return out
}
