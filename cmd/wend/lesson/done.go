package lesson

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// DoneFile is the name of the file in which it is kept which tasks are done in a
// folder. It holds no name.
const DoneFile = "lessons-done.txt"

// ReadDone gives the tasks that stand in such a file, one a line.
func ReadDone(text string) []string {
	var done []string
	for line := range strings.Lines(text) {
		if word := strings.TrimSpace(line); word != "" && !strings.HasPrefix(word, "#") {
			done = append(done, word)
		}
	}
	return done
}

// AddDone is the text of such a file with more tasks; empty if it has them all.
func AddDone(done, solved []string) string {
	if !slices.ContainsFunc(solved, func(task string) bool { return !slices.Contains(done, task) }) {
		return ""
	}
	all := slices.Compact(slices.SortedFunc(slices.Values(slices.Concat(done, solved)), compareTasks))
	return "# The tasks of `wend lesson` that are done here.\n" + strings.Join(all, "\n") + "\n"
}

// compareTasks puts 9.1 before 10.1.
func compareTasks(a, b string) int {
	return cmp.Or(cmp.Compare(strings.Index(a, "."), strings.Index(b, ".")), cmp.Compare(a, b))
}

// Progress says in words how much of a lesson is done; empty for nothing.
func (l Lesson) Progress(done []string) string {
	count := 0
	for _, t := range l.Tasks {
		if slices.Contains(done, t.ID()) {
			count++
		}
	}
	switch count {
	case 0:
		return ""
	case len(l.Tasks):
		return "done"
	}
	return fmt.Sprintf("%d of %d tasks done", count, len(l.Tasks))
}
