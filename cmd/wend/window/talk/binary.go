package talk

import (
	"encoding/binary"
	"math"

	"wend/runtime/geom"
)

// The kinds of binary messages. Each begins with its kind, the number of the
// request, the sheet or seed, and a count n, as u32 of little end.
//
// Numbers behind that are written in groups of seven bits, the lowest first, all
// but the last with the eighth bit set; signed ones zigzag, 0, -1, 1, -2 as 0, 1, 2,
// 3 (package encoding/binary: Uvarint, Varint). Points are n+1 pairs of signed
// numbers in parts of a mm: where the first lies, and of each other one how far it
// is from where its piece would end if it were like the piece before; the piece
// before the first is (0, 0). So pieces of a curve take some 3 bytes, where two
// float32 take 8.
const (
	lineBytes      = 0 // a part of a line: how many pieces come before it, then points
	asDrawnBytes   = 1 // points
	fileBytes      = 2 // n bytes of a file, then its name
	variationBytes = 3 // points
	// Of all n pieces of a line: runs, each as how many pieces it has and which
	// statement drew them; then the time that each piece takes.
	piecesBytes = 4
)

// Parts of a mm and of a second in which lines are told. The first is as fine as
// float32 half a metre away. The second is fine for a screen, and lets most pieces
// have one byte.
const (
	partsOfMM     = 1 << 14
	partsOfSecond = 1 << 12
)

// farthest is how far off, in mm, points are told truly: beyond what a program
// reaches. It keeps sums of parts below what a browser counts exactly.
const farthest = 1 << 31

func header(kind, id, sheet uint32, n, room int) []byte {
	out := make([]byte, 0, 16+room)
	for _, v := range []uint32{kind, id, sheet, uint32(n)} {
		out = binary.LittleEndian.AppendUint32(out, v)
	}
	return out
}

// whole is x as the nearest whole number of parts, of which so many are one.
func whole(x, parts float64) int64 {
	return int64(math.Floor(float64(max(-farthest, min(x, farthest))*parts) + 0.5))
}

func appendPoints(out []byte, points []geom.Point) []byte {
	var x, y, dx, dy int64 // the last point and piece
	for i, p := range points {
		nextX, nextY := whole(p.X, partsOfMM), whole(p.Y, partsOfMM)
		out = binary.AppendVarint(out, nextX-x-dx)
		out = binary.AppendVarint(out, nextY-y-dy)
		if i > 0 {
			dx, dy = nextX-x, nextY-y
		}
		x, y = nextX, nextY
	}
	return out
}

// usualBytes is how many bytes a point seldom has more of.
const usualBytes = 6

// lineMessage is a part of the line of a sheet, from a piece on.
func lineMessage(id uint32, sheet, from int, points []geom.Point) []byte {
	out := header(lineBytes, id, uint32(sheet), len(points)-1, binary.MaxVarintLen32+usualBytes*len(points))
	return appendPoints(binary.AppendUvarint(out, uint64(from)), points)
}

// piecesMessage is the statement of each piece of the line of a sheet, and when the
// stylus is at each vertex, in seconds.
func piecesMessage(id uint32, sheet int, statements []uint32, at []float32) []byte {
	n := len(statements)
	out := header(piecesBytes, id, uint32(sheet), n, 2*n)
	for from := 0; from < n; {
		to := from + 1
		for to < n && statements[to] == statements[from] {
			to++
		}
		out = binary.AppendUvarint(out, uint64(to-from))
		out = binary.AppendUvarint(out, uint64(statements[from]))
		from = to
	}
	last := int64(0)
	for _, seconds := range at[1:] {
		next := whole(float64(seconds), partsOfSecond)
		out = binary.AppendUvarint(out, uint64(next-last))
		last = next
	}
	return out
}

// pointsMessage is a line without more.
func pointsMessage(kind, id, sheet uint32, points []geom.Point) []byte {
	return appendPoints(header(kind, id, sheet, len(points)-1, usualBytes*len(points)), points)
}

func fileMessage(id uint32, name string, content []byte) []byte {
	out := header(fileBytes, id, 0, len(content), len(content)+len(name))
	return append(append(out, content...), name...)
}
