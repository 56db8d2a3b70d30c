package mend

import (
	"regexp"
	"strings"

	"wend/lang/words"
)

// moves puts what must stand elsewhere where it belongs.
func moves(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	without := func(start, end int) string { return l.text[:start] + l.text[end:] }
	whole := func(text string) []rewrite {
		return []rewrite{{start: 0, end: len(l.text), text: text, rule: true}}
	}
	switch l.fault.Code {
	case "begin-late", "begin-in-block", "top-level-only":
		if ws[0].text != "begin" {
			return nil
		}
		start, end := l.withoutLine(ws)
		rest := without(start, end)
		if strings.HasPrefix(rest, "begin ") || strings.Contains(rest, "\nbegin ") {
			return whole(rest)
		}
		return whole(l.source(ws) + "\n" + rest)
	case "begin-twice":
		// The later one counts.
		for _, r := range l.fault.Related {
			start, end := lineAround(l.text, r.Span.Start)
			return []rewrite{{start: start, end: min(end+1, len(l.text)), rule: true}}
		}
	case "name-gone":
		return l.madeBefore()
	case "definition-in-block":
		return l.movedOut(without)
	case "used-before-let":
		if len(l.fault.Related) == 0 {
			return nil
		}
		start, end := lineAround(l.text, l.fault.Related[0].Span.Start)
		if start < l.start {
			return nil // the use is in a body below: which call came too early is not known
		}
		let := l.text[start:end]
		end = min(end+1, len(l.text))
		return []rewrite{{start: l.start, end: end, text: strings.TrimSpace(let) + "\n" + l.text[l.start:start], rule: true}}
	case "unknown-name":
		if l.followed {
			return nil // only as written: the name may come from an edit
		}
		if l.fault.Hint == "" || len(l.fault.Edits) > 0 {
			return nil
		}
		at := l.start
		named := l.text[l.fault.Span.Start:min(l.fault.Span.End, len(l.text))]
		if strings.ContainsAny(named, " .(") || l.heads.own[named] || words.Statement(named) != nil || isValue(named) {
			return nil
		}
		if words.Endless(named) {
			return nil
		}
		if _, unit := words.Unit(named); unit {
			return nil // ahead 20 cm mm: no variable was meant
		}
		value := "20"
		if ws[0].text == "loop" {
			value = "4"
		}
		indent := l.text[l.start : l.start+indentOf(l.text[l.start:l.end])]
		let := "let " + named + " = " + value
		return []rewrite{{start: at, end: at, text: indent + let + "\n", rule: true, hint: "a variable is made before it is used: `" + let + "` on a line above"}}
	}
	return nil
}

func isValue(name string) bool {
	_, ok := words.Value(name)
	return ok
}

// madeBefore makes a variable before the block in which it was made, when it is
// needed behind that.
func (l *line) madeBefore() []rewrite {
	name := l.faulty()
	before := l.text[:min(l.fault.Span.Start, len(l.text))]
	all := regexp.MustCompile(`\blet\s+(`+regexp.QuoteMeta(name)+`\s*=\s*([^;{}\n]+))`).FindAllStringSubmatchIndex(before, -1)
	if len(all) == 0 {
		return nil
	}
	at := all[len(all)-1]
	block, depth := -1, 0
	for i := at[0] - 1; i >= 0; i-- {
		switch l.text[i] {
		case '}':
			depth++
		case '{':
			if depth--; depth < 0 {
				block, depth = i, 0
			}
		}
	}
	if block < 0 {
		return nil
	}
	first, _ := lineAround(l.text, block)
	value := strings.TrimSpace(l.text[at[4]:at[5]])
	if plain := strings.Trim(value, "0123456789."); plain != "" && !strings.HasPrefix(plain, `"`) {
		value = "0"
	}
	indent := l.text[first : first+indentOf(l.text[first:block])]
	return []rewrite{{start: first, end: at[2], text: indent + "let " + name + " = " + value + "\n" + l.text[first:at[0]], rule: true}}
}

// movedOut puts a definition that stands in a block before the first line.
func (l *line) movedOut(without func(start, end int) string) []rewrite {
	start := l.fault.Span.Start
	first, _ := lineAround(l.text, start)
	open := strings.IndexByte(l.text[start:], '{')
	if open < 0 || strings.TrimSpace(l.text[first:start]) != "" {
		return nil
	}
	depth := 0
	for i := start + open; i < len(l.text); i++ {
		switch l.text[i] {
		case '{':
			depth++
		case '}':
			depth--
		}
		if depth == 0 {
			_, lineEnd := lineAround(l.text, i)
			if strings.TrimSpace(l.text[i+1:lineEnd]) != "" {
				return nil
			}
			text := strings.TrimSpace(l.text[start : i+1])
			rest := without(first, min(lineEnd+1, len(l.text)))
			return []rewrite{{start: 0, end: len(l.text), text: rest + "\n" + text + "\n", rule: true}}
		}
	}
	return nil
}
