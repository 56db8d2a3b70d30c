package calibrate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/calibrate"
	"wend/runtime/machine"
)

// Relative error = measuring error ÷ length: a line read to ±0.125 mm on 32 mm
// is 0.39 %, ten turns 0.039 % (elementary).
func TestLongLinesMakeTheScaleSure(t *testing.T) {
	ratio, unsure := calibrate.Ratio([]calibrate.Reading{{NominalMM: 32, DrawnMM: 32.5}})
	require.InDelta(t, 32.5/32, ratio, 1e-12)
	require.InDelta(t, 0.125/32.5, unsure, 1e-9)
	_, ten := calibrate.Ratio([]calibrate.Reading{{NominalMM: 320, DrawnMM: 325}})
	require.InDelta(t, unsure/10, ten, 1e-9)
	// What differs more than a ruler can err is not blamed on the ruler.
	_, rough := calibrate.Ratio([]calibrate.Reading{{NominalMM: 40, DrawnMM: 39}, {NominalMM: 40, DrawnMM: 41}})
	require.InDelta(t, 2*math.Sqrt2/math.Sqrt(3200), rough, 1e-9)
	require.InDelta(t, 0.05, calibrate.Spread([]calibrate.Reading{{NominalMM: 40, DrawnMM: 39}, {NominalMM: 40, DrawnMM: 41}}), 1e-9)
}

func TestTheScaleIsAsSureAsItIsSaidToBe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := rapid.Float64Range(0.5, 2).Draw(t, "ratio")
		var readings []calibrate.Reading
		for range rapid.IntRange(1, 8).Draw(t, "count") {
			nominal := rapid.Float64Range(5, 130).Draw(t, "nominal")
			readings = append(readings, calibrate.Reading{NominalMM: nominal, DrawnMM: math.Round(truth*nominal*4) / 4})
		}
		ratio, unsure := calibrate.Ratio(readings)
		require.LessOrEqual(t, math.Abs(ratio/truth-1), unsure*1.05+1e-12)
	})
}

func TestTheLineOfATurnChangesAsTheProfileGivesIt(t *testing.T) {
	a := machine.Axis{StepsPerTurn: 200, Microsteps: 16, LineMMPerKnobTurn: 64, GearRatio: 2}
	calibrate.SetLine(&a, 0.99, 0.002)
	require.Equal(t, 63.36, a.LineMMPerKnobTurn)
	require.Equal(t, 2.0, a.GearRatio)
	require.Zero(t, a.LineMMPerMotorTurn)
	require.InDelta(t, 0.002, a.ScaleUncertainty(), 2e-6)
}

// In a parallelogram with sides w and h at an angle θ the diagonals are
// √(w² + h² ± 2 w h cos θ) (law of cosines).
func TestDiagonalsTellTheAngle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(85, 95).Draw(t, "degrees")
		cosine := math.Cos(angle * math.Pi / 180)
		var exact, read []calibrate.Diagonals
		for _, share := range []float64{0.5, 0.75, 0.92} {
			w, h := 140*share, 100*share
			rising, falling := math.Sqrt(w*w+h*h+2*w*h*cosine), math.Sqrt(w*w+h*h-2*w*h*cosine)
			exact = append(exact, calibrate.Diagonals{WidthMM: w, HeightMM: h, RisingMM: rising, FallingMM: falling})
			read = append(read, calibrate.Diagonals{WidthMM: w, HeightMM: h, RisingMM: math.Round(rising*4) / 4, FallingMM: math.Round(falling*4) / 4})
		}
		degrees, _ := calibrate.Angle(exact)
		require.InDelta(t, angle, degrees, 1e-9)
		degrees, unsure := calibrate.Angle(read)
		require.InDelta(t, angle, degrees, unsure*1.02)
		require.Less(t, unsure, 0.14)
	})
}
