package editors

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/machine"
)

// editor is a scripted client at the other end of a pipe: it speaks JSON by the
// protocol's module, and knows nothing of the server but what it is sent.
type editor struct {
	protocol.UnimplementedClient
	to        protocol.Server
	t         testing.TB
	mu        sync.Mutex
	published map[uri.URI]*protocol.PublishDiagnosticsParams
	news      chan struct{}
	ended     chan bool
	folder    string
	shown     chan uri.URI
}

func (e *editor) ShowDocument(_ context.Context, params *protocol.ShowDocumentParams) (*protocol.ShowDocumentResult, error) {
	e.shown <- params.URI
	return &protocol.ShowDocumentResult{Success: true}, nil
}

func (e *editor) PublishDiagnostics(_ context.Context, params *protocol.PublishDiagnosticsParams) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	copied, err := protocol.Clone(*params)
	if err != nil {
		return err
	}
	e.published[params.URI] = &copied
	select {
	case e.news <- struct{}{}:
	default:
	}
	return nil
}

func start(t testing.TB, encodings ...protocol.PositionEncodingKind) (*editor, *protocol.InitializeResult) {
	here, there := net.Pipe()
	e := &editor{t: t, published: map[uri.URI]*protocol.PublishDiagnosticsParams{}, news: make(chan struct{}, 1), ended: make(chan bool, 1), shown: make(chan uri.URI, 1), folder: t.TempDir()}
	ctx, cancel := context.WithCancel(context.Background())
	t.Cleanup(cancel)
	go func() {
		orderly, _ := Serve(ctx, there, Options{
			Settings: engine.Settings{Profile: machine.DeskToy(), Read: readBeside}, Version: "test",
			Same: func(a, b string) bool { return a == b },
			Explained: func(code diag.Code) (string, bool) {
				return filepath.Join(e.folder, string(code)), code == "unknown-word"
			},
			Picture: func(program string, svg []byte) (string, error) {
				return program + ".svg", os.WriteFile(program+".svg", svg, 0o600)
			},
		})
		e.ended <- orderly
	}()
	conn := jsonrpc2.NewConn(jsonrpc2.NewStream(here), jsonrpc2.WithCodec(codec{}))
	handler := protocol.ClientHandler(e, jsonrpc2.MethodNotFoundHandler)
	conn.Go(ctx, func(_ context.Context, req *jsonrpc2.Request) (any, error) { return handler(context.Background(), req) })
	e.to = protocol.ServerDispatcher(conn)
	result, err := e.to.Initialize(ctx, &protocol.InitializeParams{
		Capabilities: protocol.ClientCapabilities{
			General: &protocol.GeneralClientCapabilities{PositionEncodings: encodings},
			Window:  &protocol.WindowClientCapabilities{ShowDocument: &protocol.ShowDocumentClientCapabilities{Support: true}},
		},
		InitializationOptions: protocol.LSPAny(`{"inlayHints": true}`),
	})
	require.NoError(t, err)
	return e, result
}

func readBeside(_, name string) (*source.File, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return source.New(name, string(data)), nil
}

func (e *editor) opens(name, text string) uri.URI {
	at := uri.File(filepath.Join(e.folder, name))
	require.NoError(e.t, e.to.DidOpen(context.Background(), &protocol.DidOpenTextDocumentParams{
		TextDocument: protocol.TextDocumentItem{URI: at, Version: 1, Text: text},
	}))
	return at
}

func (e *editor) changes(at uri.URI, version int32, changes ...protocol.TextDocumentContentChangeEvent) {
	params := &protocol.DidChangeTextDocumentParams{ContentChanges: changes}
	params.TextDocument.URI, params.TextDocument.Version = at, version
	require.NoError(e.t, e.to.DidChange(context.Background(), params))
}

// sees waits until what is said about a text is as wanted.
func (e *editor) sees(at uri.URI, what string, so func([]protocol.Diagnostic) bool) []protocol.Diagnostic {
	e.t.Helper()
	deadline := time.After(time.Minute)
	for {
		e.mu.Lock()
		p := e.published[at]
		e.mu.Unlock()
		if p != nil && so(p.Diagnostics) {
			return p.Diagnostics
		}
		select {
		case <-e.news:
		case <-deadline:
			e.t.Fatalf("%s did not come; said was %v", what, p)
		}
	}
}

func (e *editor) code(at uri.URI, code string) protocol.Diagnostic {
	e.t.Helper()
	var found protocol.Diagnostic
	e.sees(at, code, func(all []protocol.Diagnostic) bool {
		for _, d := range all {
			if d.Code == protocol.String(code) {
				found = d
				return true
			}
		}
		return false
	})
	return found
}

// on is a place of a text, where a mark stands.
func on(at uri.URI, marked string) protocol.TextDocumentPositionParams {
	before, _, _ := strings.Cut(marked, "|")
	line := strings.Count(before, "\n")
	p := protocol.TextDocumentPositionParams{}
	p.TextDocument.URI = at
	p.Position = protocol.Position{Line: uint32(line), Character: uint32(units16(before[strings.LastIndex(before, "\n")+1:]))}
	return p
}

func TestAnEditorIsToldWhatIsWrongAsOneTypes(t *testing.T) {
	e, result := start(t)
	require.Equal(t, protocol.PositionEncodingKindUTF16, result.Capabilities.PositionEncoding)
	at := e.opens("a.wend", "ahead 20\n")
	e.sees(at, "nothing", func(all []protocol.Diagnostic) bool { return len(all) == 0 })
	// Behind a sign of two units.
	e.changes(at, 2, &protocol.TextDocumentContentChangeWholeDocument{Text: "note \"𝄞\"; ahed 20\n"})
	d := e.code(at, "unknown-word")
	require.Equal(t, protocol.Range{Start: protocol.Position{Character: 11}, End: protocol.Position{Character: 15}}, d.Range)
	require.Contains(t, string(d.Message.(protocol.String)), "did you mean")
	require.Equal(t, uri.File(filepath.Join(e.folder, "unknown-word")), d.CodeDescription.Href)
	hover, err := e.to.Hover(context.Background(), &protocol.HoverParams{TextDocumentPositionParams: on(at, "note \"𝄞\"; ah|ed 20")})
	require.NoError(t, err)
	require.Contains(t, hover.Contents.(*protocol.MarkupContent).Value, "`unknown-word`", "the page of the message, for who has no browser")
	e.changes(at, 3, &protocol.TextDocumentContentChangePartial{Range: d.Range, Text: "ahead"})
	e.sees(at, "nothing", func(all []protocol.Diagnostic) bool { return len(all) == 0 })
	// Off the page shows when it was run.
	e.changes(at, 4, &protocol.TextDocumentContentChangePartial{Range: protocol.Range{Start: protocol.Position{Character: 17}, End: protocol.Position{Character: 19}}, Text: "2000"})
	d = e.code(at, "line-off-page")
	actions, err := e.to.CodeAction(context.Background(), &protocol.CodeActionParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}, Range: d.Range})
	require.NoError(t, err)
	require.NotEmpty(t, actions)
	require.NotEmpty(t, actions[0].(*protocol.CodeAction).Edit.Changes[at])
	require.NoError(t, e.to.DidClose(context.Background(), &protocol.DidCloseTextDocumentParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}}))
	e.sees(at, "nothing", func(all []protocol.Diagnostic) bool { return len(all) == 0 })
}

func TestAnEditorGetsAnswers(t *testing.T) {
	e, _ := start(t)
	require.NoError(t, os.WriteFile(filepath.Join(e.folder, "flowers.wend"), []byte("figure rose(n) { ahead n }\n"), 0o600))
	text := "use \"flowers.wend\" as flowers\n# Half of it.\nfn half(x) = x / 2\nlet side = half(9)\nflowers.rose side\n"
	at := e.opens("b.wend", text)
	ctx := context.Background()

	hover, err := e.to.Hover(ctx, &protocol.HoverParams{TextDocumentPositionParams: on(at, "use \"flowers.wend\" as flowers\n# Half of it.\nfn half(x) = x / 2\nlet side = ha|lf(9)")})
	require.NoError(t, err)
	require.Contains(t, hover.Contents.(*protocol.MarkupContent).Value, "Half of it.")

	found, err := e.to.Completion(ctx, &protocol.CompletionParams{TextDocumentPositionParams: on(at, text+"|")})
	require.NoError(t, err)
	require.Greater(t, len(found.(*protocol.CompletionList).Items), 20)

	where, err := e.to.Definition(ctx, &protocol.DefinitionParams{TextDocumentPositionParams: on(at, strings.Replace(text, "flowers.rose", "flowers.ro|se", 1))})
	require.NoError(t, err)
	require.Equal(t, uri.File(filepath.Join(e.folder, "flowers.wend")), where.(*protocol.Location).URI)

	uses, err := e.to.References(ctx, &protocol.ReferenceParams{TextDocumentPositionParams: on(at, strings.Replace(text, "fn half", "fn ha|lf", 1))})
	require.NoError(t, err)
	require.Len(t, uses, 1)

	marked, err := e.to.DocumentHighlight(ctx, &protocol.DocumentHighlightParams{TextDocumentPositionParams: on(at, strings.Replace(text, "flowers.rose", "flowers.ro|se", 1))})
	require.NoError(t, err)
	require.Len(t, marked, 1, "in the text itself alone")

	renamed, err := e.to.Rename(ctx, &protocol.RenameParams{TextDocumentPositionParams: on(at, strings.Replace(text, "flowers.rose", "flowers.ro|se", 1)), NewName: "bloom"})
	require.NoError(t, err)
	require.Len(t, renamed.Changes, 2, "also in the used file")
	_, err = e.to.Rename(ctx, &protocol.RenameParams{TextDocumentPositionParams: on(at, strings.Replace(text, "let side", "let si|de", 1)), NewName: "half"})
	require.ErrorContains(t, err, "`half`")
	_, err = e.to.PrepareRename(ctx, &protocol.PrepareRenameParams{TextDocumentPositionParams: on(at, "u|se")})
	require.Error(t, err)

	help, err := e.to.SignatureHelp(ctx, &protocol.SignatureHelpParams{TextDocumentPositionParams: on(at, strings.Replace(text, "half(9", "half(|9", 1))})
	require.NoError(t, err)
	require.Equal(t, "half(x)", help.Signatures[0].Label)

	symbols, err := e.to.DocumentSymbol(ctx, &protocol.DocumentSymbolParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}})
	require.NoError(t, err)
	require.Len(t, symbols, 3)

	colors, err := e.to.SemanticTokensFull(ctx, &protocol.SemanticTokensParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}})
	require.NoError(t, err)
	require.Equal(t, []uint32{0, 0, 3, 0, 0}, colors.Data[:5], "the keyword `use`")
	require.Zero(t, len(colors.Data)%5)

	laid, err := e.to.Formatting(ctx, &protocol.DocumentFormattingParams{TextDocument: protocol.TextDocumentIdentifier{URI: e.opens("c.wend", "loop 4 {\nahead   3\n}\n")}})
	require.NoError(t, err)
	require.Equal(t, "loop 4 {\n  ahead 3\n}\n", laid[0].NewText)

	folds, err := e.to.FoldingRanges(ctx, &protocol.FoldingRangeParams{TextDocument: protocol.TextDocumentIdentifier{URI: uri.File(filepath.Join(e.folder, "c.wend"))}})
	require.NoError(t, err)
	require.Len(t, folds, 1)
	grown, err := e.to.SelectionRange(ctx, &protocol.SelectionRangeParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}, Positions: []protocol.Position{{Line: 3, Character: 5}}})
	require.NoError(t, err)
	require.NotNil(t, grown[0].Parent)

	_, err = e.to.Hover(ctx, &protocol.HoverParams{TextDocumentPositionParams: on(uri.File("/nowhere.wend"), "|")})
	require.ErrorContains(t, err, "no text is open")
}

func TestTheServerEndsAsTheProtocolHasIt(t *testing.T) {
	e, result := start(t, protocol.PositionEncodingKindUTF8)
	require.Equal(t, protocol.PositionEncodingKindUTF8, result.Capabilities.PositionEncoding)
	require.NoError(t, e.to.Shutdown(context.Background()))
	e.to.Exit(context.Background()) //nolint:errcheck // the stream may be gone
	require.True(t, <-e.ended)

	e, _ = start(t)
	e.to.Exit(context.Background()) //nolint:errcheck // the stream may be gone
	require.False(t, <-e.ended)
}

func TestAnEditorShowsWhatADrawingTakes(t *testing.T) {
	e, _ := start(t)
	ctx := context.Background()
	at := e.opens("lens.wend", "figure step(n) {\n  ahead n\n}\nfigure unused() { ahead 1 }\nbegin 10, 10\nstep 20\nstep 30\nturn 90\nahead 50\n")
	var lenses []protocol.CodeLens
	require.Eventually(t, func() bool {
		var err error
		lenses, err = e.to.CodeLens(ctx, &protocol.CodeLensParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}})
		require.NoError(t, err)
		return len(lenses) == 2
	}, time.Minute, 20*time.Millisecond)
	require.Regexp(t, `^the drawing: 100\.0 mm of line, \d+ s · open the picture$`, lenses[0].Command.Title)
	require.Regexp(t, `^in all its uses: 50\.0 mm of line, \d+ s · open the picture$`, lenses[1].Command.Title)
	require.Equal(t, uint32(0), lenses[1].Range.Start.Line)

	_, err := e.to.ExecuteCommand(ctx, &protocol.ExecuteCommandParams{Command: lenses[0].Command.Command, Arguments: lenses[0].Command.Arguments})
	require.NoError(t, err)
	svg, err := os.ReadFile((<-e.shown).FsPath())
	require.NoError(t, err)
	require.Contains(t, string(svg), "</svg>")
	_, err = e.to.ExecuteCommand(ctx, &protocol.ExecuteCommandParams{Command: "wend.unknown"})
	require.Error(t, err)

	hints, err := e.to.InlayHint(ctx, &protocol.InlayHintParams{TextDocument: protocol.TextDocumentIdentifier{URI: at}, Range: protocol.Range{Start: protocol.Position{Line: 7}, End: protocol.Position{Line: 9}}})
	require.NoError(t, err)
	require.Len(t, hints, 2)
	require.Equal(t, protocol.String("°"), hints[0].Label)
	require.Equal(t, protocol.Position{Line: 7, Character: 7}, hints[0].Position)
	require.Equal(t, protocol.String(" mm"), hints[1].Label)
}

func TestWhatATextUsesIsReadAsTheEditorHasIt(t *testing.T) {
	e, _ := start(t)
	require.NoError(t, os.WriteFile(filepath.Join(e.folder, "petals.wend"), []byte("figure rose(n) { ahead n }\n"), 0o600))
	at := e.opens("main.wend", "use \"petals.wend\" as petals\npetals.rose 3\n")
	none := func(all []protocol.Diagnostic) bool { return len(all) == 0 }
	e.sees(at, "nothing", none)
	used := e.opens("petals.wend", "figure bloom(n) { ahead n }\n")
	e.sees(at, "a message about what is gone", func(all []protocol.Diagnostic) bool { return len(all) == 1 })
	e.changes(used, 2, &protocol.TextDocumentContentChangeWholeDocument{Text: "figure rose(n) { ahed n }\n"})
	d := e.sees(at, "a message about a mistake in it", func(all []protocol.Diagnostic) bool {
		return len(all) == 1 && all[0].Code == protocol.String("unknown-word")
	})[0]
	require.Contains(t, string(d.Message.(protocol.String)), "in petals.wend, line 1: ")
	require.Equal(t, protocol.Position{Character: 4}, d.Range.Start, "where it is named")
	require.Equal(t, used, d.RelatedInformation[0].Location.URI)
	require.NoError(t, e.to.DidClose(context.Background(), &protocol.DidCloseTextDocumentParams{TextDocument: protocol.TextDocumentIdentifier{URI: used}}))
	e.sees(at, "nothing: it is as it was saved", none)
}

// A question about a text that is long to read is taken back meanwhile.
func TestAQuestionCanBeTakenBack(t *testing.T) {
	e, _ := start(t)
	at := e.opens("long.wend", strings.Repeat("note \"a {1 + 2}\"\n", 20_000))
	ctx, cancel := context.WithCancel(context.Background())
	asked := make(chan error, 1)
	go func() {
		_, err := e.to.Hover(ctx, &protocol.HoverParams{TextDocumentPositionParams: on(at, "no|te")})
		asked <- err
	}()
	cancel()
	require.ErrorIs(t, <-asked, context.Canceled)
	// The server answers others, and the next state of the text.
	e.changes(at, 2, &protocol.TextDocumentContentChangeWholeDocument{Text: "ahead 20\n"})
	hover, err := e.to.Hover(context.Background(), &protocol.HoverParams{TextDocumentPositionParams: on(at, "ah|ead 20")})
	require.NoError(t, err)
	require.NotNil(t, hover)
}

func TestARunThatTakesTooLongIsSaidToBeCutShort(t *testing.T) {
	e, _ := start(t)
	at := e.opens("endless.wend", "let n = 0\nloop i in 1..100_000_000 { n += mod(i, 3) }\nahead 5\n")
	d := e.code(at, "run-stopped")
	require.Equal(t, protocol.DiagnosticSeverityInformation, d.Severity)
	require.Contains(t, string(d.Message.(protocol.String)), "`wend check`")
}

// Random edits never bring the server out of step: in the end it says of the text
// what a check of that text says, with the run.
func TestAfterAnyEditsTheServerSaysWhatACheckSays(t *testing.T) {
	e, _ := start(t)
	pieces := []string{
		"ahead 20\n", "let ä = 3\n", "loop 4 {", "}", "𝄞", "\"", "turn ", "\r\n", "(", "draw x", "# c\n", ", ", "ä",
		"figure f(a) { ahead a }\n", "f 3\n", "ahead 900\n", "begin 5, 5\n", "turn 20mm\n",
	}
	for sequence := range uint64(5) {
		rng := rand.New(rand.NewPCG(1, sequence))
		at := e.opens(fmt.Sprintf("random%d.wend", sequence), "")
		text := ""
		for version := int32(2); version < 20+int32(sequence)*8; version++ {
			file := source.New("", text)
			s := &server{encoding: protocol.PositionEncodingKindUTF16}
			a := rng.IntN(len(text) + 1)
			b := a
			if rng.IntN(3) == 0 {
				b = min(len(text), a+rng.IntN(8))
			}
			span := protocol.Range{Start: s.position(file, a), End: s.position(file, b)}
			a, b = s.offset(file, span.Start), s.offset(file, span.End)
			piece := pieces[rng.IntN(len(pieces))]
			text = text[:a] + piece + text[b:]
			e.changes(at, version, &protocol.TextDocumentContentChangePartial{Range: span, Text: piece})
		}
		program, list := engine.Load(source.New(at.FsPath(), text), engine.Settings{Profile: machine.DeskToy(), Read: readBeside})
		if program != nil {
			_, more := program.Draw(context.Background())
			list = append(list, more...).Sorted()
		}
		var want []string
		for _, d := range list {
			want = append(want, string(d.Code))
		}
		e.sees(at, strings.Join(want, " ")+" of "+text, func(all []protocol.Diagnostic) bool {
			var got []string
			for _, d := range all {
				got = append(got, string(d.Code.(protocol.String)))
			}
			return strings.Join(got, " ") == strings.Join(want, " ")
		})
	}
}
