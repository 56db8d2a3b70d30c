package live

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"wend/lang/ast"
	"wend/stdlib"
)

// signature is a word with the ways to use it.
type signature struct {
	word  string
	forms []string
}

// librarySignatures are the words of the language and the library, by word.
func librarySignatures() []signature {
	var all []signature
	for _, k := range stdlib.Keywords() {
		all = append(all, signature{k.Word, []string{k.Form}})
	}
	for _, section := range stdlib.Reference() {
		for _, e := range section.Entries {
			all = append(all, signature{e.Name, e.Forms})
		}
	}
	return all
}

// ownSignatures are the names that the entries define.
func (s *state) ownSignatures() []signature {
	var all []signature
	for _, e := range s.entries {
		for _, stmt := range e.tree.Body {
			switch d := stmt.(type) {
			case *ast.Let:
				all = append(all, signature{d.Name.Name, []string{d.Name.Name}})
			case *ast.FuncDef:
				all = append(all, signature{d.Name.Name, []string{fmt.Sprintf("%s(%s)", d.Name.Name, parameters(d.Params))}})
			case *ast.FigureDef:
				all = append(all, signature{d.Name.Name, []string{strings.TrimSpace(d.Name.Name + " " + parameters(d.Params))}})
			}
		}
	}
	return all
}

func parameters(params []ast.Param) string {
	names := make([]string, len(params))
	for i, p := range params {
		names[i] = p.Name.Name
		if p.Default != nil {
			names[i] += ":"
		}
	}
	return strings.Join(names, ", ")
}

// mostCompletions keeps a list on one screen.
const mostCompletions = 60

// Complete gives what the word before the cursor can go on as. A single word
// that is there in full has its signatures shown instead.
func (p *Prompt) Complete(line string, pos int) (head string, words []string, tail string) {
	runes := []rune(line)
	if order, name, ok := strings.Cut(string(runes[:pos]), " "); ok && (order == "/load" || order == "/step") && p.Programs != nil {
		return order + " ", p.Programs(name), string(runes[pos:])
	}
	from := pos
	for from > 0 && (runes[from-1] == '_' || runes[from-1] == '.' || unicode.In(runes[from-1], unicode.Letter, unicode.Digit, unicode.Mark)) {
		from--
	}
	head, tail = string(runes[:from]), string(runes[pos:])
	typed := string(runes[from:pos])
	var known []signature
	if before := strings.TrimSpace(head); strings.HasPrefix(before, "/") {
		if before != "/" {
			if word := strings.Fields(before)[0]; word != "/help" {
				return head, nil, tail // a file name, or nothing
			}
			known = append(librarySignatures(), p.session.now.ownSignatures()...)
		} else {
			for _, o := range ordersTable() {
				known = append(known, signature{o.word, []string{o.form}})
			}
		}
	} else {
		known = append(librarySignatures(), p.session.now.ownSignatures()...)
	}
	var found []signature
	for _, s := range known {
		if strings.HasPrefix(s.word, typed) && !slices.ContainsFunc(found, func(f signature) bool { return f.word == s.word }) {
			found = append(found, s)
		}
	}
	slices.SortFunc(found, func(a, b signature) int { return strings.Compare(a.word, b.word) })
	switch {
	case typed == "" || len(found) == 0 || len(found) > mostCompletions:
		return head, nil, tail
	case len(found) == 1 && found[0].word != typed:
		return head, []string{found[0].word}, tail
	case len(found) == 1 || found[0].word == typed && everyFormIsThere(found, typed):
		fmt.Fprintf(p.out, "\n%s\n", strings.Join(found[0].forms, "\n"))
		return head, []string{typed}, tail
	}
	for _, s := range found {
		if strings.HasPrefix(s.forms[0], s.word) {
			words = append(words, s.forms[0])
		} else {
			words = append(words, s.word)
		}
	}
	return head, words, tail
}

// everyFormIsThere tells whether nothing but the word itself could be meant.
func everyFormIsThere(found []signature, typed string) bool {
	return !slices.ContainsFunc(found, func(s signature) bool { return s.word != typed })
}
