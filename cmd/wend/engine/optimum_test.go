package engine_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// The drawing time of each example without slack, beside the least in which the
// same path can be drawn with each axis within its own speed and acceleration, the
// speed along the path being the largest there is (time-optimal path
// parameterization by reachability: H. Pham and Q.-C. Pham, "A new approach to
// time-optimal path parameterization based on reachability analysis", IEEE
// Transactions on Robotics 34(3), 2018; from memory). Curves are curves there. At a
// corner the board's rule lets the axes jump to the new direction, at the speed of
// an arc that stays within the corner deviation; the second figure is for a path
// on which that arc is really drawn. It shares nothing with the planner. With -v
// it prints the table.
func TestDrawingTimesAreNearTheLeastThereIs(t *testing.T) {
	p := *machine.DeskToy()
	p.X.SlackMM, p.Y.SlackMM = 0, 0
	for _, axis := range []*machine.Axis{&p.X, &p.Y} {
		axis.MaxSpeedMMS, axis.MaxAccelerationMMS2 = 60, 600
	}
	files, err := filepath.Glob("../../../examples/*.wend")
	require.NoError(t, err)
	sum, count := 0.0, 0
	t.Logf("%-18s %9s %20s %20s", "", "planned", "corners by the rule", "corners rounded")
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		name := strings.TrimSuffix(filepath.Base(file), ".wend")
		program, list := engine.Load(source.New(filepath.Base(file), string(text)), engine.Settings{Profile: &p, Read: func(_, used string) (*source.File, error) {
			text, err := os.ReadFile(filepath.Join("../../../examples", used))
			return source.New(used, string(text)), err
		}})
		require.False(t, list.Failed(), "%v", list)
		drawn, list := program.Draw(context.Background())
		require.False(t, list.Failed(), "%v", list)
		seconds, least, smooth := 0.0, 0.0, 0.0
		for _, sheet := range engine.WithLine(drawn) {
			var out bytes.Buffer
			known, list := program.Lower(context.Background(), drawn, sheet, machine.Gap{}, &out)
			require.False(t, list.Failed(), "%v", list)
			seconds += known.Seconds
			least += leastSeconds(drawn.Sheets[sheet].Points, &p, true)
			smooth += leastSeconds(drawn.Sheets[sheet].Points, &p, false)
		}
		t.Logf("%-18s %7.1f s %9.1f s, x %.3f %9.1f s, x %.3f", name, seconds, least, seconds/least, smooth, seconds/smooth)
		sum += math.Log(seconds / least)
		count++
	}
	mean := math.Exp(sum / float64(count))
	t.Logf("geometric mean %.3f", mean)
	require.Less(t, mean, 1.05)
	// Less than the least: by the board's rule the axes may jump on curves, too.
	require.Greater(t, mean, 0.9)
}

// station is a place along a path: its direction, how this turns, and the way to
// the next one.
type station struct {
	tangent, bend geom.Point
	most          float64 // squared speed
	next          float64
}

// leastSeconds is the least time for a polyline; see rounded.
func leastSeconds(points []geom.Point, p *machine.Profile, jump bool) float64 {
	speed := geom.Point{X: p.X.MaxSpeedMMS, Y: p.Y.MaxSpeedMMS}
	acceleration := geom.Point{X: p.X.MaxAccelerationMMS2, Y: p.Y.MaxAccelerationMMS2}
	path := rounded(points, p.Drawing.CornerDeviationMM, acceleration, jump)
	// The accelerations along the path that the axes allow at a squared speed.
	along := func(s *station, x float64) (low, high float64) {
		low, high = math.Inf(-1), math.Inf(1)
		for _, axis := range [2][3]float64{{s.tangent.X, s.bend.X, acceleration.X}, {s.tangent.Y, s.bend.Y, acceleration.Y}} {
			most := axis[2]
			direction, bend := axis[0], axis[1]*x
			if math.Abs(direction) < 1e-9 {
				if math.Abs(bend) > most*(1+1e-9) {
					return 1, -1
				}
				continue
			}
			a, b := (-most-bend)/direction, (most-bend)/direction
			low, high = max(low, min(a, b)), min(high, max(a, b))
		}
		return low, high
	}
	fastest := func(s *station) float64 {
		return min(s.most, square(speed.X/max(math.Abs(s.tangent.X), 1e-9)), square(speed.Y/max(math.Abs(s.tangent.Y), 1e-9)))
	}
	// From the end: the largest speeds from which the rest can still be run.
	n := len(path)
	most := make([]float64, n)
	for i := n - 2; i >= 0; i-- {
		s := &path[i]
		fits := func(x float64) bool {
			low, high := along(s, x)
			return low <= high && x+2*s.next*low <= most[i+1] && x+2*s.next*high >= 0
		}
		high := fastest(s)
		if fits(high) {
			most[i] = high
			continue
		}
		low := 0.0
		for range 40 {
			if middle := (low + high) / 2; fits(middle) {
				low = middle
			} else {
				high = middle
			}
		}
		most[i] = low
	}
	total, x := 0.0, 0.0
	for i := range n - 1 {
		s := &path[i]
		_, high := along(s, x)
		next := min(most[i+1], max(0, x+2*s.next*high))
		if sum := math.Sqrt(x) + math.Sqrt(next); sum > 0 {
			total += 2 * s.next / sum
		}
		x = next
	}
	return total
}

func square(x float64) float64 { return x * x }

// rounded is a polyline with each corner replaced by an arc that stays within a
// deviation of it and takes at most half of the pieces beside it. With jump, where
// that deviation is what bounds the arc, there is none, only its speed.
func rounded(points []geom.Point, deviation float64, acceleration geom.Point, jump bool) []station {
	const grain = 0.02 // mm
	var line []geom.Point
	for _, at := range points {
		if len(line) == 0 || at.Distance(line[len(line)-1]) > 1e-9 {
			line = append(line, at)
		}
	}
	var path []station
	straight := func(tangent geom.Point, length float64) {
		// Two at the least: between two stops there is a place where it is fast.
		pieces := max(2, int(math.Ceil(length/0.25)))
		for range pieces {
			path = append(path, station{tangent: tangent, most: math.Inf(1), next: length / float64(pieces)})
		}
	}
	used := 0.0 // of the piece at hand, by the arc behind
	path = append(path, station{tangent: unit(line[0], line[1])})
	for i := 0; i+1 < len(line); i++ {
		tangent, length := unit(line[i], line[i+1]), line[i].Distance(line[i+1])
		if i+2 == len(line) {
			straight(tangent, max(0, length-used))
			path = append(path, station{tangent: tangent})
			break
		}
		out, after := unit(line[i+1], line[i+2]), line[i+1].Distance(line[i+2])
		turn := math.Atan2(tangent.Cross(out), tangent.Dot(out))
		half := math.Abs(turn) / 2
		room := min(length, after) / 2
		switch {
		case half < 1e-9:
			straight(tangent, length-used)
			used = 0
		case half > 0.98*math.Pi/2:
			straight(tangent, length-used)
			path = append(path, station{tangent: out})
			used = 0
		case jump && deviation/(1/math.Cos(half)-1) <= room/math.Tan(half):
			radius, change := deviation/(1/math.Cos(half)-1), unit(tangent, out)
			most := radius * min(acceleration.X/max(math.Abs(change.X), 1e-9), acceleration.Y/max(math.Abs(change.Y), 1e-9))
			straight(tangent, length-used)
			path = append(path, station{tangent: out, most: most})
			used = 0
		default:
			radius := min(deviation/(1/math.Cos(half)-1), room/math.Tan(half))
			cut := radius * math.Tan(half)
			straight(tangent, max(0, length-used-cut))
			arc := radius * 2 * half
			pieces := max(2, int(math.Ceil(arc/grain)))
			for k := range pieces {
				angle := turn * (float64(k) + 0.5) / float64(pieces)
				sine, cosine := math.Sincos(angle)
				direction := geom.Point{X: tangent.X*cosine - tangent.Y*sine, Y: tangent.X*sine + tangent.Y*cosine}
				bend := geom.Point{X: -direction.Y, Y: direction.X}.Times(math.Copysign(1/radius, turn))
				path = append(path, station{tangent: direction, bend: bend, most: math.Inf(1), next: arc / float64(pieces)})
			}
			used = cut
		}
	}
	return path
}

func unit(a, b geom.Point) geom.Point {
	d := b.Sub(a)
	return d.Times(1 / d.Length())
}
