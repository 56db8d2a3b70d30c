package talk

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"sync"

	"wend/cmd/wend/engine"
	"wend/examples"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// smallTolerance is how far the line of a small picture may be from the true one, mm:
// a third of a pixel where it is shown.
const smallTolerance = 0.5

// smallUnit is the unit of a small picture, mm.
const smallUnit = 0.5

// small gives the small picture of a piece of the gallery.
func (s *Session) small(ctx context.Context, r *Request) error {
	path, err := SmallPicture(ctx, r.Name)
	if err != nil {
		return err
	}
	if ctx.Err() == nil {
		s.to.Text(Small{Type: "small", ID: r.ID, Path: path})
	}
	return nil
}

var (
	smallMu sync.Mutex
	smalls  = map[string]string{}
)

// SmallPicture is the first sheet of a piece of the gallery as the built-in machine
// draws it, thinned for a picture of some hundred pixels: the data of an SVG path, in
// units of half a mm, the upper left corner of the page at 0, 0. It is drawn once.
func SmallPicture(ctx context.Context, piece string) (string, error) {
	smallMu.Lock()
	defer smallMu.Unlock()
	if path, known := smalls[piece]; known {
		return path, nil
	}
	text, known := examples.Program(piece)
	if !known {
		return "", fmt.Errorf("there is no piece `%s` in the gallery", piece)
	}
	program, list := engine.Load(source.New(piece+".wend", text), engine.Settings{Profile: machine.DeskToy(), Read: beside})
	if program == nil {
		return "", list
	}
	drawn, list := program.Draw(ctx)
	if drawn == nil {
		return "", list
	}
	sheets := engine.WithLine(drawn)
	if len(sheets) == 0 {
		return "", fmt.Errorf("the piece `%s` draws nothing", piece)
	}
	page := machine.DeskToy().Page()
	path := pathData(geom.Simplified(drawn.Sheets[sheets[0]].Points, smallTolerance), page.Height())
	smalls[piece] = path
	return path, nil
}

// pathData is a line as the data of an SVG path (SVG 2, 9.3), y down from a height.
func pathData(points []geom.Point, height float64) string {
	var out []byte
	add := func(n int) {
		if last := len(out) - 1; n >= 0 && out[last] >= '0' && out[last] <= '9' {
			out = append(out, ' ')
		}
		out = strconv.AppendInt(out, int64(n), 10)
	}
	var x, y int
	for i, p := range points {
		toX, toY := int(math.Round(p.X/smallUnit)), int(math.Round((height-p.Y)/smallUnit))
		switch {
		case i == 0:
			out = append(out, 'M')
			add(toX)
			add(toY)
			out = append(out, 'l')
		case toX != x || toY != y || i == 1:
			add(toX - x)
			add(toY - y)
		}
		x, y = toX, toY
	}
	return string(out)
}
