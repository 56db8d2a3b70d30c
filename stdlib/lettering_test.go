package stdlib_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// textArgs are the arguments of text: words, then what is set by name.
func textArgs(words string, named map[string]any) []any {
	args := make([]any, 12)
	args[0] = words
	for i, name := range []string{"height", "font", "spacing", "leading", "align", "width", "slant", "letters", "on", "upright", "rows"} {
		args[i+1] = named[name]
	}
	return args
}

func written(t *testing.T, words string, named map[string]any) []geom.Point {
	t.Helper()
	return call(t, "text", textArgs(words, named)...).Path().Points
}

func TestTextIsAPathOfTheHeightAskedFor(t *testing.T) {
	box := geom.Bounds(written(t, "HEM", nil))
	require.InDelta(t, 8, box.Height(), 1e-9, "8 mm unless said")
	require.InDelta(t, 0, box.Min.X, 1e-9)
	box = geom.Bounds(written(t, "HEM", map[string]any{"height": 20}))
	require.InDelta(t, 20, box.Height(), 1e-9)
	size := call(t, "text_box", textArgs("HEM", map[string]any{"height": 20})[:9]...).Box()
	require.InDelta(t, box.Width(), size.Width(), 1e-9)
	require.InDelta(t, 26, size.Height(), 1e-9)
	require.Equal(t, []geom.Point{{}}, written(t, "", nil))
	require.NotEqual(t, written(t, "hem", nil), written(t, "hem", map[string]any{"font": "brook"}))
}

func TestTextThatCannotBeWrittenSaysWhy(t *testing.T) {
	for code, named := range map[diag.Code]map[string]any{
		"font-unknown":   {"font": "sans"},
		"align-unknown":  {"align": "middle"},
		"rows-unknown":   {"rows": "far"},
		"justify-width":  {"align": "justify"},
		"lettering-size": {"height": 0},
		"slant-range":    {"slant": 89},
		"word-too-wide":  {"width": 3},
		"no-direction":   {"on": pathOf(0, pt(1, 1))},
		"letters-kind":   {"letters": fn(func(value.Value) value.Value { return value.Number(1) })},
		"path-too-large": {"letters": fn(func(value.Value) value.Value { return value.OfPath(pathOf(0, pt(0, 0), pt(1e300, 0))) })},
	} {
		require.Equal(t, code, faultOf(t, "text", textArgs("moss", named)...))
	}
	for _, named := range []map[string]any{
		{"spacing": 1e300}, {"leading": -1}, {"width": math.MaxFloat64}, {"height": 1e9},
	} {
		require.Equal(t, diag.Code("lettering-size"), faultOf(t, "text", textArgs("moss", named)...))
	}
	require.Equal(t, diag.Code("glyph-missing"), faultOf(t, "text", textArgs("a漢", nil)...))
	_, err := native("text").Func(newHost(1), values(textArgs("fern 漢", nil)))
	require.ErrorContains(t, err, "no letter for “漢” (U+6F22), character 6 of the text")
	_, err = native("text").Func(newHost(1), values(textArgs("苔\nx漢漢", nil)))
	require.ErrorContains(t, err, "“苔” (U+82D4), character 1; “漢” (U+6F22), character 4 of the text")
	failing := &host{limit: 1000}
	_, err = native("text").Func(failing, values(textArgs(strings.Repeat("long ", 100), nil)))
	require.ErrorIs(t, err, errLimit, "work is counted before it is done")
}

func TestTextOnAPathIsAlignedToIt(t *testing.T) {
	path := pathOf(0, pt(10, 20), pt(210, 20))
	for align, place := range map[string]func(geom.Box) float64{
		"left":   func(b geom.Box) float64 { return b.Min.X - 10 },
		"center": func(b geom.Box) float64 { return b.Center().X - 110 },
		"right":  func(b geom.Box) float64 { return b.Max.X - 210 },
	} {
		box := geom.Bounds(written(t, "HH", map[string]any{"on": path, "align": align}))
		require.InDelta(t, 0, place(box), 1e-9, align)
		require.InDelta(t, 20, box.Min.Y, 1e-9)
	}
	// On a closed path the middle is half way round.
	box := geom.Bounds(written(t, "H", map[string]any{"on": square(0, 0, 100), "align": "center", "upright": true}))
	require.InDelta(t, 100, box.Center().X, 1e-6)
	require.InDelta(t, 100, box.Min.Y, 1e-6)
}

func TestNothingIsMadeOfAnEmptyListInSilence(t *testing.T) {
	require.Equal(t, diag.Code("empty-list"), faultOf(t, "weave", []any{}, nil, nil))
	require.Equal(t, diag.Code("empty-list"), faultOf(t, "fit", []any{}, 10, nil))
	require.Equal(t, diag.Code("empty-list"), faultOf(t, "centered", []any{}))
	_, list := drawn(t, "spline", "spline []\n", 0.05)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("empty-list"), list[0].Code)
}

func TestAlongMovesACurveToItsLeft(t *testing.T) {
	// A circle run to the left, 40 mm in radius, moved 3 mm to its left: 37 mm.
	ring := call(t, "resample", pathOf(0, circlePoints(40, 4000)...), 1).Path()
	moved := call(t, "along", pathOf(0, pt(0, 3), pt(geom.Length(ring.Points), 3)), ring).Path()
	for _, p := range moved.Points {
		require.InDelta(t, 37, p.Length(), 0.02)
	}
}

func circlePoints(radius float64, count int) []geom.Point {
	points := make([]geom.Point, count+1)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%count) / float64(count))
		points[i] = pt(radius*cos, radius*sin)
	}
	return points
}

func TestLettersOfOnesOwnAreAskedForOnceAndSetAsTheyAre(t *testing.T) {
	asked := ""
	letters := fn(func(c value.Value) value.Value {
		asked += c.Text()
		return value.OfPath(pathOf(0, pt(0, 0), pt(0, 10), pt(5, 10), pt(5, 0)))
	})
	points := written(t, "ab a", map[string]any{"letters": letters, "height": 10})
	require.Equal(t, "ab", asked)
	box := geom.Bounds(points)
	require.InDelta(t, 10, box.Height(), 1e-9)
	tops := 0
	for i := 1; i < len(points); i++ {
		if a, b := points[i-1], points[i]; math.Abs(a.Y-10) < 1e-9 && math.Abs(b.Y-10) < 1e-9 {
			require.InDelta(t, 5, a.Distance(b), 1e-9)
			tops++
		}
	}
	require.GreaterOrEqual(t, tops, 3)

	wrong := errors.New("its own")
	failing := value.OfFunction(&function{func(...value.Value) (value.Value, error) { return value.Nothing, wrong }})
	_, err := native("text").Func(newHost(1), values(textArgs("a", map[string]any{"letters": failing})))
	require.ErrorIs(t, err, wrong)
}

// Upright strokes of letters on a circle point to its centre, and at the sky if
// they stay upright.
func TestLettersOnAPathTurnWithItOrStayUpright(t *testing.T) {
	var circle []geom.Point
	for i := range 721 {
		a := math.Pi/2 - float64(i)*math.Pi/360
		circle = append(circle, pt(50*math.Cos(a), 50*math.Sin(a)))
	}
	ring := pathOf(0, circle...)
	for _, upright := range []bool{false, true} {
		points := written(t, "T T T T T", map[string]any{"on": ring, "upright": upright, "height": 10, "spacing": 20})
		stems := 0
		for i := 1; i < len(points); i++ {
			a, b := points[i-1], points[i]
			if math.Abs(a.Distance(b)-10) > 1e-6 {
				continue
			}
			stems++
			foot := a
			if upright {
				require.InDelta(t, a.X, b.X, 1e-9)
				if b.Y < a.Y {
					foot = b
				}
			} else {
				require.InDelta(t, 10, math.Abs(a.Length()-b.Length()), 0.01)
				if b.Length() < a.Length() {
					foot = b
				}
			}
			require.InDelta(t, 50, foot.Length(), 0.01)
		}
		require.GreaterOrEqual(t, stems, 5)
	}
	// Bent along the path, as any path can be, an upright follows it as well.
	bent := call(t, "along", &value.Path{Points: written(t, "T", nil)}, ring).Path().Points
	require.InDelta(t, 58, geom.Bounds(bent).Max.Y, 0.01)
}
