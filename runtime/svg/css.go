package svg

import (
	"cmp"
	"slices"
	"strings"

	"wend/lang/diag"
)

// stylesheet is all rules of the style elements of a file (CSS Syntax 3,
// Selectors 4), found by what the last part of their selector names first.
type stylesheet struct {
	byID, byClass, byType map[string][]*rule
	others                []*rule
}

// mostParts is how many parts a selector may have.
const mostParts = 64

// mostRules are the selectors of a file, each counted.
const mostRules = 20_000

// rule is one selector with its declarations.
type rule struct {
	parts        []compound // outermost first
	specificity  [3]int     // ids; classes; types
	order        int
	declarations []declaration
}

// compound is the part of a selector between two combinators.
type compound struct {
	name    string // of the element; "" for any
	id      string
	classes []string
	child   bool // of what the part before names, not only within it
}

type declaration struct {
	property  property
	value     string
	important bool
}

// styles reads the style elements.
func (d *Document) styles(charge Charge) error {
	d.sheet = stylesheet{byID: map[string][]*rule{}, byClass: map[string][]*rule{}, byType: map[string][]*rule{}}
	count := 0
	var visit func(e *element) error
	visit = func(e *element) error {
		if kind := strings.ToLower(strings.TrimSpace(e.attribute("type"))); e.name == "style" && (kind == "" || kind == "text/css") {
			if err := charge(len(e.text)/8, 2*len(e.text)); err != nil {
				return err
			}
			r := sheetReader{Document: d, element: e, count: &count}
			if r.rules(withoutComments(e.text)); count > mostRules {
				return d.fault("drawing-large", e.start, e.end, diag.Args{"limit": diag.Grouped(mostRules), "what": "rules of style"})
			}
		}
		for _, child := range e.children {
			if err := visit(child); err != nil {
				return err
			}
		}
		return nil
	}
	return visit(d.root)
}

// withoutComments leaves out comments, and the marks of XML comments that may
// stand around a sheet.
func withoutComments(text string) string {
	var b strings.Builder
	for {
		at := strings.Index(text, "/*")
		if at < 0 {
			break
		}
		b.WriteString(text[:at])
		b.WriteByte(' ')
		end := strings.Index(text[at+2:], "*/")
		if end < 0 {
			text = ""
			break
		}
		text = text[at+2+end+2:]
	}
	b.WriteString(text)
	return strings.NewReplacer("<!--", " ", "-->", " ").Replace(b.String())
}

type sheetReader struct {
	*Document
	element *element
	count   *int
}

// rules reads the rules of a sheet.
func (r *sheetReader) rules(text string) {
	for *r.count <= mostRules {
		text = strings.TrimSpace(text)
		open := strings.IndexAny(text, "{;")
		if open < 0 {
			return
		}
		prelude := strings.TrimSpace(text[:open])
		if strings.HasPrefix(prelude, "@") {
			text = r.atRule(prelude, text, open)
			continue
		}
		if text[open] == ';' {
			text = text[open+1:]
			continue
		}
		end := strings.IndexByte(text[open:], '}')
		body := text[open+1:]
		if end >= 0 {
			body = text[open+1 : open+end]
		}
		declarations := declarationsOf(body)
		for selector := range strings.SplitSeq(prelude, ",") {
			if *r.count++; *r.count > mostRules {
				return
			}
			parts, ok := compoundsOf(selector)
			if !ok {
				r.notes.add("selector", r.element, "`"+strings.TrimSpace(selector)+"`")
				continue
			}
			r.sheet.add(&rule{parts: parts, specificity: specificityOf(parts), order: *r.count, declarations: declarations})
		}
		if end < 0 {
			return
		}
		text = text[open+end+1:]
	}
}

// atRule passes over a rule that begins with @. Fonts, names of namespaces and
// the encoding mean nothing to a line; what depends on a medium or stands in
// another file is told.
func (r *sheetReader) atRule(prelude, text string, open int) string {
	name, _, _ := strings.Cut(strings.Fields(prelude)[0], "(")
	switch name {
	case "@font-face", "@charset", "@namespace", "@keyframes", "@page":
	default:
		r.notes.add("rule", r.element, "`"+name+"`")
	}
	if text[open] == ';' {
		return text[open+1:]
	}
	depth := 0
	for i := open; i < len(text); i++ {
		switch text[i] {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return text[i+1:]
			}
		}
	}
	return ""
}

// declarationsOf reads `property: value` pairs. What wend has no use for is
// left out.
func declarationsOf(text string) []declaration {
	var list []declaration
	for part := range strings.SplitSeq(text, ";") {
		name, value, ok := strings.Cut(part, ":")
		p, known := propertyNamed[strings.ToLower(strings.TrimSpace(name))]
		value = strings.TrimSpace(value)
		if !ok || !known || value == "" {
			continue
		}
		d := declaration{property: p, value: value}
		if mark := strings.LastIndexByte(value, '!'); mark >= 0 && strings.EqualFold(strings.TrimSpace(value[mark+1:]), "important") {
			d.value, d.important = strings.TrimSpace(value[:mark]), true
		}
		list = append(list, d)
	}
	return list
}

// compoundsOf reads a selector of types, classes, ids and `*`, within one
// another or children; false for any other.
func compoundsOf(selector string) ([]compound, bool) {
	var parts []compound
	child := false
	for word := range strings.FieldsSeq(strings.ReplaceAll(selector, ">", " > ")) {
		if word == ">" {
			if child || len(parts) == 0 {
				return nil, false
			}
			child = true
			continue
		}
		c, ok := compoundOf(word)
		if !ok {
			return nil, false
		}
		c.child, child = child, false
		parts = append(parts, c)
	}
	return parts, 0 < len(parts) && len(parts) <= mostParts && !child
}

func compoundOf(word string) (compound, bool) {
	var c compound
	if rest, ok := strings.CutPrefix(word, "*"); ok {
		word = rest
		if word == "" {
			return c, true
		}
	}
	for at := 0; at < len(word); {
		end := at + 1
		for end < len(word) && word[end] != '.' && word[end] != '#' {
			if strings.IndexByte(":[]()+~|\\\"'@&", word[end]) >= 0 {
				return c, false
			}
			end++
		}
		name := word[at:end]
		switch {
		case strings.IndexByte(":[+~|\\", name[0]) >= 0, len(name) == 1 && (name == "." || name == "#"):
			return c, false
		case name[0] == '.':
			c.classes = append(c.classes, name[1:])
		case name[0] == '#':
			c.id = name[1:]
		default:
			c.name = name
		}
		at = end
	}
	return c, true
}

func specificityOf(parts []compound) (s [3]int) {
	for _, c := range parts {
		if c.id != "" {
			s[0]++
		}
		s[1] += len(c.classes)
		if c.name != "" {
			s[2]++
		}
	}
	return s
}

func (s *stylesheet) add(r *rule) {
	switch last := r.parts[len(r.parts)-1]; {
	case last.id != "":
		s.byID[last.id] = append(s.byID[last.id], r)
	case len(last.classes) > 0:
		s.byClass[last.classes[0]] = append(s.byClass[last.classes[0]], r)
	case last.name != "":
		s.byType[last.name] = append(s.byType[last.name], r)
	default:
		s.others = append(s.others, r)
	}
}

// matching are the rules that fit an element, those that count most last (CSS
// Cascade 4, section 6).
func (s *stylesheet) matching(e *element) []*rule {
	var list []*rule
	take := func(rules []*rule) {
		for _, r := range rules {
			if r.fits(e) {
				list = append(list, r)
			}
		}
	}
	take(s.others)
	if len(s.byType) > 0 {
		take(s.byType[e.name])
	}
	if len(s.byClass) > 0 {
		for class := range strings.FieldsSeq(e.attribute("class")) {
			take(s.byClass[class])
		}
	}
	if len(s.byID) > 0 {
		take(s.byID[e.attribute("id")])
	}
	slices.SortFunc(list, func(a, b *rule) int {
		return cmp.Or(slices.Compare(a.specificity[:], b.specificity[:]), a.order-b.order)
	})
	return list
}

// fits reports whether a selector fits an element and what it stands in. From
// the root inward it follows which parts of the selector have been met.
func (r *rule) fits(e *element) bool {
	last := len(r.parts) - 1
	if !r.parts[last].fits(e) {
		return false
	}
	if last == 0 {
		return true
	}
	var chain []*element
	for at := e; at != nil; at = at.parent {
		chain = append(chain, at)
	}
	above, before := uint64(0), uint64(0) // met by any element around, and by the parent
	for _, at := range slices.Backward(chain) {
		met := uint64(0)
		for k := range r.parts {
			within := above
			if r.parts[k].child {
				within = before
			}
			if (k == 0 || within&(1<<(k-1)) != 0) && r.parts[k].fits(at) {
				met |= 1 << k
			}
		}
		above, before = above|met, met
	}
	return before&(1<<last) != 0
}

func (c *compound) fits(e *element) bool {
	if c.name != "" && c.name != e.name || c.id != "" && c.id != e.attribute("id") {
		return false
	}
	if len(c.classes) == 0 {
		return true
	}
	classes := strings.Fields(e.attribute("class"))
	for _, class := range c.classes {
		if !slices.Contains(classes, class) {
			return false
		}
	}
	return true
}
