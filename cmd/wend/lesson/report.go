package lesson

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// Report is what is to be said of a program that was held against tasks.
type Report struct {
	Verdicts []Verdict
	// States say of each task how it stands.
	States []string
	// Next is the task that the learner is at: the first that neither this program
	// solves nor one before; -1 if there is none, and the last if this one solves none
	// either.
	Next int
	// Solved are the tasks that this program solves.
	Solved []string
}

// Report holds what was drawn against tasks, in order. Before are those that were
// done before.
func (a *Attempt) Report(ctx context.Context, tasks []Task, before []string) (Report, error) {
	r := Report{Next: -1}
	for i, t := range tasks {
		v, err := a.Check(ctx, t)
		if err != nil {
			return r, err
		}
		r.Verdicts = append(r.Verdicts, v)
		was := slices.Contains(before, v.Task)
		switch {
		case v.Solved:
			r.Solved = append(r.Solved, v.Task)
			r.States = append(r.States, "solved")
		case was:
			r.States = append(r.States, "solved before, not by this program")
		default:
			r.States = append(r.States, "not yet")
		}
		if r.Next < 0 && !v.Solved && !was {
			r.Next = i
		}
	}
	if r.Next < 0 && len(r.Solved) == 0 {
		r.Next = len(tasks) - 1
	}
	return r, nil
}

// Difference says in what a drawing differs first, and where in the program to look.
func (v Verdict) Difference() string {
	if v.Solved {
		return ""
	}
	says := strings.ToUpper(v.Says[:1]) + v.Says[1:] + "."
	if v.Line > 0 {
		says += fmt.Sprintf(" Look at line %d of your program.", v.Line)
	}
	return says
}
