// Package expression has regular expressions that are compiled where they are
// first needed. There are hundreds in the project, classes of letters are costly
// to compile, and most runs need none of them: what a process does before its
// first word is felt at every start.
package expression

import (
	"regexp"
	"sync"
)

// Expression is a regular expression (the syntax of package regexp).
type Expression struct{ compiled func() *regexp.Regexp }

// Of gives the expression that a text means. Where it is first used, it panics if
// the text means none.
func Of(text string) Expression {
	return Expression{sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })}
}

func (e Expression) MatchString(s string) bool {
	return e.compiled().MatchString(s)
}

func (e Expression) FindString(s string) string {
	return e.compiled().FindString(s)
}

func (e Expression) FindStringIndex(s string) []int {
	return e.compiled().FindStringIndex(s)
}

func (e Expression) FindStringSubmatch(s string) []string {
	return e.compiled().FindStringSubmatch(s)
}

func (e Expression) FindStringSubmatchIndex(s string) []int {
	return e.compiled().FindStringSubmatchIndex(s)
}

func (e Expression) FindAllString(s string, n int) []string {
	return e.compiled().FindAllString(s, n)
}

func (e Expression) FindAllStringIndex(s string, n int) [][]int {
	return e.compiled().FindAllStringIndex(s, n)
}

func (e Expression) FindAllStringSubmatch(s string, n int) [][]string {
	return e.compiled().FindAllStringSubmatch(s, n)
}

func (e Expression) FindAllStringSubmatchIndex(s string, n int) [][]int {
	return e.compiled().FindAllStringSubmatchIndex(s, n)
}

func (e Expression) ReplaceAllString(s, with string) string {
	return e.compiled().ReplaceAllString(s, with)
}

func (e Expression) ReplaceAllStringFunc(s string, with func(string) string) string {
	return e.compiled().ReplaceAllStringFunc(s, with)
}
