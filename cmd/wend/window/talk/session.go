// Package talk is the conversation between a page and the engine, whatever carries
// it: a socket to this process, or a worker with the engine as WebAssembly.
//
// A Session takes requests and gives answers; see messages.go. It reads files
// through a function, writes none, and knows no carrier.
package talk

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"time"

	"wend/cmd/wend/engine"
	"wend/lang/assist"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/plan"
)

// Carrier takes messages to the page, in order. One that has gone takes no more;
// the context of the request ends then.
type Carrier interface {
	Text(message any)
	Binary(message []byte)
}

// Session is the engine's half of the conversation with one page. Requests may be
// answered at the same time.
type Session struct {
	settings engine.Settings
	to       Carrier

	mu       sync.Mutex
	read     *reading // what was asked about last
	drawn    *drawing // what was drawn last
	counted  string   // the text whose steps were counted last
	steps    int
	evaluate sync.Mutex // one evaluation at a time
}

// reading is a text that was read and checked.
type reading struct {
	path     string
	units    *units
	file     *source.File
	document *assist.Document
	list     diag.List
	draft    *engine.Draft
}

// drawing is a text that was drawn.
type drawing struct {
	text    string
	program *engine.Program
	plan    *plan.Plan
	sheets  []int // those with line, as the page counts them
}

func newDrawing(text string, program *engine.Program, drawn *plan.Plan) *drawing {
	return &drawing{text, program, drawn, engine.WithLine(drawn)}
}

// sheet is the index in the plan of a sheet that the page names.
func (d *drawing) sheet(n int) (int, error) {
	if n < 0 || n >= len(d.sheets) {
		return 0, errors.New("there is no line on such a sheet")
	}
	return d.sheets[n], nil
}

// New is a conversation about programs that run with some settings. What costly
// words gave is kept from one text to the next.
func New(settings engine.Settings, to Carrier) *Session {
	settings.Results = eval.NewResults(engine.ResultsBytes)
	return &Session{settings: settings, to: to}
}

// LongestText is how many bytes a request may have.
const LongestText = 8 << 20

// handlers answer the requests, by their type.
var handlers = map[string]func(*Session, context.Context, *Request) error{
	"program":    (*Session).program,
	"variations": (*Session).variations,
	"ask":        (*Session).ask,
	"steps":      (*Session).stepped,
	"as-drawn":   (*Session).asDrawn,
	"export":     (*Session).export,
	"words":      (*Session).words,
	"small":      (*Session).small,
	"lesson":     (*Session).lesson,

	"lesson-check": (*Session).lessonCheck,
}

// Handles reports whether a request of a type is for the engine.
func Handles(kind string) bool { return handlers[kind] != nil }

// Answer answers one request, and comes back when it has. One whose context ended
// is answered no more.
func (s *Session) Answer(ctx context.Context, message []byte) {
	var r Request
	if err := json.Unmarshal(message, &r); err != nil {
		s.fail(ctx, 0, "This message could not be read.", "")
		return
	}
	handle := handlers[r.Type]
	if handle == nil {
		s.fail(ctx, r.ID, fmt.Sprintf("The engine knows no request %q.", diag.OneLine(r.Type)), "")
		return
	}
	defer func() {
		if cause := recover(); cause != nil {
			d := diag.New("wend-fault", source.Span{}, diag.Args{"reason": fmt.Sprint(cause)})
			s.fail(ctx, r.ID, d.Message, d.Hint)
		}
	}()
	err := handle(s, ctx, &r)
	var list diag.List
	var fault *diag.Fault
	switch {
	case err == nil:
	case errors.As(err, &list) && len(list) > 0, errors.As(err, &fault):
		d := engine.Faults(err).Sorted()[0]
		s.fail(ctx, r.ID, d.Message, d.Hint)
	default:
		s.fail(ctx, r.ID, err.Error(), "")
	}
}

func (s *Session) fail(ctx context.Context, id uint32, text, hint string) {
	if ctx.Err() == nil {
		s.to.Text(Failed{Type: "failed", ID: id, Text: text, Hint: hint})
	}
}

// reads reads and checks a text, once for all that is asked about it.
func (s *Session) reads(r *Request) *reading {
	s.mu.Lock()
	defer s.mu.Unlock()
	if k := s.read; k != nil && k.path == r.Path && k.file.Text == r.Text {
		return k
	}
	return s.readAnew(r)
}

// readsAnew is reads, what the text uses included: it may have changed since.
func (s *Session) readsAnew(r *Request) *reading {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.readAnew(r)
}

// readAnew is readsAnew while the lock is held.
func (s *Session) readAnew(r *Request) *reading {
	k := &reading{path: r.Path, units: unitsOf(r.Text), file: source.New(r.Path, r.Text)}
	k.draft = engine.Read(k.file, s.settings)
	k.document, k.list = k.draft.Document, k.draft.List
	s.read = k
	return k
}

// progressEvery is how often it is said how much of a long work is done.
const progressEvery = 100 * time.Millisecond

// progress tells the page of a word's long work for a request.
func (s *Session) progress(ctx context.Context, r *Request) func(done, of int) {
	var mu sync.Mutex
	var last time.Time
	return func(done, of int) {
		mu.Lock()
		defer mu.Unlock()
		if now := time.Now(); ctx.Err() == nil && now.Sub(last) >= progressEvery {
			last = now
			s.to.Text(Progress{"progress", r.ID, done, of})
		}
	}
}

// latest is the drawing of a text: the one that is there, or one that is made. The
// error is a diag.List.
func (s *Session) latest(ctx context.Context, r *Request) (*drawing, error) {
	s.mu.Lock()
	d := s.drawn
	s.mu.Unlock()
	if d != nil && d.text == r.Text {
		return d, nil
	}
	program, list := engine.Read(source.New(r.Path, r.Text), s.settings).Load(s.progress(ctx, r))
	if program == nil {
		return nil, list
	}
	drawn, list := program.Draw(ctx)
	if list.Failed() || drawn == nil {
		return nil, list
	}
	return newDrawing(r.Text, program, drawn), nil
}
