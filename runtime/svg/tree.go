package svg

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"

	"wend/lang/diag"
	"wend/lang/source"
)

// Charge counts work and memory against the limits of a run, as value.Host does.
type Charge func(operations, bytes int) error

// Document is a drawing as it was read.
type Document struct {
	file  *source.File
	root  *element
	byID  map[string]*element
	sheet stylesheet
	notes notes
}

// element is one of SVG, with what stands in it. Others are not kept.
type element struct {
	name       string
	attributes []attribute
	start, end int // of its start tag in the file
	parent     *element
	children   []*element
	text       string // of a style element
}

type attribute struct{ name, value string }

// attribute gives the value of an attribute, or "" for one that is not there.
func (e *element) attribute(name string) string {
	for i := range e.attributes {
		if e.attributes[i].name == name {
			return e.attributes[i].value
		}
	}
	return ""
}

// The limits of a file: far beyond drawings that somebody would want as one
// line, and small enough that no file keeps a computer busy for long.
const (
	deepest        = 256     // elements within one another
	mostElements   = 300_000 // elements in a file
	mostAttributes = 100_000 // of one element
)

// Memory that an element is charged for, in bytes.
const (
	elementBytes   = 250
	attributeBytes = 40
)

const (
	namespace      = "http://www.w3.org/2000/svg"
	linkNamespace  = "http://www.w3.org/1999/xlink"
	spaceNamespace = "xmlns"
)

// Read reads a file. The error is a *diag.Fault, or that of charge.
func Read(file *source.File, charge Charge) (*Document, error) {
	if err := readable(file); err != nil {
		return nil, err
	}
	// A tag is taken apart as a whole: one without end would take all memory.
	if err := shortTags(file); err != nil {
		return nil, err
	}
	d := &Document{file: file, byID: map[string]*element{}, notes: notes{file: file}}
	if err := d.tree(charge); err != nil {
		return nil, err
	}
	if d.root == nil {
		return nil, d.fault("drawing-root", 0, 0, diag.Args{"found": "no element"})
	}
	if err := d.styles(charge); err != nil {
		return nil, err
	}
	return d, nil
}

func (d *Document) fault(code diag.Code, from, to int, args diag.Args) error {
	return &diag.Fault{Code: code, Args: args, Span: source.Span{File: d.file, Start: from, End: to}}
}

// shortTags finds a tag with more attributes than any needs.
func shortTags(file *source.File) error {
	tag, signs := 0, 0
	for i := 0; i < len(file.Text); i++ {
		switch file.Text[i] {
		case '<':
			tag, signs = i, 0
		case '=':
			if signs++; signs > mostAttributes {
				return &diag.Fault{
					Code: "drawing-large", Args: diag.Args{"limit": diag.Grouped(mostAttributes), "what": "attributes in one tag"},
					Span: source.Span{File: file, Start: tag, End: tag + 1},
				}
			}
		}
	}
	return nil
}

// builder makes the tree out of the tokens of the file.
type builder struct {
	*Document
	charge   Charge
	decoder  *xml.Decoder
	open     *element // the innermost one that is kept
	depth    int      // of all elements, kept or not
	skipped  int      // elements that are open within one that is not kept
	elements int
	entities int // bytes that references to entities come to
}

func (d *Document) tree(charge Charge) error {
	b := &builder{Document: d, charge: charge, decoder: xml.NewDecoder(strings.NewReader(d.file.Text))}
	// The text is UTF-8, whatever its declaration says of the file it once was.
	b.decoder.CharsetReader = func(_ string, text io.Reader) (io.Reader, error) { return text, nil }
	for {
		start := int(b.decoder.InputOffset())
		token, err := b.decoder.Token()
		end := int(b.decoder.InputOffset())
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case err != nil:
			return b.malformed(err, end)
		}
		switch token := token.(type) {
		case xml.StartElement:
			err = b.begin(token, start, end)
		case xml.EndElement:
			b.depth--
			switch {
			case b.skipped > 0:
				b.skipped--
			case b.open != nil:
				b.open = b.open.parent
			}
		case xml.CharData:
			if b.skipped == 0 && b.open != nil && b.open.name == "style" {
				b.open.text += string(token)
			}
		case xml.Directive:
			err = b.directive(string(token), start, end)
		}
		if err != nil {
			return err
		}
	}
}

func (b *builder) begin(token xml.StartElement, start, end int) error {
	if b.depth++; b.depth > deepest {
		return b.fault("drawing-deep", start, end, diag.Args{"limit": deepest})
	}
	if b.elements++; b.elements > mostElements {
		return b.fault("drawing-large", start, end, diag.Args{"limit": diag.Grouped(mostElements), "what": "elements"})
	}
	if err := b.charge(1+(end-start)/64, elementBytes+attributeBytes*len(token.Attr)+end-start); err != nil {
		return err
	}
	ours := token.Name.Space == "" || token.Name.Space == namespace || token.Name.Space == "svg"
	if b.root == nil && (!ours || token.Name.Local != "svg") {
		return b.fault("drawing-root", start, end, diag.Args{"found": "`<" + token.Name.Local + ">`"})
	}
	if b.skipped > 0 || !ours {
		b.skipped++
		return nil
	}
	e := &element{name: token.Name.Local, start: start, end: end, parent: b.open, attributes: make([]attribute, 0, len(token.Attr))}
	linked := false
	for _, a := range token.Attr {
		name := a.Name.Local
		switch a.Name.Space {
		case "":
			linked = linked || name == "href"
		case linkNamespace, "xlink":
			if name != "href" || linked {
				continue // `href` counts before its older form (SVG 2, section 16.1.6)
			}
		default:
			continue
		}
		e.attributes = append(e.attributes, attribute{name, a.Value})
	}
	if id := e.attribute("id"); id != "" && b.byID[id] == nil {
		b.byID[id] = e
	}
	if b.open != nil {
		b.open.children = append(b.open.children, e)
	} else if b.root == nil {
		b.root = e
	}
	b.open = e
	return nil
}

// malformed says what is wrong with a text that is no XML.
func (b *builder) malformed(err error, at int) error {
	var syntax *xml.SyntaxError
	reason := err.Error()
	if errors.As(err, &syntax) {
		reason = syntax.Msg
	}
	if name, ok := strings.CutPrefix(reason, "invalid character entity "); ok {
		name, _, _ = strings.Cut(name, " (") // what the reader adds where the semicolon is missing
		return b.fault("drawing-entity", at, at, diag.Args{"name": strings.Trim(name, "&;"), "reason": "is not defined in this file"})
	}
	if reason != "unexpected EOF" {
		return b.fault("drawing-xml", at, at, diag.Args{"reason": reason})
	}
	if b.open == nil {
		return b.fault("drawing-xml", at, at, diag.Args{"reason": "the file ends in the middle of a tag"})
	}
	return b.fault("drawing-cut", at, at, diag.Args{"name": b.open.name, "line": b.file.LineOf(b.open.start)})
}
