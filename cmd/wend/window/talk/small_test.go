package talk_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/window/talk"
	"wend/examples"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/svg"
)

// strokeOf reads the data of a path with the reader of drawings.
func strokeOf(t *testing.T, data string) []geom.Point {
	t.Helper()
	text := `<svg xmlns="http://www.w3.org/2000/svg" width="140mm" height="100mm" viewBox="0 0 280 200"><path fill="none" stroke="#000" d="` + data + `"/></svg>`
	free := func(int, int) error { return nil }
	document, err := svg.Read(source.New("small.svg", text), free)
	require.NoError(t, err)
	drawing, err := document.Draw(svg.Options{ToleranceMM: 0.01, Largest: geom.Point{X: 140, Y: 100}, Context: context.Background(), Charge: free})
	require.NoError(t, err)
	require.Len(t, drawing.Strokes, 1)
	return drawing.Strokes[0]
}

// A small picture is the line of its piece: read back by the reader of drawings, it
// lies nowhere farther from it than it was thinned, and rounded to half a mm.
func TestASmallPictureIsTheLineOfItsPiece(t *testing.T) {
	for _, piece := range []string{"pinwheel", "fern", "whorl"} {
		data, err := talk.SmallPicture(context.Background(), piece)
		require.NoError(t, err)
		require.True(t, strings.HasPrefix(data, "M"), data)
		text, _ := examples.Program(piece)
		program, list := engine.Load(source.New(piece+".wend", text), talk.OfSite())
		require.NotNil(t, program, "%v", list)
		drawn, _ := program.Draw(context.Background())
		line := drawn.Sheets[engine.WithLine(drawn)[0]].Points
		small := strokeOf(t, data)
		require.Less(t, len(small), len(line))
		const off = 0.5 + 0.5*math.Sqrt2/2 // thinned, and rounded
		for _, p := range line {
			nearest := math.Inf(1)
			for i := 1; i < len(small); i++ {
				nearest = min(nearest, geom.SegmentDistance(small[i-1], small[i], p))
			}
			require.Less(t, nearest, off+1e-6, "%s at %v", piece, p)
		}
	}
	var p page
	talk.New(talk.OfSite(), &p).Answer(context.Background(), []byte(`{"type": "small", "id": 7, "name": "no such"}`))
	require.Contains(t, p.last("failed")["text"], "no piece `no such` in the gallery")
	talk.New(talk.OfSite(), &p).Answer(context.Background(), []byte(`{"type": "small", "id": 8, "name": "fern"}`))
	require.EqualValues(t, 8, p.last("small")["id"])
}
