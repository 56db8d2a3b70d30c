package mend

import (
	"regexp"
	"sync"
)

// expression is a regular expression that is compiled where it is first needed:
// there are hundreds, classes of letters are costly to compile, and most runs have
// nothing to mend.
type expression struct{ compiled func() *regexp.Regexp }

func expressionOf(text string) expression {
	return expression{sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })}
}

func (e expression) MatchString(s string) bool { return e.compiled().MatchString(s) }

func (e expression) FindStringIndex(s string) []int { return e.compiled().FindStringIndex(s) }

func (e expression) FindStringSubmatch(s string) []string { return e.compiled().FindStringSubmatch(s) }

func (e expression) FindStringSubmatchIndex(s string) []int {
	return e.compiled().FindStringSubmatchIndex(s)
}

func (e expression) FindAllStringIndex(s string, n int) [][]int {
	return e.compiled().FindAllStringIndex(s, n)
}

func (e expression) FindAllStringSubmatch(s string, n int) [][]string {
	return e.compiled().FindAllStringSubmatch(s, n)
}

func (e expression) FindAllStringSubmatchIndex(s string, n int) [][]int {
	return e.compiled().FindAllStringSubmatchIndex(s, n)
}

func (e expression) ReplaceAllString(s, with string) string {
	return e.compiled().ReplaceAllString(s, with)
}

func (e expression) ReplaceAllStringFunc(s string, with func(string) string) string {
	return e.compiled().ReplaceAllStringFunc(s, with)
}
