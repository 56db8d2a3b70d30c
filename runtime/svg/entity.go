package svg

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/source"
)

// readable says why a file is no text in UTF-8.
func readable(file *source.File) error {
	at, reason, hint := -1, "", ""
	switch text := file.Text; {
	case strings.HasPrefix(text, "\x1f\x8b"):
		// RFC 1952, section 2.3.1.
		at, reason, hint = 0, "it is compressed (gzip)", "unpack it first: `gunzip -c OLD > NEW.svg`"
	case strings.HasPrefix(text, "\xff\xfe"), strings.HasPrefix(text, "\xfe\xff"):
		at, reason, hint = 0, "it is written in UTF-16", "save it as UTF-8; on Linux and macOS: `iconv -f UTF-16 -t UTF-8 OLD > NEW.svg`"
	case !utf8.ValidString(text):
		for at = range text {
			if r, size := utf8.DecodeRuneInString(text[at:]); r == utf8.RuneError && size == 1 {
				break
			}
		}
		reason = fmt.Sprintf("the byte 0x%02x belongs to no UTF-8 text", text[at])
	case strings.IndexByte(text, 0) >= 0:
		at = strings.IndexByte(text, 0)
		reason = "a byte is zero, as in no text"
	default:
		return nil
	}
	return &diag.Fault{Code: "drawing-encoding", Args: diag.Args{"reason": reason}, Hint: hint, Span: source.Span{File: file, Start: at, End: at + 1}}
}

// Some editors abbreviate the names of namespaces by entities in the document
// type. Those are read, within limits: the text of one is plain, and none is
// made of others, so that nothing grows.
const (
	mostEntities    = 100
	longestEntity   = 1000    // bytes
	expandedEntites = 1 << 20 // bytes that all references come to
)

var entityDeclaration = expression.Of(`<!ENTITY\s+(%\s+)?([^\s%"'>]+)\s+(?:"([^"]*)"|'([^']*)'|[^>]*)\s*>`)

// directive reads the document type, for its entities.
func (b *builder) directive(text string, start, end int) error {
	if !strings.HasPrefix(text, "DOCTYPE") || !strings.Contains(text, "<!ENTITY") {
		return nil
	}
	entities := map[string]string{}
	for _, at := range entityDeclaration.FindAllStringSubmatchIndex(text, -1) {
		part := func(i int) string {
			if at[2*i] < 0 {
				return ""
			}
			return text[at[2*i]:at[2*i+1]]
		}
		// The directive begins behind its `<!`.
		from, to := min(start+2+at[0], end), min(start+2+at[1], end)
		refused := func(reason string) error {
			return b.fault("drawing-entity", from, to, diag.Args{"name": part(2), "reason": reason})
		}
		content := part(3) + part(4)
		switch {
		case part(1) != "", at[6] < 0 && at[8] < 0:
			continue // of another file, which is not looked at: a reference to it is a fault
		case strings.ContainsAny(content, "&%<"):
			return refused("is made of others")
		case len(content) > longestEntity:
			return refused(fmt.Sprintf("stands for more than %d bytes", longestEntity))
		case len(entities) == mostEntities:
			return refused(fmt.Sprintf("is one of more than %d", mostEntities))
		}
		entities[part(2)] = content
	}
	for rest, at := b.file.Text[end:], end; ; {
		i := strings.IndexByte(rest, '&')
		if i < 0 {
			break
		}
		at += i
		rest = rest[i+1:]
		if semicolon := strings.IndexByte(rest[:min(len(rest), 100)], ';'); semicolon >= 0 {
			b.entities += len(entities[rest[:semicolon]])
		}
		if b.entities > expandedEntites {
			return b.fault("drawing-large", at, at+1, diag.Args{"limit": "1 MB", "what": "text that stands for entities"})
		}
		at++
	}
	b.decoder.Entity = entities
	return nil
}
