package gcode_test

import (
	"bytes"
	"context"
	"io"
	"math"
	"testing"

	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// millionSegments is a plan of a million pieces, nearly all of which reach the
// instructions.
func millionSegments() (*machine.Profile, *plan.Plan, *plan.Sheet) {
	p := machine.DeskToy()
	points := make([]geom.Point, 1_000_001)
	for i := range points {
		u := float64(i) / 1e6
		sine, cosine := math.Sincos(float64(i) * 0.03)
		r := 49 * (0.2 + 0.8*math.Abs(1-2*u))
		points[i] = geom.Point{X: 70 + r*cosine, Y: 50 + r*sine}
	}
	whole, sheet := sheetOf(points...)
	return p, whole, sheet
}

func BenchmarkWriteAMillionMoves(b *testing.B) {
	p, whole, sheet := millionSegments()
	result, _, _ := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{})
	b.ReportAllocs()
	for b.Loop() {
		if err := gcode.Write(context.Background(), io.Discard, p, result.Instructions, gcode.Heading{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(result.Moves)), "moves")
}

func BenchmarkReadAMillionLines(b *testing.B) {
	p, whole, sheet := millionSegments()
	result, _, _ := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{})
	var text bytes.Buffer
	_ = gcode.Write(context.Background(), &text, p, result.Instructions, gcode.Heading{})
	file := text.String()
	b.Run("read", func(b *testing.B) {
		b.ReportAllocs()
		b.SetBytes(int64(len(file)))
		for b.Loop() {
			gcode.Read("big.gcode", file, gcode.Settings{}, func(*gcode.Motion) {})
		}
	})
	b.Run("verify", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if list := gcode.Verify("big.gcode", text.Bytes(), p, sheet, false, result.Gap).Faults; len(list) > 0 {
				b.Fatal(list)
			}
		}
	})
}
