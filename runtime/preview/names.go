package preview

import (
	"bytes"
	"strings"
)

// titleEnd stands behind the name of what is drawn in the title of an SVG.
const titleEnd = ", drawn in one line"

// Names reports whether a picture, or the first few kilobytes of one, says of
// itself that it shows the line of a program of that name: a PNG or an SVG that
// this package wrote. No other picture does.
func Names(picture []byte, source string) bool {
	if source == "" {
		return false
	}
	if bytes.HasPrefix(picture, []byte("\x89PNG\r\n\x1a\n")) {
		return bytes.Contains(picture, pngChunk("iTXt", []byte(titleChunk+source)))
	}
	_, rest, ok := strings.Cut(string(picture), `<title id="title">`)
	title, _, closed := strings.Cut(rest, "</title>")
	return ok && closed && title == escaped(source+titleEnd)
}

// Written reports whether this package wrote a picture or a table, of which the
// first few kilobytes are given.
func Written(head []byte) bool {
	const signature = "\x89PNG\r\n\x1a\n"
	switch {
	case bytes.HasPrefix(head, []byte(signature)):
		// Scale and title, in this order and before anything else.
		const header, physical = len(signature) + 25, 21
		return len(head) > header+physical+8 && string(head[header+4:header+8]) == "pHYs" &&
			bytes.HasPrefix(head[header+physical+4:], []byte("iTXt"+titleChunk))
	case bytes.HasPrefix(head, []byte("GIF89a")):
		return bytes.Contains(head, []byte(gifRemark))
	case bytes.HasPrefix(head, []byte(csvHeader)):
		return true
	}
	return bytes.Contains(head, []byte(titleEnd+"</title>"))
}
