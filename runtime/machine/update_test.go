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

func TestCommentsStayInTheirColumnWhenAValueChanges(t *testing.T) {
	p := machine.DeskToy()
	text := string(machine.Marshal(p))
	now := *p
	now.Calibrated = true
	now.X.SlackMM, now.Y.SlackMM = 0.4125, 0
	now.Board.StepsPerMM = geom.Point{X: 100.004, Y: 100}
	updated := machine.Update(source.New("toy.toml", text), &now)
	require.Equal(t, string(machine.Marshal(&now)), updated)

	for written, want := range map[string]string{
		"calibrated = false # not yet":    "calibrated = true  # not yet",
		"calibrated = false    # not yet": "calibrated = true     # not yet",
		"calibrated = false# not yet":     "calibrated = true# not yet",
		"calibrated = false\t# not yet":   "calibrated = true\t# not yet",
		"calibrated = false  ":            "calibrated = true  ",
	} {
		require.Contains(t, machine.Update(source.New("toy.toml", strings.Replace(ownWords, "\n\n", "\n"+written+"\n\n", 1)), read(t, ownWords, "calibrated = true")), want+"\n")
	}
	// A longer value takes up the spaces, and leaves one.
	longer := strings.Replace(ownWords, "slack_mm = 0.40  #", "slack_mm = 0.40   #", 1)
	now = *read(t, longer, "calibrated = true")
	now.Y.SlackMM = 0.4375
	require.Contains(t, machine.Update(source.New("toy.toml", longer), &now), "slack_mm = 0.4375 # measured in May")
	now.Y.SlackMM = 0.437512
	require.Contains(t, machine.Update(source.New("toy.toml", longer), &now), "slack_mm = 0.437512 # measured in May")
}

// read is the profile of a text with one more line at its top.
func read(t *testing.T, text, line string) *machine.Profile {
	t.Helper()
	p, diagnostics := machine.Read(source.New("toy.toml", line+"\n"+text))
	require.Empty(t, diagnostics)
	return p
}
