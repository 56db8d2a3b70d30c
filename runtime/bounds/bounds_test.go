package bounds_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/bounds"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

var page = geom.Box{Max: geom.Point{X: 140, Y: 100}}

// drawing makes a plan of one sheet; statement i of the program draws piece i.
func drawing(points ...geom.Point) *plan.Plan {
	text := ""
	for i := range points {
		text += fmt.Sprintf("line %d\n", i)
	}
	file := source.New("test.wend", text)
	whole := &plan.Plan{}
	sheet := &plan.Sheet{Points: points}
	for i := range len(points) - 1 {
		start := file.LineStart(i + 1)
		whole.Places = append(whole.Places, plan.Place{Span: source.Span{File: file, Start: start, End: start + 6}})
		sheet.Place = append(sheet.Place, uint32(i))
	}
	whole.Sheets = []*plan.Sheet{sheet}
	return whole
}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func TestALineThatTouchesTheEdgesIsInside(t *testing.T) {
	require.Empty(t, bounds.Check(drawing(pt(0, 0), pt(140, 0), pt(140, 100), pt(0, 100), pt(0, 0)), page, nil))
	require.Empty(t, bounds.Check(drawing(pt(0, 0), pt(140+1e-9, -1e-9)), page, nil))
	require.Empty(t, bounds.Check(drawing(pt(70, 50)), page, nil))
}

func TestOneStatementThatLeadsOffThePageIsReportedOnce(t *testing.T) {
	// The second statement leaves, the third goes on out there, the fourth
	// comes back, the sixth leaves again on the other side.
	whole := drawing(pt(70, 50), pt(130, 50), pt(150, 50), pt(160, 60), pt(70, 50), pt(20, 20), pt(20, -3.5), pt(20, 20))
	trail := func(sheet, segment int) []diag.Frame {
		return []diag.Frame{{Text: fmt.Sprintf("sheet %d segment %d", sheet, segment)}}
	}
	list := bounds.Check(whole, page, trail)
	require.Len(t, list, 2)
	require.Equal(t, "line 1", list[0].Span.Text())
	require.Contains(t, list[0].Message, "20.00 mm past the right edge")
	require.Equal(t, "sheet 0 segment 1", list[0].Trail[0].Text)
	require.Equal(t, "line 5", list[1].Span.Text())
	require.Contains(t, list[1].Message, "3.50 mm past the lower edge")
}

// One statement of a loop leaves twice: what is said is of the first time, the
// edge as well as the trail.
func TestAStatementThatLeavesInSeveralPassesIsReportedForItsFirst(t *testing.T) {
	whole := drawing(pt(70, 50), pt(145, 50), pt(70, 50), pt(70, -80), pt(70, 50))
	whole.Sheets[0].Place = []uint32{1, 0, 1, 0}
	trail := func(_, segment int) []diag.Frame { return []diag.Frame{{Text: fmt.Sprint("segment ", segment)}} }
	list := bounds.Check(whole, page, trail)
	require.Len(t, list, 1)
	require.Contains(t, list[0].Message, "5.00 mm past the right edge")
	require.Equal(t, "segment 0", list[0].Trail[0].Text)

	// A curve that bulges out before that was the first.
	whole.Sheets[0].Points = []geom.Point{pt(70, 50), pt(70, 90), pt(70, 50), pt(70, -80), pt(70, 50)}
	whole.Sheets[0].Extents = []plan.Extent{{Segment: 0, Box: geom.Box{Min: pt(70, 50), Max: pt(80, 102)}}}
	list = bounds.Check(whole, page, trail)
	require.Len(t, list, 1)
	require.Contains(t, list[0].Message, "2.00 mm past the upper edge")
	require.Equal(t, "segment 0", list[0].Trail[0].Text)
}

func TestHowFarALineLeavesThePageIsNeverSaidToBeNothing(t *testing.T) {
	for mm, said := range map[float64]string{0.004: "0.004", 0.00004: "0.00004", 0.0000012: "0.000001", 0.006: "0.01", 12: "12.00"} {
		list := bounds.Check(drawing(pt(70, 50), pt(140+mm, 50)), page, nil)
		require.Contains(t, list[0].Message, " "+said+" mm past")
	}
}

func TestTheHintIsTheMoveOrTheScaleThatMakesItFit(t *testing.T) {
	for _, c := range []struct {
		name string
		plan *plan.Plan
		hint string
	}{
		{"too far right", drawing(pt(70, 50), pt(150, 50)), "moved by 10 mm to the left, the whole line fits the page (it would begin at 60, 50)"},
		{"too far up and left", drawing(pt(5, 95), pt(-3, 107.5)), "moved by 3 mm to the right and 7.5 mm down, the whole line fits the page (it would begin at 8, 87.5)"},
		{"too wide", drawing(pt(0, 0), pt(280, 100)), "at 0.5 times its size the whole line fits the page"},
		{"too wide and beside", drawing(pt(70, 50), pt(70+210, 50), pt(70, 50)), "at 0.666 times its size the whole line fits the page, begun at 0.14, 50"},
	} {
		t.Run(c.name, func(t *testing.T) {
			list := bounds.Check(c.plan, page, nil)
			require.Len(t, list, 1)
			require.Equal(t, c.hint, list[0].Hint)
		})
	}
}

func TestACircleIsJudgedByItsTrueExtent(t *testing.T) {
	// A triangle in a circle that passes the right edge by 0.5 mm; its own
	// vertices are inside.
	whole := drawing(pt(100, 50), pt(110, 60), pt(110, 40), pt(100, 50))
	whole.Sheets[0].Extents = []plan.Extent{{Segment: 1, Box: geom.Box{Min: pt(100, 20), Max: pt(140.5, 80)}}}
	list := bounds.Check(whole, page, nil)
	require.Len(t, list, 1)
	require.Equal(t, "line 1", list[0].Span.Text())
	require.Contains(t, list[0].Message, "0.50 mm past the right edge")
	require.Contains(t, list[0].Hint, "moved by 0.5 mm to the left")

	whole.Sheets[0].Extents[0].Box.Max.X = 140
	require.Empty(t, bounds.Check(whole, page, nil))
}

func TestACoordinateThatIsNoNumberFails(t *testing.T) {
	for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		list := bounds.Check(drawing(pt(1, 1), pt(2, bad), pt(3, 3)), page, nil)
		require.Len(t, list, 1)
		require.Equal(t, diag.Code("line-not-finite"), list[0].Code)
		require.Equal(t, "line 0", list[0].Span.Text())
	}
}

func TestALineThatBeginsOffThePageIsTheFaultOfItsBeginning(t *testing.T) {
	asked := func(int, int) []diag.Frame {
		t.Error("a beginning has no trail")
		return nil
	}
	// It goes farther out and comes in; what it does out there is no other fault.
	whole := drawing(pt(-1, 5), pt(-4, 5), pt(10, 10))
	begin := whole.Places[0].Span
	whole.Sheets[0].Begun, whole.Sheets[0].Beginning = true, begin
	list := bounds.Check(whole, page, asked)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("begin-off-page"), list[0].Code)
	require.Equal(t, begin, list[0].Span)
	require.Contains(t, list[0].Message, "1.00 mm past the left edge")
	require.Equal(t, "moved by 4 mm to the right, the whole line fits the page (it would begin at 3, 5)", list[0].Hint)

	// Without a word of the program, the stylus stands there.
	whole.Sheets[0].Begun = false
	list = bounds.Check(whole, page, asked)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("start-off-page"), list[0].Code)
	require.False(t, list[0].Span.Known())

	// So it is where a later sheet says where it begins; one that does not begins
	// where the sheet before ended, which is told there.
	whole = drawing(pt(1, 1), pt(9, 1))
	whole.Sheets = append(whole.Sheets, drawing(pt(-1, 5), pt(10, 10)).Sheets...)
	require.Empty(t, bounds.Check(whole, page, asked))
	whole.Sheets[1].Begun, whole.Sheets[1].Beginning = true, begin
	list = bounds.Check(whole, page, asked)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("begin-off-page"), list[0].Code)

	// A line of one point is somewhere, too.
	require.Len(t, bounds.Check(drawing(pt(-1, 5)), page, asked), 1)

	// To leave the page again is a fault of its own.
	list = bounds.Check(drawing(pt(-1, 5), pt(10, 10), pt(10, 110)), page, nil)
	require.Len(t, list, 2)
	require.Equal(t, "line 1", list[1].Span.Text())
}

func TestASheetThatGoesOnOffThePageIsNoOtherFault(t *testing.T) {
	whole := drawing(pt(130, 50), pt(150, 50))
	whole.Sheets = append(whole.Sheets, &plan.Sheet{Points: []geom.Point{pt(150, 50), pt(160, 50)}, Place: []uint32{0}})
	list := bounds.Check(whole, page, nil)
	require.Len(t, list, 1)
	require.Contains(t, list[0].Message, "10.00 mm past the right edge")
}

func TestALineIsReportedExactlyIfAVertexIsOutside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 20).Draw(t, "n")
		points := make([]geom.Point, n)
		outside := false
		for i := range points {
			points[i] = pt(rapid.Float64Range(-5, 145).Draw(t, "x"), rapid.Float64Range(-5, 105).Draw(t, "y"))
			outside = outside || !page.Grow(geom.SamePoint).Contains(points[i])
		}
		require.Equal(t, outside, len(bounds.Check(drawing(points...), page, nil)) > 0)
	})
}

func BenchmarkCheckAMillionSegments(b *testing.B) {
	points := make([]geom.Point, 1_000_001)
	for i := range points {
		points[i] = pt(float64(i%139), float64(i%97))
	}
	whole := &plan.Plan{Places: make([]plan.Place, 1), Sheets: []*plan.Sheet{{Points: points, Place: make([]uint32, len(points)-1)}}}
	b.ReportAllocs()
	for b.Loop() {
		if len(bounds.Check(whole, page, nil)) > 0 {
			b.Fatal("outside")
		}
	}
}
