package link

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// The Hausdorff distance of a straight line and a detour over the corner of an
// isosceles triangle is the triangle's height; that of the straight line alone from
// the detour is the radius of the circle about the foot of the height that touches
// both legs (elementary geometry).
func TestHowFarTwoLinesAreApart(t *testing.T) {
	straight := []geom.Point{{X: 0, Y: 0}, {X: 8, Y: 0}}
	over := []geom.Point{{X: 0, Y: 0}, {X: 4, Y: 3}, {X: 8, Y: 0}}
	require.InDelta(t, 3, apart(straight, over), readingMM)
	require.InDelta(t, 4*3.0/5, beyond(straight, over), readingMM)
	require.InDelta(t, 0, apart(over, over), 1e-12)
	require.InDelta(t, 8, apart(straight, straight[:1]), 1e-12)
}

// A motor that turns back goes through its slack first: the stylus waits.
func TestAStylusWaitsWhileAnAxisIsInItsSlack(t *testing.T) {
	p := machine.DeskToy() // 100 steps a mm, slack 0.4 mm
	at := position{profile: p, pitch: newPitch(p)}
	slack := newFlanks(p)
	slack.rest(machine.Gap{}) // came from smaller coordinates
	line := at.strokes(slack, []geom.Point{{X: 1, Y: 1}, {X: 3, Y: 1}, {X: 1, Y: 1}})
	require.Equal(t, []geom.Point{{X: 1, Y: 1}, {X: 3, Y: 1}, {X: 3, Y: 1}, {X: 1.4, Y: 1}}, rounded(line))
	// On a slant, the other axis goes on alone meanwhile.
	line = at.strokes(slack, []geom.Point{{X: 1, Y: 1}, {X: 0, Y: 2}})
	require.Equal(t, []geom.Point{{X: 1, Y: 1}, {X: 1, Y: 1.4}, {X: 0.4, Y: 2}}, rounded(line))
}

func rounded(line []geom.Point) []geom.Point {
	for i, p := range line {
		line[i] = geom.Point{X: math.Round(p.X*1000) / 1000, Y: math.Round(p.Y*1000) / 1000}
	}
	return line
}
