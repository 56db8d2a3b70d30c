// Package desk answers what the page of the window asks about programs: it checks
// and draws a text after every change, and tells what words mean, how a program
// steps, what it looks like with other seeds, and what the machine makes of it.
//
// It knows no socket and no browser. The process and the worker of an exported
// page carry the same messages to it: texts in JSON, and lines and files as bytes.
// Places in a text count UTF-16 code units, as a browser does.
package desk

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"time"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/plan"
)

// Desk is one page's conversation about its programs.
type Desk struct {
	settings engine.Settings
	results  *eval.Results
	send     func(message []byte, binary bool)

	mu    sync.Mutex
	leave context.CancelFunc // ends the drawing that is under way
	last  *drawn
	words *Words
}

// drawn is a program that was drawn whole.
type drawn struct {
	program *engine.Program
	plan    *plan.Plan
}

// New makes a desk. Settings say which machine it is and how a file that a program
// names is read; send takes the answers, from several goroutines.
func New(settings engine.Settings, send func(message []byte, binary bool)) *Desk {
	if settings.Results == nil {
		settings.Results = eval.NewResults(engine.ResultsBytes)
	}
	if settings.Read == nil {
		settings.Read = noFiles
	}
	return &Desk{settings: settings, results: settings.Results, send: send}
}

// noFiles is how files are read where there are none.
func noFiles(_, name string) (*source.File, error) {
	return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}, File: name}
}

// Hear takes a message of the page. What takes long goes on by itself until it is
// done, a newer text comes, or ctx ends.
func (d *Desk) Hear(ctx context.Context, message []byte) {
	var r Request
	if err := json.Unmarshal(message, &r); err != nil {
		d.tell(Failed{Type: "failed", Text: "the page sent a message that cannot be read"})
		return
	}
	d.Take(ctx, r)
}

// Take is Hear for a message that was read.
func (d *Desk) Take(ctx context.Context, r Request) {
	work, known := map[string]func(context.Context, Request) error{
		"program":    d.program,
		"variations": d.variations,
		"ask":        d.ask,
		"steps":      d.steps,
		"as-drawn":   d.asDrawn,
		"export":     d.export,
		"words":      d.card,
	}[r.Type]
	if !known {
		d.tell(Failed{Type: "failed", ID: r.ID, Text: fmt.Sprintf("nobody here knows what a message `%.40s` wants", r.Type)})
		return
	}
	if r.Type == "program" {
		d.mu.Lock()
		if d.leave != nil {
			d.leave()
		}
		ctx, d.leave = context.WithCancel(ctx)
		d.mu.Unlock()
	}
	go func() {
		defer func() {
			if fault := recover(); fault != nil {
				d.tell(Failed{Type: "failed", ID: r.ID, Text: fmt.Sprintf("a fault of wend: %v", fault), Hint: "what you wrote is safe; please report it with the program"})
			}
		}()
		if err := work(ctx, r); err != nil && ctx.Err() == nil {
			d.fail(r.ID, err)
		}
	}()
}

func (d *Desk) tell(message any) {
	text, err := json.Marshal(message)
	if err != nil {
		return // no message holds what JSON cannot
	}
	d.send(text, false)
}

func (d *Desk) fail(id uint32, err error) {
	list := engine.Faults(err)
	for _, one := range list {
		if one.Severity == diag.Error {
			d.tell(Failed{Type: "failed", ID: id, Text: one.Message, Hint: one.Hint})
			return
		}
	}
	d.tell(Failed{Type: "failed", ID: id, Text: err.Error()})
}

// progressEvery is how often it is said how much of a long work is done.
const progressEvery = 100 * time.Millisecond

// told are the settings of one run, which tells of its progress.
func (d *Desk) told(id uint32) engine.Settings {
	settings := d.settings
	var mu sync.Mutex
	var last time.Time
	settings.Progress = func(done, of int) {
		mu.Lock()
		defer mu.Unlock()
		if now := time.Now(); now.Sub(last) >= progressEvery {
			last = now
			d.tell(Progress{"progress", id, done, of})
		}
	}
	return settings
}

// load makes the program of a request ready.
func (d *Desk) load(r Request, change func(*engine.Settings)) (*engine.Program, error) {
	settings := d.settings
	if change != nil {
		change(&settings)
	}
	program, list := engine.Load(source.New(r.Path, r.Text), settings)
	if program == nil {
		return nil, list
	}
	return program, nil
}

// run draws the program of a request.
func (d *Desk) run(ctx context.Context, r Request, change func(*engine.Settings)) (drawn, error) {
	program, err := d.load(r, change)
	if err != nil {
		return drawn{}, err
	}
	line, list := program.Draw(ctx)
	if list.Failed() {
		return drawn{}, list
	}
	return drawn{program, line}, nil
}
