package stdlib_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/stdlib"
)

// linePoints are the points of the line that an expression draws.
func linePoints(t *testing.T, expression string) []geom.Point {
	t.Helper()
	p, list := drawn(t, "line", "follow "+expression+"\n", 0.01)
	require.False(t, list.Failed(), "%s: %v", expression, list)
	return p.Sheets[0].Points
}

// said is what a program says.
func said(t *testing.T, program string) []string {
	t.Helper()
	p, list := drawn(t, "said", program, 0.05)
	require.Empty(t, list)
	var texts []string
	for _, s := range p.Said {
		texts = append(texts, s.Text)
	}
	return texts
}

// Lengths and end points of the classical curves, from their definitions: each
// refinement makes so many pieces of one, and the ends so many times as far apart.
func TestClassicalCurvesAreAsLongAsTheyAreDefined(t *testing.T) {
	for _, order := range []int{1, 2, 4} {
		n := float64(order)
		for _, c := range []struct {
			name                    string
			pieces, apart, unitSize float64
		}{
			{"koch(%d, 81)", math.Pow(4, n), 81, 81 / math.Pow(3, n)},
			{"hilbert(%d, 60)", math.Pow(4, n) - 1, 60, 60 / (math.Pow(2, n) - 1)},
			{"peano(%d, 80)", math.Pow(9, n) - 1, 80 * math.Sqrt2, 80 / (math.Pow(3, n) - 1)},
		} {
			expression := "fractals." + fmt.Sprintf(c.name, order)
			points := linePoints(t, expression)
			require.InDelta(t, c.pieces*c.unitSize, geom.Length(points), 1e-6*c.pieces, expression)
			require.InDelta(t, c.apart, points[0].Distance(points[len(points)-1]), 1e-6, expression)
		}
		for name, factor := range map[string][2]float64{"dragon": {2, math.Sqrt2}, "gosper": {7, math.Sqrt(7)}, "arrowhead": {3, 2}} {
			points := linePoints(t, fmt.Sprintf("fractals.%s(%d, 90)", name, order))
			ratio := geom.Length(points) / points[0].Distance(points[len(points)-1])
			require.InDelta(t, math.Pow(factor[0]/factor[1], n), ratio, 1e-6*ratio, "%s %d", name, order)
		}
	}
}

// The curves that fill an area visit no place twice. The dragon touches itself at
// corners, so it is none of them.
func TestCurvesThatFillAnAreaMeetNowhere(t *testing.T) {
	for _, expression := range []string{"hilbert(5, 62)", "peano(3, 78)", "gosper(3, 80)", "arrowhead(6, 90)", "snowflake(4, 70)"} {
		points := linePoints(t, "centered(fractals."+expression+").move(70, 50)")
		if expression[0] == 's' {
			points = points[1:] // closed
		}
		seen := map[[2]int]bool{}
		for _, p := range points {
			key := [2]int{int(math.Round(p.X * 1000)), int(math.Round(p.Y * 1000))}
			require.False(t, seen[key], "%s comes back to %v", expression, p)
			seen[key] = true
		}
	}
}

// The way from an index to a place on the curve by Hilbert as it is published
// (Warren, Hacker's Delight, second edition, section 16; from memory), up to the
// symmetries of the square.
func TestHilbertVisitsTheCellsInThePublishedOrder(t *testing.T) {
	const order, side = 4, 16
	published := func(d int) (x, y int) {
		for s := 1; s < side; s *= 2 {
			rx := 1 & (d / 2)
			ry := 1 & (d ^ rx)
			if ry == 0 {
				if rx == 1 {
					x, y = s-1-x, s-1-y
				}
				x, y = y, x
			}
			x, y = x+s*rx, y+s*ry
			d /= 4
		}
		return x, y
	}
	ours := linePoints(t, "fractals.hilbert(4, 15)")
	matches := 0
	for symmetry := range 8 {
		same := true
		at := 0
		for d := range side * side {
			x, y := published(d)
			if symmetry&1 != 0 {
				x = side - 1 - x
			}
			if symmetry&2 != 0 {
				y = side - 1 - y
			}
			if symmetry&4 != 0 {
				x, y = y, x
			}
			// Straight runs are one piece of line: the cell lies on the next piece.
			p := geom.Point{X: float64(x), Y: float64(y)}
			for at+1 < len(ours) && !onPiece(p, ours[at], ours[at+1]) {
				at++
			}
			same = same && at+1 < len(ours)
		}
		if same {
			matches++
		}
	}
	require.Equal(t, 1, matches)
}

func onPiece(p, a, b geom.Point) bool {
	return math.Abs(a.Distance(p)+p.Distance(b)-a.Distance(b)) < 1e-6
}

// Texts and counts of The Algorithmic Beauty of Plants (Prusinkiewicz and
// Lindenmayer 1990): the filament of section 1.2 (its texts have the lengths of
// Fibonacci), and the pieces of the plants of figure 1.24.
func TestRewritingGivesThePublishedTexts(t *testing.T) {
	require.Equal(t, []string{"abaab", "13", "21", "3125", "3125", "4096", "16"}, said(t, `
note fractals.rewrite("b", {a: "ab", b: "a"}, 4)
note fractals.rewrite("b", {a: "ab", b: "a"}, 6).length
note fractals.rewrite("b", {a: "ab", b: "a"}, 7).length
fn pieces(rule, times) = fractals.rewrite("F", {F: rule}, times).split("").keep(fn(c) = c == "F").length
note pieces("F[+F]F[-F]F", 5)
note pieces("F[+F]F[-F][F]", 5)
note pieces("FF-[-F+F+F]+[+F-F-F]", 4)
note pieces("FF", 4)
`))
}

// The numbers of corners, edges and faces of the five regular solids (Euclid,
// Elements, book XIII), and Euler's V - E + F = 2.
func TestRegularSolidsHaveTheirCornersEdgesAndFaces(t *testing.T) {
	for name, count := range map[string][3]int{"tetrahedron": {4, 6, 4}, "cube": {8, 12, 6}, "octahedron": {6, 12, 8}, "icosahedron": {12, 30, 20}, "dodecahedron": {20, 30, 12}} {
		got := said(t, "let s = solids."+name+"()\nnote \"{s.corners.length} {s.edges.length} {s.faces.length}\"\n")
		require.Equal(t, fmt.Sprint(count[0], count[1], count[2]), got[0], name)
		require.Equal(t, 2, count[0]-count[1]+count[2])
	}
	// Looked at along an axis through two faces, the outline of a cube is a square
	// and that of an octahedron, along one through two corners, a square too.
	require.InDelta(t, 4*2/math.Sqrt(3)*30, visible(linePoints(t, "solids.seen(solids.cube(), 60, eye: 1e6)")), 0.01)
	require.InDelta(t, 4*math.Sqrt2*30+4*30, visible(linePoints(t, "solids.seen(solids.octahedron(), 60, eye: 1e6)")), 0.01)
}

// visible is the length of a line without what is gone over again, for lines that
// go over whole pieces only.
func visible(points []geom.Point) float64 {
	type piece [4]int
	seen := map[piece]bool{}
	round := func(x float64) int { return int(math.Round(x * 1000)) }
	total := 0.0
	for i, b := range points[1:] {
		a := points[i]
		if b.X < a.X || b.X == a.X && b.Y < a.Y {
			a, b = b, a
		}
		key := piece{round(a.X), round(a.Y), round(b.X), round(b.Y)}
		if !seen[key] {
			seen[key] = true
			total += a.Distance(b)
		}
	}
	return total
}

// A maze is a spanning tree of its grid: every cell is reached, by one way less
// than there are cells, and all other sides of cells are walls.
func TestAMazeIsASpanningTree(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 5}, {6, 1}, {9, 7}} {
		columns, rows := size[0], size[1]
		cells := columns * rows
		program := fmt.Sprintf("seed 3\nlet m = mazes.maze(%d, %d)\n", columns, rows) + `
loop k in 1..m.from.length {
  let steps = 0
  let cell = k
  loop while m.from[cell] > 0 { cell = m.from[cell]; steps += 1 }
  if cell != 1 { note "cell {k} is not reached" }
  if steps > m.from.length { note "cell {k} lies on a ring" }
}
note m.from.keep(fn(f) = f > 0).length
`
		require.Equal(t, []string{fmt.Sprint(cells - 1)}, said(t, program))
		round := linePoints(t, fmt.Sprintf("mazes.around(mazes.maze(%d, %d), 6)", columns, rows))
		require.InDelta(t, float64(4*cells*3), geom.Length(round), 1e-6)
		require.Equal(t, round[0], round[len(round)-1])
	}
}

// The order of circuits in the classical labyrinth (3 2 1 4 7 6 5 with the middle
// as 8) and in its relatives of 3 and 11 circuits. From memory of the literature on labyrinths.
func TestALabyrinthHasTheClassicalCircuits(t *testing.T) {
	require.Equal(t, []string{"[1, 2, 3, 4]", "[3, 2, 1, 4, 7, 6, 5, 8]", "[5, 2, 3, 4, 1, 6, 11, 8, 9, 10, 7, 12]", "[1, 2, 3, 4]"},
		said(t, "note mazes.way_in(3)\nnote mazes.way_in(7)\nnote mazes.way_in(11)\nnote mazes.way_in(0)\n"))
}

// A plait of p by q has as many strands as the greatest common divisor of p and q
// says. From memory of the literature on mirror curves and plaitwork.
func TestAPlaitHasAsManyStrandsAsItsSidesHaveInCommon(t *testing.T) {
	for _, c := range [][3]int{{3, 2, 1}, {4, 2, 2}, {6, 4, 2}, {6, 3, 3}, {5, 5, 5}, {7, 5, 1}} {
		require.Equal(t, []string{fmt.Sprint(c[2])}, said(t, fmt.Sprintf("note knots.strands(%d, %d).length\n", c[0], c[1])))
	}
}

// Edges of a patch of hexagons: 3 for each, and those of the border, from counting
// (one hexagon has 6, a row of r has 5 r + 1).
func TestEveryEdgeOfAHexagonIsThereOnce(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 4}, {2, 2}, {5, 3}, {6, 4}} {
		c, r := size[0], size[1]
		got := visible(linePoints(t, fmt.Sprintf("tilings.hexagons(%d, %d, 5)", c, r)))
		require.InDelta(t, float64(5*(3*c*r+2*c+2*r-1)), got, 0.01, "%d by %d", c, r)
	}
}

// Special cases of the superformula (Gielis 2003): without lobes a circle, with four
// and exponents of 2 a circle too, with exponents of 1 a square on its corner.
func TestTheSuperformulaHasItsSpecialCases(t *testing.T) {
	for expression, perimeter := range map[string]float64{
		"superformula(0, 40)": 2 * math.Pi * 40,
		"superformula(4, 40, pointed: 2, upright: 2, level: 2)":   2 * math.Pi * 40,
		"superformula(4, 40, pointed: 1, upright: 1, level: 1)":   4 * 40 * math.Sqrt2,
		"superformula(8, 40, pointed: 2, upright: 2, level: 2)":   2 * math.Pi * 40,
		"superformula(5, 40, pointed: 1e6, upright: 2, level: 2)": 2 * 2 * math.Pi * 40, // odd: twice around
	} {
		require.InDelta(t, perimeter, geom.Length(linePoints(t, "curves."+expression+".move(60, 50)")), 0.1, expression)
	}
}

// A knot on a ring that goes p times around it and q times through it crosses itself
// q (p - 1) times as seen from above, if p is less than q: the trefoil 3 times
// (Adams, The Knot Book, section 5.1; from memory).
func TestAKnotOnARingCrossesItselfAsOftenAsItShould(t *testing.T) {
	for _, c := range [][3]int{{1, 5, 0}, {2, 3, 3}, {2, 5, 5}, {3, 4, 8}, {3, 5, 10}} {
		points := linePoints(t, fmt.Sprintf("curves.torus_knot(%d, %d, 90).move(50, 50)", c[0], c[1]))
		require.InDelta(t, 0, points[0].Distance(points[len(points)-1]), 1e-6)
		require.Equal(t, c[2], selfCrossings(points), c)
	}
}

// selfCrossings counts the pairs of pieces of a line that cross.
func selfCrossings(points []geom.Point) int {
	side := func(a, b, c geom.Point) bool {
		return (b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X) > 0
	}
	count := 0
	for i := range len(points) - 1 {
		a, b := points[i], points[i+1]
		for k := i + 2; k < len(points)-1; k++ {
			c, d := points[k], points[k+1]
			if i == 0 && k == len(points)-2 {
				continue // the line is closed
			}
			if side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b) {
				count++
			}
		}
	}
	return count
}

// The ends of a clothoid that has turned by 90 degrees are the Fresnel integrals
// S(1) = 0.4382591474 and C(1) = 0.7798934004 (Abramowitz and Stegun, table 7.7; from
// memory). A spiral by Fermat sweeps half the area of its circle once for each turn.
// Of a pendulum that loses half of its reach with each round, a quarter is left after two.
func TestSpiralsAndSwingsEndWhereTheyShould(t *testing.T) {
	bent := linePoints(t, "curves.clothoid(0.25, 80).move(60, 50)")
	end := bent[len(bent)-1]
	require.InDelta(t, 0.4382591474/0.7798934004, (end.Y-50)/(end.X-60), 1e-4)

	area := 0.0
	spiral := linePoints(t, "curves.fermat_spiral(7, 40).move(50, 50)")
	for i, b := range spiral[1:] {
		a := spiral[i]
		area += ((a.X-50)*(b.Y-50) - (a.Y-50)*(b.X-50)) / 2
	}
	require.InEpsilon(t, math.Pi*40*40*7/2, area, 1e-3)

	swing := linePoints(t, "curves.pendulums([{across: 1, up: 1, share: 1, phase: 0}], 90, 90, rounds: 2, loss: 0.5).move(50, 50)")
	require.InDelta(t, 45, swing[0].Y-50, 0.01)
	require.InDelta(t, 45.0/4, swing[len(swing)-1].Y-50, 0.01)
}

// The rhombs of a tiling by Penrose have one length of side, and the thick ones are
// more frequent by the golden ratio (Penrose 1974; from memory). By area: a thick
// one holds sin 72°, a thin one sin 36° of the square of the side.
func TestRhombsHaveOneSide(t *testing.T) {
	points := linePoints(t, "tilings.penrose(4, 90).move(70, 50)")
	want := 45 / math.Pow(math.Phi, 4)
	for i, b := range points[1:] {
		times := points[i].Distance(b) / want
		require.InDelta(t, math.Round(times), times, 1e-6)
	}
}

// The golden angle, 360° / φ², is 137.5077640° (OEIS A096627).
func TestSeedsLieByTheGoldenAngle(t *testing.T) {
	require.Equal(t, []string{"137.507764"}, said(t, "let s = plants.seeds(9, 50)\nnote fixed(mod(direction((0, 0), s[6]) - direction((0, 0), s[5]), 360), 6)\n"))
}

// Ticks are 1, 2 or 5 times a power of ten and take in all that is plotted.
func TestTicksAreRoundNumbers(t *testing.T) {
	require.Equal(t, []string{"{low: 0, high: 20, step: 5}", "{low: -0.6, high: 1, step: 0.2}", "{low: 1000, high: 1007, step: 1}", "{low: 3, high: 4, step: 0.2}"}, said(t, `
note plots.scale_of([0.3, 17])
note plots.scale_of([-0.51, 0.81])
note plots.scale_of([1000.5, 1006.2])
note plots.scale_of([3, 3])
`))
}

// Flow lines keep the distance from one another that they are asked for.
func TestFlowLinesKeepApart(t *testing.T) {
	require.Equal(t, []string{"true"}, said(t, `
let lines = fields.flow(fn(x, y) = 250 * noise(x / 40, y / 40), 80, 50, 4)
let least = 100
loop i, a in lines {
  loop j, b in lines {
    if i < j {
      loop mm in 0..a.length by 1 { loop other in 0..b.length by 1 { least = min(least, distance(a.spot(mm), b.spot(other))) } }
    }
  }
}
note lines.length > 20 and least > 4 * 0.5
`))
}

// What a theme cannot do is said at the call, in the program of the person.
func TestAFaultWithinAThemeIsShownAtTheCall(t *testing.T) {
	for program, place := range map[string]string{
		"follow mazes.walls(mazes.maze(0, 5), 5)":                    "mazes.maze(0, 5)",
		"follow solids.wire(\"cube\", 90)":                           "solids.wire(\"cube\", 90)",
		"fn row(n) = curves.star(n, 20, 10)\nfollow row(\"five\")\n": "curves.star(n, 20, 10)",
	} {
		_, list := drawn(t, "call", program, 0.05)
		require.Len(t, list, 1, program)
		require.Equal(t, place, list[0].Span.Text())
		require.Contains(t, list[0].Hint, "wend explain")
	}
	// A theme that stands on another is named itself.
	_, list := drawn(t, "call", "follow plants.twig(90, times: 14)\n", 0.05)
	require.Len(t, list, 1)
	require.Contains(t, list[0].Message, "`plants.twig`")
}

// A curve of a thousand million waves is given up long before it has used up all
// points that are allowed: what it takes is said at the call.
func TestCurvesWithoutHopeAreGivenUp(t *testing.T) {
	for _, call := range []string{
		"curves.superformula(1e9, 40)",
		"curves.torus_knot(3, 1e9, 80)",
		"curves.pendulums([{across: 1e9, up: 3, share: 1, phase: 0}], 100, 80)",
	} {
		_, list := drawn(t, "hopeless", "draw "+call+"\n", 0.05)
		require.Len(t, list, 1, call)
		require.Equal(t, diag.Code("too-many-points"), list[0].Code)
		require.Equal(t, call, list[0].Span.Text())
	}
}

// Whatever a theme is given, it draws, or its fault is shown at the call.
func TestThemesTakeAnything(t *testing.T) {
	values := []string{"0", "-1", "2.5", "\"five\"", "true", "(1, 2)", "[]", "[1, \"a\"]", "{a: 1}", "path { ahead 5 }", "fn(x) = x", "fn(x, y) = \"a\""}
	for _, theme := range stdlib.Modules() {
		for _, member := range stdlib.Members(theme) {
			word, ok := stdlib.Vocabulary().Lookup(theme + "." + member)
			require.True(t, ok)
			count := 1 + strings.Count(word.Forms[0], ",")
			for i := range values {
				given := make([]string, count)
				for k := range given {
					given[k] = values[(i+k*(1+i/4))%len(values)]
				}
				call := theme + "." + member + "(" + strings.Join(given, ", ") + ")"
				_, list := drawn(t, "anything", "note "+call+"\n", 0.5)
				for _, d := range list {
					require.False(t, d.Span.File.Library, "%s: %v", call, d)
					require.NotEqual(t, diag.Code("internal-fault"), d.Code, call)
				}
			}
		}
	}
}

// A bracket that nobody closes runs to the end of the text.
func TestAnOpenBranchEndsWithItsText(t *testing.T) {
	require.Equal(t, []string{"9", "15"}, said(t, "note fractals.trace(\"F[+F\", 3, 90).length\nnote fractals.trace(\"F[[F[F\", 3, 90).length\n"))
}

// A count that has no meaning between two whole numbers would leave a line open, or
// rows that end anywhere, so it is refused at the call.
func TestCountsAreWhole(t *testing.T) {
	for _, call := range []string{
		"curves.polygon(%s, 40)", "curves.star(%s, 40, 20)", "curves.rose(%s, 40)", "curves.lissajous(%s, 3, 90, 80)", "curves.lissajous(2, %s, 90, 80)",
		"curves.superformula(%s, 40)", "curves.torus_knot(%s, 3, 80)", "curves.torus_knot(2, %s, 80)",
		"fractals.koch(%s, 60)", "fractals.snowflake(%s, 60)", "fractals.hilbert(%s, 40)", "fractals.peano(%s, 40)", "fractals.dragon(%s, 40)", "fractals.gosper(%s, 40)", "fractals.arrowhead(%s, 40)",
		"plants.twig(40, %s)", "plants.reed(40, %s)", "plants.bush(40, %s)", "plants.grass(40, %s)", "plants.shoot(40, %s)", "plants.herb(40, %s)", "plants.tree(40, %s)", "polyline(plants.seeds(%s, 40))",
		"tilings.hexagons(%s, 3, 5)", "tilings.hexagons(3, %s, 5)", "tilings.arcs(%s, 3, 5)", "tilings.arcs(3, %s, 5)", "tilings.penrose(%s, 40)",
		"weave(knots.plait(%s, 3, 60))", "weave(knots.plait(3, %s, 60))", "polyline(knots.strands(3, %s)[1])",
		"mazes.walls(mazes.maze(%s, 4), 10)", "mazes.walls(mazes.maze(4, %s), 10)",
		"weave(fields.ridges(fn(x, y) = 0, 80, 60, %s))", "solids.surface(fn(x, y) = 0, 80, %s)",
	} {
		program := "follow centered(" + call + ").move(page.center)\n"
		_, list := drawn(t, "whole", fmt.Sprintf(program, "3"), 0.05)
		require.False(t, list.Failed(), "%s: %v", call, list)
		_, list = drawn(t, "whole", fmt.Sprintf(program, "2.5"), 0.05)
		require.Len(t, list, 1, call)
		require.Equal(t, diag.Code("passes-whole"), list[0].Code, call)
		require.Equal(t, "whole", list[0].Span.File.Name, call)
	}
}

// Part of a turn, of a wave or of an arch is a part of the line.
func TestTurnsMayEndAnywhere(t *testing.T) {
	for _, call := range []string{"spiral(%s, 5)", "growing_spiral(%s, 1, 2)", "wave(%s, 50, 10)", "cycloid(%s, 3)", "involute(%s, 3)", "clothoid(%s, 60)", "fermat_spiral(%s, 30)"} {
		shorter := geom.Length(linePoints(t, "curves."+fmt.Sprintf(call, "1.25")))
		longer := geom.Length(linePoints(t, "curves."+fmt.Sprintf(call, "1.75")))
		require.Greater(t, longer, shorter+1, call)
	}
}
