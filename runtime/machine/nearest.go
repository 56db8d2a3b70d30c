package machine

import "strings"

// longestPath is longer than any key with its table; beyond it nothing is near.
const longestPath = 60

// nearest is the one of all that is most like a path, empty if none is: at
// most a third of its letters may differ. A key of that name in another table
// is near too.
func nearest(path string, all []string) string {
	if len(path) > longestPath {
		return ""
	}
	best, least := "", max(1, len(path)/3)+1
	for _, candidate := range all {
		if d := editDistance(path, candidate); d < least {
			best, least = candidate, d
		}
	}
	if best != "" {
		return best
	}
	name := path[strings.LastIndexByte(path, '.')+1:]
	for _, candidate := range all {
		if candidate[strings.LastIndexByte(candidate, '.')+1:] == name {
			return candidate
		}
	}
	return ""
}

// tableOf is the table of a key, empty at the top of the file.
func tableOf(path string) string { return path[:max(0, strings.LastIndexByte(path, '.'))] }

// lastPart is what to write instead of a key in its table.
func lastPart(path, written string) string {
	if strings.Contains(written, ".") {
		return path
	}
	return path[strings.LastIndexByte(path, '.')+1:]
}

// editDistance is the least number of letters to insert, remove, replace or
// swap with their neighbour that turns a into b (Damerau 1964, Levenshtein
// 1966: optimal string alignment).
func editDistance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			same := 1
			if a[i-1] == b[j-1] {
				same = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+same)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
