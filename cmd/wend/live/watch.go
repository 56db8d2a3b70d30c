package live

import (
	"context"
	"fmt"
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// watch is a person who watches the machine move, as the link sees one: key
// presses become wishes, progress becomes one line that is rewritten.
type watch struct {
	p        *Prompt
	keys     chan Key
	cancel   context.CancelFunc
	over     sync.WaitGroup
	stopping bool
	written  bool // a line that is rewritten stands there
	tenth    int  // of the line, that plain mode has told
	answers  []link.Wish
}

func (p *Prompt) watch(ctx context.Context) *watch {
	ctx, cancel := context.WithCancel(ctx)
	w := &watch{p: p, keys: make(chan Key, 16), cancel: cancel}
	if p.Keys != nil {
		w.over.Add(1)
		go func() {
			defer w.over.Done()
			for {
				key, err := p.Keys.Key(ctx)
				if err != nil {
					return
				}
				select {
				case w.keys <- key:
				case <-ctx.Done():
					return
				}
			}
		}()
	}
	return w
}

func (w *watch) close() {
	w.cancel()
	w.over.Wait()
	w.endLine()
}

func (w *watch) endLine() {
	if w.written {
		fmt.Fprintln(w.p.out)
		w.written = false
	}
}

// stop asks for a controlled stop, and when asked again for one at once.
func (w *watch) stop() link.Wish {
	if w.stopping {
		return link.StopHard
	}
	w.stopping = true
	return link.Stop
}

// Wish is that of link.Operator.
func (w *watch) Wish() link.Wish {
	if len(w.answers) > 0 {
		answer := w.answers[0]
		w.answers = w.answers[1:]
		return answer
	}
	select {
	case <-w.p.Interrupted:
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
		}
	default:
	}
	return link.NoWish
}

// Show is that of link.Operator.
func (w *watch) Show(progress link.Progress) {
	p := w.p
	if progress.Mode != link.Moving {
		return
	}
	line := fmt.Sprintf("moving at %s: %d %% drawn, %s to go", place(progress.At), int(progress.Part*100), duration(progress.SecondsTo))
	if p.Plain {
		if tenth := int(progress.Part * 10); tenth > w.tenth {
			w.tenth = tenth
			p.say("%s", line)
		}
		return
	}
	if p.Keys != nil {
		line += "; space holds, s stops"
	}
	fmt.Fprintf(p.out, "\r\x1b[K%s", line)
	w.written = true
}

// Holds is that of link.Operator.
func (w *watch) Holds(message string, why *diag.Fault, at geom.Point) bool {
	p := w.p
	w.endLine()
	switch {
	case why != nil:
		p.Diagnose(diag.List{why.At(source.Span{})})
		p.say("held at %s", place(at))
	case message != "":
		p.say("held at %s: %s", place(at), message)
	default:
		p.say("held at %s", place(at))
	}
	if p.Keys != nil {
		p.say("space resumes, s stops")
		return true
	}
	// Without single keys the answer is a line.
	for {
		line, err := p.Lines.ReadLine("held> type `resume` or `stop`: ")
		switch {
		case err != nil || line == "stop":
			w.answers = append(w.answers, link.Stop)
			return err == nil
		case line == "resume":
			w.answers = append(w.answers, link.GoOn)
			return true
		}
	}
}

// Mended is that of link.Operator.
func (w *watch) Mended(why *diag.Fault) {
	w.endLine()
	w.p.say("mended without a trace: %s", why)
}

var _ link.Operator = (*watch)(nil)
