package gcode_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func TestAFileSaysWhatItIsAndWhereEachMoveComesFrom(t *testing.T) {
	main := source.New("Grüße (neu).wend", "ahead 20\nleaf 3\npause \"Licht an? (ja)\"\nahead 9\n")
	used := source.New("leaf.wend", "figure leaf(n) {\n  ahead n\n}\n")
	places := []plan.Place{
		{Span: source.Span{File: main, Start: 0, End: 8}},
		{Span: source.Span{File: used, Start: 19, End: 26}},
		{Span: source.Span{File: main, Start: 42, End: 49}},
	}
	sheet := &plan.Sheet{
		Begun:  true,
		Points: []geom.Point{pt(10, 10), pt(30, 10), pt(30, 13), pt(30, 40.125), pt(21, 40.125), pt(30, 40.125)},
		Place:  []uint32{0, 1, 2, 2, 2},
		Pauses: []plan.Pause{{Vertex: 2, Message: "Licht an? (ja)"}, {Vertex: 5, Message: ""}},
	}
	whole := &plan.Plan{Seed: 7, Sheets: []*plan.Sheet{sheet}, Places: places}
	p := machine.DeskToy()
	for name, compensate := range map[string]bool{"plain": false, "compensated": true} {
		result, diagnostics, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{Compensate: compensate})
		require.NoError(t, err)
		require.Empty(t, diagnostics)
		var text bytes.Buffer
		require.NoError(t, gcode.Write(context.Background(), &text, p, result.Instructions, gcode.Heading{
			Program: main.Name, Sheet: 1, Sheets: 2, Seed: whole.Seed, Wiped: sheet.Begun, Seconds: result.Seconds, LineMM: 68.13,
		}))
		golden := filepath.Join("testdata", name+".gcode")
		if *update {
			require.NoError(t, os.WriteFile(golden, text.Bytes(), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		require.Equal(t, string(want), text.String())
		require.Empty(t, gcode.Verify(golden, text.Bytes(), p, sheet, compensate, result.Gap).Faults)
		for _, c := range text.Bytes() {
			require.True(t, c == '\n' || ' ' <= c && c < 0x7f && !strings.ContainsRune("?!~%;", rune(c)), "%q", c)
		}
	}
}

func TestTheTextDoesNotDependOnHowManyPartsItIsMadeIn(t *testing.T) {
	p, whole, sheet := millionSegments()
	sheet.Points, sheet.Place = sheet.Points[:100_001], sheet.Place[:100_000]
	sheet.Pauses = []plan.Pause{{Vertex: 1 << 14, Message: "half"}, {Vertex: 70_000, Message: "more"}, {Vertex: 100_000, Message: "end"}}
	result, text := written(t, p, whole, sheet, lower.Options{})
	require.Equal(t, 3, strings.Count(text, "M0 (MSG,"))
	require.Equal(t, 1, strings.Count(text, "(MSG,half)"))
	require.Empty(t, gcode.Verify("t.gcode", []byte(text), p, sheet, false, result.Gap).Faults)
	shape := regexp.MustCompile(`^G1( X[0-9.]+)?( Y[0-9.]+)?( F[0-9]+)?$`)
	feed, moves := "", 0
	for _, line := range strings.Split(text, "\n") {
		if !strings.HasPrefix(line, "G1") {
			continue
		}
		moves++
		parts := shape.FindStringSubmatch(line)
		require.NotNil(t, parts, line)
		require.NotEmpty(t, parts[1]+parts[2], line)
		if parts[3] != "" {
			require.NotEqual(t, feed, parts[3], line)
			feed = parts[3]
		}
	}
	require.Equal(t, len(result.Moves), moves)
}

func TestALineWithoutLengthIsAFileWithoutMoves(t *testing.T) {
	p := machine.DeskToy()
	whole, sheet := sheetOf(pt(3, 4))
	result, text := written(t, p, whole, sheet, lower.Options{})
	require.NotContains(t, text, "G1 ")
	require.Contains(t, text, "G92 X8 Y9\n")
	require.True(t, strings.HasSuffix(text, "M2\n"))
	require.Empty(t, gcode.Verify("t.gcode", []byte(text), p, sheet, false, result.Gap).Faults)
	require.Zero(t, result.Seconds)
}

// A sheet that follows one which was stopped while slack was taken up.
func TestTheHeadingSaysWhereEachAxisStandsInItsSlack(t *testing.T) {
	p := machine.DeskToy()
	whole, sheet := sheetOf(pt(3, 4), pt(20, 30), pt(10, 2))
	for gap, said := range map[machine.Gap]string{
		{}:            "slack compensated: each axis must have moved last to larger x and larger y",
		{Y: 40}:       "slack compensated: each axis must have moved last to larger x and smaller y",
		{X: 13, Y: 2}: "to larger x the x motor must have 0.130 mm to go, and to larger y the y motor",
	} {
		result, text := written(t, p, whole, sheet, lower.Options{Compensate: true, Gap: gap})
		require.Contains(t, strings.ReplaceAll(text, ")\n(", " "), said)
		require.Empty(t, gcode.Verify("t.gcode", []byte(text), p, sheet, true, result.Gap).Faults)
	}
}

type fullDisk struct{ left int }

var errFull = errors.New("no space left")

func (d *fullDisk) Write(b []byte) (int, error) {
	if d.left -= len(b); d.left < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func TestAFullDiskAndACancelledRunAreErrors(t *testing.T) {
	p := machine.DeskToy()
	whole, sheet := sheetOf(circle(pt(70, 50), 40, 1000)...)
	result, text := written(t, p, whole, sheet, lower.Options{})
	for _, room := range []int{0, 900, len(text) - 1} {
		require.ErrorIs(t, gcode.Write(context.Background(), &fullDisk{room}, p, result.Instructions, gcode.Heading{}), errFull)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	require.ErrorIs(t, gcode.Write(ctx, &bytes.Buffer{}, p, result.Instructions, gcode.Heading{}), context.Canceled)
	_, _, err := lower.Sheet(ctx, p, whole, sheet, lower.Options{})
	require.ErrorIs(t, err, context.Canceled)
}
