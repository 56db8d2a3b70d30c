package editors

import (
	"context"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/cmd/wend/drawing"
	"wend/lang/assist"
	"wend/lang/diag"
	"wend/lang/source"
)

// text is a text that an editor has open. It is never changed; a change makes
// another one.
type text struct {
	file     *source.File
	version  int32
	cancel   context.CancelFunc // ends what is worked out about it
	document *assist.Document
	list     diag.List // what is to say about it, as far as that is known
}

// A program is run in the background for so long at most, after it has rested
// for a while.
const (
	longestRun = 3 * time.Second
	rest       = 150 * time.Millisecond
)

// requestFailed is the protocol's code of a request that cannot be fulfilled.
const requestFailed = jsonrpc2.Code(-32803)

func failed(err error) error { return jsonrpc2.NewError(requestFailed, err.Error()) }

// changed takes in a change of a text, says at once what is wrong with it, and has
// it run in the background.
func (s *server) changed(at uri.URI, version int32, change func(old string) (string, error)) {
	s.mu.Lock()
	old := ""
	if before := s.texts[at]; before != nil {
		old = before.file.Text
		before.cancel()
	}
	s.mu.Unlock()
	now, err := change(old)
	if err != nil {
		return // the next change of the whole text mends it
	}
	ctx, cancel := context.WithCancel(s.base)
	t := &text{file: source.New(fileName(at), now), version: version, cancel: cancel}
	settings := s.settings()
	t.document, t.list = drawing.Assisted(t.file, nil, nil, settings)
	s.mu.Lock()
	s.texts[at] = t
	s.mu.Unlock()
	s.publish(ctx, at, t, t.list)
	go s.run(ctx, at, t, settings)
}

// run runs a program and says all that there is to say about it, as `wend check`
// does.
func (s *server) run(ctx context.Context, at uri.URI, t *text, settings drawing.Settings) {
	select {
	case <-time.After(rest):
	case <-ctx.Done():
		return
	}
	limited, done := context.WithTimeout(ctx, longestRun)
	defer done()
	program, list := drawing.Load(t.file, settings)
	if program != nil && ctx.Err() == nil {
		_, more := program.Draw(limited)
		list = append(list, more...).Sorted()
	}
	if ctx.Err() != nil {
		return // a later text has come
	}
	s.mu.Lock()
	if s.texts[at] == t {
		with := *t
		with.list = list
		s.texts[at] = &with
	}
	s.mu.Unlock()
	s.publish(ctx, at, t, list)
}

// publish sends what there is to say about a text.
func (s *server) publish(ctx context.Context, at uri.URI, t *text, list diag.List) {
	all := []protocol.Diagnostic{}
	for _, d := range list {
		if d.Span.File == nil || d.Span.File == t.file || d.Span.File.Name == t.file.Name {
			all = append(all, s.diagnostic(t.file, d))
		}
	}
	s.client.PublishDiagnostics(ctx, &protocol.PublishDiagnosticsParams{ //nolint:errcheck // the stream ends by itself
		URI: at, Version: protocol.NewOptional(t.version), Diagnostics: all,
	})
}

// settings read used files as they are in the editor, if they are open there.
func (s *server) settings() drawing.Settings {
	settings := s.Settings
	settings.Read = func(program, path string) (*source.File, error) {
		file, err := s.Settings.Read(program, path)
		if err != nil {
			return nil, err
		}
		s.mu.Lock()
		defer s.mu.Unlock()
		for _, t := range s.texts {
			if s.Same(t.file.Name, file.Name) {
				return source.New(file.Name, t.file.Text), nil
			}
		}
		return file, nil
	}
	return settings
}

// of is the text at an address; an error where none is open.
func (s *server) of(at uri.URI) (*text, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if t := s.texts[at]; t != nil {
		return t, nil
	}
	return nil, jsonrpc2.NewError(requestFailed, "no text is open at "+string(at))
}

func fileName(at uri.URI) string {
	if at.IsFile() {
		return at.FsPath()
	}
	return "<" + string(at) + ">"
}
