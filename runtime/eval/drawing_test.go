package eval_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/lang/diag"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// shape is the line of a sheet with its roles, rounded: "0,0 10,0 ~5,0 =0,0",
// where ~ stands before the end of a link and = before that of a retraced piece.
func shape(p *plan.Plan, sheet int) string {
	s := p.Sheets[sheet]
	round := func(x float64) string {
		text := strings.TrimRight(fmt.Sprintf("%.3f", x), "0")
		text = strings.TrimSuffix(text, ".")
		if text == "-0" {
			return "0"
		}
		return text
	}
	var words []string
	for i, q := range s.Points {
		mark := ""
		if i > 0 {
			mark = map[plan.Role]string{plan.Drawn: "", plan.Link: "~", plan.Retrace: "="}[p.Places[s.Place[i-1]].Role]
		}
		words = append(words, mark+round(q.X)+","+round(q.Y))
	}
	return strings.Join(words, " ")
}

var drawings = []struct{ name, program, want string }{
	{"nothing", ``, "0,0"},
	{"ahead and turn", `ahead 10; turn 90; ahead 5; ahead -2`, "0,0 10,0 10,5 10,3"},
	{"face", `face 180; ahead 10; face 90; ahead 1`, "0,0 -10,0 -10,1"},
	{"reach and shift", `reach 10, 5; reach (3, 4); shift 1, 1; shift -2, 0`, "0,0 10,5 3,4 4,5 2,5"},
	{"no point twice", `ahead 5; ahead 0; reach here; ahead 1e-7; ahead -1e-7; ahead 1`, "0,0 5,0 6,0"},
	{"begin", `begin 20, 30; ahead 5`, "20,30 25,30"},
	{"begin at a point", `begin page.center; ahead 5`, "100,75 105,75"},
	{"a figure where the stylus is", `figure f() { reach 10, 5; turn 90; reach 0, 0 }
begin 50, 50
turn 90
ahead 10
f
ahead 1`, "50,50 50,60 45,70 50,60 49,60"},
	{"figures in figures", `figure a() { ahead 1; turn 90 }
figure b() { a; a }
loop 2 { b }`, "0,0 1,0 1,1 0,1 0,0"},
	{"draw goes on along the heading", `let p = path { ahead 10; turn 45 }
turn 90
draw p
ahead 1`, "0,0 0,10 -0.707,10.707"},
	{"draw of a path that was moved begins here", `draw path { ahead 10 }.move(5, 5); ahead 1`, "0,0 10,0 11,0"},
	{"draw at is upright in the frame", `let p = path { ahead 10; turn 45 }
begin 0, 0
turn 90
draw p at (20, 5)
ahead 1`, "0,0 ~20,5 30,5 30,6"},
	{"draw at in a figure is in its frame", `figure f() { draw path { ahead 2 } at (1, 0) }
begin 10, 10
turn 90
f`, "10,10 ~10,11 10,13"},
	{"a path that is placed first is where the line begins", `turn 90
if true { draw path { ahead 10 } at (20, 5) }
ahead 1
draw path { ahead 10 } at (40, 5)`, "20,5 30,5 30,6 =30,5 ~40,5 50,5"},
	{"follow", `follow path { reach 5, 5; ahead 10 }.move(20, 0)
ahead 1
follow path { ahead 3 }.move(36, 5)`, "20,0 25,5 35,5 36,5 39,5"},
	{"a path of one point is where the line begins", `follow path { turn 90 }.move(20, 5); ahead 3`, "20,5 23,5"},
	{"follow in a figure comes from its beginning", `figure f() { follow path { ahead 2 }.move(1, 0) }
begin 10, 10
turn 90
f`, "10,10 ~10,11 10,13"},
	{"follow in a branch comes from where that is", `branch { follow path { ahead 2 }.move(1, 0) }`, "0,0 ~1,0 3,0 =1,0 =0,0"},
	{"sneak", `ahead 10; sneak 20, 5; ahead 1`, "0,0 10,0 ~20,5 21,5"},
	{"sneak over one's own line", `ahead 10; turn 90; ahead 10; sneak 0, 0`, "0,0 10,0 10,10 =10,0 =0,0"},
	{"sneak to the middle of a line", `ahead 10; turn 90; ahead 10; sneak 4, 0; ahead 1`, "0,0 10,0 10,10 =10,0 =4,0 4,1"},
	{"sneak leaves the line where the new line is shortest", `ahead 10; turn 90; ahead 10; sneak 4, -1`, "0,0 10,0 10,10 =10,0 =4.02,0 ~4,-1"},
	{"draw at goes over one's own line", `ahead 10; turn 90; ahead 10; draw path { ahead 2 } at (5, 0)`, "0,0 10,0 10,10 =10,0 =5,0 7,0"},
	{"a figure sneaks over its own line alone", `figure f() { shift 0, 5; shift 5, 0; sneak 0, 0 }
shift 5, 0; f; sneak 0, 0`, "0,0 5,0 5,5 10,5 =5,5 =5,0 =0,0"},
	{"a figure does not know the line before it", `figure f() { sneak -5, 5 }
shift 0, 5; shift 5, 0; f; sneak 0, 5`, "0,0 0,5 5,5 ~0,10 =5,5 =0,5"},
	{"what was sneaked over is one's own line", `ahead 10; sneak 10, 5; sneak 10, 0; sneak 10, 5`, "0,0 10,0 ~10,5 =10,0 =10,5"},
	{"branch", `ahead 10
branch { turn 90; ahead 5; turn 90; ahead 3 }
ahead 1`, "0,0 10,0 10,5 7,5 =10,5 =10,0 11,0"},
	{"side trips are cut out of the way back", `branch {
  ahead 10
  branch { turn 90; ahead 5 }
  ahead 10
}
turn 90
ahead 1`, "0,0 10,0 10,5 =10,0 20,0 =10,0 =0,0 0,1"},
	{"a loop in a branch is a side trip", `branch { ahead 5; loop 4 { ahead 2; turn 90 }; ahead 5 }`, "0,0 5,0 7,0 7,2 5,2 5,0 10,0 =5,0 =0,0"},
	{"a branch without line", `branch { turn 90 }; ahead 1`, "0,0 1,0"},
	{"return out of a branch comes back first", `figure f() { ahead 1; branch { ahead 2; branch { ahead 3; return } }; ahead 100 }
f
ahead 1`, "0,0 1,0 3,0 6,0 =3,0 =1,0 2,0"},
	{"break out of a branch comes back first", `loop 3 { branch { ahead 2; break } }
turn 90
ahead 1`, "0,0 2,0 =0,0 0,1"},
	{"continue out of a branch comes back first", `loop 2 { branch { turn 90; ahead 2; continue; ahead 9 } }
ahead 1`, "0,0 0,2 =0,0 0,2 =0,0 1,0"},
	{"a loop inside a branch may be left without coming back", `branch { loop 3 { ahead 1; break }; ahead 1 }`, "0,0 1,0 2,0 =1,0 =0,0"},
	{"branch in a figure as a value", `draw path { ahead 1; branch { ahead 2 }; turn 90; ahead 3 }`, "0,0 1,0 3,0 1,0 1,3"},
	{"a spline passes its points", `begin 10, 10
spline [(20, 10), (30, 10)]`, "10,10 20,10 30,10"},
	{"a bezier that is straight", `bezier (1, 0), (2, 0), (3, 0)`, "0,0 3,0"},
	{"an arc of radius 0 turns", `arc 0, 90; ahead 1`, "0,0 0,1"},
}

func TestDrawings(t *testing.T) {
	for _, test := range drawings {
		t.Run(test.name, func(t *testing.T) {
			require.Equal(t, test.want, shape(run(t, test.program), 0))
		})
	}
}

func TestStepsTooShortToBeSeenAddUp(t *testing.T) {
	drawn := run(t, `loop 100 { ahead 1e-7 }; ahead 1`)
	points := drawn.Sheets[0].Points
	require.InDelta(t, 1.00001, points[len(points)-1].X, 1e-12)
	for i := 1; i < len(points); i++ {
		require.Greater(t, points[i].Distance(points[i-1]), geom.SamePoint)
	}
}

func TestEraseBeginsANewSheetWhereTheStylusIs(t *testing.T) {
	drawn := run(t, `begin 5, 5
ahead 10
pause "first"
erase
turn 90
ahead 3
pause "second"
ahead 1
sneak 0, 0`)
	require.Len(t, drawn.Sheets, 2)
	require.Equal(t, "5,5 15,5", shape(drawn, 0))
	require.Equal(t, "15,5 15,8 15,9 =15,8 =15,5 ~0,0", shape(drawn, 1))
	require.True(t, drawn.Sheets[0].Begun)
	require.False(t, drawn.Sheets[1].Begun)
	require.Equal(t, 1, drawn.Sheets[0].Pauses[0].Vertex)
	require.Equal(t, "second", drawn.Sheets[1].Pauses[0].Message)
	require.Equal(t, 1, drawn.Sheets[1].Pauses[0].Vertex)
}

func TestABeginBehindAnEraseMovesTheStylusUnseen(t *testing.T) {
	drawn := run(t, `ahead 10
loop i in 1..2 {
  erase
  begin i * 20, 30
  turn 90
  ahead i
}`)
	require.Len(t, drawn.Sheets, 3)
	require.Equal(t, []string{"0,0 10,0", "20,30 20,31", "40,30 38,30"}, []string{shape(drawn, 0), shape(drawn, 1), shape(drawn, 2)})
	require.Equal(t, []bool{false, true, true}, []bool{drawn.Sheets[0].Begun, drawn.Sheets[1].Begun, drawn.Sheets[2].Begun})
	require.Equal(t, "begin i * 20, 30", drawn.Sheets[2].Beginning.Text())
}

func TestALongWayToTheFirstPathIsWarnedOf(t *testing.T) {
	for program, hint := range map[string]string{
		"begin 0, 0\nfollow path { ahead 10 }.move(20, 30)":                "let the line begin there: `begin 20, 30`",
		"ahead 3\nerase\nfollow path { ahead 10 }.move(20, 30)":            "write `begin 20, 30` directly behind `erase`: the sheet is wiped after the way there",
		"figure f() { follow path { ahead 10 }.move(20, 30) }\nf":          "within a figure the line comes from (0, 0): make the path begin there, or follow it outside the figure",
		"follow path { draw path { ahead 10 } at (20, 30) }":               "within a figure the line comes from (0, 0): make the path begin there, or follow it outside the figure",
		"branch { follow path { ahead 10 }.move(20, 30) }":                 "within a `branch` the stylus comes from where that began",
		"follow path { ahead 10 }.move(20, 30)":                            "",
		"begin 20, 27\nfollow path { ahead 10 }.move(20, 30)":              "",
		"ahead 20\nfollow path { ahead 10 }.move(20, 30)":                  "",
		"figure f() { ahead 3; follow path { ahead 10 }.move(20, 30) }\nf": "",
		"erase\nbegin 20, 30\nfollow path { ahead 10 }.move(20, 30)":       "",
		"loop i in 1..3 { follow path { ahead 10 }.move(20 * i, 30) }":     "",
	} {
		drawn, list := eval.Run(context.Background(), compiled(t, program), options())
		require.NotNil(t, drawn)
		if hint == "" {
			require.Empty(t, list, program)
			continue
		}
		require.Len(t, list, 1, program)
		require.Equal(t, diag.Code("way-in"), list[0].Code)
		require.Equal(t, hint, list[0].Hint, program)
	}
}

func TestEachPieceKnowsItsStatement(t *testing.T) {
	drawn := run(t, `figure f() { ahead 1; arc 2, 90 }
f
draw f()
branch { reach 50, 50 }`)
	s := drawn.Sheets[0]
	require.Len(t, s.Place, len(s.Points)-1)
	var texts []string
	for _, p := range s.Place {
		text := drawn.Places[p].Span.Text()
		if len(texts) == 0 || texts[len(texts)-1] != text {
			texts = append(texts, text)
		}
	}
	require.Equal(t, []string{"ahead 1", "arc 2, 90", "draw f()", "reach 50, 50", "branch { reach 50, 50 }"}, texts)
}

func TestTheProgramsSeedCountsUnlessThePersonChoseOne(t *testing.T) {
	program := compiled(t, "seed 7\nnote random(0, 1)")
	with := options()
	with.Seed = 3
	drawn, _ := eval.Run(context.Background(), program, with)
	require.Equal(t, uint64(7), drawn.Seed)
	with.SeedForced = true
	forced, _ := eval.Run(context.Background(), program, with)
	require.Equal(t, uint64(3), forced.Seed)
	require.NotEqual(t, said(drawn), said(forced))
}

func TestCurvesThatLeaveThePageKeepTheirTrueExtent(t *testing.T) {
	// A circle of radius 10 about (100, 140.01): its top is at 150.01, 0.01 mm
	// beyond the page, while the flattened circle may stay within.
	drawn := run(t, "begin 100, 130.01\narc 10, 360")
	require.Len(t, drawn.Sheets[0].Extents, 1)
	require.InDelta(t, 150.01, drawn.Sheets[0].Extents[0].Box.Max.Y, 1e-9)
	require.Empty(t, run(t, "begin 100, 129.9\narc 10, 360").Sheets[0].Extents)
	drawn = run(t, "figure f() { bezier (0, 40), (40, 40), (40, 0) }\nbegin 20, 125\nf")
	require.InDelta(t, 155, drawn.Sheets[0].Extents[0].Box.Max.Y, 1e-9)
	require.Equal(t, 0, drawn.Sheets[0].Extents[0].Segment)
	require.Empty(t, run(t, "begin 20, 100\nspline [(30, 120), (60, 100), (90, 60)]").Sheets[0].Extents)
}

func TestNestedBranchesStayLinear(t *testing.T) {
	// A comb of n teeth, each a branch, and a chain of n branches in branches.
	length := func(program string) int { return len(run(t, program).Sheets[0].Points) }
	comb := func(n int) string {
		return fmt.Sprintf("branch { loop %d { ahead 1; branch { turn 90; ahead 1 } } }", n)
	}
	require.Equal(t, 1+4*100, length(comb(100)))
	chain := func(n int) string {
		return fmt.Sprintf("figure f(n) { branch { ahead 1; if n > 1 { f n - 1 } } }\nf %d", n)
	}
	require.Equal(t, 1+2*1000, length(chain(1000)))
	// Work counts as operations: ten times the branches may not cost a hundred
	// times as many.
	with := options()
	with.Limits = eval.Limits{Operations: 200_000}
	_, diags := eval.Run(context.Background(), compiled(t, chain(10_000)), with)
	require.Empty(t, diags)
}

// Koch and Hilbert curves and the dragon: lengths and ends are calculus-text
// facts (see for instance H. Sagan, Space-Filling Curves, 1994, for Hilbert's).
func TestFractalsHaveTheirLengthsAndEnds(t *testing.T) {
	for n := range 6 {
		p := run(t, fmt.Sprintf(`figure koch(n, d) {
  if n == 0 { ahead d; return }
  koch n - 1, d / 3
  turn 60
  koch n - 1, d / 3
  turn -120
  koch n - 1, d / 3
  turn 60
  koch n - 1, d / 3
}
koch %d, 1
note koch(%d, 1).length`, n, n)).Sheets[0].Points
		require.Len(t, p, int(math.Pow(4, float64(n)))+1)
		require.InDelta(t, math.Pow(4.0/3, float64(n)), polylineLength(p), 1e-9)
		require.InDelta(t, 0, p[len(p)-1].Distance(geom.Point{X: 1}), 1e-9)
	}
	end := geom.Point{X: 1}
	for n := 1; n <= 8; n++ {
		// Each folding multiplies the end by 1+i, or its conjugate.
		end = geom.Point{X: end.X - end.Y, Y: end.X + end.Y}
		p := run(t, fmt.Sprintf(`figure dragon(n, side) {
  if n == 0 { ahead 1; return }
  dragon n - 1, 90
  turn side
  dragon n - 1, -90
}
dragon %d, 90`, n)).Sheets[0].Points
		last := p[len(p)-1]
		require.Len(t, p, 1<<n+1)
		require.InDelta(t, math.Sqrt(math.Pow(2, float64(n))), last.Length(), 1e-9)
		require.InDelta(t, end.Length(), last.Length(), 1e-9)
		require.InDelta(t, math.Round(last.X), last.X, 1e-9)
	}
	for n := 1; n <= 5; n++ {
		side := math.Pow(2, float64(-n))
		p := run(t, fmt.Sprintf(`figure hilbert(n, side, d) {
  if n == 0 { return }
  turn side
  hilbert n - 1, -side, d
  ahead d
  turn -side
  hilbert n - 1, side, d
  ahead d
  hilbert n - 1, side, d
  turn -side
  ahead d
  hilbert n - 1, -side, d
  turn side
}
hilbert %d, 90, %v`, n, side)).Sheets[0].Points
		require.Len(t, p, int(math.Pow(4, float64(n))))
		require.InDelta(t, math.Pow(2, float64(n))-side, polylineLength(p), 1e-9)
		require.InDelta(t, 1-side, p[len(p)-1].Length(), 1e-9)
		seen := map[[2]int]bool{}
		for _, q := range p {
			seen[[2]int{int(math.Round(q.X / side)), int(math.Round(q.Y / side))}] = true
		}
		require.Len(t, seen, len(p), "each cell is visited once")
	}
}

func polylineLength(points []geom.Point) float64 {
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += points[i].Distance(points[i-1])
	}
	return sum
}

// The closing theorem of regular polygons, stars included (Coxeter, Regular
// Polytopes, 1963, section 2.8, from memory): steps of one length with turns of
// A whole degrees close after 360/gcd(A, 360) of them, having turned by
// lcm(A, 360) in all.
func TestStepsWithEqualTurnsCloseWhenTheClosingTheoremSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.IntRange(1, 359).Draw(t, "turn")
		steps := 360 / gcd(turn, 360)
		program := fmt.Sprintf("loop %d { ahead 10; turn %d }\nnote here; note heading", steps, turn)
		drawn, diags := eval.Run(context.Background(), compiled(t, program), options())
		if diags.Failed() {
			t.Fatal(diags)
		}
		p := drawn.Sheets[0].Points
		if p[len(p)-1].Distance(p[0]) > 1e-9 || drawn.Said[1].Text != "0" {
			t.Fatalf("%s ends at %v, heading %s", program, p[len(p)-1], drawn.Said[1].Text)
		}
		for _, q := range p[1 : len(p)-1] {
			if q.Distance(p[0]) < 1e-6 {
				t.Fatalf("%s closes early", program)
			}
		}
	})
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// A figure as a statement and as a value are the same line.
func TestAFigureDrawsTheSameLineAsAStatementAndAsAValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		figures := randomFigures(t)
		// Whole steps: points nearer than a millionth of a millimetre are one, and
		// which of them is kept may differ.
		before := fmt.Sprintf("begin 60, 60\nturn %v\nahead %v\n", rapid.Float64Range(-400, 400).Draw(t, "turn"), rapid.IntRange(-30, 30).Draw(t, "ahead"))
		after := "ahead 3\nnote heading"
		statement, d1 := eval.Run(context.Background(), compiled(t, figures+before+"f0 10\n"+after), options())
		val, d2 := eval.Run(context.Background(), compiled(t, figures+before+"draw f0(10)\n"+after), options())
		if d1.Failed() || d2.Failed() {
			t.Fatal(d1, d2)
		}
		p, q := statement.Sheets[0].Points, val.Sheets[0].Points
		if len(p) != len(q) {
			t.Fatalf("%d and %d points\n%s", len(p), len(q), figures)
		}
		for i := range p {
			if p[i].Distance(q[i]) > 1e-9 {
				t.Fatalf("point %d: %v and %v\n%s", i, p[i], q[i], figures)
			}
		}
		if said(statement) != said(val) {
			t.Fatalf("heading %s and %s", said(statement), said(val))
		}
	})
}

// randomFigures are three figures, each of which may call the ones after it.
func randomFigures(t *rapid.T) string {
	var out strings.Builder
	for i := range 3 {
		fmt.Fprintf(&out, "figure f%d(size) {\n", i)
		for range rapid.IntRange(1, 6).Draw(t, "statements") {
			number := func(lo, hi float64) float64 {
				return math.Round(rapid.Float64Range(lo, hi).Draw(t, "number")*100) / 100
			}
			switch rapid.IntRange(0, 8).Draw(t, "kind") {
			case 0:
				fmt.Fprintf(&out, "ahead size * %v\n", number(-1, 1))
			case 1:
				fmt.Fprintf(&out, "turn %v\n", number(-400, 400))
			case 2:
				fmt.Fprintf(&out, "arc size, %v\n", number(-200, 200))
			case 3:
				fmt.Fprintf(&out, "reach %v, %v\n", number(-20, 20), number(-20, 20))
			case 4:
				fmt.Fprintf(&out, "branch { ahead %v; turn 50; ahead size }\n", number(1, 9))
			case 5:
				fmt.Fprintf(&out, "bezier (%v, 3), here + (4, 4), (%v, 1)\n", number(-20, 20), number(-20, 20))
			case 6:
				fmt.Fprintf(&out, "draw path { ahead 2; turn 30 } at (%v, %v)\n", number(-5, 5), number(-5, 5))
			default:
				if i < 2 {
					fmt.Fprintf(&out, "f%d size * %v\n", rapid.IntRange(i+1, 2).Draw(t, "figure"), number(0.1, 1))
				}
			}
		}
		out.WriteString("}\n")
	}
	return out.String()
}

// The line is given while it is drawn: the stretches of a sheet hang together and
// are its whole line, whatever draws it, and one of which there is none has none.
func TestTheLineIsGivenWhileItIsDrawn(t *testing.T) {
	text := `
figure corner(n) {
  loop n {
    ahead 0.5
    turn 91
  }
}
begin 20, 20
loop i in 1..30000 {
  reach 20 + i / 1000, 20 + sin(i)
}
erase
erase
begin 30, 30
corner 20000
draw path {
  loop 20000 {
    ahead 0.5
    turn 89
  }
}
reach 50, 50
`
	o := options()
	given := map[int][]geom.Point{}
	stretches := 0
	o.Line = func(sheet int, stretch []geom.Point) {
		require.Greater(t, len(stretch), 1)
		stretches++
		before := given[sheet]
		if len(before) > 0 {
			require.Equal(t, before[len(before)-1], stretch[0])
			stretch = stretch[1:]
		}
		given[sheet] = append(before, stretch...)
	}
	drawn, list := eval.Run(context.Background(), compiled(t, text), o)
	require.False(t, list.Failed(), "%v", list)
	require.Len(t, drawn.Sheets, 3)
	require.Len(t, given, 2, "the second sheet has no piece")
	for _, i := range []int{0, 2} {
		require.Equal(t, drawn.Sheets[i].Points, given[i])
	}
	require.GreaterOrEqual(t, stretches, 1+30_000>>14+1+40_000>>14)
}

// The way to each place is told when the line first comes from it: it is the one
// that Trails finds for the first of its pieces. Of a place that a path of its own
// came to first nothing is told.
func TestTheWayToEachPlaceIsTold(t *testing.T) {
	program := compiled(t, `
figure side(n) {
  ahead n
  turn 90
}
figure corner(n) {
  loop 2 { side n }
  arc 5, 90
}
let leaf = path { side 3 }
begin 20, 20
loop 3 { corner 4 }
draw leaf
reach 30, 30
erase
corner 2
spline [(40, 40), (50, 60)]
`)
	o := options()
	told := map[uint32][]diag.Frame{}
	o.Placed = func(place uint32, trail []diag.Frame) {
		require.NotContains(t, told, place)
		told[place] = trail
	}
	drawn, list := eval.Run(context.Background(), program, o)
	require.False(t, list.Failed(), "%v", list)
	checked, seen := 0, map[uint32]bool{}
	for i, sheet := range drawn.Sheets {
		for j, place := range sheet.Place {
			if seen[place] {
				continue
			}
			seen[place] = true
			if drawn.Places[place].Span.Text() == "ahead n" {
				require.NotContains(t, told, place, "the leaf came to it first")
				continue
			}
			segment := eval.Segment{Sheet: i, Index: j}
			trails, err := eval.Trails(context.Background(), program, options(), []eval.Segment{segment})
			require.NoError(t, err)
			require.Equal(t, trails[segment], told[place], drawn.Places[place].Span.Text())
			checked++
		}
	}
	require.Equal(t, 4, checked)
}
