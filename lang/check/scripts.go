package check

import (
	"unicode"

	"wend/lang/diag"
	"wend/lang/source"
)

// scriptSets are the scripts that one name may mix: the highly restrictive
// level of Unicode Technical Standard #39, section 5.2.
var scriptSets = [][]*unicode.RangeTable{
	{unicode.Latin, unicode.Han, unicode.Hiragana, unicode.Katakana},
	{unicode.Latin, unicode.Han, unicode.Bopomofo},
	{unicode.Latin, unicode.Han, unicode.Hangul},
}

// warnMixedScripts warns of a name with letters of scripts that look alike, so
// that two different names can look the same.
func (c *checker) warnMixedScripts(name string, span source.Span) {
	if mixesScripts(name) {
		c.report(nil, diag.New("mixed-scripts", span, diag.Args{"name": name}))
	}
}

func mixesScripts(name string) bool {
	plain := true
	for i := 0; i < len(name); i++ {
		plain = plain && name[i] < 0x80
	}
	if plain {
		return false
	}
	var only *unicode.RangeTable
	single := true
	allowed := append([][]*unicode.RangeTable(nil), scriptSets...)
	for _, r := range name {
		if unicode.In(r, unicode.Common, unicode.Inherited) {
			continue
		}
		if only == nil {
			only = scriptOf(r)
		} else if !unicode.Is(only, r) {
			single = false
		}
		kept := allowed[:0]
		for _, set := range allowed {
			if unicode.In(r, set...) {
				kept = append(kept, set)
			}
		}
		allowed = kept
	}
	return !single && len(allowed) == 0
}

func scriptOf(r rune) *unicode.RangeTable {
	for _, table := range []*unicode.RangeTable{unicode.Latin, unicode.Greek, unicode.Cyrillic} {
		if unicode.Is(table, r) {
			return table
		}
	}
	for _, table := range unicode.Scripts {
		if unicode.Is(table, r) {
			return table
		}
	}
	return nil
}
