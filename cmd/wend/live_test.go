//go:build unix

package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// terminal is `wend` on a real pseudo-terminal, with an emulator in front that
// shows what a person would see.
type terminal struct {
	t       *testing.T
	command *exec.Cmd
	tty     *os.File
	mu      sync.Mutex
	screen  *vt.Emulator
	raw     strings.Builder
	changed chan struct{}
	ended   chan error
	folder  string
}

// patience is how long a test waits for what must come; on a busy computer
// everything takes its time.
const patience = time.Minute

// open starts `wend` with arguments in a window of a size. Its folder is also
// where it keeps its state.
func open(t *testing.T, columns, rows int, folder string, environment []string, args ...string) *terminal {
	t.Helper()
	program, err := os.Executable()
	require.NoError(t, err)
	x := &terminal{
		t: t, screen: vt.NewEmulator(columns, rows), changed: make(chan struct{}, 1), ended: make(chan error, 1), folder: folder,
		command: &exec.Cmd{Path: program, Args: append([]string{"wend"}, args...), Dir: folder},
	}
	x.command.Env = append([]string{"TERM=xterm", "LC_ALL=C.UTF-8", "XDG_STATE_HOME=" + folder, "PATH=" + os.Getenv("PATH"), "GOCOVERDIR=" + folder}, environment...)
	x.tty, err = pty.StartWithSize(x.command, &pty.Winsize{Cols: uint16(columns), Rows: uint16(rows)})
	require.NoError(t, err)
	go func() {
		buffer := make([]byte, 4096)
		for {
			n, err := x.tty.Read(buffer)
			x.mu.Lock()
			x.screen.Write(buffer[:n]) //nolint:errcheck // an emulator takes everything
			x.raw.Write(buffer[:n])
			x.mu.Unlock()
			select {
			case x.changed <- struct{}{}:
			default:
			}
			if err != nil {
				x.ended <- x.command.Wait()
				return
			}
		}
	}()
	// What the emulator answers to questions of the program.
	go io.Copy(x.tty, x.screen) //nolint:errcheck // ends with the terminal
	t.Cleanup(func() {
		x.command.Process.Kill() //nolint:errcheck // it may have ended
		x.tty.Close()
	})
	return x
}

// text is what stands on the screen, without blank lines at its end.
func (x *terminal) text() string {
	x.mu.Lock()
	defer x.mu.Unlock()
	var rows []string
	for row := range strings.SplitSeq(x.screen.String(), "\n") {
		rows = append(rows, strings.TrimRight(row, " \r"))
	}
	return strings.TrimRight(strings.Join(rows, "\n"), "\n")
}

// until waits until something is so on the screen.
func (x *terminal) until(what string, so func(screen string) bool) {
	x.t.Helper()
	deadline := time.After(patience)
	for {
		if so(x.text()) {
			return
		}
		select {
		case <-x.changed:
		case <-deadline:
			x.t.Fatalf("%s did not come; the screen is\n%s", what, x.text())
		}
	}
}

// sees waits until a text stands on the screen.
func (x *terminal) sees(text string) {
	x.t.Helper()
	x.until(fmt.Sprintf("%q", text), func(screen string) bool { return strings.Contains(screen, text) })
}

// seesWrapped waits until a text stands on the screen, however it is broken.
func (x *terminal) seesWrapped(text string) {
	x.t.Helper()
	without := func(text string) string { return strings.Join(strings.Fields(text), "") }
	x.until(fmt.Sprintf("%q", text), func(screen string) bool {
		return strings.Contains(without(screen), without(text))
	})
}

// prompts waits until the last line of the screen ends in a text, which is
// where the program waits for input.
func (x *terminal) prompts(text string) {
	x.t.Helper()
	x.until(fmt.Sprintf("the prompt %q", text), func(screen string) bool { return strings.HasSuffix(screen, text) })
}

func (x *terminal) types(keys string) {
	x.t.Helper()
	_, err := x.tty.WriteString(keys)
	require.NoError(x.t, err)
}

// enters types a line and waits for the next prompt, which may read like the one
// that the line is typed at: it begins to show before it ends.
func (x *terminal) enters(line, prompt string) {
	x.t.Helper()
	before := x.text()
	x.types(line)
	x.until(fmt.Sprintf("the line %q", line), func(screen string) bool { return screen != before && !strings.HasSuffix(screen, prompt) })
	x.types("\r")
	x.prompts(prompt)
}

// ends waits for the program's end and gives its exit code.
func (x *terminal) ends() int {
	x.t.Helper()
	select {
	case <-x.ended:
		return x.command.ProcessState.ExitCode()
	case <-time.After(patience):
		x.t.Fatalf("it does not end; the screen is\n%s", x.text())
		return -1
	}
}

const (
	ctrlA  = "\x01"
	ctrlC  = "\x03"
	ctrlD  = "\x04"
	ctrlU  = "\x15"
	up     = "\x1b[A"
	right  = "\x1b[C"
	delete = "\x7f"
)

func TestThePromptEditsLinesAndShowsWhatTheyDraw(t *testing.T) {
	t.Parallel()
	for _, window := range [][2]int{{80, 24}, {200, 60}} {
		x := open(t, window[0], window[1], t.TempDir(), nil, "live")
		x.prompts("dry (0, 0) 0°>")
		x.enters("turn 45", "dry (0, 0) 45°>")
		x.types("ahed 50" + delete + delete + delete + delete + "ad 50")
		x.prompts("> ahead 50")
		x.types("\r")
		x.prompts("dry (35.4, 35.4) 45°>")
		x.types("head 5" + ctrlA + "a" + "\r")
		x.prompts("dry (38.9, 38.9) 45°>")
		screen := x.text()
		require.Contains(t, screen, "at (38.9, 38.9), heading 45° ↗ up and right, line so far 55.0 mm\n")
		require.Contains(t, screen, "┌─")
		require.Contains(t, screen, "↗")
		for row := range strings.SplitSeq(screen, "\n") {
			require.LessOrEqual(t, len([]rune(row)), window[0])
		}
		// The entry, its picture and the next prompt fill the window.
		rows := strings.Split(screen, "\n")
		require.Contains(t, rows[0], "> ahead 5")
		require.Len(t, rows, window[1])
		x.types(ctrlD)
		require.Zero(t, x.ends())
	}
}

func TestHistoryBringsBackWholeEntriesAlsoOfEarlierSessions(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	x := open(t, 80, 24, folder, nil, "live")
	x.prompts("0°>")
	x.enters("loop 2 {", "in {>")
	x.enters("  ahead 10", "in {>")
	x.enters("  turn 30", "in {>")
	x.enters("}", "dry (18.7, 5) 60°>")
	x.types(up)
	x.prompts("> loop 2 { ahead 10; turn 30 }")
	x.types("\r")
	x.prompts("120°>")
	x.types("/leave\r")
	require.Zero(t, x.ends())

	kept, err := os.ReadFile(filepath.Join(folder, "wend", "live.wend"))
	require.NoError(t, err)
	require.Equal(t, "loop 2 {\n  ahead 10\n  turn 30\n}\n\nloop 2 { ahead 10; turn 30 }\n", string(kept))

	x = open(t, 80, 24, folder, nil, "live")
	x.prompts("0°>")
	x.types(up + up)
	x.prompts("> loop 2 { ahead 10; turn 30 }")
	x.types(ctrlC)
	x.prompts("0°>")
}

// What is not saved is offered the next time; two prompts at a time do not take
// each other's entries.
func TestWhatIsNotSavedIsOfferedTheNextTime(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	x := open(t, 80, 24, folder, nil, "live")
	x.prompts("dry (0, 0) 0°>")
	x.enters("ahead 12", "dry (12, 0) 0°>")
	y := open(t, 80, 24, folder, nil, "live")
	y.prompts("lists the orders.\ndry (0, 0) 0°>")
	y.enters("ahead 34", "dry (34, 0) 0°>")
	y.enters("/save y", "dry (34, 0) 0°>")
	x.types("\x04")
	require.Zero(t, x.ends())
	y.types("\x04")
	require.Zero(t, y.ends())
	x = open(t, 80, 24, folder, nil, "live")
	x.sees("The last session was not saved")
	x.prompts("dry (0, 0) 0°>")
	x.enters("/restore", "dry (12, 0) 0°>")
	x.enters("/restore", "takes it back\ndry (12, 0) 0°>")
	x.enters("/picture", "wrote live.png\ndry (12, 0) 0°>")
	x.enters("/save x", "dry (12, 0) 0°>")
	x.types("\x04")
	require.Zero(t, x.ends())
	x = open(t, 80, 24, folder, nil, "live")
	x.prompts("lists the orders.\ndry (0, 0) 0°>")
}

func TestTabCompletesAndShowsSignatures(t *testing.T) {
	t.Parallel()
	x := open(t, 80, 24, t.TempDir(), nil, "live")
	x.prompts("0°>")
	x.enters("figure petalled(size, n = 3) { ahead size * n }", "0°>")
	x.types("petall\t")
	x.prompts("> petalled")
	x.types("\t")
	x.sees("petalled size, n:\n")
	x.prompts("> petalled")
	x.types(" 5\r")
	x.prompts("dry (15, 0) 0°>")
	x.types("ra\t\t")
	x.sees("random(")
}

func TestCtrlCClearsAnEntryAndStopsWhatIsWorkedOut(t *testing.T) {
	t.Parallel()
	x := open(t, 80, 24, t.TempDir(), nil, "live")
	x.prompts("dry (0, 0) 0°>")
	x.types("ahead 3")
	x.prompts("ahead 3")
	x.types(ctrlC)
	x.prompts("ahead 3^C\ndry (0, 0) 0°>")
	x.enters("loop 3 {", "in {>")
	x.types(ctrlC)
	x.prompts("in {> ^C\nthe open entry is dropped; the up arrow brings its lines back\ndry (0, 0) 0°>")
	// The line end is echoed when the entry has been taken over.
	x.types("loop while true { turn 1 }\r")
	x.until("the line's end", func(screen string) bool {
		return strings.HasSuffix(screen, "{ turn 1 }") && x.cursorColumn() == 0
	})
	x.types(ctrlC)
	x.sees("stopped; nothing of the entry counts")
	x.prompts("dry (0, 0) 0°>")
	x.enters("ahead 5", "dry (5, 0) 0°>")
	x.types(ctrlC)
	x.prompts("Ctrl-D leaves, and so does `/leave`\ndry (5, 0) 0°>")
	x.types(ctrlD)
	require.Zero(t, x.ends())
}

// resizes gives the window another width.
func (x *terminal) resizes(columns, rows int) {
	x.t.Helper()
	x.mu.Lock()
	x.screen.Resize(columns, rows)
	x.mu.Unlock()
	require.NoError(x.t, pty.Setsize(x.tty, &pty.Winsize{Cols: uint16(columns), Rows: uint16(rows)}))
}

// At every width of the window, what is typed while something is worked out,
// pasted, or typed while the window changes is read as if it had been wide.
func TestNoWindowIsTooNarrowToType(t *testing.T) {
	t.Parallel()
	for _, columns := range []int{8, 12, 20, 30, 40, 42, 60, 80} {
		t.Run(fmt.Sprint(columns), func(t *testing.T) {
			t.Parallel()
			x := open(t, columns, 24, t.TempDir(), nil, "live")
			x.prompts(">")
			x.types("loop 108000 { turn 1 }\rahead 5\r")
			x.seesWrapped("so far 5.0 mm")
			x.prompts(">")
			x.types("ahead" + ctrlC)
			x.seesWrapped("^C")
			x.types("loop 2 {\n  ahead 1\n  turn 0\n}\nahead 7\n")
			x.seesWrapped("so far 14.0 mm")
			for _, other := range []int{41, 20, 80, 9, 30, 100} {
				x.types("shift 0.5,")
				x.resizes(other, 24)
				x.types(" 0; turn 0\r")
			}
			x.seesWrapped("so far 17.0 mm")
			x.resizes(columns, 24)
			x.types("/save here.wend\r")
			x.seesWrapped("wrote here.wend")
			x.prompts(">") // before it, Ctrl-C stops what is at hand
			x.types("ahead 3" + ctrlC + ctrlD)
			require.Zero(t, x.ends())
			text, err := os.ReadFile(filepath.Join(x.folder, "here.wend"))
			require.NoError(t, err)
			require.Equal(t, 6, strings.Count(string(text), "shift 0.5, 0"), "%s", text)
		})
	}
}

func TestTheEndOfTheProcessGivesTheTerminalBack(t *testing.T) {
	t.Parallel()
	x := open(t, 80, 24, t.TempDir(), nil, "live")
	x.prompts("dry (0, 0) 0°>")
	tell(t, x.command, syscall.SIGTERM)
	x.ends()
	require.Equal(t, "signal: terminated", x.command.ProcessState.String())
}

func (x *terminal) cursorColumn() int {
	x.mu.Lock()
	defer x.mu.Unlock()
	return x.screen.CursorPosition().X
}

func TestPlainModeHasNoPicturesAndNoEscapes(t *testing.T) {
	t.Parallel()
	for _, how := range [][]string{{"live", "--plain"}, {"live"}} {
		var environment []string
		if len(how) == 1 {
			environment = []string{"TERM=dumb"}
		}
		x := open(t, 80, 24, t.TempDir(), environment, how...)
		x.prompts("dry (0, 0) 0>")
		x.enters("turn 90; ahead 4", "dry (0, 4) 90>")
		x.sees("at (0, 4), heading 90 degrees, up, line so far 4.0 mm")
		x.types("/leave\n")
		require.Zero(t, x.ends())
		require.NotContains(t, x.raw.String(), "\x1b")
		require.NotContains(t, x.raw.String(), "┌")
	}
}

// A terminal whose locale has no UTF-8 is sent ASCII, pictures and messages too.
func TestALocaleWithoutUTF8GetsASCII(t *testing.T) {
	t.Parallel()
	x := open(t, 80, 24, t.TempDir(), []string{"LC_ALL=C"}, "live")
	x.prompts("dry (0, 0) 0>")
	x.enters("begin 70, 50; turn 45", "dry (70, 50) 45>")
	x.sees("at (70, 50), heading 45 degrees, up and right, line so far 0.0 mm")
	x.enters("loop 4 { ahead 20; turn 90 }", "dry (70, 50) 45>")
	x.sees("+-----")
	x.sees("''")
	x.enters("/help arc", "Enter shows more>")
	x.types("\r")
	x.prompts("dry (70, 50) 45>")
	x.enters("ahead 400", "dry (70, 50) 45>")
	x.types(ctrlD)
	require.Zero(t, x.ends())
	for _, b := range []byte(x.raw.String()) {
		require.Less(t, b, byte(0x80))
	}
}

// Where the stylus is shows before anything is drawn.
func TestABeginningIsShownOnTheSheet(t *testing.T) {
	t.Parallel()
	x := open(t, 80, 24, t.TempDir(), nil, "live")
	x.prompts("0°>")
	x.enters("begin page.center", "dry (70, 50) 0°>")
	x.sees("→ ")
	x.sees("└──")
}

func TestSteeringFollowsTheArrowKeys(t *testing.T) {
	t.Parallel()
	x := open(t, 80, 24, t.TempDir(), nil, "live")
	x.prompts("0°>")
	x.types("/steer\r")
	x.prompts("at (0, 0); one key press draws 1 mm")
	x.types(right + right + up)
	x.prompts("at (2, 1); one key press draws 1 mm")
	x.types("+" + right)
	x.prompts("at (4, 1); one key press draws 2 mm")
	x.types("\x1b[B\x1b[B")
	x.prompts("at (4, 1); the edge of the page is nearer than that")
	x.types("\r")
	x.prompts("dry (4, 1) 0°>")
	x.sees("shift 2, 0\nshift 0, 1\nshift 2, 0\n")
}

// profile is a machine that may draw, at a port.
const liveProfile = `name = "live bench"
calibrated = true
[area]
width_mm = 150
height_mm = 110
margin_mm = 5
start_mm = [0, 0]
[x]
steps_per_turn = 200
microsteps = 16
line_mm_per_motor_turn = 32
line_uncertainty_mm = 0.1
slack_mm = 0.4
max_speed_mm_s = 60
max_acceleration_mm_s2 = 400
[y]
steps_per_turn = 200
microsteps = 16
line_mm_per_motor_turn = 32
line_uncertainty_mm = 0.1
slack_mm = 0.4
max_speed_mm_s = 60
max_acceleration_mm_s2 = 400
[board]
port = %q
baud = 115200
steps_per_mm = [100, 100]
`

// liveBench is a simulated machine at a pseudo-terminal of its own, with a
// profile in a folder.
func liveBench(t *testing.T) (*simulator.Machine, *machine.Profile, string) {
	ends, err := openPseudo()
	require.NoError(t, err)
	folder := t.TempDir()
	text := fmt.Sprintf(liveProfile, ends.far.Name())
	require.NoError(t, os.WriteFile(filepath.Join(folder, "bench.toml"), []byte(text), 0o600))
	profile, list := machine.Read(source.New("bench.toml", text))
	require.False(t, list.Failed(), "%v", list)
	m := simulator.New(engine.Simulated(profile, profile.Area.StartMM, machine.Gap{}))
	ctx, stop := context.WithCancel(context.Background())
	served := make(chan struct{})
	go func() {
		defer close(served)
		m.Serve(ctx, ends.near, wallClock{}) //nolint:errcheck // ends with the test
	}()
	t.Cleanup(func() {
		stop()
		<-served
		ends.close() //nolint:errcheck // the test is over
	})
	return m, profile, folder
}

// takesUpSlack lets a machine take up the slack that is not known, and says where
// the stylus stands then: an order in place of the answer.
func (x *terminal) takesUpSlack(at string) {
	x.t.Helper()
	x.types("/arm\r")
	x.prompts("type `take` to take it up, Enter alone not to:")
	x.types("take\r")
	x.sees("Type `there` if so, Enter alone if not")
	x.prompts("\n>")
	x.types("/here " + at + "\r")
	x.prompts("confirmed (" + strings.ReplaceAll(at, " ", ", ") + ") 0°>")
}

func TestAWholeDrawingIsMadeLiveAndIsWhatTheSavedProgramDraws(t *testing.T) {
	t.Parallel()
	m, profile, folder := liveBench(t)
	x := open(t, 100, 40, folder, nil, "live", "--machine", "bench.toml")
	x.prompts("dry (0, 0) 0°>")
	x.enters("ahead 30", "dry (30, 0) 0°>")
	x.enters("/connect", "connected, lost>")
	x.sees("nothing is remembered of this machine")
	x.enters("/arm", "connected, lost>")
	x.enters("/here 20 10", "connected, confirmed (20, 10) 0°>")
	x.sees("the line begins where the stylus stands, (20, 10)")
	x.takesUpSlack("20 10")
	before, stood := len(m.Trace())-1, profile.ToPage(m.Look().StylusMM)
	x.types("/arm\r")
	x.prompts("type `arm` to start, Enter alone not to:")
	x.types("arm\r")
	x.prompts("type `draw` to start, Enter alone to leave it for later:")
	x.sees("to draw: 30.0 mm in 1 s, within x 20 to 50, y 10 to 10")
	x.types("draw\r")
	x.prompts("armed, confirmed (50, 10) 0°>")
	x.types("turn 60; arc 12, 200\r")
	x.prompts("leave it for later:")
	// What was typed ahead cannot answer: it comes afterwards, and asks itself.
	x.types("no\r")
	x.prompts("0°>")
	x.types("/draw\r/where\r/where\r")
	x.sees("what was typed or pasted ahead comes after this")
	x.prompts("leave it for later:")
	x.types("draw\r")
	x.prompts("armed, confirmed (27.8, 18.1) 260°>")
	x.sees("drawn; armed")
	x.until("both orders", func(screen string) bool { return strings.Count(screen, "/where") == 2 })
	x.prompts("armed, confirmed (27.8, 18.1) 260°>")
	x.enters("/save live.wend", "260°>")
	x.enters("/disconnect", "260°>")
	x.types(ctrlD)
	require.Zero(t, x.ends())

	text, err := os.ReadFile(filepath.Join(folder, "live.wend"))
	require.NoError(t, err)
	require.Equal(t, "begin 20, 10\nahead 30\nturn 60\narc 12, 200\n", string(text))
	program, list := engine.Load(source.New("live.wend", string(text)), engine.Settings{Profile: profile})
	require.NotNil(t, program, "%v", list)
	drawn, _ := program.Draw(context.Background())
	trace := m.Trace()[before:]
	for i, at := range trace {
		// The operator said where the stylus stood; in truth it was elsewhere.
		trace[i] = profile.ToPage(at).Sub(stood).Add(geom.Point{X: 20, Y: 10})
	}
	largest, _ := simulator.Deviation(drawn.Sheets[0].Points, trace)
	require.Less(t, largest, 0.05)
}

func TestAMovingMachineIsHeldResumedAndStopped(t *testing.T) {
	t.Parallel()
	m, _, folder := liveBench(t)
	x := open(t, 100, 40, folder, nil, "live", "--machine", "bench.toml")
	x.prompts("0°>")
	x.enters("loop 20 { ahead 100; ahead -100 }", "dry (0, 0) 0°>")
	x.enters("/connect", "lost>")
	x.enters("/here 0 0", "confirmed (0, 0) 0°>")
	x.takesUpSlack("0 0")
	x.types("/arm\r")
	x.prompts("not to:")
	x.types("arm\r")
	x.prompts("for later:")
	x.types("draw\r")
	x.sees("; space holds, s stops")
	x.types(" ")
	x.sees("held at (")
	x.prompts("space resumes, s stops")
	held := m.Look().StylusMM
	x.types(" ")
	x.until("motion", func(screen string) bool { return strings.HasSuffix(screen, "; space holds, s stops") })
	x.until("the stylus elsewhere", func(string) bool { return m.Look().StylusMM.Distance(held) > 5 })
	x.types(ctrlC)
	x.sees("; the position is confirmed\n")
	x.prompts("0°>")
	x.sees("connected, confirmed (")
	stopped := m.Look().StylusMM

	// The rest goes on from there, and a second Ctrl-C stops at once.
	x.types("/arm\r")
	x.prompts("not to:")
	x.types("arm\r")
	x.prompts("for later:")
	x.types("draw\r")
	x.until("the stylus elsewhere", func(string) bool { return m.Look().StylusMM.Distance(stopped) > 5 })
	x.types(ctrlC + ctrlC)
	x.until("the end of motion", func(screen string) bool { return strings.HasPrefix(lastLine(screen), "connected, ") })
	x.types(ctrlD)
	require.Zero(t, x.ends())
}

func lastLine(text string) string { return text[strings.LastIndex(text, "\n")+1:] }

func TestTheEndOfTheTerminalStopsTheMachine(t *testing.T) {
	t.Parallel()
	m, profile, folder := liveBench(t)
	x := open(t, 100, 40, folder, nil, "live", "--machine", "bench.toml")
	x.prompts("0°>")
	x.enters("loop 20 { ahead 100; ahead -100 }", "0°>")
	x.enters("/connect", "lost>")
	x.enters("/here 0 0", "0°>")
	x.takesUpSlack("0 0")
	stood := profile.ToPage(m.Look().StylusMM)
	x.types("/arm\r")
	x.prompts("not to:")
	x.types("arm\r")
	x.prompts("for later:")
	x.types("draw\r")
	x.sees("; space holds, s stops")
	tell(t, x.command, syscall.SIGTERM)
	x.ends()
	require.Equal(t, "signal: terminated", x.command.ProcessState.String())
	require.Zero(t, m.Look().SpeedMMS)
	require.Zero(t, m.Look().Moves)
	stands := m.Look().StylusMM

	// It was a controlled stop: the next session knows where the stylus is.
	x = open(t, 100, 40, folder, nil, "live", "--machine", "bench.toml")
	x.prompts("0°>")
	x.enters("/connect", "0°>")
	x.sees("connected, assumed (")
	_, said, _ := strings.Cut(x.text(), "connected, assumed (")
	var at geom.Point
	_, err := fmt.Sscanf(said, "%g, %g)", &at.X, &at.Y)
	require.NoError(t, err, said)
	require.InDelta(t, 0, at.Distance(profile.ToPage(stands).Sub(stood)), 0.15)
}
