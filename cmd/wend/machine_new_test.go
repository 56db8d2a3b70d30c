package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
	"wend/runtime/machine"
)

// atTerminal runs wend as at a terminal where somebody types lines.
func atTerminal(t *testing.T, typed string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	in, err := os.CreateTemp(t.TempDir(), "typed")
	require.NoError(t, err)
	_, err = in.WriteString(typed)
	require.NoError(t, err)
	_, err = in.Seek(0, 0)
	require.NoError(t, err)
	defer in.Close()
	var out, errs bytes.Buffer
	code = run(context.Background(), args, console{
		stdin: in, stdout: &out, stderr: &errs,
		environment: func(string) string { return "" },
		terminal:    func(int) bool { return true },
		columns:     func() int { return 80 },
	})
	return code, out.String(), errs.String()
}

func TestANewProfileAsksOnATerminalForWhatNoFlagSaid(t *testing.T) {
	name := filepath.Join(t.TempDir(), "bench.toml")
	typed := strings.Join([]string{
		"red box", "wide", "160,120", "", "32,5", "32,31.5", "", "0,4", "0.3", "", "", "", "/dev/ttyUSB0", "", "serial", "/dev/ttyUSB1", "", "",
	}, "\n") + "\n"
	code, stdout, stderr := atTerminal(t, typed, "machine", "new", name, "--microsteps", "32")
	require.Zero(t, code, stderr)
	require.Contains(t, stdout, "wrote ")
	require.Contains(t, stderr, "Line that one turn of the motor draws; x,y if they differ (mm) [32] ")
	require.Contains(t, stderr, "it takes two numbers, width and height, such as 150,110 or 150x110")
	require.Contains(t, stderr, "32,5 can be 32.5, or 32 for x and 5 for y: write 32.5, or 32.0,5")
	require.Contains(t, stderr, "0,4 can be 0.4,")
	require.NotContains(t, stderr, "Microsteps")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	p, list := machine.Read(source.New(name, string(text)))
	require.Empty(t, list)
	require.Equal(t, "red box", p.Name)
	require.Equal(t, 160.0, p.Area.WidthMM)
	require.Equal(t, 32, p.Y.Microsteps)
	require.Equal(t, 31.5, p.Y.LineMMPerMotorTurn)
	require.Equal(t, 0.3, p.X.SlackMM)
	require.Equal(t, machine.EraserSerial, p.Eraser.Kind)
	require.Equal(t, "ERASE", p.Eraser.Send)
	require.False(t, p.Calibrated)
	require.Equal(t, 20.0, p.X.MaxSpeedMMS)
}

func TestAProfileThatIsNotAnsweredToItsEndIsNotWritten(t *testing.T) {
	name := filepath.Join(t.TempDir(), "bench.toml")
	code, _, stderr := atTerminal(t, "red box\n150,110\n", "machine", "new", name)
	require.Equal(t, exitStopped, code)
	require.Contains(t, stderr, "nothing was written")
	require.NoFileExists(t, name)
}

func TestEachAnswerIsJudgedWhenItIsGiven(t *testing.T) {
	name := filepath.Join(t.TempDir(), "bench.toml")
	typed := []string{
		"", // the name
		"-150,110", "0 × 90", "150", "200 x 120",
		"0", "200.5", "150,110", "200",
		"60", "60", // microsteps: unusual, and kept
		"0", "1e-9", "32",
		"20", "0.5", // unsure: no margin covers it
		"150", "6", // slack
		"0", "3,5", "100", "", // margin: the usual answer is what is needed
		"20000", "400", "",
		"-1", "150",
		"", "", // port
		"", // eraser
	}
	code, stdout, stderr := atTerminal(t, strings.Join(typed, "\n")+"\n", "machine", "new", name, "--baud", "7")
	require.Zero(t, code, stderr)
	require.Contains(t, stdout, "wrote ")
	for _, why := range []string{
		"area.width_mm cannot have this value: it must be at least 1\n",
		"it takes two numbers, width and height",
		"x.steps_per_turn cannot have this value: it must be at least 1\n",
		"it takes a whole number",
		"150 steps in a turn are unusual: motors commonly make 200, or 400 (0.9 degrees); type it once more to keep it\nFull steps of a motor in one turn (200 for 1.8 degrees) [200] ",
		"60 microsteps are unusual: drivers commonly make 1, 2, 4, 8, 16, 32 and so on; type it once more to keep it\nMicrosteps that the driver makes of a full step [16] ",
		"x.line_mm_per_motor_turn cannot have this value: it must be above 0",
		"board.steps_per_mm cannot have this value: it must be at most 100000",
		"no margin that covers it leaves a page",
		"x.slack_mm cannot have this value: it must be at most 100",
		"from the edges (mm) [9.13] ",
		"a margin of 3.5 mm is too small for the x axis: it needs 9.13 mm\n  hint: it covers slack 6 mm",
		"the margin leaves no page inside the area",
		"x.max_speed_mm_s cannot have this value: it must be at most 10000",
		"400 mm/s is more than 30000 steps a second allow: at most 80 mm/s",
		"x.max_acceleration_mm_s2 cannot have this value: it must be at least 0.1",
		"board.baud cannot have this value: it must be at least 300",
	} {
		require.Contains(t, stderr, why)
	}
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	p, list := machine.Read(source.New(name, string(text)))
	require.Empty(t, list)
	require.Equal(t, 200.0, p.Area.WidthMM)
	require.Equal(t, 120.0, p.Area.HeightMM)
	require.Equal(t, 9.13, p.Area.MarginMM)
	require.Equal(t, 60, p.X.Microsteps)
	require.Equal(t, 6.0, p.Y.SlackMM)
}
