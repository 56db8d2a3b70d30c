package gcode_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// wander is a random line on the page with sharp corners, reversals shorter
// than slack, retraced pieces and tiny steps among long ones.
func wander(t *rapid.T, page geom.Box) []geom.Point {
	at := pt(rapid.Float64Range(10, 130).Draw(t, "x"), rapid.Float64Range(10, 90).Draw(t, "y"))
	points := []geom.Point{at}
	n := rapid.IntRange(1, 60).Draw(t, "n")
	for range n {
		length := rapid.SampledFrom([]float64{0.004, 0.015, 0.05, 0.3, 2, 9}).Draw(t, "length")
		direction := rapid.SampledFrom([]geom.Point{pt(1, 0), pt(-1, 0), pt(0, 1), pt(0, -1), pt(0.6, 0.8), pt(-0.6, -0.8), pt(0.99, 0.01), pt(-0.99, 0.01)}).Draw(t, "direction")
		next := at.Add(direction.Times(length))
		if rapid.IntRange(0, 5).Draw(t, "back") == 0 && len(points) > 1 {
			next = points[len(points)-2]
		}
		if page.Contains(next) && next.Distance(at) > geom.SamePoint {
			points = append(points, next)
			at = next
		}
	}
	return points
}

func TestEveryLineReadsBackWithinTheToleranceWhateverSlackAndSkew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.X.SlackMM = rapid.Float64Range(0, 2).Draw(t, "x slack")
		p.Y.SlackMM = rapid.SampledFrom([]float64{0, 0.4, 0.405, 1.999}).Draw(t, "y slack")
		p.Frame.SquarenessDeg = rapid.SampledFrom([]float64{90, 89, 91.5}).Draw(t, "squareness")
		compensate := rapid.Bool().Draw(t, "compensate")
		gap := machine.Gap{}
		if rapid.Bool().Draw(t, "not from the left") {
			gap.X = rapid.Int32Range(0, int32(p.X.SlackSteps())).Draw(t, "x gap")
		}
		points := wander(t, p.Page())
		whole := &plan.Plan{Places: make([]plan.Place, 1)}
		sheet := &plan.Sheet{Points: points, Place: make([]uint32, len(points)-1)}
		whole.Sheets = []*plan.Sheet{sheet}
		result, text := written(t, p, whole, sheet, lower.Options{Compensate: compensate, Gap: gap})
		require.Empty(t, gcode.Verify("t.gcode", []byte(text), p, sheet, compensate, result.Gap).Faults)
		for _, line := range strings.Split(text, "\n") {
			require.LessOrEqual(t, len(line)+1, p.Board.LineLimitBytes)
		}
	})
}

var coordinate = regexp.MustCompile(`([XY])(-?[0-9.]+)`)

// Each coordinate of a file in turn is changed by more than the tolerance: the
// change is found unless the changed line happens to lie on the planned one.
func TestAnyChangedCoordinateIsFound(t *testing.T) {
	p := machine.DeskToy()
	points := append([]geom.Point{{}, {X: 110, Y: 50}}, circle(pt(70, 50), 40, 60)[1:]...)
	points = append(points, pt(20, 80), pt(21, 80), pt(20.5, 80.5), pt(20, 80))
	whole, sheet := sheetOf(points...)
	result, text := written(t, p, whole, sheet, lower.Options{})
	places := coordinate.FindAllStringSubmatchIndex(text, -1)
	require.Greater(t, len(places), 120)
	tolerance := p.ReadBackToleranceMM(false)
	found := 0
	for _, at := range places {
		if text[max(0, strings.LastIndexByte(text[:at[0]], '\n')+1)] == '(' {
			continue // in a comment
		}
		value, err := strconv.ParseFloat(text[at[4]:at[5]], 64)
		require.NoError(t, err)
		for _, by := range []float64{3 * tolerance, -3 * tolerance, 1, -1} {
			changed := text[:at[4]] + strconv.FormatFloat(value+by, 'f', 3, 64) + text[at[5]:]
			if onPlannedLine(changed, p, sheet, tolerance) {
				continue
			}
			found++
			require.NotEmpty(t, gcode.Verify("t.gcode", []byte(changed), p, sheet, false, result.Gap).Faults, fmt.Sprintf("%s by %g", text[at[0]:at[1]], by))
		}
	}
	require.Greater(t, found, 300)
}

// Where instructions part from the line is said by its vertex, or the one before.
func TestWhereInstructionsPartFromTheLineIsSaid(t *testing.T) {
	p := machine.DeskToy()
	points := []geom.Point{{}}
	for i := range 20 {
		points = append(points, pt(float64(5+5*i), float64(10*(i%2)+3)))
	}
	whole, sheet := sheetOf(points...)
	result, text := written(t, p, whole, sheet, lower.Options{})
	require.Equal(t, -1, gcode.Verify("t.gcode", []byte(text), p, sheet, false, result.Gap).Parted)
	lines := strings.SplitAfter(text, "\n")
	first := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, "G1") })
	for vertex := 1; vertex < len(points)-1; vertex++ {
		changed := slices.Clone(lines)
		changed[first+vertex-1] = "G1 X70 Y70\n"
		verdict := gcode.Verify("t.gcode", []byte(strings.Join(changed, "")), p, sheet, false, result.Gap)
		require.NotEmpty(t, verdict.Faults)
		require.InDelta(t, vertex-1, verdict.Parted, 1)
	}
}

// onPlannedLine is a plain check by all pairs: whether every end of a motion
// is within the tolerance of some piece of the plan.
func onPlannedLine(text string, p *machine.Profile, sheet *plan.Sheet, tolerance float64) bool {
	on := true
	gcode.Read("t.gcode", text, gcode.Settings{}, func(m *gcode.Motion) {
		at, nearest := p.ToPage(p.AtSteps(p.NearestStep(m.To))), math.Inf(1)
		for i := 1; i < len(sheet.Points); i++ {
			a, u := sheet.Points[i-1], sheet.Points[i].Sub(sheet.Points[i-1])
			along := max(0, min(1, at.Sub(a).Dot(u)/u.Dot(u)))
			nearest = min(nearest, at.Distance(a.Add(u.Times(along))))
		}
		on = on && nearest <= tolerance+1e-6
	})
	return on
}

func TestMissingDoubledAndSwappedLinesAreFound(t *testing.T) {
	p := machine.DeskToy()
	whole, sheet := sheetOf(circle(pt(70, 50), 40, 24)...)
	result, text := written(t, p, whole, sheet, lower.Options{})
	lines := strings.SplitAfter(text, "\n")
	first := 0
	for !strings.HasPrefix(lines[first], "G1") {
		first++
	}
	for i := first; i < first+24; i++ {
		without := strings.Join(append(append([]string{}, lines[:i]...), lines[i+1:]...), "")
		require.NotEmpty(t, gcode.Verify("t.gcode", []byte(without), p, sheet, false, result.Gap).Faults, "without %q", lines[i])
		if i+1 < first+24 {
			swapped := append([]string{}, lines...)
			swapped[i], swapped[i+1] = swapped[i+1], swapped[i]
			require.NotEmpty(t, gcode.Verify("t.gcode", []byte(strings.Join(swapped, "")), p, sheet, false, result.Gap).Faults)
		}
	}
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(strings.Replace(text, "G92 X115", "G92 X114", 1)), p, sheet, false, result.Gap).Faults)
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(strings.Replace(text, "G92 X115 Y55\n", "", 1)), p, sheet, false, result.Gap).Faults)
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(strings.Replace(text, "M2\n", "G1 X0\nM2\n", 1)), p, sheet, false, result.Gap).Faults)
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(strings.Replace(text, "G21", "G20", 1)), p, sheet, false, result.Gap).Faults)
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(strings.Replace(text, "G90", "G91", 1)), p, sheet, false, result.Gap).Faults)
}

func TestAFileWithoutTheTakeUpsItNeedsIsFound(t *testing.T) {
	p := machine.DeskToy()
	whole, sheet := sheetOf(circle(pt(70, 50), 40, 200)...)
	_, plainText := written(t, p, whole, sheet, lower.Options{})
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(plainText), p, sheet, true, machine.Gap{}).Faults)
	result, text := written(t, p, whole, sheet, lower.Options{Compensate: true})
	require.Empty(t, gcode.Verify("t.gcode", []byte(text), p, sheet, true, result.Gap).Faults)
	require.NotEmpty(t, gcode.Verify("t.gcode", []byte(text), p, sheet, true, machine.Gap{X: 40}).Faults)
}
