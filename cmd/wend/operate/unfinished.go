package operate

import (
	"context"
	"fmt"

	"wend/lang/diag"
)

// PromptJob stands for the line of the prompt where a drawing's name is kept.
const PromptJob = "live"

// Unfinished is a drawing that was cut off.
type Unfinished struct {
	Name         string
	File         string // its full path; empty where that is not known, or one of a list
	Drawn, Moves int
	// Resumable says that it is the one that is wanted now.
	Resumable bool
	// Drop forgets it. What is drawn of it stays on the sheet, and what is known of
	// the position stays as it is.
	Drop func() error
}

// String says so.
func (u *Unfinished) String() string { return u.Name + " was cut off " + u.progress() }

func (u *Unfinished) progress() string {
	if u.Moves == 0 {
		return "between two sheets"
	}
	return fmt.Sprintf("after %d of %d moves", u.Drawn, u.Moves)
}

// CutOff has the operator decide what becomes of a drawing that was cut off before
// another begins, and reports whether it is to be gone on with. Where nobody can be
// asked it is not dropped by the way: that is said beforehand.
func (c *Conversation) CutOff(ctx context.Context, u *Unfinished) (resume bool, err error) {
	if c.Alone || c.Word != Unsaid {
		return false, &diag.Fault{Code: "drawing-cut-off", Args: diag.Args{"name": u.Name, "when": u.progress()}}
	}
	words, question := []string{"abandon"}, "type `abandon` to drop what is left of it, Enter alone to leave it as it is: "
	if u.Resumable {
		words, question = []string{"resume", "abandon"}, "type `resume` to go on with it, `abandon` to drop what is left of it and to begin anew, Enter alone to leave it as it is: "
	}
	c.Say("%s", u)
	word, err := c.choose(ctx, question, words...)
	if err != nil || word == "resume" {
		return err == nil, err
	}
	return false, c.Abandon(u)
}

// Abandon drops what is left of a drawing that was cut off, and says so.
func (c *Conversation) Abandon(u *Unfinished) error {
	if err := u.Drop(); err != nil {
		return err
	}
	c.Note("%s is dropped, %s; what is drawn of it stays on the sheet", u.Name, u.progress())
	return nil
}
