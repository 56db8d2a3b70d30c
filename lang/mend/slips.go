package mend

import (
	"regexp"
	"slices"
	"strings"

	"wend/internal/expression"
	"wend/lang/words"
)

// A slip is a statement that is wend's but for a sign or a word. Its head or the
// whole of it is written anew; whether that helps is tried, so a pattern need not
// know all that it must not meet.
type slip struct {
	pattern expression.Expression
	write   string
}

const (
	slipName  = `([\pL_][\pL\pN_]*)`
	slipValue = `([\pL\pN_][\pL\pN_.]*(?:\[[^\[\]]*\]|\([^()]*\))?)`
)

var slipParts = strings.NewReplacer("NAME", slipName, "VALUE", slipValue)

func slipOf(pattern, write string) slip {
	return slip{expression.Of(slipParts.Replace(pattern)), write}
}

// headSlips are about what stands before a block, and slips about a statement
// without one.
var (
	headSlips = []slip{
		slipOf(`^loop NAME VALUE$`, `loop ${1} in ${2}`),
		slipOf(`^loop in VALUE$`, `loop item in ${1}`),
		slipOf(`^loop VALUE$`, `loop item in ${1}`),
		slipOf(`^loop NAME in (\d+)\s*(?:[-,.]|,\s*)\s*(\d+)$`, `loop ${1} in ${2}..${3}`),
		slipOf(`^loop NAME in \(VALUE,\s*VALUE\)$`, `loop ${1} in ${2}..${3}`),
		slipOf(`^figure \(([^()]*)\)\s*NAME$`, `figure ${2}(${1})`),
		slipOf(`^if VALUE is even$`, `if mod(${1}, 2) == 0`),
		slipOf(`^if VALUE is odd$`, `if mod(${1}, 2) == 1`),
		slipOf(`^if VALUE\s*(<=|>=|==|<|>)\s*VALUE\s+(and|or)\s+(<=|>=|==|<|>)\s*VALUE$`, `if ${1} ${2} ${3} ${4} ${1} ${5} ${6}`),
		slipOf(`^if VALUE\s+(?:is\s+)?between\s+VALUE\s+and\s+VALUE$`, `if ${2} <= ${1} <= ${3}`),
		slipOf(`^else if$`, `else`),
		slipOf(`^(figure|fn) NAME\(([^()]*)\)\s*=$`, `${1} ${2}(${3})`),
	}
	slips = []slip{
		slipOf(`^let NAME\s*=\s*draw\s+(.+)$`, `let ${1} = ${2}`),
		slipOf(`^(shift|arc|bezier|spline)\s+\((.*)\)$`, `${1} ${2}`),
		slipOf(`^curve\s+VALUE,\s*VALUE$`, `arc ${1}, ${2}`),
		slipOf(`^draw\s+(.+?)\s+at\s+(.+?),?\s+(?:rotated|turned|tilted)(?:\s+by)?\s+(-?[\pL\pN_.]+)$`, `draw rotate(${1}, ${3}) at ${2}`),
		slipOf(`^draw\s+(.+?)\s+at\s+(.+?),?\s+(?:scaled|enlarged|bigger|sized)(?:\s+by)?\s+(-?[\pL\pN_.]+)$`, `draw scale(${1}, ${3}) at ${2}`),
		slipOf(`^draw\s+(.+?)\s+at\s+(.+?),?\s+(?:mirrored|flipped|reflected)$`, `draw mirror(${1}, 90) at ${2}`),
		slipOf(`^(?:draw\s+)?(.+?)\s+(?:rotated|turned|tilted)(?:\s+by)?\s+(-?[\pL\pN_.]+)$`, `draw rotate(${1}, ${2})`),
		slipOf(`^(?:draw\s+)?(.+?)\s+(?:scaled|enlarged|bigger|sized)(?:\s+by)?\s+(-?[\pL\pN_.]+)$`, `draw scale(${1}, ${2})`),
		slipOf(`^(?:draw\s+)?(.+?)\s+(?:mirrored|flipped|reflected)$`, `draw mirror(${1}, 90)`),
		slipOf(`^(?:draw\s+)?(.+?)\s+(?:reversed|backwards)$`, `draw reverse(${1})`),
		// From the middle it is a spiral of the library; else both radii stay as they were said.
		slipOf(`^(?:draw\s+)?(?:a\s+)?spiral\s+(?:from\s+)?0\s+to\s+(-?[\pL\pN_.]+)((?:\s+at\s.+)?)$`, `draw curves.spiral(3, ${1} / 3)${2}`),
		slipOf(`^(?:draw\s+)?(?:a\s+)?spiral\s+(?:from\s+)?(-?[\pL\pN_.]+)\s+to\s+(-?[\pL\pN_.]+)((?:\s+at\s.+)?)$`, `draw curve t in 0..1 = polar(mix(${1}, ${2}, t), 1080 * t)${3}`),
		slipOf(`^draw\s+([\p{Lu}][\pL]*)$`, `draw text("${1}")`),
		slipOf(`^let\s*=\s*(.+)$`, `let size = ${1}`),
		slipOf(`^(fn .+?\)\s*=)\s*return\s+(.+)$`, `${1} ${2}`),
		slipOf(`^begin\s+(?:the\s+)?(?:center|centre|middle) (?:of|on|in) (?:the )?(?:page|sheet|paper)$`, `begin page.center`),
		slipOf(`^(turn|arc\s+.+,)\s+VALUE\s+(?:clockwise|cw)$`, `${1} -${2}`),
		slipOf(`^(turn|arc\s+.+,)\s+VALUE\s+(?:counter-?clockwise|anti-?clockwise|ccw)$`, `${1} ${2}`),
		slipOf(`^(reach|sneak|begin)\s+(.+?)\s*([-+])\s*VALUE,\s*VALUE$`, `${1} ${2} ${3} (${4}, ${5})`),
		slipOf(`^(reach|sneak|begin)\s+(.+?)\s*([-+])\s*VALUE$`, `${1} ${2} ${3} (${4}, ${4})`),
		slipOf(`^note\s+([^"]*\{[^"]*)$`, `note "${1}"`),
		slipOf(`^(draw\s+.+?),\s*(\([^()]*,[^()]*\))\s*\)$`, `${1}) at ${2}`),
		slipOf(`^(begin|reach|sneak|follow|ahead|note|turn|face)\s+NAME +NAME$`, `${1} ${2}.${3}`),
		slipOf(`^((?:sort|reverse|shuffle)\(\s*)NAME(.*)$`, `${2} = ${1}${2}${3}`),
	}
	// within are about a part of a statement, wherever it stands.
	within = []slip{
		slipOf(`\bcurve\s*\(([\pL_]+ in [^()]*)\)`, `curve ${1}`),
		slipOf(`=\s*\{`, `= path {`),
		slipOf(`\bif VALUE VALUE else VALUE`, `if ${1} { ${2} } else { ${3} }`),
		slipOf(`\bcurve\.`, `curves.`),
		slipOf(`\bVALUE x VALUE`, `${1} * ${2}`),
		slipOf(`\bVALUE to VALUE`, `${1}..${2}`),
		slipOf(`(\d) +NAME\(`, `${1} * ${2}(`),
		slipOf(`\bNAME\[NAME\]`, `${1}.${2}`),
		slipOf(`\bNAME\(NAME\)`, `${1}.${2}`),
		slipOf(`\bNAME\.(\d+)\b`, `${1}[${2}]`),
		slipOf(`\bNAME +NAME\b`, `${1}.${2}`),
		slipOf(`[\[(]\s*([\pL_]+\s*:[^()\[\]]*)[\])]`, `{${1}}`),
		slipOf(`\[\s*(-?[\d.]+)\s*,\s*(-?[\d.]+)\s*\]`, `(${1}, ${2})`),
		slipOf(`\bfn NAME\s*=`, `fn(${1}) =`),
		slipOf(`\bfn(\([^()]*\))\s*\{\s*(?:return )?([^{};]*?)\s*\}`, `fn${1} = ${2}`),
		slipOf(`\(NAME\)\s*=\s*`, `fn(${1}) = `),
		slipOf(`,\s*(<=|>=|==|<|>)\s*`, `, fn(x) = x ${1} `),
		slipOf(`=\s*\{([^{}:;=]*)\}`, `= [${1}]`),
		slipOf(`=\s*\(([^()]*,[^()]*,[^()]*)\)`, `= [${1}]`),
		slipOf(`=\s*\{\s*([^{}:;=]*?)\s*\}`, `= ${1}`),
		slipOf(`^let NAME\s*=\s*([^\[({,]+,[^{]+)$`, `let ${1} = [${2}]`),
	}
)

// slipped writes a statement that is nearly wend's.
func slipped(l *line) []rewrite {
	if l.followed && l.fault.Code == "unknown-name" {
		return nil // the name came from an edit
	}
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	var out []rewrite
	if l.block() {
		header, end := l.header()
		for _, s := range headSlips {
			if to := s.pattern.ReplaceAllString(header, s.write); to != header {
				out = append(out, rewrite{start: ws[0].start, end: end, text: to, rule: true})
			}
		}
	}
	// A statement with the curly brackets of its values.
	last := l.to
	for last < len(l.all) && l.all[last].text != ";" {
		last++
	}
	from := l.from
	for from > 0 && l.all[from-1].text != ";" && !(l.all[from-1].text == "{" && from > 1 && l.all[from-2].text != "=" && l.all[from-2].text != ")") {
		from--
	}
	for _, all := range [][]word{ws, l.all[from:last]} {
		text := l.source(all)
		for _, s := range slips {
			if to := s.pattern.ReplaceAllString(text, s.write); to != text {
				out = append(out, l.replace(all, to, false))
			}
		}
		for _, s := range within {
			if to := s.pattern.ReplaceAllString(text, s.write); to != text {
				out = append(out, l.replace(all, to, false))
			}
		}
		if len(all) == len(ws) && last == l.to {
			break
		}
	}
	return append(out, slices.Concat(l.pairs(ws), l.fieldOf(), l.itemByItem(ws))...)
}

// itemByItem does with each item of a list what was to be done with the list:
// ahead sizes.
func (l *line) itemByItem(ws []word) []rewrite {
	if l.fault.Code != "wrong-kind" || !strings.HasSuffix(l.fault.Message, "this is a list") || len(ws) < 2 || l.fault.Span.Start != ws[1].start || !l.heads.library[ws[0].text] {
		return nil
	}
	return []rewrite{l.replace(ws, "loop item in "+l.source(ws[1:])+" { "+ws[0].text+" item }", false)}
}

// withPaths writes what the signs of arithmetic would do with paths: p * 2 is
// scale(p, 2).
func withPaths(l *line) []rewrite {
	if l.fault.Code != "operator-kinds" {
		return nil
	}
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	text := l.source(ws)
	var out []rewrite
	for _, s := range operations {
		if !strings.Contains(l.fault.Message, s.about) {
			continue
		}
		if to := s.pattern.ReplaceAllString(text, s.write); to != text {
			out = append(out, l.replace(ws, to, false))
		}
	}
	return out
}

var operations = []struct {
	about string
	slip
}{
	{"a path and a number", slipOf(`VALUE\s*\*\s*VALUE`, `scale(${1}, ${2})`)},
	{"a path and a number", slipOf(`VALUE\s*/\s*VALUE`, `scale(${1}, 1 / ${2})`)},
	{"a number and a path", slipOf(`VALUE\s*\*\s*VALUE`, `scale(${2}, ${1})`)},
	{"a path and a point", slipOf(`VALUE\s*\+\s*VALUE`, `move(${1}, ${2})`)},
	{"a path and a point", slipOf(`VALUE\s*\+\s*\(([^()]*)\)`, `move(${1}, ${2})`)},
	{"a path and a path", slipOf(`\(VALUE\s*[-+]\s*VALUE\)`, `(${1}, ${2})`)},
	{"a path and a path", slipOf(`VALUE\s*-\s*VALUE`, `weave(difference(${1}, ${2}))`)},
	{"a path and a path", slipOf(`VALUE\s*\+\s*VALUE`, `weave([${1}, ${2}])`)},
	{"a text and a number", slipOf(`VALUE\s*([-*/])\s*VALUE`, `number(${1}) ${2} ${3}`)},
	{"a number and a text", slipOf(`VALUE\s*([-*/])\s*VALUE`, `${1} ${2} number(${3})`)},
}

// pairs makes points of coordinates in a row: bezier 20, 20, 40, 50, 60, 20.
func (l *line) pairs(ws []word) []rewrite {
	if len(ws) < 2 || !l.heads.library[ws[0].text] {
		return nil
	}
	args := l.arguments(ws[1:])
	if len(args) < 4 || len(args)%2 != 0 {
		return nil
	}
	var points []string
	for i := 0; i < len(args); i += 2 {
		points = append(points, "("+args[i]+", "+args[i+1]+")")
	}
	return []rewrite{l.replace(ws[1:], strings.Join(points, ", "), false)}
}

// fieldOf asks the record for a field whose name stands alone.
func (l *line) fieldOf() []rewrite {
	if l.fault.Code != "unknown-name" {
		return nil
	}
	field := l.faulty()
	if !identifier.MatchString(field) {
		return nil
	}
	var out []rewrite
	for _, g := range regexp.MustCompile(`\blet\s+`+slipName+`\s*=\s*\{[^{}]*\b`+regexp.QuoteMeta(field)+`\s*:`).FindAllStringSubmatch(l.text, -1) {
		out = append(out, l.inPlace(g[1]+"."+field))
	}
	return out
}

// blockLeftOpen ends a block on the line on which it began, where its statements
// begin on that line too.
func blockLeftOpen(l *line) []rewrite {
	if l.fault.Code != "unclosed-bracket" || len(l.fault.Related) == 0 {
		return nil
	}
	opened := l.fault.Related[0].Span.Start
	if opened >= len(l.text) || l.text[opened] != '{' {
		return nil
	}
	_, end := lineAround(l.text, opened)
	if strings.TrimSpace(l.text[opened+1:end]) == "" {
		return nil
	}
	at := opened + len(strings.TrimRight(l.text[opened:end], " \t\r"))
	return []rewrite{{start: at, end: at, text: " }", rule: true}}
}

// linesBelow takes the lines that stand directly under a head into its block,
// where it has no bracket and none of them is set in. What else would be an empty
// block draws something, and the lines would be drawn once. Where a definition ends
// cannot be seen: its own call may be among the lines.
func linesBelow(l *line) []rewrite {
	at := l.fault.Span.Start
	if ws := l.statement(); len(ws) == 0 || ws[0].text == "figure" || ws[0].text == "fn" {
		return nil
	}
	if l.fault.Code != "missing-block" || at > l.end || strings.TrimSpace(l.text[at:l.end]) != "" {
		return nil
	}
	own := indentOf(l.text[l.start:l.end])
	body, until := "", l.end
	for until < len(l.text) {
		_, end := lineAround(l.text, until+1)
		below := l.text[min(until+1, end):end]
		if strings.TrimSpace(below) == "" || indentOf(below) != own && body == "" || indentOf(below) < own || strings.TrimSpace(below)[0] == '}' {
			break
		}
		body += "\n  " + below
		until = end
	}
	if body == "" {
		return nil
	}
	indent := l.text[l.start : l.start+own]
	return []rewrite{{start: at, end: until, text: " {" + body + "\n" + indent + "}", rule: true}}
}

// numberedName puts the digits of a name behind its letters: 2size.
func numberedName(l *line) []rewrite {
	ws := l.statement()
	if len(ws) < 3 || ws[0].text != "let" || ws[1].class != number || ws[2].class != name || ws[1].end != ws[2].start {
		return nil
	}
	if _, unit := words.Unit(ws[2].text); unit {
		return nil
	}
	old := regexp.MustCompile(`(^|[^\pL\pN_.])` + regexp.QuoteMeta(ws[1].text+ws[2].text) + `\b`)
	return []rewrite{{start: 0, end: len(l.text), text: old.ReplaceAllString(l.text, "${1}"+ws[2].text+ws[1].text), rule: true, hint: "a name begins with a letter: `" + ws[2].text + ws[1].text + "`"}}
}
