package halftone

import (
	"context"

	"wend/runtime/geom"
)

const (
	// outlineDetail is how much of the outline is drawn: the tones show the rest.
	outlineDetail = 0.6
	// outlineRoom is the deviation, in line widths, of the blur of its ink that is
	// left out of the tones, so that it stands out from them.
	outlineRoom = 1.2
)

// outlined is the outline of the picture, and level lines of the tones less the
// ink of that, joined by the least visible links.
func outlined(ctx context.Context, a *artist, tones *grid) ([]spot, error) {
	edges, err := a.outline(ctx, outlineDetail, float64(levelFine*a.cellMM))
	if err != nil {
		return nil, err
	}
	ink := newInk(tones.columns, tones.rows)
	for _, edge := range edges {
		for i, p := range edge {
			edge[i] = geom.Point{X: p.X / a.cellMM, Y: p.Y / a.cellMM}
		}
		ink.lay(raw(spotsOf(edge)))
	}
	bring := ink.shares().blurred(outlineRoom, repeated)
	rest := newGrid(tones.columns, tones.rows)
	for i, v := range tones.at {
		rest.at[i] = max(v-bring.at[i], 0)
	}
	levels, err := levelLines(ctx, rest)
	if err != nil {
		return nil, err
	}
	return woven(ctx, append(levels, edges...))
}
