package talk_test

import (
	"context"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/cmd/wend/engine"
	_ "wend/internal/repeatable"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// toldLine is the line of a sheet as the messages about it tell it.
type toldLine struct {
	points     []geom.Point
	statements []uint32
	seconds    []float64
}

// line puts together what came of the line of a sheet.
func (p *page) line(t require.TestingT, sheet int) toldLine {
	p.mu.Lock()
	defer p.mu.Unlock()
	var out toldLine
	for _, b := range p.binary {
		u := func(i int) int { return int(binary.LittleEndian.Uint32(b[4*i:])) }
		kind, n, numbers := u(0), u(3), b[16:]
		if u(2) != sheet || kind != 0 && kind != 4 {
			continue
		}
		next := func() int {
			v, size := binary.Uvarint(numbers)
			require.Positive(t, size, "the message is cut short")
			numbers = numbers[size:]
			return int(v)
		}
		switch kind {
		case 0:
			require.Equal(t, max(0, len(out.points)-1), next(), "the pieces before")
			points := pointsTold(t, numbers, n)
			if len(out.points) > 0 {
				require.Equal(t, out.points[len(out.points)-1], points[0], "parts hang together")
				points = points[1:]
			}
			out.points = append(out.points, points...)
		case 4:
			for len(out.statements) < n {
				run, statement := next(), next()
				for range run {
					out.statements = append(out.statements, uint32(statement))
				}
			}
			at := 0
			for range n {
				at += next()
				out.seconds = append(out.seconds, float64(at)/4096)
			}
			require.Empty(t, numbers)
		}
	}
	require.Len(t, out.statements, max(0, len(out.points)-1))
	return out
}

// pointsTold reads the points of n pieces.
func pointsTold(t require.TestingT, numbers []byte, n int) []geom.Point {
	var x, y, dx, dy int64
	var out []geom.Point
	next := func() int64 {
		v, size := binary.Varint(numbers)
		require.Positive(t, size, "the message is cut short")
		numbers = numbers[size:]
		return v
	}
	for i := range n + 1 {
		u, v := next(), next()
		if i == 0 {
			x, y = u, v
		} else {
			dx, dy = dx+u, dy+v
			x, y = x+dx, y+dy
		}
		out = append(out, geom.Point{X: float64(x) / 16384, Y: float64(y) / 16384})
	}
	require.Empty(t, numbers)
	return out
}

// Where a line lies, which statement drew what of it and when is told as the engine
// has it: points within half a 16384th of a mm, times within half a 4096th of a
// second, however far apart or near each other they are.
func TestALineIsToldAsItIs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var text strings.Builder
		text.WriteString("begin 20, 20\n")
		reach := rapid.SampledFrom([]float64{0.01, 1, 100, 1e6, 9e8}).Draw(t, "reach")
		for range rapid.IntRange(1, 12).Draw(t, "statements") {
			coordinate := rapid.Float64Range(-reach, reach)
			fmt.Fprintf(&text, "reach %.9f, %.9f\n", coordinate.Draw(t, "x"), coordinate.Draw(t, "y"))
		}
		p := &page{}
		s := newSession(p)
		s.Answer(context.Background(), fmt.Appendf(nil, `{"type":"program","id":1,"path":"a.wend","text":%q}`, text.String()))
		line := p.line(t, 0)

		program, list := engine.Load(source.New("a.wend", text.String()), engine.Settings{Profile: machine.DeskToy(), Read: nothing})
		require.Empty(t, list)
		drawn, _ := program.Draw(context.Background())
		times, _ := program.Times(context.Background(), drawn, 0, machine.Gap{})
		sheet := drawn.Sheets[0]
		require.Len(t, line.points, len(sheet.Points))
		for i, want := range sheet.Points {
			require.InDelta(t, want.X, line.points[i].X, 0.50001/16384)
			require.InDelta(t, want.Y, line.points[i].Y, 0.50001/16384)
		}
		statements := p.last("drawn")["statements"].([]any)
		for i, place := range sheet.Place {
			span := drawn.Places[place].Span
			statement := statements[line.statements[i]].(map[string]any)
			require.EqualValues(t, span.Start, statement["from"])
			require.EqualValues(t, span.End, statement["to"])
			require.InDelta(t, times.At[i+1], line.seconds[i], 0.50001/4096)
		}
	})
}

// A long line comes in parts that hang together, of some 3 bytes a piece with what
// is known of it.
func TestALongLineComesInParts(t *testing.T) {
	_, p, ask := session(t)
	const n = 40_000
	ask(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": fmt.Sprintf("begin page.center\nloop i in 1..%d {\n  reach page.center + polar(1 + 40 * i / %d, 360 * 40 * i / %d)\n}\n", n, n, n)})
	line := p.line(t, 0)
	require.Len(t, line.points, n+1)
	require.Greater(t, len(p.binary), 3)
	bytes := 0
	for _, b := range p.binary {
		bytes += len(b)
	}
	require.Less(t, bytes, 4*n)
	require.NotContains(t, line.statements, uint32(1))
}

// The bytes of a short line, written out: they are what the page reads.
func TestTheBytesOfALine(t *testing.T) {
	_, p, ask := session(t)
	ask(map[string]any{"type": "program", "id": 513, "path": "a.wend", "text": "begin 1, 2\nreach 2, 2\nreach 3, 2\nreach 3, 1\n"})
	require.Equal(t, ""+
		"00000000"+"01020000"+"00000000"+"03000000"+ // a line, request, sheet, pieces
		"00"+ // of which none came before
		"808002"+"808004"+ // 1 and 2 mm: 16384 and 32768, zigzag
		"808002"+"00"+ // to the right
		"00"+"00"+ // straight on
		"ffff01"+"ffff01", // 1 mm less to the right, and 1 mm down
		hex.EncodeToString(p.binary[0]))
	require.Equal(t, ""+
		"04000000"+"01020000"+"00000000"+"03000000"+
		"0100"+"0101"+"0102", // a piece each of three statements
		hex.EncodeToString(p.binary[1][:22]))
	require.Len(t, p.binary[1], 28, "two bytes of time each")
}
