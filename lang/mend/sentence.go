package mend

import (
	"strings"

	"wend/lang/words"
)

// sentence reads a statement as people say it: its words without those that add
// nothing name what is meant, its values stand anywhere among them. So `draw a
// square 20 big` and `turn 90 to the right` are read.
func sentence(l *line) []rewrite {
	ws := l.statement()
	if len(ws) < 3 || ws[0].class != name || l.heads.own[ws[0].text] {
		return nil
	}
	var said, values []string
	place := ""
	for i := 0; i < len(ws); i++ {
		w := ws[i]
		small := strings.ToLower(w.text)
		switch {
		case w.class == number:
			end := w.end
			if _, unit := words.Unit(w.text); !unit && i+1 < len(ws) && ws[i+1].start == w.end && ws[i+1].class == name {
				end = ws[i+1].end
				i++
			}
			values = append(values, l.text[w.start:end])
		case w.class == quote:
			values = append(values, w.text)
		case w.class != name:
			return nil
		case small == "at" && i > 0:
			place = " at " + l.source(ws[i+1:])
			i = len(ws)
		case l.heads.own[w.text]:
			values = append(values, w.text)
		default:
			if i+1 < len(ws) {
				if n, ok := words.NumberOf(w.text, ws[i+1].text); ok {
					values = append(values, n)
					i++
					continue
				}
			}
			if n, ok := words.Number(w.text); ok && small != "un" && small != "een" {
				values = append(values, n)
				continue
			}
			if unit, ok := words.Unit(small); ok && len(values) > 0 {
				values[len(values)-1] += unit
				continue
			}
			if wishing[small] && len(said) == 0 && len(values) == 0 {
				continue
			}
			if fillers[small] || adding[small] || leading[small] && i == 0 && len(ws) > 3 {
				continue
			}
			said = append(said, small)
		}
	}
	if len(said) == 0 {
		return nil
	}
	m := words.Statement(strings.Join(said, " "))
	if m == nil || m.Write == "" || strings.HasSuffix(m.Write, "{") || len(values) > max(1, m.Takes()) {
		return nil
	}
	text, _ := m.Fill(values)
	if place != "" && !strings.HasPrefix(text, "draw ") {
		return nil
	}
	now, _, _ := strings.Cut(text, " ")
	r := rewrite{start: ws[0].start, end: ws[len(ws)-1].end, text: text + place, rule: true, everyday: strings.Join(said, " "), now: now, why: m.Why, thing: m.Thing}
	if m.None {
		r.now = ""
	}
	if r.text == l.source(ws) {
		return nil
	}
	return []rewrite{r}
}

// wishing are words with which a wish begins: I want to, can you, let us.
var wishing = map[string]bool{"i": true, "we": true, "you": true, "want": true, "wish": true, "would": true, "like": true, "can": true, "could": true, "will": true, "let": true, "lets": true, "us": true, "to": true, "have": true, "must": true, "need": true,
	"ich": true, "möchte": true, "kannst": true, "du": true, "je": true, "veux": true, "quiero": true, "chcę": true, "ik": true, "wil": true}

// adding are words of a sentence that say how large something is, or nothing.
var adding = map[string]bool{
	"big": true, "long": true, "wide": true, "tall": true, "high": true, "large": true, "small": true, "little": true, "please": true, "an": true, "my": true, "your": true, "this": true, "that": true,
	"is": true, "side": true, "sides": true, "length": true, "side-length": true, "diameter": true, "in": true, "on": true, "and": true, "then": true, "again": true, "now": true, "once": true, "me": true, "bit": true, "name": true, "bisschen": true, "peu": true, "it": true, "step": true, "steps": true, "degree": true, "degrees": true, "more": true, "further": true, "have": true, "has": true, "having": true,
	"lang": true, "groß": true, "gross": true, "breit": true, "hoch": true, "ein": true, "eine": true, "einen": true, "der": true, "die": true, "das": true, "nach": true,
	"un": true, "une": true, "le": true, "la": true, "les": true, "à": true, "una": true, "el": true, "een": true, "het": true, "naar": true,
}
