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
