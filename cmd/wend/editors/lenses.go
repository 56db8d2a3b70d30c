package editors

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/cmd/wend/engine"
	"wend/lang/assist"
	"wend/runtime/gcode"
	"wend/runtime/preview"
)

// openPicture is the command that shows what a program draws.
const openPicture = "wend.openPicture"

// CodeLens gives, once a program ran to its end, what its drawing takes, above the
// first line, and above each figure what the line of that figure takes.
func (s *server) CodeLens(ctx context.Context, params *protocol.CodeLensParams) ([]protocol.CodeLens, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	all := []protocol.CodeLens{}
	ran := t.ran()
	if ran == nil || ran.costs == nil || ran.costs.Whole().LineMM == 0 {
		return all, nil
	}
	address, err := json.Marshal(params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	lens := func(at protocol.Range, what string, cost engine.Cost) {
		title := fmt.Sprintf("%s: %s of line, %s · open the picture", what, gcode.Length(cost.LineMM), gcode.Duration(cost.Seconds))
		all = append(all, protocol.CodeLens{Range: at, Command: protocol.Command{Title: title, Command: openPicture, Arguments: []protocol.LSPAny{address}}})
	}
	lens(protocol.Range{}, "the drawing", ran.costs.Whole())
	for _, symbol := range t.document.Outline() {
		if cost := ran.costs.Within(symbol.Span); symbol.Sort == assist.Figure && cost.LineMM > 0 {
			lens(s.span(symbol.At), "in all its uses", cost)
		}
	}
	return all, nil
}

// refreshLenses has the editor ask again for lenses, if it can.
func (s *server) refreshLenses() {
	if s.lenses {
		go s.client.CodeLensRefresh(s.base) //nolint:errcheck // the stream ends by itself
	}
}

// ExecuteCommand opens the picture of a program: that of its first sheet with line.
func (s *server) ExecuteCommand(ctx context.Context, params *protocol.ExecuteCommandParams) (protocol.LSPAny, error) {
	var at uri.URI
	if params.Command != openPicture || len(params.Arguments) != 1 || json.Unmarshal(params.Arguments[0], &at) != nil {
		return nil, failed(fmt.Errorf("there is `%s` with the address of a program, and no other command", openPicture))
	}
	t, err := s.of(ctx, at)
	if err != nil {
		return nil, err
	}
	ran := t.ran()
	if ran == nil {
		return nil, failed(fmt.Errorf("the program has not run to its end yet, so there is no picture of it"))
	}
	sheets := engine.WithLine(ran.plan)
	if len(sheets) == 0 {
		return nil, failed(fmt.Errorf("the program leaves no line to be seen"))
	}
	var svg bytes.Buffer
	if err := preview.SVG(&svg, ran.program.Picture(ran.plan, sheets[0]), ran.plan.Seed); err != nil {
		return nil, failed(err)
	}
	name, err := s.Picture(t.file.Name, svg.Bytes())
	if err != nil {
		return nil, failed(err)
	}
	return nil, s.show(ctx, name)
}

// show has the editor open a file for somebody to see, or say where it lies.
func (s *server) show(ctx context.Context, name string) error {
	if s.shows {
		outside := true
		if done, err := s.client.ShowDocument(ctx, &protocol.ShowDocumentParams{URI: uri.File(name), External: &outside}); err == nil && done.Success {
			return nil
		}
	}
	return s.client.ShowMessage(ctx, &protocol.ShowMessageParams{Type: protocol.MessageTypeInfo, Message: "the picture is " + name})
}
