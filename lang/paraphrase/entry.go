package paraphrase

import (
	"strings"

	everyday "wend/lang/words"
)

// entryPoint is the function with which programs of other languages begin; wend
// begins with the first line.
const entryPoint = "main"

// entry takes the question from a program whether it is the one that was
// started: what stands behind it is done.
func entry(lines []line) []line {
	var out []line
	inside := -1
	for _, l := range lines {
		if inside >= 0 && !l.blank() && len(l.indent) <= inside {
			inside = -1
		}
		if inside >= 0 {
			l.indent = l.indent[:inside]
			l.text = l.indent + strings.TrimSpace(l.text)
		}
		if len(l.nodes) > 3 && l.nodes[0].is("if") && l.nodes[1].is("__name__") {
			inside = len(l.indent)
			at := index(l.nodes, ":")
			if at < 0 || at+1 == len(l.nodes) {
				continue
			}
			l.nodes = l.nodes[at+1:]
		}
		out = append(out, l)
	}
	return out
}

// begun is the call of the function with which a program begins, where there is
// none.
func (w *writer) begun() []string {
	if !w.functions[entryPoint] {
		return nil
	}
	if uses := usesOf(w.lines); uses[entryPoint] > 1 {
		return nil
	}
	return []string{entryPoint}
}

func usesOf(lines []line) map[string]int {
	uses := map[string]int{}
	var visit func(ns []node)
	visit = func(ns []node) {
		for _, n := range ns {
			if n.class == name {
				uses[n.text]++
			}
			visit(n.kids)
		}
	}
	for _, l := range lines {
		visit(l.nodes)
	}
	return uses
}

// toolsOf are the names that stand before a dot and a statement and nowhere
// else, but where they are made: tool = Tool(), tool.ahead(20).
func toolsOf(lines []line, r *reader) map[string]bool {
	tools, before := map[string]bool{}, map[string]int{}
	var visit func(ns []node)
	visit = func(ns []node) {
		for i, n := range ns {
			visit(n.kids)
			if n.class == name && !r.Theme(n.text) && i+2 < len(ns) && ns[i+1].is(".") && ns[i+2].class == name && (i == 0 || !ns[i-1].is(".")) {
				before[n.text]++
				tools[n.text] = tools[n.text] || r.Head(ns[i+2].text) || !r.Function(ns[i+2].text) && everyday.Statement(ns[i+2].text) != nil && i+3 < len(ns) && ns[i+3].class == group
			}
		}
	}
	made := map[string]int{}
	for _, l := range lines {
		visit(l.nodes)
		if v, ok := r.toolMade(l.nodes); ok {
			made[v]++
		}
	}
	uses := usesOf(lines)
	for t, is := range tools {
		if !is || before[t]+made[t] != uses[t] || made[t] > 1 || everyday.Appends(t) {
			delete(tools, t)
		}
	}
	return tools
}

// toolMade reads pen = Pen(…), let pen = new Pen(…): a call of what nothing is
// known of.
func (r *reader) toolMade(ns []node) (variable string, ok bool) {
	ns = trimmed(ns)
	at := index(ns, "=", ":=")
	if at < 1 || at > 2 || ns[at-1].class != name || at == 2 && ns[0].class != name {
		return "", false
	}
	of := ns[at+1:]
	if len(of) > 0 && of[0].is("new") {
		of = of[1:]
	}
	for len(of) > 2 && of[0].class == name && of[1].is(".") {
		of = of[2:]
	}
	if len(of) != 2 || of[0].class != name || of[1].class != group || r.Function(of[0].text) || r.Theme(of[0].text) {
		return "", false
	}
	return ns[at-1].text, true
}

// withoutTool takes the name of a tool from before a statement; what makes the
// tool is left out.
func (r *reader) withoutTool(ns []node) ([]node, bool) {
	if v, ok := r.toolMade(ns); ok && r.tools[v] {
		return nil, true
	}
	if len(ns) > 2 && ns[0].class == name && r.tools[ns[0].text] && ns[1].is(".") {
		out := append([]node{ns[2]}, ns[3:]...)
		out[0].space = ns[0].space
		return out, true
	}
	return ns, false
}
