package lesson

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Guess is what a learner says before the program of a lesson draws for the first
// time. In its file each line is a word, a colon and what it says:
//
//	after: the heading of the part of the page that it comes after
//	ask: what is to be guessed, where the page does not ask for just that
//	right: what it does, in a few words
//	wrong: what somebody may think; two of them or more
//	picture: a program that draws the answer above it; its statements with ; between
//	told: what is said after the guess
//
// The answers are shown in this order. Where others have a picture, the right one has
// that of the lesson's program, unless one stands there.
type Guess struct {
	After   string
	Ask     string
	Answers []GuessAnswer
	Told    string
	start   string // the program of the lesson
}

// GuessAnswer is one thing that may be guessed.
type GuessAnswer struct {
	Text    string
	Right   bool
	picture string // a program; empty without
}

func readGuess(text string) (*Guess, error) {
	g := &Guess{}
	right := 0
	for line := range strings.Lines(text) {
		word, rest, found := strings.Cut(strings.TrimSpace(line), ":")
		rest = strings.TrimSpace(rest)
		if !found || rest == "" {
			return nil, fmt.Errorf("`%s` is nothing that stands in a guess", line)
		}
		switch word {
		case "after":
			g.After = rest
		case "ask":
			g.Ask = rest
		case "told":
			g.Told = rest
		case "right", "wrong":
			if word == "right" {
				right++
			}
			g.Answers = append(g.Answers, GuessAnswer{Text: rest, Right: word == "right"})
		case "picture":
			if len(g.Answers) == 0 {
				return nil, fmt.Errorf("a picture stands below its answer")
			}
			g.Answers[len(g.Answers)-1].picture = rest + "\n"
		default:
			return nil, fmt.Errorf("`%s` is nothing that stands in a guess", word)
		}
	}
	if right != 1 || len(g.Answers) < 3 || g.Told == "" {
		return nil, fmt.Errorf("a guess has one right answer, two wrong ones, and what is told")
	}
	return g, nil
}

// Picture is the line that an answer shows, page mm; nil where they are words alone.
func (g *Guess) Picture(ctx context.Context, answer int) ([]geom.Point, error) {
	if !slices.ContainsFunc(g.Answers, func(a GuessAnswer) bool { return a.picture != "" }) {
		return nil, nil
	}
	text := g.Answers[answer].picture
	if text == "" && g.Answers[answer].Right {
		text = g.start
	}
	if text == "" {
		return nil, nil
	}
	a := Try(ctx, source.New("<guess>", text), engine.Settings{Profile: machine.DeskToy()})
	if a.line == nil {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		return nil, fmt.Errorf("the picture of the answer `%s` has no line", g.Answers[answer].Text)
	}
	return a.line.Points, nil
}
