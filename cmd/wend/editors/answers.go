package editors

import (
	"context"
	"fmt"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/types"
)

// place finds a text and the offset in it that a request is about.
func (s *server) place(ctx context.Context, p protocol.TextDocumentPositionParams) (*text, int, error) {
	t, err := s.of(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, 0, err
	}
	return t, s.offset(t.file, p.Position), nil
}

func (s *server) Completion(ctx context.Context, params *protocol.CompletionParams) (protocol.CompletionResult, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	found := t.document.Complete(at)
	list := &protocol.CompletionList{Items: []protocol.CompletionItem{}}
	for i, item := range found.Items {
		c := protocol.CompletionItem{
			Label: item.Insert, Kind: completionKind(item.Sort), Documentation: page(item.Page),
			SortText: protocol.NewOptional(fmt.Sprintf("%04d", i)),
			TextEdit: &protocol.TextEdit{Range: s.span(found.Span), NewText: item.Insert},
		}
		if len(item.Forms) > 0 {
			c.Detail = protocol.NewOptional(item.Forms[0])
		}
		list.Items = append(list.Items, c)
	}
	return list, nil
}

func (s *server) Hover(ctx context.Context, params *protocol.HoverParams) (*protocol.Hover, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	var shown *protocol.Hover
	if h := t.document.Hover(at); h != nil {
		where := s.span(h.Span)
		shown = &protocol.Hover{Contents: page(h.Page), Range: &where}
	}
	for _, message := range t.document.About(t.messages(), at) {
		if shown == nil {
			where := s.span(message.Span)
			shown = &protocol.Hover{Contents: &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown}, Range: &where}
		}
		shown.Contents.(*protocol.MarkupContent).Value += explained(message)
	}
	return shown, nil
}

func (s *server) SignatureHelp(ctx context.Context, params *protocol.SignatureHelpParams) (*protocol.SignatureHelp, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	found := t.document.Signature(at)
	if found == nil {
		return nil, nil
	}
	active := uint32(found.Active)
	help := &protocol.SignatureHelp{ActiveSignature: &active}
	for _, f := range found.Forms {
		info := protocol.SignatureInformation{Label: f.Label, Documentation: protocol.String(found.Doc)}
		for _, p := range f.Params {
			from := units16(f.Label[:p.Start])
			info.Parameters = append(info.Parameters, protocol.ParameterInformation{
				Label:         protocol.ParameterInformationLabelTuple{uint32(from), uint32(from + units16(f.Label[p.Start:p.End]))},
				Documentation: protocol.String(p.Value()),
			})
		}
		if f.Active >= 0 {
			info.ActiveParameter = protocol.NewNullable(uint32(f.Active))
		}
		help.Signatures = append(help.Signatures, info)
	}
	return help, nil
}

func (s *server) Definition(ctx context.Context, params *protocol.DefinitionParams) (protocol.DefinitionResult, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	if span, ok := t.document.Definition(at); ok {
		if location, known := s.location(span); known {
			return &location, nil
		}
	}
	return protocol.LocationSlice{}, nil
}

func (s *server) References(ctx context.Context, params *protocol.ReferenceParams) ([]protocol.Location, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	all := []protocol.Location{}
	definition, _ := t.document.Definition(at)
	for _, span := range t.document.References(at) {
		if span == definition && !params.Context.IncludeDeclaration {
			continue
		}
		if location, ok := s.location(span); ok {
			all = append(all, location)
		}
	}
	return all, nil
}

// DocumentHighlight marks the uses of a name in the text itself.
func (s *server) DocumentHighlight(ctx context.Context, params *protocol.DocumentHighlightParams) ([]protocol.DocumentHighlight, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	all := []protocol.DocumentHighlight{}
	for _, span := range t.document.References(at) {
		if span.File == t.file {
			all = append(all, protocol.DocumentHighlight{Range: s.span(span)})
		}
	}
	return all, nil
}

func (s *server) PrepareRename(ctx context.Context, params *protocol.PrepareRenameParams) (protocol.PrepareRenameResult, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	span, err := t.document.Renamable(at)
	if err != nil {
		return nil, failed(err)
	}
	return &protocol.PrepareRenamePlaceholder{Range: s.span(span), Placeholder: span.Text()}, nil
}

func (s *server) Rename(ctx context.Context, params *protocol.RenameParams) (*protocol.WorkspaceEdit, error) {
	t, at, err := s.place(ctx, params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	edits, err := t.document.Rename(at, params.NewName)
	if err != nil {
		return nil, failed(err)
	}
	changes := map[uri.URI][]protocol.TextEdit{}
	for _, e := range edits {
		if location, ok := s.location(e.Span); ok {
			changes[location.URI] = append(changes[location.URI], protocol.TextEdit{Range: location.Range, NewText: e.Text})
		}
	}
	return &protocol.WorkspaceEdit{Changes: changes}, nil
}

func (s *server) DocumentSymbol(ctx context.Context, params *protocol.DocumentSymbolParams) (protocol.DocumentSymbolResult, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	all := protocol.DocumentSymbolSlice{}
	for _, symbol := range t.document.Outline() {
		form := symbol.Forms[0]
		all = append(all, protocol.DocumentSymbol{
			Name: symbol.Name, Detail: &form, Kind: symbolKind(symbol.Sort), Range: s.span(symbol.Span), SelectionRange: s.span(symbol.At),
		})
	}
	return all, nil
}

func (s *server) FoldingRanges(ctx context.Context, params *protocol.FoldingRangeParams) ([]protocol.FoldingRange, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	all := []protocol.FoldingRange{}
	for _, f := range t.document.Folds() {
		fold := protocol.FoldingRange{StartLine: uint32(f.From - 1), EndLine: uint32(f.To - 1)}
		if f.Comment {
			fold.Kind = protocol.FoldingRangeKindComment
		}
		all = append(all, fold)
	}
	return all, nil
}

func (s *server) SelectionRange(ctx context.Context, params *protocol.SelectionRangeParams) ([]protocol.SelectionRange, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	var all []protocol.SelectionRange
	for _, p := range params.Positions {
		var outer *protocol.SelectionRange
		spans := t.document.Selections(s.offset(t.file, p))
		for i := len(spans) - 1; i >= 0; i-- {
			outer = &protocol.SelectionRange{Range: s.span(spans[i]), Parent: outer}
		}
		all = append(all, *outer)
	}
	return all, nil
}

// SemanticTokensFull gives what each word means, as the protocol packs it: line
// and column from the one before, length, meaning, and two bits.
func (s *server) SemanticTokensFull(ctx context.Context, params *protocol.SemanticTokensParams) (*protocol.SemanticTokens, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	data := []uint32{}
	var last protocol.Position
	for _, c := range t.document.Meanings() {
		from, to := s.position(t.file, c.Span.Start), s.position(t.file, c.Span.End)
		if from.Line != to.Line {
			continue
		}
		column := from.Character
		if from.Line == last.Line {
			column -= last.Character
		}
		bits := uint32(0)
		if c.Defined {
			bits |= 1
		}
		if c.Library {
			bits |= 2
		}
		data = append(data, from.Line-last.Line, column, to.Character-from.Character, uint32(c.Meaning), bits)
		last = from
	}
	return &protocol.SemanticTokens{Data: data}, nil
}

// Formatting lays the program out the one way; a text that cannot be read stays
// as it is.
func (s *server) Formatting(ctx context.Context, params *protocol.DocumentFormattingParams) ([]protocol.TextEdit, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	tree, list := parse.File(t.file)
	if list.Failed() {
		return nil, failed(fmt.Errorf("the program has errors; mend them first"))
	}
	laid := format.Source(tree)
	if laid == t.file.Text {
		return []protocol.TextEdit{}, nil
	}
	return []protocol.TextEdit{{Range: s.span(source.Span{File: t.file, End: len(t.file.Text)}), NewText: laid}}, nil
}

// CodeAction offers the edits of the messages about a range, whatever messages the
// editor names.
func (s *server) CodeAction(ctx context.Context, params *protocol.CodeActionParams) ([]protocol.CommandOrCodeAction, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	all := []protocol.CommandOrCodeAction{}
	kind := protocol.CodeActionKindQuickFix
	for _, m := range t.document.Mends(t.messages(), s.offset(t.file, params.Range.Start), s.offset(t.file, params.Range.End)) {
		all = append(all, &protocol.CodeAction{
			Title: m.Title, Kind: &kind, IsPreferred: &m.Edit.Certain, Diagnostics: []protocol.Diagnostic{s.diagnostic(t.file, m.Message)},
			Edit: &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{
				params.TextDocument.URI: {{Range: s.span(m.Edit.Span), NewText: m.Edit.Text}},
			}},
		})
	}
	return all, nil
}

// InlayHint shows mm and degrees behind plain numbers.
func (s *server) InlayHint(ctx context.Context, params *protocol.InlayHintParams) ([]protocol.InlayHint, error) {
	t, err := s.of(ctx, params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	all := []protocol.InlayHint{}
	for _, h := range t.document.Units(s.offset(t.file, params.Range.Start), s.offset(t.file, params.Range.End)) {
		label := " mm"
		if h.Unit == types.Angle {
			label = "°"
		}
		all = append(all, protocol.InlayHint{Position: s.position(t.file, h.At), Label: protocol.String(label)})
	}
	return all, nil
}
