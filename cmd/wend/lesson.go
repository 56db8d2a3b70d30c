package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/handout"
	"wend/cmd/wend/lesson"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// lessonFlags are the flags of lesson.
type lessonFlags struct {
	check   string
	hint    int
	teacher bool
	print   string
	out     string
	json    bool
	plain   bool
}

func newLesson(c console) *cobra.Command {
	var f lessonFlags
	cmd := &cobra.Command{
		Use:   "lesson [NUMBER]",
		Short: "learn to draw, one lesson after the other",
		Long: `Twelve lessons of 30 to 45 minutes, from one straight line to a drawing of one's own.
Without a number it lists them, with what is done in this folder. With a number it shows
the page of a lesson, and writes into this folder a program to begin with and a picture
of each thing to draw; what is there already stays as it is. With the number of a task,
such as 3.2, it shows that task alone.

--check holds a program against the tasks of the lesson, in order: the line that it
draws, not how it is written. It says which it solves, and of the next one what differs
first, with both measures; that place is ringed in a picture. It ends with 0 if the
last task is solved, or the one that was asked for (3.2), else with 1. What is done is
kept in lessons-done.txt in this folder, without names. The window has the same lessons:
wend open --lesson 3.

--print writes a page of HTML for paper, A4: a lesson with its sketches at true size, with
--teacher the note for the teacher too; without a number the card of words, on one side.`,
		Example: `  wend lesson
  wend lesson 3
  wend lesson 3.2
  wend lesson 3 --check lesson-3.wend
  wend lesson 3.2 --check mine.wend
  wend lesson 3.2 --hint 1
  wend lesson 3 --print lesson-3.html --teacher
  wend lesson --print card.html`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef("wend lesson takes one number, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			flags := cmd.Flags()
			only := ""
			for _, name := range []string{"check", "hint", "print", "teacher"} {
				if !flags.Changed(name) || name == "teacher" && only == "print" {
					continue
				}
				if only != "" {
					return usagef("--%s and --%s do not go together; one after the other", only, name)
				}
				only = name
			}
			if len(args) == 0 {
				switch {
				case only == "print" && !f.teacher:
					return c.printPages(&f, "the card of words", func(w io.Writer) error { return handout.Card(cmd.Context(), w) })
				case only != "":
					return usagef("--%s needs the number of a lesson; `wend lesson` lists them", only)
				}
				return c.listLessons(&f)
			}
			l, task, err := findLesson(args[0])
			if err != nil {
				return err
			}
			switch {
			case only == "check":
				return c.checkLesson(cmd.Context(), l, task, &f)
			case only == "hint":
				return c.hint(l, task, &f)
			case only == "print" && task == nil:
				return c.printPages(&f, fmt.Sprintf("lesson %d", l.Number), func(w io.Writer) error { return handout.Lesson(cmd.Context(), w, l, f.teacher) })
			case f.teacher:
				return c.teach(l, &f)
			case only == "print":
				return usagef("%s is one task; a whole lesson is printed: `wend lesson %d --print %s`", args[0], l.Number, f.print)
			case task != nil:
				l.Tasks = []lesson.Task{*task}
				return c.startLesson(cmd.Context(), l, false, &f)
			}
			return c.startLesson(cmd.Context(), l, true, &f)
		},
	}
	flags := cmd.Flags()
	flags.StringVar(&f.check, "check", "", "hold a program against the tasks: its `file`")
	flags.IntVar(&f.hint, "hint", 0, "show a hint of a task: `1, 2 or 3`; the first says least")
	flags.BoolVar(&f.teacher, "teacher", false, "show the note for the teacher")
	flags.StringVar(&f.print, "print", "", "write a lesson, or without a number the card of words, as a page to print: an HTML `file`")
	flags.StringVar(&f.out, "out", ".", "write to this `folder`")
	flags.BoolVar(&f.json, "json", false, "print JSON instead of text")
	flags.BoolVar(&f.plain, "plain", false, "note places, and measures of sketches, in words")
	return cmd
}

// findLesson finds a lesson by its number, or with a point one of its tasks.
func findLesson(name string) (lesson.Lesson, *lesson.Task, error) {
	all := lesson.Lessons()
	number, of, isTask := strings.Cut(name, ".")
	n, err := strconv.Atoi(number)
	if err != nil {
		return lesson.Lesson{}, nil, usagef("a lesson has a number, such as 3, and a task 3.2; `wend lesson` lists them")
	}
	if n < 1 || n > len(all) {
		return lesson.Lesson{}, nil, usagef("there is no lesson %d: they go from 1 to %d", n, len(all))
	}
	l := all[n-1]
	if !isTask {
		return l, nil, nil
	}
	k, err := strconv.Atoi(of)
	if err != nil || k < 1 || k > len(l.Tasks) {
		return l, nil, usagef("lesson %d has the tasks %s to %s", n, l.Tasks[0].ID(), l.Tasks[len(l.Tasks)-1].ID())
	}
	return l, &l.Tasks[k-1], nil
}

// tasksDone are the tasks that are done in a folder.
func tasksDone(folder string) []string {
	name := filepath.Join(folder, lesson.DoneFile)
	if info, err := os.Stat(name); err != nil || !info.Mode().IsRegular() {
		return nil // to read a pipe would wait for somebody who writes to it
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil
	}
	return lesson.ReadDone(string(text))
}

// keepDone adds tasks to those that are done. The pictures of what was wrong with
// them are gone then.
func keepDone(folder string, before, solved []string) error {
	for _, task := range solved {
		ringed := output{name: filepath.Join(folder, ringName(task))}
		if info, err := os.Lstat(ringed.name); err == nil && info.Mode().IsRegular() && foreign([]output{ringed}) == "" {
			os.Remove(ringed.name)
		}
	}
	text := lesson.AddDone(before, solved)
	if text == "" {
		return nil
	}
	return commit([]output{{name: filepath.Join(folder, lesson.DoneFile), data: []byte(text)}}, nil)
}

// ringName is the name of the picture of what is wrong with a task.
func ringName(task string) string { return "check-" + task + ".png" }

// lessonJSON is what `wend lesson --json` says of each lesson.
type lessonJSON struct {
	Number int        `json:"number"`
	Title  string     `json:"title"`
	Words  []string   `json:"words,omitempty"`
	Tasks  []taskJSON `json:"tasks"`
	// Of one lesson alone: its page (Markdown), its program and its note for the
	// teacher, and the files that were written.
	Page    string   `json:"page,omitempty"`
	Program string   `json:"program,omitempty"`
	Teacher string   `json:"teacher,omitempty"`
	Wrote   []string `json:"wrote,omitempty"`
}

type taskJSON struct {
	Task  string `json:"task"`
	Title string `json:"title"`
	Asks  string `json:"asks"`
	Done  bool   `json:"done"`
	// Measures are those of the sketch in words; empty without one.
	Measures string   `json:"measures,omitempty"`
	Mixed    []string `json:"mixed,omitempty"` // rows of an answer out of their order
	Hint     string   `json:"hint,omitempty"`  // the one that was asked for
}

func asJSON(l lesson.Lesson, done []string) lessonJSON {
	row := lessonJSON{Number: l.Number, Title: l.Title, Words: l.Words}
	for _, t := range l.Tasks {
		row.Tasks = append(row.Tasks, taskJSON{Task: t.ID(), Title: t.Title, Asks: t.Ask, Done: slices.Contains(done, t.ID()), Measures: t.Told(), Mixed: t.Mixed})
	}
	return row
}

func (c console) listLessons(f *lessonFlags) error {
	done := tasksDone(f.out)
	var all []lessonJSON
	for _, l := range lesson.Lessons() {
		row := asJSON(l, done)
		all = append(all, row)
		if f.json {
			continue
		}
		c.tell("%s\n", strings.TrimRight(fmt.Sprintf("%2d  %-36s%s", l.Number, l.Title, l.Progress(done)), " "))
	}
	if f.json {
		return c.writeJSON(all)
	}
	c.tell("\n`wend lesson 1` begins the first\n")
	return nil
}

// startLesson shows a lesson with its page, or some tasks of it without, and writes what
// is needed for that.
func (c console) startLesson(ctx context.Context, l lesson.Lesson, whole bool, f *lessonFlags) error {
	program := filepath.Join(f.out, fmt.Sprintf("lesson-%d.wend", l.Number))
	var outputs []output
	if _, err := os.Lstat(program); errors.Is(err, fs.ErrNotExist) {
		outputs = append(outputs, output{name: program, data: []byte(l.Start)})
	}
	fresh := len(outputs) > 0
	sketches := map[string]string{}
	for _, t := range l.Tasks {
		if !t.HasSketch() {
			continue
		}
		sketch, err := t.Sketch(ctx)
		if err != nil {
			return err
		}
		var picture bytes.Buffer
		if err := preview.PNG(ctx, &picture, sketch.Picture(), preview.Options{Dimensions: sketch.Dimensions}); err != nil {
			return err
		}
		name := filepath.Join(f.out, "sketch-"+t.ID()+".png")
		sketches[t.ID()] = filepath.ToSlash(name)
		outputs = append(outputs, output{name: name, data: picture.Bytes()})
	}
	if err := commitBuilt(outputs, nil); err != nil {
		c.show(engine.Faults(err), f.plain)
		return exit(exitErrors)
	}
	if f.json {
		one := asJSON(l, tasksDone(f.out))
		if whole {
			one.Page = l.Page
		}
		one.Program = l.Start
		for _, o := range outputs {
			one.Wrote = append(one.Wrote, filepath.ToSlash(o.name))
		}
		return c.writeJSON(one)
	}
	shown := filepath.ToSlash(program)
	c.tell("Lesson %d: %s\n", l.Number, l.Title)
	check := strconv.Itoa(l.Number)
	if whole {
		c.tell("%s", c.page(l.Page))
	} else {
		check = l.Tasks[0].ID()
	}
	done := tasksDone(f.out)
	next := slices.IndexFunc(l.Tasks, func(t lesson.Task) bool { return !slices.Contains(done, t.ID()) })
	for _, t := range l.Tasks {
		state := ""
		if slices.Contains(done, t.ID()) {
			state = " (done)"
		}
		c.tell("\n%s  %s%s\n", t.ID(), t.Title, state)
		c.tell("%s", filled(t.Ask, "  ", c.textColumns(c.stdout)))
		if len(t.Mixed) > 0 {
			c.tell("\n")
			for _, row := range t.Mixed {
				c.tell("    %s\n", row)
			}
			c.tell("\n")
		}
		if name, ok := sketches[t.ID()]; ok {
			c.tell("  Look at %s, which shows it with its measures.\n", name)
			if f.plain {
				c.tell("%s", filled("In words: "+t.Told()+".", "  ", c.textColumns(c.stdout)))
			}
		}
	}
	about := "is yours from before, and stays as it is"
	if fresh {
		about = "is here now. It is the program to begin with:\n\n" + strings.TrimSuffix(indented(l.Start), "\n")
	}
	c.tell("\n%s %s\n", shown, about)
	c.tell("\nTo run it, which makes the picture %s:\n  wend build %s\n", strings.TrimSuffix(shown, ".wend")+".png", shown)
	c.tell("To check a task:\n  wend lesson %s --check %s\n", check, shown)
	switch {
	case next >= 0:
		c.tell("For a hint:\n  wend lesson %s --hint 1\n", l.Tasks[next].ID())
	case whole && l.Number < len(lesson.Lessons()):
		c.tell("All its tasks are done. To go on:\n  wend lesson %d\n", l.Number+1)
	}
	c.tell("To learn in the window, with the sketches on the sheet:\n  wend open --lesson %d\n", l.Number)
	return nil
}

// page is a page of a lesson for the terminal.
func (c console) page(markdown string) string {
	var out strings.Builder
	before := ""
	for _, block := range lesson.Blocks(markdown) {
		if block.Sort != "item" || before != "item" {
			out.WriteString("\n")
		}
		before = block.Sort
		switch block.Sort {
		case "heading":
			out.WriteString(strings.ToUpper(block.Text) + "\n")
		case "item":
			text := filled(block.Text, "  ", c.textColumns(c.stdout))
			out.WriteString("-" + text[1:])
		default:
			out.WriteString(filled(block.Text, "", c.textColumns(c.stdout)))
		}
	}
	return out.String()
}

// checkLesson holds a program against the tasks of a lesson, or one of them.
func (c console) checkLesson(ctx context.Context, l lesson.Lesson, only *lesson.Task, f *lessonFlags) error {
	file, err := c.readProgramFile(f.check, "lesson --check")
	if err != nil {
		c.show(engine.Faults(err), f.plain)
		return exit(exitErrors)
	}
	attempt := lesson.Try(ctx, file, engine.Settings{Profile: machine.DeskToy(), Read: c.readBeside})
	tasks := l.Tasks
	if only != nil {
		tasks = []lesson.Task{*only}
	}
	before := tasksDone(f.out)
	report, err := attempt.Report(ctx, tasks, before)
	if err != nil {
		return err
	}
	verdicts, next := report.Verdicts, report.Next
	// What cannot be written keeps nobody from hearing how the program does.
	ringed := ""
	var unwritten []error
	// Whoever has just solved one has not begun with the next.
	if len(report.Solved) == 0 && verdicts[next].At != nil && attempt.Drawn() {
		if ringed, err = c.ring(ctx, attempt, verdicts[next], f); err != nil {
			ringed, unwritten = "", append(unwritten, err)
		}
	}
	if err := keepDone(f.out, before, report.Solved); err != nil {
		unwritten = append(unwritten, err)
	}
	last := verdicts[len(verdicts)-1].Solved
	if f.json {
		if err := c.writeJSON(verdicts); err != nil {
			return err
		}
	} else {
		c.show(attempt.Diagnostics, f.plain)
		for i, v := range verdicts {
			c.tell("%s  %s: %s\n", v.Task, tasks[i].Title, report.States[i])
			if i == next && len(report.Solved) == 0 && v.Reason != lesson.Error {
				c.tellDifference(v, ringed)
			}
		}
		if next >= 0 && len(report.Solved) > 0 {
			c.tell("Next comes %s.\n", verdicts[next].Task)
		}
	}
	for _, err := range unwritten {
		c.show(engine.Faults(err), f.plain)
	}
	if !last || len(unwritten) > 0 {
		return exit(exitErrors)
	}
	return nil
}

// tellDifference says in what a drawing differs first.
func (c console) tellDifference(v lesson.Verdict, ringed string) {
	c.tell("%s", filled(v.Difference(), "     ", c.textColumns(c.stdout)))
	if ringed != "" {
		c.tell("     The ring in %s shows the place.\n", ringed)
	}
	c.tell("%s", filled("hint: "+v.Hint, "     ", c.textColumns(c.stdout)))
	c.tell("     more hints: wend lesson %s --hint 1\n", v.Task)
}

// ring writes the picture of what was drawn with a ring where it differs first.
func (c console) ring(ctx context.Context, attempt *lesson.Attempt, v lesson.Verdict, f *lessonFlags) (string, error) {
	name := filepath.Join(f.out, ringName(v.Task))
	var picture bytes.Buffer
	shown := attempt.Picture()
	shown.Title, shown.Text = v.Task, v.Says
	err := preview.PNG(ctx, &picture, shown, preview.Options{Dimensions: []preview.Dimension{lesson.Ring(*v.At)}})
	if err != nil {
		return "", err
	}
	return filepath.ToSlash(name), commitBuilt([]output{{name: name, data: picture.Bytes()}}, []string{f.check})
}

func (c console) hint(l lesson.Lesson, task *lesson.Task, f *lessonFlags) error {
	if task == nil {
		return usagef("a hint is of one task, such as `wend lesson %s --hint %d`", l.Tasks[0].ID(), max(1, f.hint))
	}
	if f.hint < 1 || f.hint > len(task.Hints) {
		return usagef("there are hints 1 to %d; the first says least", len(task.Hints))
	}
	if f.json {
		return c.writeJSON(taskJSON{Task: task.ID(), Title: task.Title, Asks: task.Ask, Done: slices.Contains(tasksDone(f.out), task.ID()), Hint: task.Hints[f.hint-1]})
	}
	c.tell("%s", filled(task.Hints[f.hint-1], "", c.textColumns(c.stdout)))
	return nil
}

// printPages writes pages to print.
func (c console) printPages(f *lessonFlags, what string, write func(io.Writer) error) error {
	if ending := filepath.Ext(f.print); ending != ".html" {
		return usagef("a page to print ends in .html, not in `%s`", f.print)
	}
	var page bytes.Buffer
	if err := write(&page); err != nil {
		return err
	}
	name := f.print
	if !filepath.IsAbs(name) {
		name = filepath.Join(f.out, name)
	}
	if err := commitBuilt([]output{{name: name, data: page.Bytes()}}, nil); err != nil {
		c.show(engine.Faults(err), f.plain)
		return exit(exitErrors)
	}
	c.tell("wrote %s: %s, to be printed on A4 from a browser, at true size (100 %%)\n", filepath.ToSlash(name), what)
	return nil
}

func (c console) teach(l lesson.Lesson, f *lessonFlags) error {
	if f.json {
		one := asJSON(l, tasksDone(f.out))
		one.Teacher = l.Teacher
		return c.writeJSON(one)
	}
	c.tell("Lesson %d: %s. For the teacher\n", l.Number, l.Title)
	c.tell("%s", c.page(l.Teacher))
	return nil
}
