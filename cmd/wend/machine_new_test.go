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
		"red box", "wide", "160,120", "", "32,31.5", "", "0.3", "", "", "", "/dev/ttyUSB0", "", "serial", "/dev/ttyUSB1", "", "",
	}, "\n") + "\n"
	code, stdout, stderr := atTerminal(t, typed, "machine", "new", name, "--microsteps", "32")
	require.Zero(t, code, stderr)
	require.Contains(t, stdout, "wrote ")
	require.Contains(t, stderr, "Line that one turn of the motor draws; x,y if they differ (mm) [32] ")
	require.Contains(t, stderr, "it takes 2 numbers with commas between them")
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
