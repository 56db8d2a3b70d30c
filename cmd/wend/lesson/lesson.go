// Package lesson holds the lessons, and holds what a learner drew against their
// tasks: by geometry, not by how it is written. A task is a dimensioned sketch, as
// a workshop draws it, or rules for a drawing of one's own.
//
// Lessons gives all of them. Try runs a program once; Attempt.Check says of one
// task whether the program solves it, or what differs first, with both measures
// and a hint, and never the answer. Task.Sketch is the wanted line with its
// measures. Nothing is read but what is inside the command, and nothing written.
//
// The lessons themselves are files of package examples: see task.go for what
// stands in a task.
package lesson

import (
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"wend/examples"
	"wend/internal/expression"
)

// Lesson is one lesson of 30 to 45 minutes.
type Lesson struct {
	Number  int
	Name    string // of its folder, without the number
	Title   string
	Page    string   // what the learner reads: Markdown without the title
	Start   string   // the program to begin with
	Guess   *Guess   // before that program draws
	Teacher string   // the note for the teacher: Markdown
	Words   []string // the words that are new in it
	Tasks   []Task
}

// Lessons are all lessons, in order. They are part of the command, so that what is
// wrong in one is a fault of wend itself.
var Lessons = sync.OnceValue(func() []Lesson {
	all, err := read(examples.Lessons())
	if err != nil {
		panic(err)
	}
	return all
})

// HasTask reports whether there is a task of this name: `3.2`.
func HasTask(id string) bool {
	for _, l := range Lessons() {
		for _, t := range l.Tasks {
			if t.ID() == id {
				return true
			}
		}
	}
	return false
}

var newWords = expression.Of("(?m)^New words: (.*)$")

// read reads lessons from their folders.
func read(files fs.FS) ([]Lesson, error) {
	folders, err := fs.ReadDir(files, ".")
	if err != nil {
		return nil, err
	}
	var all []Lesson
	for _, folder := range folders {
		number, name, _ := strings.Cut(folder.Name(), "-")
		l := Lesson{Name: name}
		if l.Number, err = strconv.Atoi(number); err != nil || l.Number != len(all)+1 {
			return nil, fmt.Errorf("the lesson %s is not the next one", folder.Name())
		}
		text := func(file string) string {
			data, fault := fs.ReadFile(files, folder.Name()+"/"+file)
			if fault != nil {
				err = fault
			}
			return string(data)
		}
		page := text("page.md")
		title, rest, _ := strings.Cut(page, "\n")
		l.Title = strings.TrimPrefix(title, "# ")
		l.Page = strings.TrimLeft(rest, "\n")
		if words := newWords.FindStringSubmatch(page); words != nil {
			for word := range strings.SplitSeq(words[1], ",") {
				l.Words = append(l.Words, strings.Trim(word, " `."))
			}
		}
		l.Start, l.Teacher = text("start.wend"), text("teacher.md")
		guess := text("guess.txt")
		if err != nil {
			return nil, err
		}
		if l.Guess, err = readGuess(guess); err != nil {
			return nil, fmt.Errorf("%s: %w", folder.Name(), err)
		}
		if !slices.Contains(Blocks(l.Page), Block{"heading", l.Guess.After}) {
			return nil, fmt.Errorf("%s: its page has no part `%s` for the guess", folder.Name(), l.Guess.After)
		}
		l.Guess.start = l.Start
		for n := 1; ; n++ {
			data, missing := fs.ReadFile(files, fmt.Sprintf("%s/task-%d.txt", folder.Name(), n))
			if missing != nil {
				break
			}
			task, err := readTask(string(data))
			if err != nil {
				return nil, fmt.Errorf("%s, task %d: %w", folder.Name(), n, err)
			}
			task.Lesson, task.Number = l.Number, n
			wanted, none := fs.ReadFile(files, fmt.Sprintf("%s/task-%d.wend", folder.Name(), n))
			if none == nil {
				task.wanted = string(wanted)
			}
			l.Tasks = append(l.Tasks, task)
		}
		if len(l.Tasks) == 0 {
			return nil, fmt.Errorf("%s has no task", folder.Name())
		}
		all = append(all, l)
	}
	return all, nil
}
