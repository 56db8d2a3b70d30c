// Package editors speaks the Language Server Protocol (3.17 and later)
// over a stream. It keeps the texts that an editor has open, asks lang/assist
// about them, and turns the answers into the protocol's words: nothing is
// decided here. It is the sole importer of the protocol's module.
package editors

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/cmd/wend/drawing"
	"wend/lang/source"
)

// Options are what a server works with.
type Options struct {
	Settings drawing.Settings
	Version  string
	// Same reports whether two names of files mean one file.
	Same func(a, b string) bool
}

// Serve answers an editor until it says goodbye or the stream ends. It reports
// whether the editor shut it down first, as the protocol asks for.
func Serve(ctx context.Context, stream io.ReadWriteCloser, o Options) (orderly bool, err error) {
	s := &server{Options: o, texts: map[uri.URI]*text{}, encoding: protocol.PositionEncodingKindUTF16}
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
	return s.shutDown, err
}

// inOrder lets what changes a text be done before anything after it is looked at;
// questions are answered beside one another. Each answer is worked out at once,
// so there is nothing that a cancellation could cut short. What is done about a
// request gets the server's own context: the module uses a request again once it
// is answered, and a context made from its own would outlive it.
func (s *server) inOrder(handler jsonrpc2.Handler) jsonrpc2.Handler {
	return func(ctx context.Context, req *jsonrpc2.Request) (any, error) {
		if req.Method() == protocol.MethodCancelRequest {
			return nil, nil
		}
		if strings.HasPrefix(req.Method(), "textDocument/") && !strings.HasPrefix(req.Method(), "textDocument/did") {
			jsonrpc2.Async(ctx)
		}
		return handler(s.base, req)
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

	mu       sync.Mutex
	texts    map[uri.URI]*text
	encoding protocol.PositionEncodingKind
	shutDown bool
}

func (s *server) Initialize(_ context.Context, params *protocol.InitializeParams) (*protocol.InitializeResult, error) {
	if g := params.Capabilities.General; g != nil && slices.Contains(g.PositionEncodings, protocol.PositionEncodingKindUTF8) {
		s.mu.Lock()
		s.encoding = protocol.PositionEncodingKindUTF8
		s.mu.Unlock()
	}
	incremental := protocol.TextDocumentSyncKindIncremental
	t := true
	return &protocol.InitializeResult{
		ServerInfo: protocol.ServerInfo{Name: "wend", Version: protocol.NewOptional(s.Version)},
		Capabilities: protocol.ServerCapabilities{
			PositionEncoding:           s.encoding,
			TextDocumentSync:           &protocol.TextDocumentSyncOptions{OpenClose: &t, Change: &incremental},
			CompletionProvider:         &protocol.CompletionOptions{TriggerCharacters: []string{"."}},
			HoverProvider:              protocol.Boolean(true),
			SignatureHelpProvider:      &protocol.SignatureHelpOptions{TriggerCharacters: []string{"(", ",", " "}},
			DefinitionProvider:         protocol.Boolean(true),
			ReferencesProvider:         protocol.Boolean(true),
			DocumentSymbolProvider:     protocol.Boolean(true),
			DocumentFormattingProvider: protocol.Boolean(true),
			CodeActionProvider:         &protocol.CodeActionOptions{CodeActionKinds: []protocol.CodeActionKind{protocol.CodeActionKindQuickFix}},
			RenameProvider:             &protocol.RenameOptions{PrepareProvider: &t},
			FoldingRangeProvider:       protocol.Boolean(true),
			SelectionRangeProvider:     protocol.Boolean(true),
			SemanticTokensProvider:     &protocol.SemanticTokensOptions{Legend: legend(), Full: protocol.Boolean(true)},
		},
	}, nil
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

func (s *server) DidClose(ctx context.Context, params *protocol.DidCloseTextDocumentParams) error {
	s.mu.Lock()
	if t := s.texts[params.TextDocument.URI]; t != nil {
		t.cancel()
		delete(s.texts, params.TextDocument.URI)
	}
	s.mu.Unlock()
	return s.client.PublishDiagnostics(ctx, &protocol.PublishDiagnosticsParams{URI: params.TextDocument.URI, Diagnostics: []protocol.Diagnostic{}})
}
