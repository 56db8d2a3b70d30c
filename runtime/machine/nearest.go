package machine

import (
	"strings"

	"wend/lang/diag"
)

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
		if d := diag.EditDistance([]rune(path), []rune(candidate), least-1); d < least {
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
