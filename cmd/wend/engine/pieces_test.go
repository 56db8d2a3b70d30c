package engine_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/machine"
)

// pieces are the drawings on which the time that slack takes is measured, with
// the seconds that they took when slack was taken up at rest, without slack and
// with 0.4 mm; the certificate without slack with the letters that it has now. The
// first eight count.
var pieces = []struct {
	name             string
	without, atStand float64
}{
	{"hilbert", 105.98, 184.26}, {"waves", 59.46, 72.32}, {"tides", 66.07, 85.73}, {"meadow", 74.73, 97.14},
	{"rosette", 73.49, 90.77}, {"certificate", 91.80, 103.24}, {"fern", 230.72, 261.32}, {"garden", 32.42, 36.59},
	{"snowflake", 40.28, 54.57}, {"stars", 60.45, 61.50},
}

// Rows of waves: y reverses at each crest.
const waves = `begin 5, 8
loop row in 0..11 {
  loop x in 0..260 {
    reach 5 + x / 2, 8 + row * 7 + 3 * sin(x * 9)
  }
  reach 5, 8 + row * 7 + 3.5
}
`

func loaded(t testing.TB, name string, p *machine.Profile) *engine.Program {
	file := source.New("waves.wend", waves)
	if name != "waves" {
		text, err := os.ReadFile("testdata/pieces/" + name + ".wend")
		require.NoError(t, err)
		file = source.New("testdata/pieces/"+name+".wend", string(text))
	}
	program, list := engine.Load(file, engine.Settings{Profile: p, Read: readFile})
	require.NotNil(t, program, "%v", list)
	return program
}

// brisk is the desk toy with more acceleration, and some slack.
func brisk(slackMM float64) *machine.Profile {
	p := machine.DeskToy()
	for _, a := range []*machine.Axis{&p.X, &p.Y} {
		a.MaxSpeedMMS, a.MaxAccelerationMMS2, a.SlackMM = 60, 600, slackMM
	}
	return p
}

// Slack is taken up in motion: a drawing with 0.4 mm of slack takes little more
// time than one without.
func TestSlackCostsLittleTime(t *testing.T) {
	const acceleration, cornerMM = 600.0, 0.05
	logs := 0.0
	for n, piece := range pieces {
		var seconds [2]float64
		for i, slack := range []float64{0, 0.4} {
			program := loaded(t, piece.name, brisk(slack))
			drawn, list := program.Draw(context.Background())
			require.False(t, list.Failed(), "%v", list)
			var text bytes.Buffer
			known, list := program.Lower(context.Background(), drawn, 0, machine.Gap{}, &text)
			require.False(t, list.Failed(), "%v", list)
			seconds[i] = known.Seconds
			if slack == 0 {
				continue
			}
			change := largestChange(t, text.String(), acceleration, cornerMM)
			as, list := program.Simulate(context.Background(), drawn, 0, known, text.Bytes())
			require.Empty(t, list)
			t.Logf("%-12s without slack %6.2f s, was %6.2f; with slack %6.2f s, was %6.2f; ratio %.3f, deviation %.4f mm, largest change %.1f mm/s",
				piece.name, seconds[0], piece.without, seconds[1], piece.atStand, seconds[1]/seconds[0], as.LargestMM, change)
			require.InEpsilon(t, as.Seconds, known.Seconds, 0.01)
			require.LessOrEqual(t, as.LargestMM, 0.02)
			require.LessOrEqual(t, change, math.Sqrt(8*acceleration*cornerMM)+acceleration*0.005)
		}
		require.LessOrEqual(t, seconds[0], piece.without+0.01, piece.name)
		require.Less(t, seconds[1], piece.atStand, piece.name)
		if piece.name == "hilbert" {
			require.LessOrEqual(t, seconds[1]/seconds[0], 1.20)
		}
		if n < 8 {
			logs += math.Log(seconds[1] / seconds[0])
		}
	}
	t.Logf("geometric mean %.3f", math.Exp(logs/8))
	require.LessOrEqual(t, math.Exp(logs/8), 1.10)
}

var motion = regexp.MustCompile(`^G1(?: X([0-9.]+))?(?: Y([0-9.]+))?(?: F([0-9]+))?`)

// largestChange is by how many mm/s the speed of an axis changes at most within
// 5 ms when a board drives a file: trapezoids with one acceleration on both axes,
// corner speeds from a deviation, and the whole file known.
func largestChange(t testing.TB, text string, acceleration, cornerMM float64) float64 {
	type move struct{ x, y, length, feed, a, corner float64 }
	var moves []move
	number := func(s string, or float64) float64 {
		if s == "" {
			return or
		}
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	at := [2]float64{}
	feed := 0.0
	for _, line := range strings.Split(text, "\n") {
		if _, err := fmt.Sscanf(line, "G92 X%g Y%g", &at[0], &at[1]); err == nil {
			continue
		}
		words := motion.FindStringSubmatch(line)
		if words == nil {
			continue
		}
		to := [2]float64{number(words[1], at[0]), number(words[2], at[1])}
		feed = number(words[3], feed)
		m := move{x: to[0] - at[0], y: to[1] - at[1], feed: feed / 60}
		m.length = math.Hypot(m.x, m.y)
		m.x, m.y = m.x/m.length, m.y/m.length
		m.a = acceleration / max(math.Abs(m.x), math.Abs(m.y))
		if n := len(moves); n > 0 {
			turnX, turnY := m.x-moves[n-1].x, m.y-moves[n-1].y
			half := math.Sqrt(max(0, (1+m.x*moves[n-1].x+m.y*moves[n-1].y)/2))
			m.corner = math.Inf(1)
			if turn := math.Hypot(turnX, turnY); half < 1-1e-13 {
				m.corner = acceleration * turn / max(math.Abs(turnX), math.Abs(turnY)) * cornerMM * half / (1 - half)
			}
		}
		moves, at = append(moves, m), to
	}
	entry := make([]float64, len(moves)+1)
	for i := len(moves) - 1; i > 0; i-- {
		slower := min(moves[i].feed, moves[i-1].feed)
		entry[i] = min(moves[i].corner, slower*slower, entry[i+1]+2*moves[i].a*moves[i].length)
	}
	type sample struct{ time, x, y float64 }
	var last []sample // of the last 5 ms
	most, time := 0.0, 0.0
	see := func(time, x, y float64) {
		for len(last) > 0 && last[0].time < time-0.005 {
			last = last[1:]
		}
		for _, s := range last {
			most = max(most, math.Abs(x-s.x), math.Abs(y-s.y))
		}
		last = append(last, sample{time, x, y})
	}
	for i, m := range moves {
		exit := min(entry[i+1], entry[i]+2*m.a*m.length)
		entry[i+1] = exit
		peak := math.Sqrt(min(m.feed*m.feed, m.a*m.length+(entry[i]+exit)/2))
		v0, v1 := math.Sqrt(entry[i]), math.Sqrt(exit)
		up, down := (peak-v0)/m.a, (peak-v1)/m.a
		flat := max(0, m.length-(peak+v0)/2*up-(peak+v1)/2*down) / peak
		for _, phase := range [...]struct{ seconds, from, to float64 }{{up, v0, peak}, {flat, peak, peak}, {down, peak, v1}} {
			pieces := math.Ceil(phase.seconds/0.0005) + 1
			for k := 0.0; k <= pieces; k++ {
				v := phase.from + (phase.to-phase.from)*k/pieces
				see(time+phase.seconds*k/pieces, v*m.x, v*m.y)
			}
			time += phase.seconds
		}
	}
	return most
}
