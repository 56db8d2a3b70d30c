package editors

import (
	"context"
	"fmt"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
)

// place finds a text and the offset in it that a request is about.
func (s *server) place(p protocol.TextDocumentPositionParams) (*text, int, error) {
	t, err := s.of(p.TextDocument.URI)
	if err != nil {
		return nil, 0, err
	}
	return t, s.offset(t.file, p.Position), nil
}

func (s *server) Completion(_ context.Context, params *protocol.CompletionParams) (protocol.CompletionResult, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
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

func (s *server) Hover(_ context.Context, params *protocol.HoverParams) (*protocol.Hover, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	h := t.document.Hover(at)
	if h == nil {
		return nil, nil
	}
	where := s.span(h.Span)
	return &protocol.Hover{Contents: page(h.Page), Range: &where}, nil
}

func (s *server) SignatureHelp(_ context.Context, params *protocol.SignatureHelpParams) (*protocol.SignatureHelp, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
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

func (s *server) Definition(_ context.Context, params *protocol.DefinitionParams) (protocol.DefinitionResult, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
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

func (s *server) References(_ context.Context, params *protocol.ReferenceParams) ([]protocol.Location, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
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

func (s *server) PrepareRename(_ context.Context, params *protocol.PrepareRenameParams) (protocol.PrepareRenameResult, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
	if err != nil {
		return nil, err
	}
	span, err := t.document.Renamable(at)
	if err != nil {
		return nil, failed(err)
	}
	return &protocol.PrepareRenamePlaceholder{Range: s.span(span), Placeholder: span.Text()}, nil
}

func (s *server) Rename(_ context.Context, params *protocol.RenameParams) (*protocol.WorkspaceEdit, error) {
	t, at, err := s.place(params.TextDocumentPositionParams)
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

func (s *server) DocumentSymbol(_ context.Context, params *protocol.DocumentSymbolParams) (protocol.DocumentSymbolResult, error) {
	t, err := s.of(params.TextDocument.URI)
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

func (s *server) FoldingRanges(_ context.Context, params *protocol.FoldingRangeParams) ([]protocol.FoldingRange, error) {
	t, err := s.of(params.TextDocument.URI)
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

func (s *server) SelectionRange(_ context.Context, params *protocol.SelectionRangeParams) ([]protocol.SelectionRange, error) {
	t, err := s.of(params.TextDocument.URI)
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
func (s *server) SemanticTokensFull(_ context.Context, params *protocol.SemanticTokensParams) (*protocol.SemanticTokens, error) {
	t, err := s.of(params.TextDocument.URI)
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
func (s *server) Formatting(_ context.Context, params *protocol.DocumentFormattingParams) ([]protocol.TextEdit, error) {
	t, err := s.of(params.TextDocument.URI)
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
func (s *server) CodeAction(_ context.Context, params *protocol.CodeActionParams) ([]protocol.CommandOrCodeAction, error) {
	t, err := s.of(params.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	from, to := s.offset(t.file, params.Range.Start), s.offset(t.file, params.Range.End)
	all := []protocol.CommandOrCodeAction{}
	kind := protocol.CodeActionKindQuickFix
	for _, d := range t.list {
		if d.Span.File == nil || d.Span.File.Name != t.file.Name || d.Span.End < from || to < d.Span.Start {
			continue
		}
		for _, e := range d.Edits {
			if e.Span.File == nil || e.Span.File.Name != t.file.Name {
				continue
			}
			certain := e.Certain
			all = append(all, &protocol.CodeAction{
				Title: title(e), Kind: &kind, IsPreferred: &certain, Diagnostics: []protocol.Diagnostic{s.diagnostic(t.file, d)},
				Edit: &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{
					params.TextDocument.URI: {{Range: s.span(e.Span), NewText: e.Text}},
				}},
			})
		}
	}
	return all, nil
}

// title says what an edit does.
func title(e diag.Edit) string {
	switch old := e.Span.Text(); {
	case old == "":
		return fmt.Sprintf("Put in `%s`", e.Text)
	case e.Text == "":
		return fmt.Sprintf("Leave out `%s`", old)
	default:
		return fmt.Sprintf("Write `%s` in place of `%s`", e.Text, old)
	}
}
