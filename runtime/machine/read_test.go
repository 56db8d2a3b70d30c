package machine_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

func codes(list diag.List) []string {
	var out []string
	for _, d := range list {
		out = append(out, string(d.Code))
	}
	return out
}

func TestEachProfilePageShowsItsFaultAndItsMend(t *testing.T) {
	seen := 0
	for _, page := range diag.Pages() {
		if page.Subject != diag.Profile {
			continue
		}
		seen++
		t.Run(string(page.Code), func(t *testing.T) {
			_, bad := machine.Read(source.New("bad.toml", page.Bad))
			require.Equal(t, []string{string(page.Code)}, codes(bad))
			profile, good := machine.Read(source.New("good.toml", page.Good))
			require.Empty(t, codes(good))
			require.NotNil(t, profile)
		})
	}
	require.Greater(t, seen, 10)
}

func TestAProfileIsReadBackAsItWasWritten(t *testing.T) {
	byKnob := machine.DeskToy()
	byKnob.Name = `toy "two" \ one`
	byKnob.X.LineMMPerMotorTurn, byKnob.X.LineMMPerKnobTurn, byKnob.X.GearRatio = 0, 64, 2
	byKnob.Board.Port = "/dev/ttyACM0"
	byKnob.Eraser = machine.Eraser{Kind: machine.EraserSerial, Port: "/dev/ttyACM1", Baud: 9600, Send: "E\n", Done: "ok", TimeoutS: 30, Rounds: 3}
	byKnob.Area.StartMM = geom.Point{X: 12.5, Y: 3}
	byKnob.Calibrated = true
	for _, p := range []*machine.Profile{machine.DeskToy(), byKnob} {
		text := string(machine.Marshal(p))
		back, diagnostics := machine.Read(source.New("toy.toml", text))
		require.Empty(t, diagnostics, text)
		want := *p
		want.BuiltIn = false
		require.Equal(t, &want, back)
	}
}

func TestAllFaultsOfAProfileAreReportedAtOnceEachAtItsPlace(t *testing.T) {
	text := `name = "bench toy"
calibrated = "yes"
[area]
width_mm = 150
heigth_mm = 110
margin_mm = -1
start_mm = [0]
[x]
steps_per_turn = 200.5
microsteps = 16
line_mm_per_motor_turn = inf
slack_mm = 0.4
max_speed_mm_s = 20
max_acceleration_mm_s2 = 150
[pen]
up = 3
down = 4
[y]
steps_per_turn = 200
microsteps = 16
line_mm_per_motor_turn = 32
slack_mm = 0.4
max_speed_mm_s = 20
`
	_, diagnostics := machine.Read(source.New("toy.toml", text))
	type found struct {
		code string
		line int
		text string
	}
	var all []found
	for _, d := range diagnostics {
		all = append(all, found{string(d.Code), d.Span.From().Line, d.Span.Text()})
	}
	require.Equal(t, []found{
		{"profile-kind", 2, `"yes"`},
		{"profile-key-unknown", 5, "heigth_mm"},
		{"profile-value", 6, "-1"},
		{"profile-kind", 7, "0"},
		{"profile-kind", 9, "200.5"},
		{"profile-value", 11, "inf"},
		{"profile-key-unknown", 15, "pen"},
		{"profile-key-missing", 18, "y"},
	}, all)
	require.Equal(t, "did you mean `height_mm`?", diagnostics[1].Hint)
	require.Equal(t, "height_mm", diagnostics[1].Edits[0].Text)
}

// Feeds are written in whole millimetres a minute, so that a smaller limit
// could not be kept.
func TestSpeedsBelowTheSmallestFeedAreRefused(t *testing.T) {
	page, _ := diag.Lookup("profile-key-unknown")
	for _, key := range []string{"max_speed_mm_s = ", "max_acceleration_mm_s2 = "} {
		at := strings.Index(page.Good, key) + len(key)
		end := at + strings.IndexAny(page.Good[at:], "\r\n")
		for value, want := range map[string][]string{"1e-9": {"profile-value"}, "0.09": {"profile-value"}, "0.1": {}} {
			_, diagnostics := machine.Read(source.New("toy.toml", page.Good[:at]+value+page.Good[end:]))
			require.ElementsMatch(t, want, codes(diagnostics), key+value)
		}
	}
}

func TestAMisspeltKeyFindsItsNeighbour(t *testing.T) {
	for written, meant := range map[string]string{
		"[board]\nbuad = 9600":          "did you mean `baud`?",
		"[drawing]\ntolerence_mm = 1":   "did you mean `tolerance_mm`?",
		"[frame]\nsquareness = 90":      "did you mean `squareness_deg`?",
		"[drawing]\nmargin_mm = 3":      "did you mean `margin_mm` in the table [area]?",
		"[bord]\nbaud = 9600":           "did you mean `board`?",
		"[eraser]\ndisturb_stylus=true": "did you mean `disturbs_stylus`?",
	} {
		page, _ := diag.Lookup("profile-key-unknown")
		sound := strings.Replace(page.Good, "start_mm = [0, 0]\n", "", 1)
		_, diagnostics := machine.Read(source.New("toy.toml", sound+"\n"+written+"\n"))
		require.Equal(t, []string{"profile-key-unknown"}, codes(diagnostics), written)
		require.Contains(t, diagnostics[0].Hint, meant)
	}
}

func TestAProfileMayUseDottedKeysAndInlineTables(t *testing.T) {
	text := `name = "toy"
area = { width_mm = 150, height_mm = 110, margin_mm = 5 }
x.steps_per_turn = 200
x.microsteps = 16
x.line_mm_per_motor_turn = 32
x.slack_mm = 0
x.max_speed_mm_s = 20
x.max_acceleration_mm_s2 = 1_50
y = { steps_per_turn = 200, microsteps = 16, line_mm_per_motor_turn = 32, slack_mm = 0.4, max_speed_mm_s = 20, max_acceleration_mm_s2 = "fast" }
`
	_, diagnostics := machine.Read(source.New("toy.toml", text))
	require.Equal(t, []string{"profile-kind"}, codes(diagnostics))
	require.Equal(t, `"fast"`, diagnostics[0].Span.Text())
}

func FuzzReadNeverPanicsAndPlacesEveryFault(f *testing.F) {
	for _, page := range diag.Pages() {
		if page.Subject == diag.Profile {
			f.Add(page.Bad)
			f.Add(page.Good)
		}
	}
	f.Add(string(machine.Marshal(machine.DeskToy())))
	f.Add("x = 1\narea = [1, {a = 2}]\n[[board]]\nbaud = 1\n")
	f.Fuzz(func(t *testing.T, text string) {
		profile, diagnostics := machine.Read(source.New("fuzz.toml", text))
		require.Equal(t, profile == nil, diagnostics.Failed())
		for _, d := range diagnostics {
			require.True(t, d.Span.Known())
			require.LessOrEqual(t, d.Span.Start, d.Span.End)
			require.LessOrEqual(t, d.Span.End, len(text))
		}
		if profile != nil {
			back, again := machine.Read(source.New("again.toml", string(machine.Marshal(profile))))
			require.False(t, again.Failed())
			require.Equal(t, profile, back)
		}
		toy := machine.DeskToy()
		toy.BuiltIn = false
		updated, _ := machine.Read(source.New("updated.toml", machine.Update(source.New("fuzz.toml", text), toy)))
		require.Equal(t, toy, updated)
	})
}

func TestTheBuiltInMachineIsSound(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "toy.toml")
	require.NoError(t, os.WriteFile(path, machine.Marshal(machine.DeskToy()), 0o644))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	_, diagnostics := machine.Read(source.New(path, string(text)))
	require.Empty(t, diagnostics)
}

func TestAnEmptyProfileIsToldEachTableItNeedsOnce(t *testing.T) {
	_, diagnostics := machine.Read(source.New("empty.toml", ""))
	var messages []string
	for _, d := range diagnostics {
		messages = append(messages, d.Message)
	}
	require.Equal(t, []string{
		"the profile does not say name",
		"the profile does not say area.width_mm and 2 more of [area]",
		"the profile does not say x.steps_per_turn and 5 more of [x]",
		"the profile does not say y.steps_per_turn and 5 more of [y]",
	}, messages)
	require.Equal(t, "add to [area]: width_mm, height_mm, margin_mm", diagnostics[1].Hint)
}
