package preview

import (
	"bufio"
	"io"
	"strconv"
)

// CSV writes a table of the line's vertices, one a row in the order of
// drawing: x and y in page mm to a millionth, and the line and column where
// the piece of line that leads there was written; the first vertex has those
// of the piece that leaves it. Where the source is not known the last two are
// empty. Rows end in CR LF, as RFC 4180 has it.
func CSV(w io.Writer, pic Picture) error {
	out := bufio.NewWriterSize(w, 1<<16)
	out.WriteString(csvHeader)
	sources := make([][]byte, len(pic.Places)) // the last two columns, by place
	unknown := []byte(",,\r\n")
	source := func(piece int) []byte {
		if piece < 0 || piece >= len(pic.Place) || int(pic.Place[piece]) >= len(sources) {
			return unknown
		}
		k := pic.Place[piece]
		if sources[k] == nil {
			span := pic.Places[k].Span
			if !span.Known() {
				sources[k] = unknown
			} else {
				at := span.From()
				text := strconv.AppendInt([]byte{','}, int64(at.Line), 10)
				text = strconv.AppendInt(append(text, ','), int64(at.Column), 10)
				sources[k] = append(text, '\r', '\n')
			}
		}
		return sources[k]
	}
	var row []byte
	for i, p := range pic.Points {
		p, ok := sound(p)
		if !ok {
			continue
		}
		row = appendMillionths(row[:0], rounded(float64(p.X*1e6)))
		row = appendMillionths(append(row, ','), rounded(float64(p.Y*1e6)))
		out.Write(append(row, source(max(0, i-1))...))
	}
	return out.Flush()
}

const csvHeader = "x_mm,y_mm,line,column\r\n"
