package mend

import (
	"slices"
	"strings"

	"wend/internal/expression"
	"wend/lang/words"
)

// Idioms of other languages that take a whole statement: loops over lists by a
// method, lists made by a loop, heads of functions with the kinds of their
// parameters.

const list1 = `([\pL_][\pL\pN_]*(?:\.[\pL_][\pL\pN_]*)*|\[[^\[\]]*\]|[^\s()]+\.\.[^\s()]+)`

var (
	overEach = []expression.Expression{
		expression.Of(`^` + list1 + `\.(?:forEach|each|for_each|foreach)\(\s*\(?` + word1 + `\)?\s*[=-]>\s*\{?\s*(.+?)\s*;?\s*\}?\s*\)$`),
		expression.Of(`^` + list1 + `\.(?:forEach|each|for_each|foreach)\(\s*(?:function|fn)\s*\(` + word1 + `\)\s*[={]?\s*(.+?)\s*;?\s*\}?\s*\)$`),
		expression.Of(`^` + list1 + `\.(?:each|map|for_each)\s*\{\s*\|` + word1 + `\|\s*(.+?)\s*\}$`),
	}
	comprehension = expression.Of(`\[\s*(.+?)\s+for\s+` + word1 + `\s+in\s+(.+?)(?:\s+if\s+(.+?))?\s*\]`)
	rangeCall     = expression.Of(`^range\(([^()]*)\)$`)
	numbered      = expression.Of(`^(?:for|foreach|loop|repeat)\s*\(?\s*(?:let |var |const )?\(?\[?\s*` + word1 + `\s*,\s*` + word1 + `\s*[\])]?\s*(?:in|of|=)\s*(?:enumerate\((.+)\)|(.+?)\.(?:entries|enumerate|each_with_index|iter\(\)\.enumerate)\(\)|(.+\.\..+|[\pL_][\pL\pN_]*))\)?$`)
	kindOfValue   = `(?:int|float|double|number|string|str|bool|boolean|auto|long|short|char|byte|void|i32|i64|u32|u64|f32|f64|usize|var|let|const|mut|any|Int|Double|Float|String|Number|Bool|point|Point|list|List)`
	typedHead     = expression.Of(`^(?:(?:public|private|static|pub|final|export|async|inline)\s+)*(?:(fn|func|fun|function|def|figure|` + kindOfValue + `)\s+)` + word1 + `\s*\(([^()]*)\)\s*(?:(?:->|:)\s*[\pL_][\pL\pN_]*)?$`)
	kindBefore    = expression.Of(`^(?:(?:final|const|mut|ref)\s+)?` + kindOfValue + `\s+` + word1 + `((?:\s*=.*)?)$`)
	kindBehind    = expression.Of(`^(?:mut\s+)?` + word1 + `\s*:\s*&?[\pL_][\pL\pN_]*((?:\s*=.*)?)$`)
	goParameter   = expression.Of(`^` + word1 + `\s+` + kindOfValue + `$`)
	typedLet      = expression.Of(`^(?:(?:final|static|const|let|var)\s+)*` + kindOfValue + `\s+` + word1 + `\s*(?::\s*[\pL_][\pL\pN_]*\s*)?=\s*(.+)$`)
)

// idioms writes what takes a whole statement elsewhere.
func idioms(l *line) []rewrite {
	ws := l.statement()
	if len(ws) == 0 {
		return nil
	}
	var out []rewrite
	whole := l.source(l.all[l.from:])
	for _, form := range overEach {
		if g := form.FindStringSubmatch(whole); g != nil {
			out = append(out, l.replace(l.all[l.from:], "loop "+g[2]+" in "+g[1]+" { "+g[3]+" }", true))
		}
	}
	text := l.source(ws)
	if g := comprehension.FindStringSubmatchIndex(text); g != nil {
		part := func(n int) string {
			if g[2*n] < 0 {
				return ""
			}
			return text[g[2*n]:g[2*n+1]]
		}
		values := part(3)
		if r := rangeCall.FindStringSubmatch(values); r != nil {
			values = rangeOf(r[1])
		}
		if part(4) != "" {
			values = "keep(" + values + ", fn(" + part(2) + ") = " + part(4) + ")"
		}
		made := values
		if part(1) != part(2) {
			made = "map(" + values + ", fn(" + part(2) + ") = " + part(1) + ")"
		}
		out = append(out, l.replace(ws, text[:g[0]]+made+text[g[1]:], true))
	}
	header, end := l.header()
	if g := numbered.FindStringSubmatch(header); g != nil {
		out = append(out, rewrite{start: ws[0].start, end: end, text: "loop " + g[1] + ", " + g[2] + " in " + g[3] + g[4] + g[5], rule: true})
	}
	if g := typedHead.FindStringSubmatch(header); g != nil {
		params, ok := withoutKinds(g[3])
		if ok || g[1] != "fn" && g[1] != "figure" {
			call := g[2] + "(" + params + ")"
			figure := rewrite{start: ws[0].start, end: end, text: "figure " + call, rule: true}
			fn := figure
			fn.text = "fn " + call
			body := l.text[end:]
			if next := definition.FindStringIndex(body); next != nil {
				body = body[:next[0]]
			}
			if returns.MatchString(body) || g[1] == "fn" {
				out = append(out, fn, figure)
			} else {
				out = append(out, figure, fn)
			}
		}
	}
	if g := typedLet.FindStringSubmatch(text); g != nil && !l.heads.own[strings.Fields(text)[0]] {
		out = append(out, l.replace(ws, "let "+g[1]+" = "+g[2], true))
	}
	return out
}

// withoutKinds is a list of parameters without the kinds that other languages
// write beside them; it reports whether there were any.
func withoutKinds(params string) (string, bool) {
	if strings.TrimSpace(params) == "" {
		return "", false
	}
	parts := strings.Split(params, ",")
	found := false
	for i, p := range parts {
		p = strings.TrimSpace(p)
		for _, form := range []expression.Expression{kindBefore, kindBehind} {
			if g := form.FindStringSubmatch(p); g != nil {
				p, found = g[1]+g[2], true
				break
			}
		}
		if g := goParameter.FindStringSubmatch(p); g != nil {
			p, found = g[1], true
		}
		parts[i] = p
	}
	return strings.Join(parts, ", "), found
}

// members writes what stands behind a name and a dot elsewhere: a function of a
// function (random.uniform), and a name of a theme that only begins like one of
// its own (curves.rosette).
func members(l *line) []rewrite {
	var out []rewrite
	ws := l.statement()
	for i := 2; i < len(ws); i++ {
		if ws[i-1].text != "." || ws[i].class != name || ws[i-2].class != name {
			continue
		}
		of, member := ws[i-2], ws[i]
		called := i+1 < len(ws) && ws[i+1].text == "(" && ws[i+1].start == member.end
		if b := l.Library.Lookup(of.text); b != nil && called && !b.Value && !l.heads.own[of.text] {
			out = append(out, rewrite{start: ws[i-1].start, end: member.end, rule: true})
			if shut := l.closing(ws, i+1); of.text == "random" && shut > 0 {
				switch args := l.arguments(ws[i+2 : shut]); {
				case len(args) == 0:
					out = append(out, rewrite{start: of.start, end: ws[shut].end, text: "random(0, 1)", rule: true})
				case words.Chooses(member.text):
					out = append(out, rewrite{start: of.start, end: member.end, text: "choose", rule: true})
				}
			}
		}
		if of.text == "Math" && member.text == "random" && called {
			if shut := l.closing(ws, i+1); shut == i+2 {
				out = append(out, rewrite{start: of.start, end: ws[shut].end, text: "random(0, 1)", rule: true})
			}
		}
		if !slices.Contains(l.Library.Modules, of.text) || l.heads.own[of.text] {
			continue
		}
		for _, known := range l.Members(of.text) {
			if n := commonStart(known, member.text); n >= 4 && known != member.text && (n == len(known) || n == len(member.text)) {
				out = append(out, l.replace(ws[i:i+1], known, false))
			}
		}
	}
	return out
}

func commonStart(a, b string) int {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n
}
