package paraphrase

// withoutKinds takes out the kinds that other languages write before a
// variable or a list, where there are signs in them: List<int> xs = …,
// int[] xs = {1, 2}, []int{1, 2}. What follows is made by `let`.
func withoutKinds(ns []node) []node {
	if len(ns) > 5 && ns[0].class == name && ns[1].is("<") && !ns[1].space { // List<int> xs =
		for k := 2; k+2 < len(ns) && (ns[k].class == name || ns[k].is(",", "<", ">")); k++ {
			if ns[k].is(">") && ns[k+1].class == name && ns[k+2].is("=") {
				ns = append([]node{as("let", false)}, ns[k+1:]...)
				break
			}
		}
	}
	if len(ns) > 3 && isKind(ns[0].text) && emptyIndex(ns[1]) && ns[2].class == name && ns[3].is("=") { // int[] xs =
		ns = append([]node{as("let", false)}, ns[2:]...)
	}
	if len(ns) > 3 && isKind(ns[0].text) && ns[1].class == name && emptyIndex(ns[2]) && ns[3].is("=") { // int xs[] =
		ns = append([]node{as("let", false), ns[1]}, ns[3:]...)
	}
	for i := 1; i < len(ns); i++ {
		g := ns[i]
		if g.class != group || g.text != "{" || index(g.kids, ":", ";", "=") >= 0 || len(g.kids) == 0 {
			continue
		}
		from := i
		for from > 0 && (emptyIndex(ns[from-1]) || ns[from-1].class == name && isKind(ns[from-1].text)) { // new int[] {1, 2}, []int{1, 2}
			from--
		}
		if from > 0 && ns[from-1].is("new") {
			from--
		}
		if from == 0 || !ns[from-1].is("=", ":=", "return") || from == i && index(g.kids, ",") < 0 {
			continue
		}
		g.text, g.shut, g.space, g.inner = "[", "]", true, false
		g.kids[0].space = false
		ns = append(append(ns[:from:from], g), ns[i+1:]...)
		i = from
	}
	return ns
}

func emptyIndex(n node) bool { return n.class == group && n.text == "[" && len(n.kids) == 0 }

// isKind reports whether a word is the name of a kind of value elsewhere.
func isKind(word string) bool {
	switch word {
	case "int", "float", "double", "number", "string", "str", "bool", "boolean", "auto", "long", "short", "char", "byte", "void", "i32", "i64", "u32", "u64", "f32", "f64", "usize", "isize", "any", "unit", "list", "vec",
		"Int", "Integer", "Double", "Float", "String", "Number", "Bool", "Boolean", "Long", "Single", "Any", "Variant", "Unit":
		return true
	}
	return false
}
