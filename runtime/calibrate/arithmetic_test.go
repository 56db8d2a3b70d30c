package calibrate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/machine"
)

func rowsOf(rows ...row) []row { return rows }

// Relative error = measuring error ÷ length: 32 mm read to ±0.3 mm is 0.94 %,
// ten turns 0.094 % (elementary).
func TestLongLinesMakeTheScaleSure(t *testing.T) {
	one := fit(1, rowsOf(lengthRow(32, 32.5)))
	require.InDelta(t, 32.5/32, one.unknown[0], 1e-12)
	require.InDelta(t, boundSigmas*readingSigmaMM/32, one.bound[0], 1e-12)
	ten := fit(1, rowsOf(lengthRow(320, 325)))
	require.InDelta(t, one.bound[0]/10, ten.bound[0], 1e-12)
}

// Least squares of lines through the origin: Σ L m ÷ Σ L² (any text on
// regression).
func TestTheScaleIsThatOfLeastSquares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := rapid.Float64Range(0.9, 1.1).Draw(t, "ratio")
		var rows []row
		var nominalMM, drawnMM []float64
		for range rapid.IntRange(1, 9).Draw(t, "count") {
			nominal := rapid.Float64Range(5, 130).Draw(t, "nominal")
			drawn := truth*nominal + rapid.Float64Range(-0.4, 0.4).Draw(t, "error")
			rows = append(rows, lengthRow(nominal, drawn))
			nominalMM, drawnMM = append(nominalMM, nominal), append(drawnMM, drawn)
		}
		f := fit(1, rows)
		var lm, ll float64 // of the readings that were not left out
		for i, odd := range f.odd {
			if !odd {
				lm, ll = lm+nominalMM[i]*drawnMM[i], ll+nominalMM[i]*nominalMM[i]
			}
		}
		require.InDelta(t, lm/ll, f.unknown[0], 1e-9)
	})
}

// Whichever two of seven readings are wrong by 1.5 mm or more, they are the
// ones that do not fit, and the scale follows from the others.
func TestWrongReadingsAreFoundOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nominal := []float64{62, 81, 100, 57, 74, 93, 88}
		wrong := map[int]float64{}
		for len(wrong) < 2 {
			by := rapid.Float64Range(1.5, 20).Draw(t, "by")
			if rapid.Bool().Draw(t, "shorter") {
				by = -by
			}
			wrong[rapid.IntRange(0, len(nominal)-1).Draw(t, "which")] = by
		}
		var rows []row
		for i, mm := range nominal {
			off := rapid.Float64Range(-0.2, 0.2).Draw(t, "error")
			rows = append(rows, lengthRow(mm, 1.02*mm+off+wrong[i]))
		}
		f := fit(1, rows)
		for i := range rows {
			require.Equal(t, wrong[i] != 0, f.odd[i], "reading %d", i)
		}
		require.InDelta(t, 1.02, f.unknown[0], f.bound[0])
	})
}

func TestTheLineOfATurnChangesAsTheProfileGivesIt(t *testing.T) {
	a := machine.Axis{StepsPerTurn: 200, Microsteps: 16, LineMMPerKnobTurn: 64, GearRatio: 2}
	setLine(&a, 0.99, 0.002)
	require.Equal(t, 63.36, a.LineMMPerKnobTurn)
	require.Equal(t, 2.0, a.GearRatio)
	require.Zero(t, a.LineMMPerMotorTurn)
	require.InDelta(t, 0.002, a.ScaleUncertainty(), 2e-6)
}

// In a parallelogram with sides w and h at an angle θ the diagonals are
// √(w² + h² ± 2 w h cos θ) (law of cosines). Sides that are longer than they
// should be, by other shares on both axes, do not move the angle.
func TestDiagonalsTellTheAngle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(85, 95).Draw(t, "degrees")
		cosine := math.Cos(angle * math.Pi / 180)
		p := machine.DeskToy()
		p.X.LineUncertaintyMM, p.Y.LineUncertaintyMM = 0.32, 0.32 // 1 %
		ex, ey := rapid.Float64Range(-0.002, 0.002).Draw(t, "x"), rapid.Float64Range(-0.002, 0.002).Draw(t, "y")
		exact := rowsOf(sidesRow(140, 100, p))
		for _, share := range []float64{0.5, 0.75, 0.92} {
			w, h := 140*share, 100*share
			trueW, trueH := w*(1+ex), h*(1+ey)
			for _, sign := range []float64{1, -1} {
				d := math.Sqrt(trueW*trueW + trueH*trueH + sign*2*trueW*trueH*cosine)
				require.InDelta(t, d, diagonal(w, h, diagonalRow(w, h, d, sign).value), 1e-9)
				exact = append(exact, diagonalRow(w, h, d, sign))
			}
		}
		f := fit(2, exact)
		require.InDelta(t, cosine, f.unknown[0], 0.0005)
		require.NotContains(t, f.odd, true)
		require.Less(t, f.bound[0]*180/math.Pi, 0.4)
	})
}

// One gross misreading among six diagonals is left out, whichever it is: the
// others still tell 90 degrees.
func TestOneWrongDiagonalDoesNotTurnTheFrame(t *testing.T) {
	p := machine.DeskToy()
	for wrong := range 6 {
		rows := rowsOf(sidesRow(70, 50, p))
		for i, share := range []float64{0.5, 0.75, 0.92} {
			w, h := 140*share, 100*share
			for k, sign := range []float64{1, -1} {
				d := math.Hypot(w, h)
				if 2*i+k == wrong {
					d += 2.5
				}
				rows = append(rows, diagonalRow(w, h, d, sign))
			}
		}
		f := fit(2, rows)
		require.True(t, f.odd[1+wrong], "diagonal %d", wrong)
		require.InDelta(t, 0, f.unknown[0], 1e-9)
	}
}
