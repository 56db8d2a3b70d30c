package editors

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"wend/lang/assist"
	"wend/lang/diag"
	"wend/lang/source"
)

// offset is the byte offset of a place that an editor names. One beyond its line
// is moved to the line's end.
func (s *server) offset(file *source.File, p protocol.Position) int {
	line := int(p.Line) + 1
	if line > file.Lines() {
		return len(file.Text)
	}
	start := file.LineStart(line)
	text := file.Line(line)
	if s.encoding == protocol.PositionEncodingKindUTF8 {
		at := min(int(p.Character), len(text))
		for at > 0 && at < len(text) && !utf8.RuneStart(text[at]) {
			at--
		}
		return start + at
	}
	units := 0
	for i, r := range text {
		if units >= int(p.Character) {
			return start + i
		}
		units += utf16Units(r)
	}
	return start + len(text)
}

func utf16Units(r rune) int {
	if r >= 0x10000 {
		return 2
	}
	return 1
}

// position is a byte offset as an editor counts.
func (s *server) position(file *source.File, offset int) protocol.Position {
	line := file.LineOf(offset)
	text := file.Text[file.LineStart(line):offset]
	p := protocol.Position{Line: uint32(line - 1)}
	if s.encoding == protocol.PositionEncodingKindUTF8 {
		p.Character = uint32(len(text))
		return p
	}
	p.Character = uint32(units16(text))
	return p
}

// units16 is the length of a text in UTF-16.
func units16(text string) int {
	n := 0
	for _, r := range text {
		n += utf16Units(r)
	}
	return n
}

func (s *server) span(span source.Span) protocol.Range {
	return protocol.Range{Start: s.position(span.File, span.Start), End: s.position(span.File, span.End)}
}

// location is a span as a place in a file; false for what is in no file.
func (s *server) location(span source.Span) (protocol.Location, bool) {
	name := span.File.Name
	if strings.HasPrefix(name, "<") {
		return protocol.Location{}, false
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for at, t := range s.texts {
		if s.Same(t.file.Name, name) {
			return protocol.Location{URI: at, Range: s.span(span)}, true
		}
	}
	return protocol.Location{URI: uri.File(name), Range: s.span(span)}, true
}

func (s *server) diagnostic(file *source.File, d diag.Diagnostic) protocol.Diagnostic {
	message := d.Message
	if d.Hint != "" {
		message += "\nhint: " + d.Hint
	}
	for _, frame := range d.Trail {
		message += "\nway: " + frame.Text
	}
	span := d.Span
	if !span.Known() {
		span = source.Span{File: file}
	}
	out := protocol.Diagnostic{
		Range: s.span(span), Severity: protocol.DiagnosticSeverityError,
		Code: protocol.String(d.Code), Source: protocol.NewOptional("wend"), Message: protocol.String(message),
	}
	if name, ok := s.Explained(d.Code); ok {
		out.CodeDescription.Href = uri.File(name)
	}
	if d.Severity == diag.Warning {
		out.Severity = protocol.DiagnosticSeverityWarning
	}
	for _, r := range d.Related {
		if r.Span.Known() && r.Span.File.Name == file.Name {
			out.RelatedInformation = append(out.RelatedInformation, protocol.DiagnosticRelatedInformation{
				Location: protocol.Location{URI: uri.File(file.Name), Range: s.span(r.Span)}, Message: r.Text,
			})
		}
	}
	return out
}

// elsewhere is a message about a file that the text reads, at the words that name
// it, or at the start.
func (s *server) elsewhere(file *source.File, d diag.Diagnostic) protocol.Diagnostic {
	name := filepath.Base(d.Span.File.Name)
	at := source.Span{File: file}
	if i := strings.Index(file.Text, `"`+name+`"`); i >= 0 {
		at = source.Span{File: file, Start: i, End: i + len(name) + 2}
	}
	inside, where := d.Span, d
	where.Span, where.Related = at, nil
	where.Message = fmt.Sprintf("in %s, line %d: %s", name, inside.File.LineOf(inside.Start), d.Message)
	out := s.diagnostic(file, where)
	if location, ok := s.location(inside); ok {
		out.RelatedInformation = append(out.RelatedInformation, protocol.DiagnosticRelatedInformation{Location: location, Message: d.Message})
	}
	return out
}

// explained is the page of a message, as an editor shows it.
func explained(d diag.Diagnostic) string {
	p, known := diag.Lookup(d.Code)
	if !known {
		return ""
	}
	return fmt.Sprintf("\n---\n`%s`: %s\n\n%s\n", d.Code, d.Message, p.Rule)
}

// page is a page as an editor shows it.
func page(p assist.Page) *protocol.MarkupContent {
	var out strings.Builder
	if len(p.Forms) > 0 {
		out.WriteString("```wend\n" + strings.Join(p.Forms, "\n") + "\n```\n")
	}
	if p.Value != "" {
		out.WriteString(p.Sort.String() + ": " + p.Value + "\n\n")
	}
	if p.Doc != "" {
		out.WriteString(p.Doc + "\n")
	}
	if p.Example != "" {
		out.WriteString("\n```wend\n" + p.Example + "```\n")
	}
	return &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown, Value: out.String()}
}

func completionKind(s assist.Sort) protocol.CompletionItemKind {
	switch s {
	case assist.Keyword:
		return protocol.CompletionItemKindKeyword
	case assist.Statement, assist.Function:
		return protocol.CompletionItemKindFunction
	case assist.Figure:
		return protocol.CompletionItemKindClass
	case assist.Variable:
		return protocol.CompletionItemKindVariable
	case assist.Parameter:
		return protocol.CompletionItemKindProperty
	case assist.Module:
		return protocol.CompletionItemKindModule
	case assist.Measure, assist.Field:
		return protocol.CompletionItemKindField
	}
	return protocol.CompletionItemKindUnit
}

func symbolKind(s assist.Sort) protocol.SymbolKind {
	switch s {
	case assist.Function:
		return protocol.SymbolKindFunction
	case assist.Figure:
		return protocol.SymbolKindClass
	case assist.Module:
		return protocol.SymbolKindModule
	}
	return protocol.SymbolKindVariable
}

// meanings are the names of what words mean, in the order of assist.Meaning.
var meanings = []string{"keyword", "number", "string", "comment", "operator", "function", "class", "variable", "parameter", "namespace", "property"}

func legend() protocol.SemanticTokensLegend {
	return protocol.SemanticTokensLegend{TokenTypes: meanings, TokenModifiers: []string{"declaration", "defaultLibrary"}}
}
