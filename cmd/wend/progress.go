package main

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// progress tells how far a long piece of work is: on one line of a terminal,
// which it writes again and again, and elsewhere by a line now and then.
type progress struct {
	out     io.Writer // nil: nobody looks
	what    string
	percent int // as it was last told
	width   int // of what stands there
	// Where lines are not rewritten: the clock, and when something was last told.
	now  func() time.Time
	last time.Time
}

// progressEvery is how long nothing is told where each telling is a line of its
// own: work that takes less tells nothing there.
const progressEvery = 10 * time.Second

func (c console) progress(f *runFlags, what string) *progress {
	p := &progress{what: what, percent: -1}
	if f.quiet || f.json {
		return p
	}
	p.out = c.stderr
	if f.plain || !c.onTerminal(c.stderr) {
		p.now, p.last = c.now, c.now()
	}
	return p
}

func (p *progress) tell(done, of int) {
	percent := 100 * done / max(of, 1)
	if p.out == nil || percent == p.percent {
		return
	}
	text := fmt.Sprintf("%s: %d %%", p.what, percent)
	if p.now != nil {
		if now := p.now(); now.Sub(p.last) >= progressEvery {
			p.percent, p.last = percent, now
			fmt.Fprintln(p.out, text) //nolint:errcheck // there is nobody left to tell
		}
		return
	}
	p.percent, p.width = percent, len(text)
	fmt.Fprint(p.out, "\r"+text) //nolint:errcheck // there is nobody left to tell
}

// clear takes the line off the terminal.
func (p *progress) clear() {
	if p.width > 0 {
		fmt.Fprint(p.out, "\r"+strings.Repeat(" ", p.width)+"\r") //nolint:errcheck // there is nobody left to tell
		p.width = 0
	}
}
