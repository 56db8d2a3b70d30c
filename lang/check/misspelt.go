package check

import (
	"wend/lang/diag"
	"wend/lang/source"
)

// misspelt are the unknown names, also of what is given a value, for which a known one was suggested, in order.
// When a name is misspelt where it is defined, each of its uses looks wrong and
// the definition right. The uses are many and the definition is one, so what
// is used at least twice, and always the same way, is taken to be what was
// meant.
type misspelt struct{ names []*unknownName }

type unknownName struct {
	module *module
	name   string
	first  source.Span
	likely *Object // the definition that was suggested
	uses   int
}

func (m *misspelt) note(in *module, name string, first source.Span, likely *Object) {
	if likely != nil {
		m.names = append(m.names, &unknownName{in, name, first, likely, 1})
	}
}

func (m *misspelt) again(in *module, name string) {
	for _, n := range m.names {
		if n.module == in && n.name == name {
			n.uses++
		}
	}
}

// blameDefinitions moves the message about a name that is used several times
// and defined nowhere to the one definition like it that nothing uses.
func (c *checker) blameDefinitions() {
	if len(c.spelt.names) == 0 {
		return
	}
	used := map[*Object]bool{}
	for _, obj := range c.program.Refs {
		used[obj] = true
	}
	for _, n := range c.spelt.names {
		if n.uses < 2 || used[n.likely] || !n.likely.Place.Known() {
			continue
		}
		for i, d := range c.diags {
			if d.Span != n.first || d.Code != "unknown-name" && d.Code != "unknown-word" && d.Code != "assign-undeclared" {
				continue
			}
			c.diags[i] = diag.New("spelt-two-ways", n.likely.Place, diag.Args{"defined": n.likely.Name, "used": n.name}).
				WithRelated(n.first, "here it is `"+n.name+"`").
				WithEdit(n.likely.Place, n.name, false)
		}
	}
}
