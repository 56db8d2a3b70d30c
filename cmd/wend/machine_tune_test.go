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

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// somebody stands at a simulated machine with a ruler, and answers what
// `wend machine tune` asks: by what the stylus did, never by a setting.
type somebody struct {
	m        *simulator.Machine
	walls    geom.Point
	ratio    [2]float64 // of drawn to nominal lengths, as a ruler would tell
	looked   geom.Point
	nominal  float64
	differs  bool   // the line before told of a setting
	set      int    // how often settings were agreed to
	refuses  bool   // does not agree to settings
	leavesAt string // a question that is answered by leaving
	wrongWay bool   // takes the mark of the other edge for the one that is asked for
	// What is answered to a question that begins so, instead of the truth, time
	// after time; "" is the truth.
	mistakes map[string][]string
	before   map[string]func() // what is done before a question is answered
}

// hears takes a line that is shown, and gives what is typed then, if anything.
func (s *somebody) hears(line string) (string, bool) {
	differs := strings.HasPrefix(line, "the board differs from the profile")
	first := differs && !s.differs
	s.differs = differs
	at := s.m.Look().StylusMM
	ruler := func(mm float64) string {
		return fmt.Sprint(math.Round(mm*4) / 4)
	}
	var edge string
	line = strings.TrimSpace(line)
	for begin, do := range s.before {
		if strings.HasPrefix(line, begin) {
			do()
		}
	}
	for begin, answers := range s.mistakes {
		if strings.HasPrefix(line, begin) && len(answers) > 0 {
			s.mistakes[begin] = answers[1:]
			if answers[0] != "" {
				return answers[0], true
			}
		}
	}
	switch {
	case s.leavesAt != "" && strings.HasPrefix(line, s.leavesAt):
		return "stop", true
	case first && s.refuses:
		return "no", true
	case first:
		s.set++
		return "set", true
	case strings.HasPrefix(line, "Enter begins"):
		return "leave", true
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
	case strings.HasPrefix(line, "is the sheet clean?"):
		wipes := s.m.Eraser().Wipes()
		if wipes[len(wipes)-1].Clean {
			return "yes", true
		}
		return "no", true
	case strings.HasPrefix(line, "does the stylus stand where it stood"):
		return "yes", true
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
		if s.wrongWay {
			edge = map[string]string{"left": "right", "right": "left", "lower": "upper", "upper": "lower"}[edge]
		}
		return ruler(map[string]float64{
			"left": at.X - markMM, "right": s.walls.X - markMM - at.X,
			"lower": at.Y - markMM, "upper": s.walls.Y - markMM - at.Y,
		}[edge]), true
	}
	return "", false
}

// toy is a machine that was just built, at a port of its own and in its own
// time, with a profile of what its builder believes. Its x motor turns the wrong
// way, and both axes have another scale.
type toy struct {
	t      *testing.T
	m      *simulator.Machine
	folder string
	by     *somebody
}

func newToy(t *testing.T) *toy {
	p := machine.DeskToy()
	p.BuiltIn, p.Name = false, "new toy"
	p.Board.Port = "toy"
	p.Eraser = machine.Eraser{Kind: machine.EraserSerial, Port: "eraser", Baud: 9600, Send: "ERASE", Done: "DONE", TimeoutS: 5, Rounds: 1}
	for _, a := range []*machine.Axis{&p.X, &p.Y} {
		a.SlackMM, a.MaxSpeedMMS, a.MaxAccelerationMMS2, a.LineUncertaintyMM = 0, 20, 150, 0.5
	}
	x := &toy{t: t, folder: t.TempDir()}
	x.writes("new.toml", string(machine.Marshal(p)))
	stepsPerMM := [2]float64{95, 104}
	x.m = simulator.New(simulator.Setup{
		Board: simulator.Board{StepsPerMM: [2]float64{128, 128}, RateMMPerMin: [2]float64{900, 900}, AccelerationMMS2: [2]float64{60, 60}},
		Mechanics: simulator.Mechanics{
			StepsPerMM: stepsPerMM, Reversed: [2]bool{true, false}, SquarenessDeg: 90,
			WidthMM: 150, HeightMM: 110, StartMM: geom.Point{X: 75.6, Y: 54.5},
		},
		Eraser: simulator.EraserSetup{Send: "ERASE", Done: "DONE", Seconds: 9, Rounds: 2},
	})
	x.by = &somebody{m: x.m, walls: geom.Point{X: 150, Y: 110}, ratio: [2]float64{100 / stepsPerMM[0], 100 / stepsPerMM[1]}}
	return x
}

func (x *toy) path(name string) string { return filepath.Join(x.folder, name) }

func (x *toy) writes(name, text string) {
	require.NoError(x.t, os.WriteFile(x.path(name), []byte(text), 0o600))
}

func (x *toy) reads(name string) string {
	text, err := os.ReadFile(x.path(name))
	require.NoError(x.t, err)
	return string(text)
}

func (x *toy) profile() *machine.Profile {
	p, list := machine.Read(source.New("new.toml", x.reads("new.toml")))
	require.False(x.t, list.Failed(), "%v", list)
	return p
}

// wend runs a command at the toy, with somebody who answers what it asks.
func (x *toy) wend(args ...string) (stdout, stderr string, code int) {
	keys, typed := io.Pipe()
	shown, screen := io.Pipe()
	var out, said strings.Builder
	answered := make(chan struct{})
	go func() {
		defer close(answered)
		answers := make(chan string, 100)
		go func() {
			for answer := range answers {
				io.WriteString(typed, answer+"\n") //nolint:errcheck // it may have ended
			}
			typed.Close()
		}()
		defer close(answers)
		for lines := bufio.NewScanner(shown); lines.Scan(); {
			fmt.Fprintln(&said, lines.Text())
			if answer, asked := x.by.hears(lines.Text()); asked {
				answers <- answer
			}
		}
	}()
	ports := map[string]func(time.Duration) (*simulator.Port, error){"toy": x.m.Open, "eraser": x.m.Eraser().Open}
	code = run(context.Background(), args, console{
		stdin: keys, stdout: &out, stderr: screen,
		environment: func(name string) string {
			if name == "XDG_STATE_HOME" {
				return x.folder
			}
			return ""
		},
		terminal: func(int) bool { return false },
		columns:  func() int { return 0 },
		now:      func() time.Time { return time.Unix(0, 0).Add(time.Duration(x.m.Now() * float64(time.Second))) },
		port: func(name string, _ int) (io.ReadWriteCloser, error) {
			open, there := ports[name]
			if !there {
				return nil, &diag.Fault{Code: "port-missing", Args: diag.Args{"port": name}}
			}
			return open(simulatedWait)
		},
	})
	screen.Close()
	keys.Close()
	<-answered
	return out.String(), said.String(), code
}

func (x *toy) tunes(parts string, more ...string) (tunedJSON, string, int) {
	args := append([]string{"machine", "tune", "--machine", x.path("new.toml"), "--json", "--armed"}, more...)
	if parts != "" {
		args = append(args, "--part", parts)
	}
	out, shown, code := x.wend(args...)
	var result tunedJSON
	if out != "" {
		require.NoError(x.t, json.Unmarshal([]byte(out), &result))
	}
	return result, shown, code
}

// A machine that was just built: its motors' direction, its scale and its edges
// are found through the port, the profile learns them, and then it draws.
func TestANewMachineIsTunedThroughItsPortAndDraws(t *testing.T) {
	x := newToy(t)
	x.writes("corner.wend", "ahead 20; turn 90; ahead 15\n")
	send := []string{"send", x.path("corner.wend"), "--machine", x.path("new.toml"), "--armed"}
	_, refused, code := x.wend(send...)
	require.Equal(t, exitMachine, code)
	require.Contains(t, refused, "not calibrated")

	before := x.reads("new.toml")
	result, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	require.True(t, result.Calibrated)
	require.Equal(t, before, x.reads("new.toml.1"))
	require.Equal(t, 4, x.by.set) // at first, for the direction, for two scales
	require.Contains(t, shown, "the board differs from the profile: x steps per mm is 128, not 100 (setting 100)")
	require.Contains(t, shown, "from here, no motion goes farther than 7 mm left, 7 right, 7 down, 7 up")
	require.Empty(t, x.m.Look().Contacts)

	p := x.profile()
	require.True(t, p.Calibrated)
	require.True(t, p.X.Reversed)
	require.False(t, p.Y.Reversed)
	require.InEpsilon(t, 95, p.X.StepsPerMM(), 0.01)
	require.InEpsilon(t, 104, p.Y.StepsPerMM(), 0.01)
	require.InDelta(t, 146-1, p.Area.WidthMM, 1.6) // between the marks, less what slack may take
	require.InDelta(t, 106-1, p.Area.HeightMM, 1.6)

	// The position is remembered by the new profile, and the stylus stands in
	// the middle between the marks.
	require.InDelta(t, 75, x.m.Look().StylusMM.X, 1)
	require.InDelta(t, 55, x.m.Look().StylusMM.Y, 1)
	where, _, code := x.wend("machine", "here", "--machine", x.path("new.toml"))
	require.Equal(t, exitDone, code)
	require.Contains(t, where, "new toy: assumed at (")

	at := x.m.Look().StylusMM
	_, shown, code = x.wend(send...)
	require.Equal(t, exitDone, code, shown)
	way := x.m.Look().StylusMM.Sub(at)
	require.InDelta(t, 20, way.X, 0.25)
	require.InDelta(t, 15, way.Y, 0.25)
	require.Empty(t, x.m.Look().Contacts)

	// A part that moves nothing is done alone, where the stylus stands.
	at = x.m.Look().StylusMM
	result, shown, code = x.tunes("eraser")
	require.Equal(t, exitDone, code, shown)
	require.Equal(t, at, x.m.Look().StylusMM)
	require.Equal(t, 2, x.profile().Eraser.Rounds)
	require.Equal(t, 18.0, x.profile().Eraser.TimeoutS)
	require.True(t, result.Calibrated)
}

func TestWhoeverDoesNotAgreeToSettingsKeepsThemAndNothingMoves(t *testing.T) {
	x := newToy(t)
	x.by.refuses = true
	before, at := x.reads("new.toml"), x.m.Look().StylusMM
	_, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitStopped, code, shown)
	require.Contains(t, shown, "left: direction, scale, area")
	require.Equal(t, at, x.m.Look().StylusMM)
	require.Equal(t, before, x.reads("new.toml"))
}

// A calibration that is left halfway has written what was done, and nothing is
// remembered of a position that was counted by a profile nobody kept.
func TestACalibrationThatIsLeftKeepsWhatWasDoneAndNoFalsePosition(t *testing.T) {
	x := newToy(t)
	x.by.leavesAt = "how long is the line along y"
	_, shown, code := x.tunes("")
	require.Equal(t, exitStopped, code, shown)
	require.Contains(t, shown, "stopped; what was found is kept")
	p := x.profile()
	require.True(t, p.X.Reversed)
	require.False(t, p.Calibrated)
	// What was found of x stays, and the board is set to it.
	require.InEpsilon(t, 95, p.X.StepsPerMM(), 0.01)
	require.InDelta(t, 100, p.Y.StepsPerMM(), 1e-9)
	where, _, code := x.wend("machine", "here", "--machine", x.path("new.toml"))
	require.Equal(t, exitDone, code)
	require.Contains(t, where, "lost")
	// So the board goes with the profile, and nothing is to be set.
	x.by.leavesAt = ""
	x.by.set = 0
	_, shown, code = x.tunes("direction")
	require.Equal(t, exitDone, code, shown)
	require.Zero(t, x.by.set)
}

// A part that is left, or begun again, ends nothing else.
func TestAPartThatIsLeftOrBegunAgainEndsNothingElse(t *testing.T) {
	x := newToy(t)
	x.by.mistakes = map[string][]string{
		"how long is the line along y":        {"", "again", ""},
		"does the stylus stand where it":      {"leave"},
		"how far is the stylus from the mark": {"", "", "again"},
	}
	result, shown, code := x.tunes("direction,scale,area,eraser")
	require.Equal(t, exitStopped, code, shown)
	require.Equal(t, []string{"eraser"}, result.Left, shown)
	require.Contains(t, shown, "eraser is left")
	require.Contains(t, shown, "left: eraser; `wend machine tune --part` goes through them alone")
	p := x.profile()
	require.True(t, p.Calibrated)
	require.InEpsilon(t, 95, p.X.StepsPerMM(), 0.01)
	require.InEpsilon(t, 104, p.Y.StepsPerMM(), 0.01)
	require.InDelta(t, 146-1, p.Area.WidthMM, 1.6)
	require.Equal(t, 1, p.Eraser.Rounds)
	require.Empty(t, x.m.Look().Contacts)
}

// Somebody edits the profile while the machine is calibrated: what they changed
// stays, what was found is added, and each text before is kept.
func TestAProfileThatIsEditedMeanwhileKeepsTheEdit(t *testing.T) {
	x := newToy(t)
	original := x.reads("new.toml")
	x.by.before = map[string]func(){
		"how far is the stylus from the mark of the left edge": func() {
			text := x.reads("new.toml")
			if strings.HasPrefix(text, "# mine") {
				return
			}
			require.Contains(t, text, "line_width_mm = 0.5")
			x.writes("new.toml", "# mine\n"+strings.Replace(text, "line_width_mm = 0.5", "line_width_mm = 0.8", 1))
		},
	}
	result, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	require.Contains(t, shown, "was edited meanwhile")
	p := x.profile()
	require.Equal(t, 0.8, p.Drawing.LineWidthMM)
	require.True(t, p.Calibrated)
	require.True(t, p.X.Reversed)
	require.InEpsilon(t, 95, p.X.StepsPerMM(), 0.01)
	require.Contains(t, x.reads("new.toml"), "# mine")
	require.Equal(t, original, x.reads("new.toml.1"))
	require.Equal(t, x.path("new.toml.2"), result.Kept)
	require.Contains(t, x.reads("new.toml.2"), "# mine")
}

// A line that is measured from the wrong tick does not fit with the one before:
// it is asked for again, and nothing is driven by it.
func TestALineFromTheWrongTickIsAskedForAgain(t *testing.T) {
	x := newToy(t)
	x.by.mistakes = map[string][]string{"how long is the line along x": {"", "5", ""}}
	_, shown, code := x.tunes("direction,scale")
	require.Equal(t, exitDone, code, shown)
	require.Contains(t, shown, "by the other readings it should be about 10.")
	require.InEpsilon(t, 95, x.profile().X.StepsPerMM(), 0.02)

	// One that stays wrong is named, and the others tell the scale.
	x = newToy(t)
	x.by.mistakes = map[string][]string{"how long is the line along x from the first tick to tick 4": {"15", "15", "25"}}
	result, shown, code := x.tunes("direction,scale")
	require.Equal(t, exitDone, code, shown)
	require.Contains(t, result.Findings[2].Text, "left out, since it does not fit: the line of 20 mm along x (25.00 mm, by the others 21.")
	require.InEpsilon(t, 95, x.profile().X.StepsPerMM(), 0.02)
	require.Empty(t, x.m.Look().Contacts)
}

// A distance that does not fit with the motion before is asked for again, and
// ends the part if it stays: the stylus runs the other way, or slips.
func TestCreepingTheWrongWayEndsBeforeTheWall(t *testing.T) {
	x := newToy(t)
	x.by.wrongWay = true
	_, shown, code := x.tunes("")
	require.Equal(t, exitStopped, code, shown)
	require.Contains(t, shown, "it should be")
	require.Contains(t, shown, "do not fit with")
	require.Empty(t, x.m.Look().Contacts)
	where, _, _ := x.wend("machine", "here", "--machine", x.path("new.toml"))
	require.Contains(t, where, "lost")
}

// The stylus was brought elsewhere by hand, and then somebody left: the place
// that was remembered before is not true any more.
func TestAStylusThatWasBroughtByHandIsNowhere(t *testing.T) {
	x := newToy(t)
	_, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	x.by.leavesAt = "bring the stylus"
	_, shown, code = x.tunes("direction")
	require.Equal(t, exitStopped, code, shown)
	where, _, _ := x.wend("machine", "here", "--machine", x.path("new.toml"))
	require.Contains(t, where, "lost")
}

func TestAStylusThatTheEraserMovedIsLost(t *testing.T) {
	x := newToy(t)
	_, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	x.by.mistakes = map[string][]string{"does the stylus stand where it stood": {"no"}}
	_, shown, code = x.tunes("eraser")
	require.Equal(t, exitDone, code, shown)
	where, _, _ := x.wend("machine", "here", "--machine", x.path("new.toml"))
	require.Contains(t, where, "lost")
}

func TestAProfileThatCannotBeWrittenIsSaidBeforeAnythingMoves(t *testing.T) {
	x := newToy(t)
	require.NoError(t, os.Chmod(x.path("new.toml"), 0o400))
	_, shown, code := x.tunes("")
	require.Equal(t, exitMachine, code, shown)
	require.Contains(t, shown, "write-protected")
	require.Zero(t, x.by.set)
}

// Whoever leaves before the marks of a test of speed were looked at does not know
// whether steps were lost: nor does anybody who comes after.
func TestATestOfSpeedThatIsLeftKnowsNoPosition(t *testing.T) {
	x := newToy(t)
	_, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	x.by.leavesAt = "at 20 mm/s"
	wipes := len(x.m.Eraser().Wipes())
	_, shown, code = x.tunes("pace")
	// The eraser wiped between, unasked.
	require.Contains(t, shown, "the eraser wipes the sheet now, for the next pattern; hands away")
	require.NotContains(t, shown, "wipe the sheet; the next pattern")
	require.Greater(t, len(x.m.Eraser().Wipes()), wipes)
	require.Equal(t, exitStopped, code, shown)
	require.Contains(t, shown, "does the second cross lie on the first?")
	where, _, _ := x.wend("machine", "here", "--machine", x.path("new.toml"))
	require.Contains(t, where, "lost")
}

// An eraser that cannot be reached is told, and the sheet wiped by hand then.
func TestWhereTheEraserFailsSomebodyWipes(t *testing.T) {
	x := newToy(t)
	x.writes("new.toml", strings.Replace(x.reads("new.toml"), `"eraser"`, `"gone"`, 1))
	require.Equal(t, "gone", x.profile().Eraser.Port)
	_, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	x.by.leavesAt = "at 20 mm/s"
	_, shown, code = x.tunes("pace")
	require.Equal(t, exitStopped, code, shown)
	require.Contains(t, shown, "gone")
	require.Contains(t, shown, "wipe the sheet; the next pattern")
	require.Contains(t, shown, "at 20 mm/s")
}

// A first distance that was mistyped is put right by the next ones.
func TestAFirstDistanceThatWasWrongIsPutRight(t *testing.T) {
	x := newToy(t)
	x.by.mistakes = map[string][]string{"how far is the stylus from the mark of the left edge": {"300"}}
	result, shown, code := x.tunes("direction,scale,area")
	require.Equal(t, exitDone, code, shown)
	require.Contains(t, shown, "it should be 295.0 mm by now")
	require.True(t, result.Calibrated)
	require.InDelta(t, 146-1, x.profile().Area.WidthMM, 1.6)
	require.Empty(t, x.m.Look().Contacts)
}
