package stdlib_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/value"
)

func pathPoints(v value.Value) []geom.Point {
	var points []geom.Point
	for _, item := range v.List() {
		points = append(points, item.Point())
	}
	return points
}

func TestAPathIsItsPointsAndTheOtherWayRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := somePath(t)
		points := call(t, "points", p)
		require.Equal(t, p.Points, pathPoints(points))
		if len(p.Points) > 1 {
			q := call(t, "polyline", points).Path()
			require.Equal(t, p.Points, q.Points)
			require.Zero(t, q.Turn)
		}
	})
	require.Equal(t, diag.Code("few-points"), faultOf(t, "polyline", []any{}))
	require.Equal(t, diag.Code("few-points"), faultOf(t, "polyline", []any{pt(1, 2)}))
	require.Equal(t, diag.Code("list-item-kind"), faultOf(t, "polyline", []any{pt(1, 2), 3}))
}

func square(x, y, size float64) *value.Path {
	return pathOf(0, pt(x, y), pt(x+size, y), pt(x+size, y+size), pt(x, y+size), pt(x, y))
}

func TestARegionIsAClosedPathOrAListOfThem(t *testing.T) {
	outer, inner := square(0, 0, 10), square(3, 3, 4)
	inside := func(p geom.Point, region any) bool { return call(t, "inside", p, region).Bool() }
	require.True(t, inside(pt(5, 5), outer))
	require.False(t, inside(pt(5, 5), []any{outer, inner}))
	require.True(t, inside(pt(1, 5), []any{outer, inner}))
	require.True(t, inside(pt(10, 5), outer), "the line itself")
	require.False(t, inside(pt(11, 5), outer))
	require.False(t, inside(pt(5, 5), []any{}))
	require.Equal(t, diag.Code("region-open"), faultOf(t, "inside", pt(0, 0), pathOf(0, pt(0, 0), pt(1, 0))))
	require.Equal(t, diag.Code("region-open"), faultOf(t, "inside", pt(0, 0), []any{outer, pathOf(0, pt(0, 0), pt(1, 0))}))
}

func TestSmoothAndResampleKeepTurnsAndTakeLists(t *testing.T) {
	p := pathOf(90, pt(0, 0), pt(10, 0), pt(10, 10))
	for _, word := range []string{"smooth", "resample"} {
		require.Equal(t, 90.0, call(t, word, p, 2).Path().Turn)
		both := call(t, word, []any{p, square(0, 0, 40)}, 2).List()
		require.Len(t, both, 2)
		require.True(t, geom.Closed(both[1].Path().Points))
	}
	require.Equal(t, diag.Code("smooth-amount"), faultOf(t, "smooth", p, -1))
	require.Equal(t, diag.Code("step-size"), faultOf(t, "resample", p, 0))
	require.Equal(t, diag.Code("step-size"), faultOf(t, "resample", p, -2))
	_, err := native("resample").Func(&host{limit: 1000}, values([]any{p, 1e-300}))
	require.ErrorIs(t, err, errLimit)
	require.Len(t, call(t, "crossings", square(0, 0, 10), square(5, 5, 10)).List(), 2)
}

func TestMinAndMaxByKeyGiveTheFirstOfSeveral(t *testing.T) {
	items := []any{pt(3, 1), pt(2, 5), pt(9, 5), pt(0, 1)}
	y := fn(func(p value.Value) value.Value { return value.Number(p.Point().Y) })
	require.Equal(t, pt(3, 1), call(t, "min", items, y).Point())
	require.Equal(t, pt(2, 5), call(t, "max", items, y).Point())
	text := fn(func(value.Value) value.Value { return value.Text("a") })
	require.Equal(t, diag.Code("key-number"), faultOf(t, "min", items, text))
	require.Equal(t, diag.Code("empty-list"), faultOf(t, "min", []any{}, y))
}

// Circles are the level lines of the distance from a point.
func TestContoursAskAFunctionOfTheProgram(t *testing.T) {
	p, list := drawn(t, "contours", `
let sheet = page
let rings = [10, 20, 30].map(fn(r) = contours(fn(x, y) = distance((x, y), (70, 50)), sheet, r, 5)[1])
loop ring in rings {
  note ring.closed
  note round(ring.length / pi / 2, 1)
}
note contours(fn(x, y) = x, page, 35, 40)[1].bounds.left
note rings.bounds.width
`, 0.05)
	require.Empty(t, list)
	var said []string
	for _, s := range p.Said {
		said = append(said, s.Text)
	}
	require.Equal(t, strings.Fields("true 10 true 20 true 30 35 60"), roundedWidths(said))
	_, list = drawn(t, "contours", "note contours(fn(x, y) = x, page, 35, 1e-9).length\n", 0.05)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("too-much-memory"), list[0].Code)
}

// roundedWidths makes 59.9876 of the last line 60: the tolerance is in it.
func roundedWidths(said []string) []string {
	var x float64
	if _, err := fmt.Sscan(said[len(said)-1], &x); err == nil {
		said[len(said)-1] = fmt.Sprint(math.Round(x))
	}
	return said
}

func TestNearestKeepsUpWithAListThatGrowsAndChanges(t *testing.T) {
	p, list := drawn(t, "nearest", `
let xs = [(0, 0), (10, 0), (5, 5)]
note nearest((9, 1), xs)
xs[2] = (100, 0)
note nearest((9, 1), xs)
let ys = xs
ys = ys + [(9, 1)]
note nearest((9, 1), ys)
note nearest((9, 1), xs)
xs = xs + [(8, 0)]
note nearest((9, 1), xs)
note nearest((5, 0), [(0, 0), (10, 0)])
`, 0.05)
	require.Empty(t, list)
	var said []string
	for _, s := range p.Said {
		said = append(said, s.Text)
	}
	require.Equal(t, strings.Fields("2 3 4 3 4 1"), said)
	require.Equal(t, diag.Code("empty-list"), faultOf(t, "nearest", pt(0, 0), []any{}))
	require.Equal(t, diag.Code("list-item-kind"), faultOf(t, "nearest", pt(0, 0), []any{pt(0, 0), 3}))
}

// Twenty thousand points that are asked about while the list grows: with a
// search anew each time these would be two hundred million steps, which the
// limit of operations does not let pass.
func TestNearestOfAGrowingListIsQuick(t *testing.T) {
	for _, program := range []string{`
let buds = [(70, 50)]
loop 20000 {
  let p = (random(0, 140), random(0, 100))
  let k = nearest(p, buds)
  buds = buds + [mix(buds[k], p, 0.5)]
}
note buds.length
`, `
fn grown(buds, p) = buds + [mix(buds[nearest(p, buds)], p, 0.5)]
let buds = [(70, 50)]
loop 20000 {
  buds = grown(buds, (random(0, 140), random(0, 100)))
}
note buds.length
`} {
		p, list := drawn(t, "nearest", program, 0.05)
		require.Empty(t, list)
		require.Equal(t, "20001", p.Said[0].Text)
	}
}

// Upper and lower case as CPython 3.11's str.upper and str.lower have them,
// which follow Unicode's SpecialCasing.
func TestTextFormsAreThoseOfUnicode(t *testing.T) {
	for _, c := range [][3]string{
		{"Fern", "FERN", "fern"}, {"straße", "STRASSE", "straße"}, {"ΟΔΟΣ", "ΟΔΟΣ", "οδος"[:len("οδο")] + "ς"},
		{"ﬁr", "FIR", "ﬁr"}, {"Ljubljana", "LJUBLJANA", "ljubljana"}, {"éÉ", "ÉÉ", "éé"},
	} {
		require.Equal(t, c[1], call(t, "upper", c[0]).Text())
		require.Equal(t, c[2], call(t, "lower", c[0]).Text())
	}
	require.Equal(t, "fern moss", call(t, "trim", "\u00a0\n fern moss\t ").Text())
	require.Equal(t, "é  ", call(t, "pad", "e\u0301", 3, nil).Text(), "characters are counted, not bytes")
	require.Equal(t, " ab  ", call(t, "pad", "ab", 5, "center").Text())
	require.Equal(t, "abc", call(t, "pad", "abc", 2, "right").Text())
	require.Equal(t, diag.Code("pad-width"), faultOf(t, "pad", "a", -1, nil))
	require.Equal(t, diag.Code("pad-align"), faultOf(t, "pad", "a", 5, "up"))
}

func TestNumbersAreWrittenAndRead(t *testing.T) {
	for _, c := range []struct {
		x      float64
		digits int
		want   string
	}{{2.5, 0, "3"}, {2, 3, "2.000"}, {-0.001, 2, "0.00"}, {1e21, 1, "1000000000000000000000.0"}, {0.1, 15, "0.100000000000000"}, {-12.345, 1, "-12.3"}} {
		require.Equal(t, c.want, call(t, "fixed", c.x, c.digits).Text())
	}
	require.Equal(t, diag.Code("decimals-range"), faultOf(t, "fixed", 1, 16))
	for text, want := range map[string]float64{"12": 12, " -0.5\n": -0.5, "+3": 3, "1e3": 1000, "2.5E-1": 0.25, "007": 7} {
		require.Equal(t, want, call(t, "number", text).Number())
	}
	for _, text := range []string{"", "1,5", "1_000", "0x10", "inf", "NaN", ".5", "5.", "1e", "1 2", "1e999", "12mm"} {
		require.Equal(t, diag.Code("number-text"), faultOf(t, "number", text), text)
		require.Equal(t, "none", call(t, "number", text, "none").Text())
	}
	_, err := native("number").Func(newHost(1), values([]any{"1,5"}))
	require.ErrorContains(t, err, "1,5")
	var fault *diag.Fault
	require.ErrorAs(t, err, &fault)
	require.Contains(t, fault.Args["hint"], "1.5")
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e9, 1e9).Draw(t, "x")
		require.InDelta(t, x, call(t, "number", call(t, "fixed", x, 6)).Number(), 1e-6)
	})
}
