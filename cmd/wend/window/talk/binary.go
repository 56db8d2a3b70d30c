package talk

import (
	"encoding/binary"
	"math"

	"wend/runtime/geom"
)

// The kinds of binary messages. Each begins with its kind, the number of the
// request, the sheet or seed, and a count n, as u32 of little end.
const (
	lineBytes      = 0 // n+1 points as f32 x, y; n statements as u32; n seconds at the end of each piece as f32
	asDrawnBytes   = 1 // n+1 points
	fileBytes      = 2 // n bytes of a file, then its name
	variationBytes = 3 // n+1 points
)

func header(kind, id, sheet uint32, n, room int) []byte {
	out := make([]byte, 0, 16+room)
	for _, v := range []uint32{kind, id, sheet, uint32(n)} {
		out = binary.LittleEndian.AppendUint32(out, v)
	}
	return out
}

func appendPoints(out []byte, points []geom.Point) []byte {
	for _, p := range points {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(p.X)))
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(p.Y)))
	}
	return out
}

// lineMessage is the line of a sheet: points, the statement of each piece, and when
// it is drawn.
func lineMessage(id uint32, sheet int, points []geom.Point, statements []uint32, at []float32) []byte {
	n := len(points) - 1
	out := appendPoints(header(lineBytes, id, uint32(sheet), n, 8*(n+1)+8*n), points)
	for _, s := range statements {
		out = binary.LittleEndian.AppendUint32(out, s)
	}
	for _, seconds := range at[1:] {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(seconds))
	}
	return out
}

// pointsMessage is a line without more.
func pointsMessage(kind, id, sheet uint32, points []geom.Point) []byte {
	return appendPoints(header(kind, id, sheet, len(points)-1, 8*len(points)), points)
}

func fileMessage(id uint32, name string, content []byte) []byte {
	out := header(fileBytes, id, 0, len(content), len(content)+len(name))
	return append(append(out, content...), name...)
}
