package talk

import (
	"context"
	"fmt"

	"wend/cmd/wend/lesson"
	"wend/lang/source"
	"wend/runtime/geom"
)

// chosen is the lesson that a request names.
func chosen(r *Request) (lesson.Lesson, error) {
	all := lesson.Lessons()
	if r.Lesson < 1 || r.Lesson > len(all) {
		return lesson.Lesson{}, fmt.Errorf("there is no lesson %d: they go from 1 to %d", r.Lesson, len(all))
	}
	return all[r.Lesson-1], nil
}

// lesson gives one of the lessons.
func (s *Session) lesson(ctx context.Context, r *Request) error {
	l, err := chosen(r)
	if err != nil {
		return err
	}
	out := Lesson{
		Type: "lesson", ID: r.ID, Number: l.Number, Title: l.Title, Start: l.Start,
		Guess: Guess{Ask: l.Guess.Ask, Told: l.Guess.Told},
	}
	asked := false
	for _, b := range lesson.Blocks(l.Page) {
		if b.Sort == "heading" {
			if asked {
				out.Page = append(out.Page, Block{Sort: "guess"})
			}
			asked = b.Text == l.Guess.After
		}
		out.Page = append(out.Page, Block(b))
	}
	if asked {
		out.Page = append(out.Page, Block{Sort: "guess"})
	}
	for i, a := range l.Guess.Answers {
		line, err := l.Guess.Picture(ctx, i)
		if err != nil {
			return err
		}
		out.Guess.Answers = append(out.Guess.Answers, GuessAnswer{a.Text, a.Right, pairs(thinned(line, wordPoints))})
	}
	for _, t := range l.Tasks {
		task := LessonTask{Task: t.ID(), Title: t.Title, Asks: t.Ask, Mixed: append([]string{}, t.Mixed...), Hints: t.Hints[:], Measures: t.Told()}
		if t.HasSketch() {
			sketch, err := t.Sketch(ctx)
			if err != nil {
				return err
			}
			task.Sketch = &Sketch{Line: pairs(sketch.Line)}
			for _, d := range sketch.Dimensions {
				one := Dimension{Words: d.Words, At: [2]float32{float32(d.At.X), float32(d.At.Y)}}
				for _, line := range d.Lines {
					one.Lines = append(one.Lines, pairs(line))
				}
				task.Sketch.Dimensions = append(task.Sketch.Dimensions, one)
			}
		}
		out.Tasks = append(out.Tasks, task)
	}
	if ctx.Err() == nil {
		s.to.Text(out)
	}
	return nil
}

// pairs are points as a page reads them.
func pairs(points []geom.Point) [][2]float32 {
	out := make([][2]float32, len(points))
	for i, p := range points {
		out[i] = [2]float32{float32(p.X), float32(p.Y)}
	}
	return out
}

// lessonCheck holds a text against the tasks of a lesson.
func (s *Session) lessonCheck(ctx context.Context, r *Request) error {
	l, err := chosen(r)
	if err != nil {
		return err
	}
	s.evaluate.Lock()
	defer s.evaluate.Unlock()
	report, err := lesson.Try(ctx, source.New(r.Path, r.Text), s.settings).Report(ctx, l.Tasks, r.Done)
	if ctx.Err() != nil {
		return nil
	}
	if err != nil {
		return err
	}
	out := LessonChecked{Type: "lesson-checked", ID: r.ID}
	for i, v := range report.Verdicts {
		task := CheckedTask{Task: v.Task, Solved: v.Solved, State: report.States[i], Says: v.Difference(), Hint: v.Hint, Line: v.Line}
		if v.LookUp != "" { // a page has the words at hand
			task.Hint = fmt.Sprintf("Alt+W has all words: `%s` is among them, with a line that shows how it is written", v.LookUp)
		}
		if v.At != nil {
			task.At = &[2]float64{v.At.X, v.At.Y}
		}
		out.Tasks = append(out.Tasks, task)
	}
	if report.Next >= 0 {
		out.Next = report.Verdicts[report.Next].Task
	}
	s.to.Text(out)
	return nil
}
