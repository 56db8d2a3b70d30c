package lower_test

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func lowered(t require.TestingT, p *machine.Profile, opts lower.Options, points ...geom.Point) (*lower.Result, diag.List) {
	sheet := &plan.Sheet{Points: points, Place: make([]uint32, len(points)-1)}
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}
	result, diagnostics, err := lower.Sheet(context.Background(), p, whole, sheet, opts)
	require.NoError(t, err)
	return result, diagnostics
}

// machineWith is a machine without slack, link limits or rounding to speak of.
func machineWith(speed, acceleration, cornerDeviation float64) *machine.Profile {
	p := machine.DeskToy()
	p.Area.WidthMM, p.Area.HeightMM = 1000, 1000
	for _, a := range []*machine.Axis{&p.X, &p.Y} {
		a.MaxSpeedMMS, a.MaxAccelerationMMS2, a.SlackMM = speed, acceleration, 0
	}
	p.Board.StepsPerMM = pt(1000, 1000)
	p.Board.Baud = 100_000_000
	p.Drawing.CornerDeviationMM = cornerDeviation
	return p
}

// Rest to rest: T = L/v + v/a if L >= v²/a, else 2 √(L/a) (Siciliano et al.,
// Robotics, 2009, section 4.2; from memory). A diagonal within limits of each
// axis takes the time of one axis.
func TestAStraightLineTakesTheTimeOfATrapezoid(t *testing.T) {
	p := machineWith(50, 500, 0.05)
	for _, c := range []struct {
		to      geom.Point
		seconds float64
	}{
		{pt(100, 0), 2.1}, {pt(0, 100), 2.1}, {pt(100, 100), 2.1}, {pt(5, 0), 0.2}, {pt(4, 0), 0.178885}, {pt(0, 4), 0.178885},
		{pt(100, 30), 2.1},
	} {
		result, _ := lowered(t, p, lower.Options{}, pt(0, 0), c.to)
		require.InDelta(t, c.seconds, result.Seconds, 1e-3*c.seconds, "%v", c.to)
		require.InDelta(t, c.seconds, result.BoundSeconds, 1e-5*c.seconds)
	}
}

func TestVerticesOnAStraightLineCostNoTime(t *testing.T) {
	p := machineWith(50, 500, 0.05)
	p.Drawing.ToleranceMM = 0.0001 // nothing is left out
	points := []geom.Point{pt(0, 0)}
	for i := 1; i <= 10; i++ {
		points = append(points, pt(float64(i*i), 0))
	}
	result, _ := lowered(t, p, lower.Options{}, points...)
	require.InDelta(t, 2.1, result.Seconds, 1e-3)
}

// A square with stops takes four lines; the corner rule with no deviation
// stops, with some it is faster, and never faster than 4 L/v.
func TestASquareStopsInItsCornersIfNoDeviationIsAllowed(t *testing.T) {
	square := []geom.Point{pt(0, 0), pt(100, 0), pt(100, 100), pt(0, 100), pt(0, 0)}
	result, _ := lowered(t, machineWith(50, 500, 0), lower.Options{}, square...)
	require.InDelta(t, 8.4, result.Seconds, 1e-3)
	rounder, _ := lowered(t, machineWith(50, 500, 0.05), lower.Options{}, square...)
	require.Less(t, rounder.Seconds, 8.4-3*0.02)
	require.Greater(t, rounder.Seconds, 8.0)
}

func circle(center geom.Point, radius float64, n, laps int) []geom.Point {
	points := make([]geom.Point, n*laps+1)
	for i := range points {
		sine, cosine := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		points[i] = pt(center.X+radius*cosine, center.Y+radius*sine)
	}
	return points
}

// leastLap is the least time of a lap on a circle with a limit on each axis, in
// units of √(r/a). In each eighth from where an axis is at its extreme, that axis
// begins at rest and goes r (1 - cos 45°) at no more than a: by s = a t²/2 that
// takes √(2 (1 - cos 45°)) = 2 sin 22.5°.
func leastLap() float64 { return 16 * math.Sin(math.Pi/8) }

// leastLapFromRest is the same for one lap from rest to rest, begun where x is at
// its extreme. Its middle half is as above. Each quarter at its ends has three
// parts, in each of which one axis has its full acceleration (time-optimal path
// tracking after Bobrow, Dubowsky & Gibson 1985). With u the tangent of the angle
// from the x axis, in units of r and a:
//
//   - y from rest, y = t²/2, until x needs 1 too: 3u + 2u³ = 1, by Cardano;
//   - then x, from its speed vx there, so that vx'² = vx² + 2 (x - x');
//   - then y, slowing down to rest at its extreme: vy² = 2 (1 - y). Where both
//     give the same speed along the circle, they meet: one root, by bisection.
func leastLapFromRest() float64 {
	root := math.Sqrt(3.0 / 16)
	u := math.Cbrt(root+0.25) - math.Cbrt(root-0.25)
	y, x := u/math.Sqrt(1+u*u), 1/math.Sqrt(1+u*u)
	first := math.Sqrt(2 * y)
	vx := u * first
	atX := func(x float64) float64 { return math.Sqrt(vx*vx + 2*(math.Cos(math.Atan(u))-x)) }
	low, high := math.Atan2(y, x), math.Pi/2
	for range 100 {
		middle := (low + high) / 2
		sine, cosine := math.Sincos(middle)
		if atX(cosine)/sine < math.Sqrt(2*(1-sine))/cosine {
			low = middle
		} else {
			high = middle
		}
	}
	second := atX(math.Cos(low)) - vx
	third := math.Sqrt(2 * (1 - math.Sin(low)))
	return 2*(first+second+third) + leastLap()/2
}

// With a limit on each axis no lap can be faster than leastLap, and speeds that
// use what each axis can give come within a hundredth of it.
func TestACircleOfManyChordsIsDrawnAtTheSpeedOfItsRadius(t *testing.T) {
	const r, a = 20.0, 400.0
	unit := math.Sqrt(r / a)
	require.InDelta(t, 6.1229, leastLap(), 5e-5)         // 16 sin 22.5°
	require.InDelta(t, 7.1431, leastLapFromRest(), 5e-5) // by integration, as there
	p := machineWith(1000, a, 0.05)
	for _, n := range []int{180, 360, 720} {
		one, _ := lowered(t, p, lower.Options{}, circle(pt(500, 500), r, n, 1)...)
		two, _ := lowered(t, p, lower.Options{}, circle(pt(500, 500), r, n, 2)...)
		require.InEpsilon(t, leastLap()*unit, two.BoundSeconds-one.BoundSeconds, 0.01)
		require.Greater(t, two.Seconds-one.Seconds, 0.998*leastLap()*unit)
		// A board runs up with all its acceleration along the way, whatever the
		// curve takes of it: that is a little faster.
		require.Greater(t, one.BoundSeconds, 0.99*leastLapFromRest()*unit)
		require.Less(t, one.BoundSeconds, 7.5*unit)
	}
}

func wander(t *rapid.T, page geom.Box) []geom.Point {
	at := pt(rapid.Float64Range(10, 130).Draw(t, "x"), rapid.Float64Range(10, 90).Draw(t, "y"))
	points := []geom.Point{at}
	for range rapid.IntRange(1, 80).Draw(t, "n") {
		length := rapid.SampledFrom([]float64{0.004, 0.05, 0.5, 3, 20}).Draw(t, "length")
		sine, cosine := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "angle"))
		next := at.Add(pt(cosine, sine).Times(length))
		if page.Contains(next) {
			points = append(points, next)
			at = next
		}
	}
	return points
}

func TestNoPlanIsFasterThanTheBoundAndALongerQueueIsNeverSlower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.Board.Baud = 100_000_000 // the feeds do not depend on the queue then
		points := wander(t, p.Page())
		if len(points) < 2 {
			return
		}
		length := 0.0
		for i := 1; i < len(points); i++ {
			length += points[i].Distance(points[i-1])
		}
		before := math.Inf(1)
		for _, queue := range []int{2, 4, 15, 1000} {
			p.Board.QueueMoves = queue
			result, _ := lowered(t, p, lower.Options{}, points...)
			require.LessOrEqual(t, result.Seconds, before+1e-9)
			require.GreaterOrEqual(t, result.Seconds, result.BoundSeconds-1e-9)
			require.GreaterOrEqual(t, result.BoundSeconds, (length-float64(len(points))*0.05)/(60*math.Sqrt2))
			before = result.Seconds
		}
	})
}

// Every vertex is rounded from its absolute place: half a step at most, after
// any number of moves, and a closed line ends on the step it began with.
func TestRoundingNeverAddsUp(t *testing.T) {
	p := machine.DeskToy()
	p.Drawing.ToleranceMM = 0.001 // nothing is left out
	points := make([]geom.Point, 20001)
	for i := range points {
		sine, cosine := math.Sincos(float64(i) * 0.7)
		points[i] = pt(70+40*cosine, 50+40*sine*sine)
	}
	points[len(points)-1] = points[0]
	result, _ := lowered(t, p, lower.Options{}, points...)
	require.Len(t, result.Moves, len(points)-1)
	for i, m := range result.Moves {
		want := points[i+1]
		require.LessOrEqual(t, math.Abs(float64(m.To.X)-(want.X+5)*100), 0.5+1e-6)
		require.LessOrEqual(t, math.Abs(float64(m.To.Y)-(want.Y+5)*100), 0.5+1e-6)
	}
	require.Equal(t, result.Start, result.Moves[len(result.Moves)-1].To)
}

// play is the model of slack on one axis, in steps.
func play(motor []int32, far, slack float64) []float64 {
	out := make([]float64, len(motor))
	for i, u := range motor {
		far = max(float64(u)-slack/2, min(float64(u)+slack/2, far))
		out[i] = far
	}
	return out
}

// play(inverse(x)) = x (Krasnosel'skii & Pokrovskii 1989; Tao & Kokotovic
// 1996; from memory), here within the one step that the axis waits for.
func TestWhatIsCompensatedComesOutOfTheSlackAsItWasMeant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		slack := rapid.IntRange(0, 200).Draw(t, "slack in steps")
		p.X.SlackMM, p.Y.SlackMM = float64(slack)/100, 0
		p.Drawing.ToleranceMM = 0.001
		x := rapid.IntRange(2000, 8000).Draw(t, "x")
		points := []geom.Point{pt(float64(x)/100, 10)}

		// Each vertex has its own y.
		for i := range rapid.IntRange(1, 60).Draw(t, "n") {
			x += rapid.SampledFrom([]int{-1, 1, -2, 2, -7, 7, -90, 90, -500, 500}).Draw(t, "dx")

			points = append(points, pt(float64(x)/100, 10.1+float64(i)/10))
		}
		gap := rapid.Int32Range(0, int32(slack)).Draw(t, "gap")
		var atRest []lower.Part
		if rapid.Bool().Draw(t, "at rest") {
			from := rapid.IntRange(0, len(points)-1).Draw(t, "from")
			atRest = []lower.Part{{From: from, To: rapid.IntRange(from, len(points)-1).Draw(t, "to")}}
		}
		result, _ := lowered(t, p, lower.Options{Compensate: true, Gap: machine.Gap{X: gap}, AtRest: atRest}, points...)
		motor := []int32{result.Start.X}
		y := []int32{result.Start.Y}
		for _, m := range result.Moves {
			motor, y = append(motor, m.To.X), append(y, m.To.Y)
		}
		far := play(motor, float64(100*points[0].X+500), float64(slack))
		for i := range far {
			at := pt(far[i]/100-5, float64(y[i])/100-5)
			nearest := math.Inf(1)
			for k := 1; k < len(points); k++ {
				nearest = min(nearest, geom.SegmentDistance(points[k-1], points[k], at))
			}
			require.LessOrEqual(t, nearest, p.ReadBackToleranceMM(true)+0.005, "at %v; an odd number of steps has no middle", at)
		}
	})
}

func TestTheMotorsStayInTheAreaWhereverTheLineIsOnThePage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		slack := rapid.Float64Range(0, 2).Draw(t, "slack")
		p.X.SlackMM, p.Y.SlackMM = slack, slack
		p.Area.MarginMM = max(p.X.MarginNeededMM(p.Area.WidthMM), p.Y.MarginNeededMM(p.Area.HeightMM))
		page := p.Page()
		corners := []geom.Point{page.Min, pt(page.Max.X, 0), page.Max, pt(0, page.Max.Y)}
		points := []geom.Point{page.Center()}
		for range 12 {
			next := rapid.SampledFrom(corners).Draw(t, "corner")
			if next != points[len(points)-1] {
				points = append(points, next)
			}
		}
		_, diagnostics := lowered(t, p, lower.Options{Compensate: true}, points...)
		require.Empty(t, diagnostics)
	})
}

func TestMotorsThatWouldLeaveTheAreaAreReported(t *testing.T) {
	p := machine.DeskToy()
	p.Area.MarginMM = 1
	p.Frame.SquarenessDeg = 88
	top := p.Page().Max.Y
	_, diagnostics := lowered(t, p, lower.Options{Compensate: true}, pt(20, 20), pt(0, top), pt(30, 20))
	require.Len(t, diagnostics, 1)
	require.Equal(t, diag.Code("motor-outside-area"), diagnostics[0].Code)
	// 1 mm of margin, less 109 mm × cot 88° = 3.806 mm, less half of 0.4 mm.
	require.Contains(t, diagnostics[0].Message, "past the left edge of the area, by 3.01 mm")
}

func TestNoAxisIsAskedForMoreThanItsSpeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine.DeskToy()
		p.Y.MaxSpeedMMS = 25
		result, _ := lowered(t, p, lower.Options{Compensate: true}, append(wander(t, p.Page()), pt(1, 1))...)
		at := result.Start
		for _, m := range result.Moves {
			dx, dy := float64(m.To.X-at.X), float64(m.To.Y-at.Y)
			length := math.Hypot(dx, dy)
			require.Positive(t, length)
			speed := float64(m.Feed) / 60
			// Rounding to steps turns short moves a little.
			if length > 200 {
				require.LessOrEqual(t, speed*math.Abs(dx)/length, 60*1.02)
				require.LessOrEqual(t, speed*math.Abs(dy)/length, 25*1.02)
			}
			at = m.To
		}
	})
}

func TestAPauseStopsTheLineAtItsVertexAndIsNeverSimplifiedAway(t *testing.T) {
	p := machine.DeskToy()
	sheet := &plan.Sheet{Points: []geom.Point{pt(0, 0), pt(50, 0), pt(100, 0)}, Place: []uint32{0, 0}}
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}
	through, _, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{})
	require.NoError(t, err)
	require.Len(t, through.Moves, 1)
	sheet.Pauses = []plan.Pause{{Vertex: 1, Message: "look"}}
	stopping, _, err := lower.Sheet(context.Background(), p, whole, sheet, lower.Options{})
	require.NoError(t, err)
	require.Len(t, stopping.Moves, 2)
	require.Equal(t, []machine.Pause{{Before: 1, Message: "look"}}, stopping.Pauses)
	require.InDelta(t, through.Seconds+60.0/400, stopping.Seconds, 1e-3)
}

func TestSimplifyingKeepsWithinItsToleranceAndKeepsTheTips(t *testing.T) {
	p := machine.DeskToy()
	for _, n := range []int{10, 100, 1000, 100_000} {
		points := circle(pt(70, 50), 40, n, 1)
		points = append(points, pt(120, 60), pt(100, 50), pt(120, 60))
		result, _ := lowered(t, p, lower.Options{}, points...)
		if n <= 100 {
			require.Equal(t, len(points), result.Kept)
		}
		// The fewest chords of a circle within the simplifying tolerance.
		fewest := math.Pi / math.Acos(1-p.SimplifyToleranceMM()/40)
		require.Less(t, float64(result.Kept), max(float64(len(points)), 1.6*fewest)+4)
		tip := machine.Steps{X: 10500, Y: 5500}
		require.Equal(t, tip, result.Moves[len(result.Moves)-2].To)
	}
}

func TestTheResultDoesNotDependOnTheNumberOfCores(t *testing.T) {
	p := machine.DeskToy()
	points := spiral(150_000, p.Page())
	one, _ := lowered(t, p, lower.Options{Compensate: true}, points...)
	before := runtime.GOMAXPROCS(1)
	two, _ := lowered(t, p, lower.Options{Compensate: true}, points...)
	runtime.GOMAXPROCS(before)
	require.Equal(t, one, two)
}

func TestALinkThatCannotCarryTheLineSlowsItAndSaysSo(t *testing.T) {
	p := machine.DeskToy()
	circles := circle(pt(70, 50), 20, 400, 3)
	fast, diagnostics := lowered(t, p, lower.Options{}, circles...)
	require.Empty(t, diagnostics)

	p.Board.Baud = 9600
	slow, diagnostics := lowered(t, p, lower.Options{}, circles...)
	require.Len(t, diagnostics, 1)
	d := diagnostics[0]
	require.Equal(t, diag.Code("link-too-slow"), d.Code)
	require.Equal(t, diag.Warning, d.Severity)
	require.Contains(t, d.Hint, "baud")
	require.Greater(t, slow.Seconds, 2*fast.Seconds)
	// The board never asks for more than the link can bring while a queue lasts.
	require.GreaterOrEqual(t, slow.Seconds, float64(len(slow.Moves)-p.Board.QueueMoves)*lower.LineBytes(p)/p.LinkBytesPerSecond())

	p.Board.Baud = 57600
	_, diagnostics = lowered(t, p, lower.Options{}, circles...)
	require.Empty(t, diagnostics, fmt.Sprint(diagnostics))
}

// At rest is the way out where a take-up in motion would leave the line: it takes
// longer, and the motors' way has no vertices that the line has not.
func TestSlackTakenUpAtRestTakesLongerAndLeavesNoBend(t *testing.T) {
	p := machine.DeskToy()
	var points []geom.Point
	for i := range 400 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 100)
		points = append(points, pt(60+30*cos, 50+30*sin))
	}
	moving, _ := lowered(t, p, lower.Options{Compensate: true}, points...)
	resting, _ := lowered(t, p, lower.Options{Compensate: true, AtRest: []lower.Part{{To: len(points) - 1}}}, points...)
	require.Less(t, moving.Seconds, resting.Seconds)
	require.LessOrEqual(t, len(resting.Moves), resting.Kept+len(points)/50, "one move more at each turn")
	// On a part of the line, the others go on in motion.
	partly, _ := lowered(t, p, lower.Options{Compensate: true, AtRest: []lower.Part{{From: 90, To: 110}}}, points...)
	require.Less(t, moving.Seconds, partly.Seconds)
	require.Less(t, partly.Seconds-moving.Seconds, (resting.Seconds-moving.Seconds)/3)
}
