package paraphrase

import "strings"

// Loops elsewhere take each item apart as they go: for x, y in points, for a, b
// in zip(lengths, angles). A loop of wend with two names counts its passes by
// the first, so one name stands for the item here, and its parts are written
// where the two names stood.

// apart gives the head of such a loop one name, and its body the item's parts.
func (w *writer) apart(i int, l *line, head, rest []node) []node {
	at := index(head, "in", "of", "over")
	if at <= 0 || at+1 >= len(head) {
		return head
	}
	names, values := head[:at], head[at+1:]
	if len(names) == 1 && names[0].class == group {
		names = names[0].kids
	}
	if len(names) != 3 || names[0].class != name || !names[1].is(",") || names[2].class != name {
		return head
	}
	var parts map[string]string
	item := w.unused("p", "point", "pair", "item")
	switch {
	case len(values) == 2 && values[0].is("zip") && values[1].class == group:
		parts = map[string]string{names[0].text: item + "[1]", names[2].text: item + "[2]"}
	case coordinates(names[0].text, names[2].text) && index(values, "enumerate", "entries", "items", "each_with_index", "range") < 0:
		parts = map[string]string{names[0].text: item + ".x", names[2].text: item + ".y"}
	default:
		return head
	}
	w.own[item] = true
	put(rest, parts)
	for k := i + 1; k < len(w.lines); k++ {
		m := &w.lines[k]
		if !m.blank() && len(m.indent) <= len(l.indent) {
			break
		}
		put(m.nodes, parts)
	}
	return append([]node{as(item, true)}, head[at:]...)
}

// coordinates reports whether two names are those of the coordinates of a point:
// x and y, x1 and y1, px and py.
func coordinates(first, second string) bool {
	first, second = strings.ToLower(first), strings.ToLower(second)
	return strings.Count(first, "x") == 1 && strings.Replace(first, "x", "y", 1) == second
}

// put writes other words for names, but not for those of fields and of arguments.
func put(ns []node, words map[string]string) {
	for i := range ns {
		n := &ns[i]
		if n.class == group {
			put(n.kids, words)
			continue
		}
		if word, ok := words[n.text]; ok && n.class == name && (i == 0 || !ns[i-1].is(".")) && (i+1 >= len(ns) || !ns[i+1].is(":")) {
			n.text, n.other = word, true
		}
	}
}

// unused is the first of some names that the program does not have, or the last.
func (w *writer) unused(names ...string) string {
	for _, n := range names[:len(names)-1] {
		if !w.own[n] && !w.mentioned(n) {
			return n
		}
	}
	return names[len(names)-1]
}

func (w *writer) mentioned(word string) bool {
	for i := range w.lines {
		if mentions(w.lines[i].nodes, word) {
			return true
		}
	}
	return false
}
