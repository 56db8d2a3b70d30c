package main

import (
	"fmt"
	"io"
	"strings"
)

// progress tells on one line of a terminal, which it writes again and again, how
// far a long piece of work is. Elsewhere it tells nothing.
type progress struct {
	out     io.Writer // nil: nobody looks
	what    string
	percent int // as it was last told
	width   int // of what stands there
}

func (c console) progress(f *runFlags, what string) *progress {
	p := &progress{what: what, percent: -1}
	if c.onTerminal(c.stderr) && !f.quiet && !f.plain && !f.json {
		p.out = c.stderr
	}
	return p
}

func (p *progress) tell(done, of int) {
	percent := 100 * done / max(of, 1)
	if p.out == nil || percent == p.percent {
		return
	}
	p.percent = percent
	text := fmt.Sprintf("%s: %d %%", p.what, percent)
	p.width = len(text)
	fmt.Fprint(p.out, "\r"+text) //nolint:errcheck // there is nobody left to tell
}

// clear takes the line off the terminal.
func (p *progress) clear() {
	if p.width > 0 {
		fmt.Fprint(p.out, "\r"+strings.Repeat(" ", p.width)+"\r") //nolint:errcheck // there is nobody left to tell
		p.width = 0
	}
}
