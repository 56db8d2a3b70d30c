package live

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

// Watcher is a person who can watch a machine move.
type Watcher struct {
	Out         io.Writer // what happens is told there
	Keys        Keys      // nil: no single keys
	Interrupted <-chan struct{}
	// Progress is shown as one line that is rewritten, or in Plain mode as a
	// line every tenth of the way.
	Progress, Plain bool
	Quiet           bool // nothing is told but what must be answered
	Diagnose        func(diag.List)
	// Answer asks for a line, where there are no single keys; nil: nobody can
	// be asked.
	Answer func(prompt string) (string, error)
}

// Watch is a Watcher during one motion, as the link sees one: key presses
// become wishes.
type Watch struct {
	Watcher
	Others   []Key  // that were pressed and mean nothing to a motion
	what     string // is done: "drawn"
	keys     chan Key
	cancel   context.CancelFunc
	over     sync.WaitGroup
	stopping bool
	written  bool // a line that is rewritten stands there
	tenth    int  // of the way, that plain mode has told
	answers  []link.Wish
}

var _ link.Operator = (*Watch)(nil)

// Watch begins to read keys. What is the word for a way that lies behind: drawn,
// walked.
func (w Watcher) Watch(ctx context.Context, what string) *Watch {
	ctx, cancel := context.WithCancel(ctx)
	watch := &Watch{Watcher: w, what: what, keys: make(chan Key, 16), cancel: cancel}
	if w.Keys != nil {
		watch.over.Go(func() {
			for {
				key, err := w.Keys.Key(ctx)
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

// Close ends the reading of keys.
func (w *Watch) Close() {
	w.cancel()
	w.over.Wait()
	w.endLine()
}

func (w *Watch) endLine() {
	if w.written {
		fmt.Fprintln(w.Out)
		w.written = false
	}
}

func (w *Watch) say(format string, args ...any) {
	w.endLine()
	fmt.Fprintf(w.Out, format+"\n", args...)
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
	case <-w.Interrupted:
		return w.stop()
	case key := <-w.keys:
		switch key {
		case ' ':
			return link.Toggle
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
	if !w.Progress || w.Quiet || p.Mode == link.Held || p.TotalMM == 0 {
		return
	}
	line := fmt.Sprintf("%3.0f %%  %s of %s %s, %s to go", 100*p.Part, gcode.Length(p.DrawnMM), gcode.Length(p.TotalMM), w.what, gcode.Duration(p.SecondsTo))
	if p.Certainty != link.Lost {
		line += ", at " + place(p.At)
	}
	if w.Plain {
		if tenth := int(p.Part * 10); tenth > w.tenth {
			w.tenth = tenth
			w.say("%s", line)
		}
		return
	}
	if w.Keys != nil && p.Mode == link.Moving {
		line += "; space holds, s stops"
	}
	fmt.Fprintf(w.Out, "\r\x1b[K%s", line)
	w.written = true
}

// Holds is that of link.Operator.
func (w *Watch) Holds(message string, why *diag.Fault, at geom.Point) bool {
	w.endLine()
	if why != nil {
		w.Diagnose(diag.List{why.At(source.Span{})})
	}
	if message != "" {
		w.say("held at %s: %s", place(at), message)
	} else {
		w.say("held at %s", place(at))
	}
	switch {
	case w.Keys != nil:
		w.say("space resumes, s stops")
		return true
	case w.Answer == nil:
		return false
	}
	for {
		line, err := w.Answer("held> type `resume` or `stop`: ")
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
	if !w.Quiet {
		w.say("nothing is seen of it in the line: %s", why)
	}
}
