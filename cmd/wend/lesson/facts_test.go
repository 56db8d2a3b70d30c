package lesson_test

import (
	"context"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/lesson"
	"wend/runtime/geom"
)

// wanted is the wanted line of a task, of its sketch.
func wanted(t *testing.T, id string) []geom.Point {
	t.Helper()
	for _, l := range lesson.Lessons() {
		for _, task := range l.Tasks {
			if task.ID() == id {
				sketch, err := task.Sketch(context.Background())
				require.NoError(t, err)
				return sketch.Line
			}
		}
	}
	t.Fatalf("there is no task %s", id)
	return nil
}

// turnings are the turns at the corners of a closed line, degrees, left positive, by
// the angle between neighbouring sides.
func turnings(line []geom.Point) (turns []float64) {
	n := len(line) - 1
	for i := range n {
		a, b := line[(i+1)%n].Sub(line[i]), line[(i+2)%n].Sub(line[(i+1)%n])
		turns = append(turns, math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y)*180/math.Pi)
	}
	return turns
}

// The exterior angles of a polygon that does not cross itself add up to 360 degrees
// (Euclid, Elements, the corollary of Proclus to I.32); a closed line turns by a whole number
// of times that (the closed-path theorem of Abelson and diSessa, Turtle Geometry,
// 1981, chapter 1). The sum of interior angles is (n - 2) times 180.
func TestExteriorAnglesOfTheSketchesAddUpTo360(t *testing.T) {
	for id, rounds := range map[string]float64{"2.1": 1, "2.2": 1, "2.3": 1, "3.1": 1, "3.4": 1, "4.1": 1, "4.2": 1, "4.3": -2} {
		turns := turnings(wanted(t, id))
		sum, inside := 0.0, 0.0
		for _, turn := range turns {
			sum += turn
			inside += 180 - turn
		}
		require.InDelta(t, 360*rounds, sum, 0.01, id)
		if rounds == 1 {
			require.InDelta(t, 180*float64(len(turns)-2), inside, 0.01, id)
		}
	}
}

// In a regular polygon of n sides each turn is 360/n: 120, 90, 72, 45.
func TestRegularPolygonsShareATurn(t *testing.T) {
	for id, n := range map[string]int{"2.2": 3, "3.1": 4, "4.1": 5, "4.2": 8} {
		line := wanted(t, id)
		require.Len(t, line, n+1, id)
		for i, turn := range turnings(line) {
			require.InDelta(t, 360/float64(n), turn, 0.01, id)
			require.InDelta(t, line[0].Distance(line[1]), line[i].Distance(line[i+1]), 0.001, id)
		}
	}
}

// Pythagoras (Elements I.47): the way across a square of 40 mm is 56.57 mm; by its
// converse (I.48) the set square of lesson 2, 40, 40 and 56.6, has a right angle as
// nearly as a ruler sees.
func TestTheWayAcrossASquareIsThatOfPythagoras(t *testing.T) {
	line := wanted(t, "6.3")
	require.InDelta(t, 40, line[0].Distance(line[1]), 1e-6)
	require.InDelta(t, math.Sqrt(40*40+40*40), line[1].Distance(line[2]), 1e-6)
	require.InDelta(t, 56.6*56.6, 40*40+40*40, 4)
	// Each slope of the roof is half of that.
	require.InDelta(t, line[1].Distance(line[2])/2, line[3].Distance(line[4]), 1e-6)
}

// A figure can be drawn in one line without going over any part twice if no more
// than two of its corners have an odd number of lines; it then begins and ends there
// (Euler, Solutio problematis ad geometriam situs pertinentis, 1736/1741).
func TestTheHouseIsAnEulerTrail(t *testing.T) {
	line := wanted(t, "6.3")
	degree := map[geom.Point]int{}
	seen := map[[2]geom.Point]bool{}
	round := func(p geom.Point) geom.Point { return geom.Point{X: math.Round(p.X), Y: math.Round(p.Y)} }
	for i := 1; i < len(line); i++ {
		a, b := round(line[i-1]), round(line[i])
		degree[a]++
		degree[b]++
		require.False(t, seen[[2]geom.Point{a, b}] || seen[[2]geom.Point{b, a}], "no line twice")
		seen[[2]geom.Point{a, b}] = true
	}
	require.Len(t, seen, 8)
	for p, n := range degree {
		odd := p == round(line[0]) || p == round(line[len(line)-1])
		require.Equal(t, odd, n%2 == 1, "%v", p)
	}
}

// The circumference of a circle is 2 pi r (Archimedes, Measurement of a Circle, for
// the bounds 223/71 < pi < 22/7): two rings of 30 and 15 mm are 282.74 mm.
func TestTheRingsAreAsLongAsTheirCircumferences(t *testing.T) {
	length := geom.Length(wanted(t, "10.1"))
	require.InDelta(t, 2*math.Pi*45, length, 0.05)
	require.Greater(t, length, 90*223.0/71-0.05)
	require.Less(t, length, 90*22.0/7)
}

// One period of A sin(kx) has the length of an ellipse: 4 sqrt(1+m) E(m/(1+m))/k with
// m = (Ak)^2. For two waves of 60 mm that rise by 20 mm it is integrated here by
// Simpson's rule, which shares nothing with how curves are made into lines.
func TestTheWavesAreAsLongAsTheIntegralSays(t *testing.T) {
	const n = 2000
	k := 2 * math.Pi / 60
	f := func(x float64) float64 { return math.Hypot(1, 20*k*math.Cos(k*x)) }
	sum := f(0) + f(120)
	for i := 1; i < n; i++ {
		sum += f(120*float64(i)/n) * float64(2+2*(i%2))
	}
	require.InDelta(t, sum*120/n/3, geom.Length(wanted(t, "10.3")), 0.1)
}

// A coil of sixteen sides from 4 mm on, each 4 mm longer, is 4 (1 + 2 + … + 16) mm
// long: the sum of the first n numbers is n (n + 1)/2.
func TestTheCoilIsAsLongAsTheSumOfItsSides(t *testing.T) {
	require.InDelta(t, 4*16*17/2, geom.Length(wanted(t, "6.1")), 1e-6)
}

// The rows of a program that a hint quotes, put together, solve no task: even the last
// hint leaves something to do.
func TestNoHintIsTheAnswer(t *testing.T) {
	quoted := regexp.MustCompile("`([^`]+)`")
	for _, l := range lesson.Lessons() {
		for _, task := range l.Tasks {
			seen := map[string]bool{}
			for _, hint := range task.Hints {
				require.False(t, seen[hint], "%s: the same hint twice", task.ID())
				seen[hint] = true
				var rows strings.Builder
				for _, row := range quoted.FindAllStringSubmatch(hint, -1) {
					rows.WriteString(row[1] + "\n")
				}
				require.False(t, check(t, try(t, "<hint>", rows.String()), task).Solved, "%s: %s", task.ID(), hint)
			}
		}
	}
}
