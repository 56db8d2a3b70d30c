// Package editors speaks the Language Server Protocol (3.17 and later)
// over a stream. It keeps the texts that an editor has open, asks lang/assist
// about them, and turns the answers into the protocol's words: nothing is
// decided here. It is the sole importer of the protocol's module.
package editors

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"sync"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
)

// Options are what a server works with.
type Options struct {
	Settings engine.Settings
	Version  string
	// Same reports whether two names of files mean one file.
	Same func(a, b string) bool
	// Explained is a file in which the page of a message can be read; false where
	// there is none.
	Explained func(code diag.Code) (name string, ok bool)
	// Picture keeps a picture, as an SVG file, where the editor can open it.
	Picture func(program string, svg []byte) (name string, err error)
}

// Serve answers an editor until it says goodbye or the stream ends. It reports
// whether the editor shut it down first, as the protocol asks for.
func Serve(ctx context.Context, stream io.ReadWriteCloser, o Options) (orderly bool, err error) {
	s := &server{
		Options: o, texts: map[uri.URI]*text{}, encoding: protocol.PositionEncodingKindUTF16,
		asked: map[jsonrpc2.ID]context.CancelFunc{}, checking: make(chan struct{}, 1),
	}
	ctx, s.stop = context.WithCancel(ctx)
	defer s.stop()
	s.base = ctx
	conn := jsonrpc2.NewConn(jsonrpc2.NewStream(stream), jsonrpc2.WithCodec(codec{}))
	s.client = protocol.ClientDispatcher(conn)
	conn.Go(ctx, s.inOrder(protocol.ServerHandler(s, jsonrpc2.MethodNotFoundHandler)))
	select {
	case <-conn.Done():
		err = conn.Err()
	case <-ctx.Done():
		// Closing waits for what is read, and that may never come.
		go conn.Close() //nolint:errcheck // it ends here in any case
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.shutDown {
		return true, nil // however the stream ended then
	}
	return false, err
}

// inOrder lets what changes a text be done before anything after it is looked at;
// questions are answered beside one another, and one that is taken back is not
// waited for. What is done about a request gets a context of the server's own: the
// module uses a request again once it is answered, and a context made from its own
// would outlive it.
func (s *server) inOrder(handler jsonrpc2.Handler) jsonrpc2.Handler {
	return func(ctx context.Context, req *jsonrpc2.Request) (any, error) {
		if req.Method() == protocol.MethodCancelRequest {
			s.takeBack(req.Params())
			return nil, nil
		}
		own := s.base
		if req.IsCall() && req.Method() != protocol.MethodInitialize && req.Method() != protocol.MethodShutdown {
			var cancel context.CancelFunc
			own, cancel = context.WithCancel(s.base)
			defer cancel()
			id := req.ID()
			s.mu.Lock()
			s.asked[id] = cancel
			s.mu.Unlock()
			defer func() {
				s.mu.Lock()
				delete(s.asked, id)
				s.mu.Unlock()
			}()
			jsonrpc2.Async(ctx)
		}
		result, err := handler(own, req)
		if err == nil && own.Err() != nil && s.base.Err() == nil {
			return nil, jsonrpc2.NewError(requestCancelled, "not wanted any more")
		}
		if err == nil && result == nil && req.IsCall() {
			return jsonrpc2.RawMessage("null"), nil // an answer without a result is none
		}
		return result, err
	}
}

// takeBack ends the waiting for the answer to a request.
func (s *server) takeBack(params []byte) {
	var taken struct {
		ID json.RawMessage `json:"id"`
	}
	if json.Unmarshal(params, &taken) != nil {
		return
	}
	var id jsonrpc2.ID
	var number int64
	var name string
	switch {
	case json.Unmarshal(taken.ID, &number) == nil:
		id = jsonrpc2.NewNumberID(number)
	case json.Unmarshal(taken.ID, &name) == nil:
		id = jsonrpc2.NewStringID(name)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if cancel := s.asked[id]; cancel != nil {
		cancel()
	}
}

// codec writes and reads the protocol's values.
type codec struct{}

func (codec) Marshal(v any) ([]byte, error) {
	if raw, ok := v.(jsonrpc2.RawMessage); ok {
		return raw, nil
	}
	return protocol.Marshal(v)
}

func (codec) Unmarshal(data []byte, v any) error {
	if raw, ok := v.(*jsonrpc2.RawMessage); ok {
		*raw = slices.Clone(data)
		return nil
	}
	return protocol.Unmarshal(data, v)
}

type server struct {
	protocol.UnimplementedServer
	Options
	client protocol.Client
	base   context.Context
	stop   context.CancelFunc

	publishing sync.Mutex    // held while messages are sent
	checking   chan struct{} // holds one while a text is read and checked

	mu       sync.Mutex
	texts    map[uri.URI]*text
	asked    map[jsonrpc2.ID]context.CancelFunc // what is being answered
	encoding protocol.PositionEncodingKind
	shows    bool // the editor can open a file for somebody to see
	watches  bool // the editor can be asked to look after files
	lenses   bool // the editor asks again for lenses when it is told to
	shutDown bool
}

func (s *server) Initialize(_ context.Context, params *protocol.InitializeParams) (*protocol.InitializeResult, error) {
	if g := params.Capabilities.General; g != nil && slices.Contains(g.PositionEncodings, protocol.PositionEncodingKindUTF8) {
		s.mu.Lock()
		s.encoding = protocol.PositionEncodingKindUTF8
		s.mu.Unlock()
	}
	if w := params.Capabilities.Window; w != nil && w.ShowDocument != nil {
		s.shows = w.ShowDocument.Support
	}
	if w := params.Capabilities.Workspace; w != nil {
		s.lenses = w.CodeLens != nil && w.CodeLens.RefreshSupport != nil && *w.CodeLens.RefreshSupport
		s.watches = w.DidChangeWatchedFiles != nil && w.DidChangeWatchedFiles.DynamicRegistration != nil && *w.DidChangeWatchedFiles.DynamicRegistration
	}
	var wishes struct {
		InlayHints bool `json:"inlayHints"`
	}
	if len(params.InitializationOptions) > 0 {
		json.Unmarshal(params.InitializationOptions, &wishes) //nolint:errcheck // what is none of ours is not looked at
	}
	incremental := protocol.TextDocumentSyncKindIncremental
	t := true
	result := &protocol.InitializeResult{
		ServerInfo: protocol.ServerInfo{Name: "wend", Version: protocol.NewOptional(s.Version)},
		Capabilities: protocol.ServerCapabilities{
			PositionEncoding:           s.encoding,
			TextDocumentSync:           &protocol.TextDocumentSyncOptions{OpenClose: &t, Change: &incremental},
			CompletionProvider:         &protocol.CompletionOptions{TriggerCharacters: []string{"."}},
			HoverProvider:              protocol.Boolean(true),
			SignatureHelpProvider:      &protocol.SignatureHelpOptions{TriggerCharacters: []string{"(", ",", " "}},
			DefinitionProvider:         protocol.Boolean(true),
			ReferencesProvider:         protocol.Boolean(true),
			DocumentHighlightProvider:  protocol.Boolean(true),
			DocumentSymbolProvider:     protocol.Boolean(true),
			DocumentFormattingProvider: protocol.Boolean(true),
			CodeActionProvider:         &protocol.CodeActionOptions{CodeActionKinds: []protocol.CodeActionKind{protocol.CodeActionKindQuickFix}},
			RenameProvider:             &protocol.RenameOptions{PrepareProvider: &t},
			FoldingRangeProvider:       protocol.Boolean(true),
			SelectionRangeProvider:     protocol.Boolean(true),
			SemanticTokensProvider:     &protocol.SemanticTokensOptions{Legend: legend(), Full: protocol.Boolean(true)},
			CodeLensProvider:           &protocol.CodeLensOptions{},
			ExecuteCommandProvider:     protocol.ExecuteCommandOptions{Commands: []string{openPicture}},
		},
	}
	if wishes.InlayHints {
		result.Capabilities.InlayHintProvider = protocol.Boolean(true)
	}
	return result, nil
}

// watched are the files that a program may read.
const watched = `{"watchers": [{"globPattern": "**/*.{wend,svg,csv,json,png,jpg,jpeg,gif,webp}"}]}`

// Initialized asks the editor to say when a file changes that a program may read.
func (s *server) Initialized(context.Context, *protocol.InitializedParams) error {
	if s.watches {
		go s.client.RegisterCapability(s.base, &protocol.RegistrationParams{Registrations: []protocol.Registration{ //nolint:errcheck // then it is as without
			{ID: "files", Method: protocol.MethodWorkspaceDidChangeWatchedFiles, RegisterOptions: protocol.LSPAny(watched)},
		}})
	}
	return nil
}

func (s *server) Shutdown(context.Context) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.shutDown = true
	return nil
}

func (s *server) Exit(context.Context) error {
	s.stop()
	return nil
}

func (s *server) DidOpen(_ context.Context, params *protocol.DidOpenTextDocumentParams) error {
	s.changed(params.TextDocument.URI, params.TextDocument.Version, func(string) (string, error) { return params.TextDocument.Text, nil })
	return nil
}

func (s *server) DidChange(_ context.Context, params *protocol.DidChangeTextDocumentParams) error {
	s.changed(params.TextDocument.URI, params.TextDocument.Version, func(old string) (string, error) {
		for _, change := range params.ContentChanges {
			switch c := change.(type) {
			case *protocol.TextDocumentContentChangeWholeDocument:
				old = c.Text
			case *protocol.TextDocumentContentChangePartial:
				file := source.New("", old)
				start, end := s.offset(file, c.Range.Start), s.offset(file, c.Range.End)
				if end < start {
					return "", fmt.Errorf("a change that ends before it begins")
				}
				old = old[:start] + c.Text + old[end:]
			}
		}
		return old, nil
	})
	return nil
}

// DidChangeWatchedFiles has every open text read again what it uses.
func (s *server) DidChangeWatchedFiles(context.Context, *protocol.DidChangeWatchedFilesParams) error {
	s.mu.Lock()
	all := maps.Clone(s.texts)
	s.mu.Unlock()
	for at, t := range all {
		s.put(at, t.version, t.file)
	}
	return nil
}

func (s *server) DidClose(ctx context.Context, params *protocol.DidCloseTextDocumentParams) error {
	s.mu.Lock()
	t := s.texts[params.TextDocument.URI]
	delete(s.texts, params.TextDocument.URI)
	s.mu.Unlock()
	if t != nil {
		t.leave()
		s.againThoseThatUse(t.file.Name) // they read it as it was saved
	}
	s.publishing.Lock()
	defer s.publishing.Unlock()
	return s.client.PublishDiagnostics(ctx, &protocol.PublishDiagnosticsParams{URI: params.TextDocument.URI, Diagnostics: []protocol.Diagnostic{}})
}
