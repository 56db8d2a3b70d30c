package lettering

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/plan"
)

func TestEveryPieceOfALineHasARole(t *testing.T) {
	line := lineOf(t, setBlock(t, "linden", "no on\noff", Style{Height: 10}))
	roles := line.Roles()
	require.Len(t, roles, len(line.Points())-1)
	require.Contains(t, roles, plan.Link)
	require.Contains(t, roles, plan.Drawn)
}

// What is gone over again inside letters has the role of that, as long as it is
// measured.
func TestLineRetracedInsideALetterIsCalledSo(t *testing.T) {
	for _, name := range faceNames {
		line := lineOf(t, setBlock(t, name, "handmade", Style{Height: 10}))
		points, again := line.Points(), 0.0
		for i, role := range line.Roles() {
			if role == plan.Retrace {
				again += points[i].Distance(points[i+1])
			}
		}
		require.Positive(t, again)
		require.InEpsilon(t, line.AgainMM, again, 0.02, name)
	}
}
