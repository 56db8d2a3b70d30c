package elementary

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// ulps is the distance between got and want in units of want's last place.
func ulps(got, want float64) float64 {
	if got == want {
		return 0
	}
	_, e := math.Frexp(want)
	return math.Abs(got-want) / math.Ldexp(1, max(e-53, -1074))
}

func TestAgreesWithTheStandardLibraryToTwoUnitsOfTheLastPlace(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	check := func(name string, got, want float64, arguments ...float64) {
		t.Helper()
		require.LessOrEqual(t, ulps(got, want), 2.0, "%s%v: got %v, want %v", name, arguments, got, want)
	}
	for range 200_000 {
		x := (random.Float64() - 0.5) * 1400
		e, ok := Exp(x)
		require.True(t, ok)
		check("Exp", e, math.Exp(x), x)

		p := math.Exp((random.Float64() - 0.5) * 1400)
		l, ok := Log(p)
		require.True(t, ok)
		check("Log", l, math.Log(p), p)

	}
}
