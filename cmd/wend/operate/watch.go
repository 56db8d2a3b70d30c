package operate

import (
	"context"
	"errors"
	"fmt"
	"io"
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// Status is how far a motion is.
type Status struct {
	link.Progress
	What string // is done: "drawn"
}

// String is the status as one line.
func (s *Status) String() string {
	line := fmt.Sprintf("%3.0f %%  %s of %s %s, %s to go", 100*s.Part, gcode.Length(s.DrawnMM), gcode.Length(s.TotalMM), s.What, gcode.Duration(s.SecondsTo))
	if s.Certainty != link.Lost {
		line += ", at " + Place(s.At)
	}
	return line
}

// Place is a place of the page as people read it.
func Place(p geom.Point) string { return fmt.Sprintf("(%s, %s)", diag.Tenths(p.X), diag.Tenths(p.Y)) }

// Watch is an operator during one motion, as the link sees one: key presses
// become wishes.
type Watch struct {
	c      *Conversation
	what   string // is done: "drawn"
	silent bool   // no progress
	// Others are keys that were pressed and mean nothing to a motion.
	Others   []Key
	keys     chan Key
	cancel   context.CancelFunc
	over     sync.WaitGroup
	stopping bool
	shown    bool
	answers  []link.Wish
}

var _ link.Operator = (*Watch)(nil)

// Watched carries out a motion while the operator watches it. What is the word
// for a way that lies behind: drawn, walked.
func (c *Conversation) Watched(ctx context.Context, what string, motion func(context.Context, link.Operator) error) error {
	watch := c.watch(ctx, what)
	defer watch.close()
	return motion(ctx, watch)
}

// Pressed carries out the motion of one key press, without showing how far it
// is, and gives the keys that were pressed meanwhile.
func (c *Conversation) Pressed(ctx context.Context, motion func(context.Context, link.Operator) error) ([]Key, error) {
	watch := c.watch(ctx, "moved")
	watch.silent = true
	err := motion(ctx, watch)
	watch.close()
	return watch.Others, err
}

func (c *Conversation) watch(ctx context.Context, what string) *Watch {
	ctx, cancel := context.WithCancel(ctx)
	watch := &Watch{c: c, what: what, keys: make(chan Key, 16), cancel: cancel}
	if keys := c.Person.Keys(); keys != nil {
		watch.over.Go(func() {
			for {
				key, err := keys.Key(ctx)
				if err != nil {
					return
				}
				select {
				case watch.keys <- key:
				case <-ctx.Done():
					return
				}
			}
		})
	}
	return watch
}

func (w *Watch) close() {
	w.cancel()
	w.over.Wait()
	w.endShow()
}

func (w *Watch) endShow() {
	if w.shown {
		w.c.Person.Show(nil)
		w.shown = false
	}
}

func (w *Watch) say(format string, args ...any) {
	w.endShow()
	w.c.Say(format, args...)
}

// stop asks for a controlled stop, and when asked again for one at once.
func (w *Watch) stop() link.Wish {
	if w.stopping {
		return link.StopHard
	}
	w.stopping = true
	return link.Stop
}

// Wish is that of link.Operator.
func (w *Watch) Wish() link.Wish {
	if len(w.answers) > 0 {
		answer := w.answers[0]
		w.answers = w.answers[1:]
		return answer
	}
	select {
	case <-w.c.Person.Interrupted():
		return w.stop()
	case key := <-w.keys:
		switch key {
		case ' ':
			return link.Toggle
		case KeyHold:
			return link.Pause
		case KeyGoOn:
			return link.GoOn
		case KeyCtrlC:
			return w.stop()
		case 's':
			w.stopping = true
			return link.Stop
		default:
			w.Others = append(w.Others, key)
		}
	default:
	}
	return link.NoWish
}

// Show is that of link.Operator.
func (w *Watch) Show(p link.Progress) {
	if w.silent || w.c.Quiet || p.Mode == link.Held && !w.c.Labelled || p.TotalMM == 0 {
		return
	}
	w.shown = true
	w.c.Person.Show(&Status{Progress: p, What: w.what})
}

// Holds is that of link.Operator.
func (w *Watch) Holds(message string, why *diag.Fault, at geom.Point) bool {
	w.endShow()
	if why != nil {
		w.c.Person.Diagnose(diag.List{why.At(source.Span{})})
	}
	if message != "" {
		w.say("held at %s: %s", Place(at), message)
	} else {
		w.say("held at %s", Place(at))
	}
	switch {
	case w.c.Person.Keys() != nil:
		if !w.c.Labelled {
			w.say("space resumes, s stops")
		}
		return true
	case w.c.Alone:
		return false
	}
	for {
		line, err := w.c.Person.Ask(context.Background(), "held> type `resume` or `stop`: ")
		switch {
		case errors.Is(err, io.EOF):
			return false
		case err != nil || line == "stop":
			w.answers = append(w.answers, link.Stop)
			return true
		case line == "resume":
			w.answers = append(w.answers, link.GoOn)
			return true
		}
	}
}

// Mended is that of link.Operator.
func (w *Watch) Mended(why *diag.Fault) {
	if !w.c.Quiet {
		w.say("nothing is seen of it in the line: %s", why)
	}
}
