package editors

import (
	"context"
	"fmt"
	"sync"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/cmd/wend/engine"
	"wend/lang/assist"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/plan"
)

// text is one state of a text that an editor has open. A change makes another one.
//
// What is worked out about it is worked out once, by whoever wants it first: the
// messages, which are sent as soon as it comes, or a question. A state that was
// left behind before anybody looked at it costs nothing.
type text struct {
	file    *source.File
	version int32
	ctx     context.Context // done once another state has come
	leave   context.CancelFunc

	read     sync.Once
	known    chan struct{} // closed once document and list are there
	document *assist.Document

	mu   sync.Mutex
	list diag.List // what is to say about it, as far as that is known
	uses []string  // the files that it read
	run  *run      // once it ran to its end
}

// run is what running a program gave.
type run struct {
	program *engine.Program
	plan    *plan.Plan
	costs   *engine.Costs
}

// A program is run in the background for so long at most, after it has rested
// for a while.
const (
	longestRun = 3 * time.Second
	rest       = 150 * time.Millisecond
)

// The protocol's codes of requests without an answer.
const (
	requestFailed    = jsonrpc2.Code(-32803)
	requestCancelled = jsonrpc2.Code(-32800)
	contentModified  = jsonrpc2.Code(-32801)
)

func failed(err error) error { return jsonrpc2.NewError(requestFailed, err.Error()) }

// changed takes in a change of a text; what there is to say about it, and about
// those that use it, follows.
func (s *server) changed(at uri.URI, version int32, change func(old string) (string, error)) {
	s.mu.Lock()
	old := ""
	if before := s.texts[at]; before != nil {
		old = before.file.Text
	}
	s.mu.Unlock()
	now, err := change(old)
	if err != nil {
		return // the next change of the whole text mends it
	}
	file := source.New(fileName(at), now)
	s.put(at, version, file)
	s.againThoseThatUse(file.Name)
}

// put makes a text the state of what is open at an address.
func (s *server) put(at uri.URI, version int32, file *source.File) {
	t := &text{file: file, version: version, known: make(chan struct{})}
	t.ctx, t.leave = context.WithCancel(s.base)
	s.mu.Lock()
	if before := s.texts[at]; before != nil {
		before.leave()
	}
	s.texts[at] = t
	s.mu.Unlock()
	go s.tell(at, t)
}

// againThoseThatUse works out anew what there is to say about each open text that
// reads a file.
func (s *server) againThoseThatUse(name string) {
	s.mu.Lock()
	again := map[uri.URI]*text{}
	for at, t := range s.texts {
		if t.reads(name, s.Same) {
			again[at] = t
		}
	}
	s.mu.Unlock()
	for at, t := range again {
		s.put(at, t.version, t.file)
	}
}

func (t *text) reads(name string, same func(a, b string) bool) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, used := range t.uses {
		if same(used, name) {
			return true
		}
	}
	return false
}

// messages are those about the text, as far as they are known.
func (t *text) messages() diag.List {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.list
}

// ran is what running it gave; nil as long as it is not known.
func (t *text) ran() *run {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.run
}

// wait waits until the text was read and checked, or another state of it has come,
// or nobody wants to know any more.
func (s *server) wait(ctx context.Context, t *text) error {
	t.read.Do(func() {
		go func() {
			// One at a time: of those that wait, most are left behind meanwhile.
			s.checking <- struct{}{}
			defer func() { <-s.checking }()
			if t.ctx.Err() != nil {
				return
			}
			document, list := engine.Assisted(t.file, nil, nil, s.settings(t))
			t.mu.Lock()
			t.list = list
			t.mu.Unlock()
			t.document = document
			close(t.known)
		}()
	})
	select {
	case <-t.known:
		return nil
	default:
	}
	select {
	case <-t.known:
		return nil
	case <-ctx.Done():
		return jsonrpc2.NewError(requestCancelled, "not wanted any more")
	case <-t.ctx.Done():
		return jsonrpc2.NewError(contentModified, "the text has changed meanwhile")
	}
}

// tell says at once what is wrong with a text, and runs it once nobody has
// changed it for a while.
func (s *server) tell(at uri.URI, t *text) {
	if s.wait(t.ctx, t) != nil {
		return
	}
	s.publish(at, t, nil)
	select {
	case <-time.After(rest):
	case <-t.ctx.Done():
		return
	}
	list, ended := s.runs(t)
	if t.ctx.Err() != nil {
		return
	}
	t.mu.Lock()
	t.list, t.run = list, ended
	t.mu.Unlock()
	var bounded *protocol.Diagnostic
	if ended == nil {
		bounded = s.bounded(t, list)
	}
	s.publish(at, t, bounded)
	s.refreshLenses()
}

// runs runs a program and gives all that there is to say about it, as `wend check`
// does, and what it drew, if it came to its end within the time.
func (s *server) runs(t *text) (diag.List, *run) {
	limited, done := context.WithTimeout(t.ctx, longestRun)
	defer done()
	program, list := engine.Load(t.file, s.settings(t))
	if program == nil {
		return list, nil
	}
	drawn, more := program.Draw(limited)
	list = append(list, more...).Sorted()
	if drawn == nil {
		return list, nil
	}
	ended := &run{program: program, plan: drawn}
	if costs, err := program.Costs(limited, drawn); err == nil {
		ended.costs = costs
	}
	return list, ended
}

// stopped is the code of a run that was ended from outside.
const stopped = diag.Code("run-stopped")

// bounded says that the program was not run to its end, if it was not.
func (s *server) bounded(t *text, list diag.List) *protocol.Diagnostic {
	for _, d := range list {
		if d.Code == stopped {
			span := d.Span
			if span.File == nil || span.File.Name != t.file.Name {
				span = source.Span{File: t.file}
			}
			return &protocol.Diagnostic{
				Range: s.span(span), Severity: protocol.DiagnosticSeverityInformation, Code: protocol.String(d.Code), Source: protocol.NewOptional("wend"),
				Message: protocol.String(fmt.Sprintf("the program was run for %v only, up to here; `wend check` runs all of it", longestRun)),
			}
		}
	}
	return nil
}

// publish sends what there is to say about a text, unless another state of it has
// come. Of two states the later is always said last.
func (s *server) publish(at uri.URI, t *text, bounded *protocol.Diagnostic) {
	s.publishing.Lock()
	defer s.publishing.Unlock()
	if t.ctx.Err() != nil {
		return
	}
	all := []protocol.Diagnostic{}
	for _, d := range t.messages() {
		if d.Code == stopped {
			continue
		}
		if d.Span.File == nil || d.Span.File == t.file || d.Span.File.Name == t.file.Name {
			all = append(all, s.diagnostic(t.file, d))
		} else {
			all = append(all, s.elsewhere(t.file, d))
		}
	}
	if bounded != nil {
		all = append(all, *bounded)
	}
	s.client.PublishDiagnostics(s.base, &protocol.PublishDiagnosticsParams{ //nolint:errcheck // the stream ends by itself
		URI: at, Version: protocol.NewOptional(t.version), Diagnostics: all,
	})
}

// settings read used files as they are in the editor, if they are open there, and
// note which files a text read.
func (s *server) settings(t *text) engine.Settings {
	settings := s.Settings
	settings.Read = func(program, path string) (*source.File, error) {
		file, err := s.Settings.Read(program, path)
		if err != nil {
			return nil, err
		}
		t.mu.Lock()
		t.uses = append(t.uses, file.Name)
		t.mu.Unlock()
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, open := range s.texts {
			if s.Same(open.file.Name, file.Name) {
				return source.New(file.Name, open.file.Text), nil
			}
		}
		return file, nil
	}
	return settings
}

// of is the text at an address, once it was read and checked; an error where none
// is open.
func (s *server) of(ctx context.Context, at uri.URI) (*text, error) {
	s.mu.Lock()
	t := s.texts[at]
	s.mu.Unlock()
	if t == nil {
		return nil, jsonrpc2.NewError(requestFailed, "no text is open at "+string(at))
	}
	return t, s.wait(ctx, t)
}

func fileName(at uri.URI) string {
	if at.IsFile() {
		return at.FsPath()
	}
	return "<" + string(at) + ">"
}
