package operate

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"wend/lang/diag"
)

// Word is what a script has said beforehand.
type Word int

// The words.
const (
	// Unsaid: everything is asked.
	Unsaid Word = iota
	// Armed answers all questions before something moves, also whether the
	// stylus stands where it is taken to: the script answers for it.
	Armed
	// Sure is Armed where the board itself has counted on since the place of
	// its motors was written down, and nothing otherwise.
	Sure
)

// Conversation is one conversation with an operator.
type Conversation struct {
	Person Person
	// Alone: nobody can be asked. What a script said beforehand answers.
	Alone bool
	Word  Word
	// Quiet: nothing is said but what must be.
	Quiet bool
	// Labelled: what goes on and what stops stands on the keys themselves, and that
	// the machine holds is shown, not said alone.
	Labelled bool
	// Remedy says how to tell where the stylus stands, and how to move it.
	Remedy string
	// Cautioned reports whether the whole list of cautions was shown to these
	// people before, and remembers that it is shown now; nil: never.
	Cautioned func() bool
	// Elsewhere takes an answer that answers nothing, if it was meant for
	// something else, and reports whether it was; nil: never.
	Elsewhere func(answer string) bool

	cautioned bool // in this conversation
}

// Say tells something that stays to be read.
func (c *Conversation) Say(format string, args ...any) { c.Person.Say(fmt.Sprintf(format, args...)) }

// Note says what is good to know, if that is wanted.
func (c *Conversation) Note(format string, args ...any) {
	if !c.Quiet {
		c.Say(format, args...)
	}
}

// Consent has the operator type a word before something happens. Any other word
// is asked about again; an empty answer, a no or Ctrl-C leaves it: ErrDeclined.
// Where nobody can be asked, or the script's word may answer, it does.
func (c *Conversation) Consent(ctx context.Context, question, word string, scriptMay bool) error {
	if scriptMay && c.Word != Unsaid {
		return nil
	}
	if c.Alone {
		return &diag.Fault{Code: "consent-missing"}
	}
	_, err := c.choose(ctx, question, word)
	return err
}

// choose has one of some words typed, as Consent does, and gives it.
func (c *Conversation) choose(ctx context.Context, question string, words ...string) (string, error) {
	for {
		answer, err := c.Person.Ask(ctx, question)
		if errors.Is(err, ErrLeft) || errors.Is(err, io.EOF) {
			answer, err = "", nil
		}
		if err != nil {
			return "", err
		}
		answer = strings.TrimSpace(answer)
		for _, word := range words {
			if strings.EqualFold(answer, word) {
				return word, nil
			}
		}
		if declines(answer) || c.Elsewhere != nil && c.Elsewhere(answer) {
			return "", ErrDeclined
		}
		if len(words) == 1 {
			c.Say("that is not the word: `%s` does it, Enter alone leaves it", words[0])
		} else {
			c.Say("that is none of the words: `%s`; Enter alone leaves it", strings.Join(words, "`, `"))
		}
	}
}

// declines reports whether an answer means no.
func declines(answer string) bool {
	switch strings.ToLower(answer) {
	case "", "no", "n", "not", "stop":
		return true
	}
	return false
}

// Interruptible is a context that ends when the operator wants to stop; its
// cause is ErrStopped then.
func (c *Conversation) Interruptible(ctx context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancelCause(ctx)
	over := make(chan struct{})
	go func() {
		defer close(over)
		select {
		case <-c.Person.Interrupted():
			cancel(ErrStopped)
		case <-ctx.Done():
		}
	}()
	return ctx, func() { cancel(nil); <-over }
}
