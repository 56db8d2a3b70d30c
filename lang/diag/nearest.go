package diag

import (
	"cmp"
	"slices"
	"strings"
)

// Nearest picks from the known names those that a misspelt one may have meant,
// best first, at most n: names that differ only in case come first, then those
// within max(1, a third of its length) edits (insert, delete, replace, swap of
// neighbours). It is empty when nothing is close.
func Nearest(misspelt string, known []string, n int) []string {
	type candidate struct {
		name     string
		distance int
	}
	typed := []rune(misspelt)
	limit := max(1, len(typed)/3)
	var close []candidate
	for _, name := range known {
		if name == misspelt {
			continue
		}
		if strings.EqualFold(name, misspelt) {
			close = append(close, candidate{name, 0})
			continue
		}
		// When every letter of a short name would change, nothing is alike.
		letters := []rune(name)
		if d := EditDistance(typed, letters, limit); d <= limit && d < max(len(typed), len(letters)) {
			close = append(close, candidate{name, d})
		}
	}
	slices.SortFunc(close, func(a, b candidate) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.name, b.name))
	})
	var names []string
	for _, c := range close[:min(n, len(close))] {
		if len(names) == 0 || names[len(names)-1] != c.name {
			names = append(names, c.name)
		}
	}
	return names
}

// EditDistance counts insertions, deletions, replacements and swaps of
// neighbouring letters (Damerau 1964, Levenshtein 1966: optimal string
// alignment); anything above limit is given as limit+1.
func EditDistance(a, b []rune, limit int) int {
	if len(a)-len(b) > limit || len(b)-len(a) > limit {
		return limit + 1
	}
	before := make([]int, len(b)+1)
	last := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := row[0]
		for j := 1; j <= len(b); j++ {
			replace := last[j-1]
			if a[i-1] != b[j-1] {
				replace++
			}
			row[j] = min(replace, last[j]+1, row[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > limit {
			return limit + 1
		}
		before, last, row = last, row, before
	}
	return min(last[len(b)], limit+1)
}
