package simulator_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/simulator"
)

func drawn(t testing.TB, setup simulator.Setup, lines ...string) simulator.Drawn {
	d, err := simulator.Draw(context.Background(), strings.NewReader(strings.Join(lines, "\n")), setup)
	require.NoError(t, err)
	return d
}

func TestTrapezoidTimesAreThoseOfTheTextbooks(t *testing.T) {
	for _, c := range []struct{ length, seconds float64 }{{100, 2.1}, {5, 0.2}, {4, 0.178885}} {
		setup := simulator.Setup{}
		setup.Board.AccelerationMMS2 = [2]float64{500, 500}
		setup.Board.RateMMPerMin = [2]float64{3000, 3000}
		d := drawn(t, setup, fmt.Sprintf("G1 X%g F3000", c.length))
		t.Logf("%g mm: %.6f s", c.length, d.Seconds)
		require.InEpsilon(t, c.seconds, d.Seconds, 0.003)
	}
	_ = math.Pi
}
