package machine_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

const ownWords = `# Our toy in room 12. Ask Ms Lee before you change this.
name = 'bench toy'   # the red box

[area]
width_mm = 150.0
height_mm = 110
margin_mm = 5
start_mm = [ 0,
  0 ]  # lower left

[y]   # y first, for once
steps_per_turn = 200
microsteps = 16
line_mm_per_knob_turn = 64
gear_ratio = 2
slack_mm = 0.40  # measured in May
max_speed_mm_s = 20
max_acceleration_mm_s2 = 150

[x]
steps_per_turn = 200
microsteps = 16
line_mm_per_motor_turn = 32
slack_mm = 0.4
max_speed_mm_s = 20
max_acceleration_mm_s2 = 150`

func TestAnUpdateKeepsWhatAPersonWrote(t *testing.T) {
	file := source.New("toy.toml", ownWords)
	before, diagnostics := machine.Read(file)
	require.Empty(t, diagnostics)
	require.Equal(t, ownWords, machine.Update(file, before))

	now := *before
	now.Calibrated = true
	now.Y.SlackMM = 0.37
	now.Y.LineMMPerMotorTurn, now.Y.LineMMPerKnobTurn, now.Y.GearRatio = 32, 0, 0
	now.X.LineUncertaintyMM = 0.1
	now.Area.StartMM = geom.Point{X: 3, Y: 4.5}
	now.Frame.SquarenessDeg = 89.9
	text := machine.Update(file, &now)
	back, diagnostics := machine.Read(source.New("toy.toml", text))
	require.Empty(t, diagnostics)
	require.Equal(t, &now, back)
	for _, kept := range []string{"# Our toy in room 12.", "name = 'bench toy'   # the red box\ncalibrated = true\n", "width_mm = 150.0\n", "start_mm = [3, 4.5]  # lower left", "slack_mm = 0.37  # measured in May", "[y]   # y first", "\n[frame]\nsquareness_deg = 89.9\n"} {
		require.Contains(t, text, kept)
	}
	require.NotContains(t, text, "gear_ratio")
	require.True(t, strings.HasPrefix(text, "# Our toy"))
}

func TestAFileThatCannotBeKeptIsWrittenAnew(t *testing.T) {
	p := machine.DeskToy()
	for _, text := range []string{"", "not a profile", "x = 1\n"} {
		back, diagnostics := machine.Read(source.New("toy.toml", machine.Update(source.New("toy.toml", text), p)))
		require.Empty(t, diagnostics)
		want := *p
		want.BuiltIn = false
		require.Equal(t, &want, back)
	}
}
