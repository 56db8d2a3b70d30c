//go:build unix

package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// hurried is a clock that runs faster than the one of the room.
type hurried struct {
	times int
	began time.Time
}

func (h hurried) Now() time.Time {
	return h.began.Add(time.Since(h.began) * time.Duration(h.times))
}

func (h hurried) After(d time.Duration) <-chan time.Time {
	return time.After(d / time.Duration(h.times))
}

// somebody stands at a simulated machine with a ruler, and answers what
// `wend machine tune` asks: by what the stylus did, never by a setting.
type somebody struct {
	m       *simulator.Machine
	walls   geom.Point
	ratio   [2]float64 // of drawn to nominal lengths, as a ruler would tell
	looked  geom.Point
	nominal float64
	differs bool // the line before told of a setting
	set     int  // how often settings were agreed to
	refuses bool // does not agree to settings
}

// hears takes a line that is shown, and gives what is typed then, if anything.
func (s *somebody) hears(line string) (string, bool) {
	differs := strings.HasPrefix(line, "the board differs from the profile")
	first := differs && !s.differs
	s.differs = differs
	at := s.m.Look().StylusMM
	ruler := func(mm float64) string {
		return fmt.Sprint(math.Round(mm/calibrate.ReadingMM) * calibrate.ReadingMM)
	}
	var edge string
	line = strings.TrimSpace(line)
	switch {
	case first && s.refuses:
		return "no", true
	case first:
		s.set++
		return "set", true
	case strings.HasPrefix(line, "bring the stylus"), strings.HasPrefix(line, "wipe the sheet"):
		s.looked = at
		return "", true
	case strings.HasPrefix(line, "which way did the stylus just go?"):
		way := at.Sub(s.looked)
		s.looked = at
		axis, more := way.X, "right"
		less := "left"
		if math.Abs(way.Y) > math.Abs(way.X) {
			axis, more, less = way.Y, "up", "down"
		}
		switch {
		case way.Length() < 0.2:
			return "5", true
		case axis > 0:
			return more, true
		}
		return less, true
	case strings.HasPrefix(line, "how long is the line along x"):
		return ruler(s.nominal * s.ratio[0]), true
	case strings.HasPrefix(line, "how long is the line along y"):
		return ruler(s.nominal * s.ratio[1]), true
	}
	if _, err := fmt.Sscanf(line, "it is meant to be %g mm", &s.nominal); err == nil {
		return "", false
	}
	if _, err := fmt.Sscanf(line, "how far is the stylus from the mark of the %s edge?", &edge); err == nil {
		const markMM = 2
		return ruler(map[string]float64{
			"left": at.X - markMM, "right": s.walls.X - markMM - at.X,
			"lower": at.Y - markMM, "upper": s.walls.Y - markMM - at.Y,
		}[edge]), true
	}
	return "", false
}

// newToy is a machine that was just built, at a pseudo-terminal, with a profile
// of what its builder believes. Its x motor turns the wrong way, and both axes
// have another scale.
func newToy(t *testing.T, folder string) (*simulator.Machine, *somebody, string) {
	ends, err := openPseudo()
	require.NoError(t, err)
	p := machine.DeskToy()
	p.BuiltIn, p.Name = false, "new toy"
	p.Area.WidthMM, p.Area.HeightMM = 80, 60
	p.Board.Port = ends.far.Name()
	for _, a := range []*machine.Axis{&p.X, &p.Y} {
		a.SlackMM, a.MaxSpeedMMS, a.MaxAccelerationMMS2, a.LineUncertaintyMM = 0, 20, 150, 0.5
	}
	profile := filepath.Join(folder, "new.toml")
	require.NoError(t, os.WriteFile(profile, machine.Marshal(p), 0o600))
	stepsPerMM := [2]float64{95, 104}
	m := simulator.New(simulator.Setup{
		Board: simulator.Board{StepsPerMM: [2]float64{250, 250}, RateMMPerMin: [2]float64{500, 500}, AccelerationMMS2: [2]float64{10, 10}},
		Mechanics: simulator.Mechanics{
			StepsPerMM: stepsPerMM, Reversed: [2]bool{true, false}, SquarenessDeg: 90,
			WidthMM: 80, HeightMM: 60, StartMM: geom.Point{X: 40.6, Y: 29.5},
		},
	})
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan struct{})
	go func() {
		defer close(served)
		m.Serve(ctx, ends.near, hurried{20, time.Now()}) //nolint:errcheck // ends with the test
	}()
	t.Cleanup(func() {
		stop()
		<-served
		ends.close() //nolint:errcheck // the test is over
	})
	return m, &somebody{m: m, walls: geom.Point{X: 80, Y: 60}, ratio: [2]float64{100 / stepsPerMM[0], 100 / stepsPerMM[1]}}, profile
}

// tunes runs `wend machine tune` with somebody who answers.
func tunes(t *testing.T, folder string, s *somebody, args ...string) (out, shown string, code int) {
	cmd := wendProcess(t, folder, append([]string{"machine", "tune", "--armed"}, args...)...)
	keys, err := cmd.StdinPipe()
	require.NoError(t, err)
	stderr, err := cmd.StderrPipe()
	require.NoError(t, err)
	var stdout strings.Builder
	cmd.Stdout = &stdout
	require.NoError(t, cmd.Start())
	var said strings.Builder
	for lines := bufio.NewScanner(stderr); lines.Scan(); {
		fmt.Fprintln(&said, lines.Text())
		if answer, asked := s.hears(lines.Text()); asked {
			io.WriteString(keys, answer+"\n") //nolint:errcheck // it may have ended
		}
	}
	cmd.Wait() //nolint:errcheck // the code says it
	return stdout.String(), said.String(), cmd.ProcessState.ExitCode()
}

// A machine that was just built: its motors' direction, its scale and its edges
// are found through the port, the profile learns them, and then it draws.
func TestANewMachineIsTunedThroughItsPortAndDraws(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	m, s, profile := newToy(t, folder)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "corner.wend"), []byte("ahead 20; turn 90; ahead 15\n"), 0o600))
	refused, err := wendProcess(t, folder, "send", "corner.wend", "--machine", "new.toml", "--armed").CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(refused), "not calibrated")

	out, shown, code := tunes(t, folder, s, "--machine", "new.toml", "--part", "direction,scale,area", "--json")
	require.Equal(t, exitDone, code, shown)
	var result tunedJSON
	require.NoError(t, json.Unmarshal([]byte(out), &result))
	require.True(t, result.Calibrated)
	require.Equal(t, "new.toml.1", result.Kept)
	require.GreaterOrEqual(t, s.set, 4) // at first, for the direction, for two scales
	require.Empty(t, m.Look().Contacts)

	text, err := os.ReadFile(profile)
	require.NoError(t, err)
	p, list := machine.Read(source.New("new.toml", string(text)))
	require.False(t, list.Failed(), "%v", list)
	require.True(t, p.Calibrated)
	require.True(t, p.X.Reversed)
	require.False(t, p.Y.Reversed)
	require.InEpsilon(t, 95, p.X.StepsPerMM(), 0.02)
	require.InEpsilon(t, 104, p.Y.StepsPerMM(), 0.02)
	require.InDelta(t, 76-1, p.Area.WidthMM, 1.6) // between the marks, less what slack may take
	require.InDelta(t, 56-1, p.Area.HeightMM, 1.6)

	// The position is remembered by the new profile, and the stylus stands in
	// the middle between the marks.
	require.InDelta(t, 40, m.Look().StylusMM.X, 1)
	require.InDelta(t, 30, m.Look().StylusMM.Y, 1)
	where, err := wendProcess(t, folder, "machine", "here", "--machine", "new.toml").CombinedOutput()
	require.NoError(t, err)
	require.Contains(t, string(where), "new toy: assumed at (")

	before := m.Look().StylusMM
	sent, err := wendProcess(t, folder, "send", "corner.wend", "--machine", "new.toml", "--armed").CombinedOutput()
	require.NoError(t, err, string(sent))
	way := m.Look().StylusMM.Sub(before)
	require.InDelta(t, 20, way.X, 0.4)
	require.InDelta(t, 15, way.Y, 0.4)
	require.Empty(t, m.Look().Contacts)
}

func TestWhoeverDoesNotAgreeToSettingsKeepsThemAndNothingMoves(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	m, s, profile := newToy(t, folder)
	s.refuses = true
	before, err := os.ReadFile(profile)
	require.NoError(t, err)
	at := m.Look().StylusMM
	_, shown, code := tunes(t, folder, s, "--machine", "new.toml")
	require.Equal(t, exitStopped, code, shown)
	require.Contains(t, shown, "x steps per mm ($100) is 250, not 100")
	require.Equal(t, at, m.Look().StylusMM)
	after, err := os.ReadFile(profile)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
}
