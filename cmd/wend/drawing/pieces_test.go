package drawing_test

import (
	"bytes"
	"context"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/drawing"
	"wend/lang/source"
	"wend/runtime/machine"
)

// pieces are the drawings on which the time that slack takes is measured.
var pieces = []string{"hilbert", "waves", "tides", "meadow", "rosette", "certificate", "fern", "garden", "snowflake", "stars", "name-plate"}

// Rows of waves: y reverses at each crest.
const waves = `begin 5, 8
loop row in 0..11 {
  loop x in 0..260 {
    reach 5 + x / 2, 8 + row * 7 + 3 * sin(x * 9)
  }
  reach 5, 8 + row * 7 + 3.5
}
`

func piece(t testing.TB, name string, p *machine.Profile) *drawing.Program {
	file := source.New("waves.wend", waves)
	if name != "waves" {
		text, err := os.ReadFile("../../../examples/" + name + ".wend")
		require.NoError(t, err)
		file = source.New("../../../examples/"+name+".wend", string(text))
	}
	program, list := drawing.Load(file, drawing.Settings{Profile: p, Read: readFile})
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
	logs := 0.0
	for n, name := range pieces {
		var seconds [2]float64
		var moves [2]int
		for i, slack := range []float64{0, 0.4} {
			program := piece(t, name, brisk(slack))
			drawn, list := program.Draw(context.Background())
			require.False(t, list.Failed(), "%v", list)
			var text bytes.Buffer
			known, list := program.Lower(context.Background(), drawn, 0, machine.Gap{}, &text)
			require.False(t, list.Failed(), "%v", list)
			seconds[i], moves[i] = known.Seconds, known.Instructions
			if slack == 0 {
				continue
			}
			as, list := program.Simulate(context.Background(), drawn.Sheets[0], known, text.Bytes())
			require.Empty(t, list)
			t.Logf("%-12s without slack %7.2f s, with %7.2f s, ratio %.3f, simulated %+.2f %%, deviation %.4f mm, moves %d, %d", name, seconds[0], seconds[1], seconds[1]/seconds[0], 100*(seconds[1]/as.Seconds-1), as.LargestMM, moves[0], moves[1])
		}
		if n < 8 {
			logs += math.Log(seconds[1] / seconds[0])
		}
	}
	t.Logf("geometric mean %.3f", math.Exp(logs/8))
}
