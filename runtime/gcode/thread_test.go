package gcode_test

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// sheetOf is a plan of one sheet of drawn line.
func sheetOf(points ...geom.Point) (*plan.Plan, *plan.Sheet) {
	sheet := &plan.Sheet{Points: points, Place: make([]uint32, len(points)-1)}
	return &plan.Plan{Seed: 1, Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}, sheet
}

// circle is a full circle of n chords, from its rightmost point, to the left.
func circle(center geom.Point, radius float64, n int) []geom.Point {
	points := make([]geom.Point, n+1)
	for i := range points {
		sine, cosine := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		points[i] = geom.Point{X: center.X + radius*cosine, Y: center.Y + radius*sine}
	}
	points[n] = points[0]
	return points
}

func written(t require.TestingT, p *machine.Profile, whole *plan.Plan, sheet *plan.Sheet, opts lower.Options) (*lower.Result, string) {

	result, diagnostics, err := lower.Sheet(context.Background(), p, whole, sheet, opts)
	require.NoError(t, err)
	require.Empty(t, diagnostics)
	var text bytes.Buffer
	err = gcode.Write(context.Background(), &text, p, result.Instructions, gcode.Heading{Program: "test.wend", Sheet: 1, Sheets: 1, Seed: 1})
	require.NoError(t, err)
	return result, text.String()
}

func TestAWrittenSheetReadsBackAsThePlannedLine(t *testing.T) {
	p := machine.DeskToy()
	points := append([]geom.Point{{}, {X: 110, Y: 50}}, circle(geom.Point{X: 70, Y: 50}, 40, 400)[1:]...)
	whole, sheet := sheetOf(points...)
	for _, compensate := range []bool{false, true} {
		result, text := written(t, p, whole, sheet, lower.Options{Compensate: compensate})
		require.Empty(t, gcode.Verify("test.gcode", []byte(text), p, sheet, compensate, result.Gap).Faults)
		_, diagnostics := trace("test.gcode", text, p)
		require.Empty(t, diagnostics)
		require.GreaterOrEqual(t, result.Seconds, result.BoundSeconds)
	}
}
