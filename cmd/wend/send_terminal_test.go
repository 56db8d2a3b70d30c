//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/creack/pty"
	"github.com/stretchr/testify/require"

	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/runtime/simulator"
)

// person sits before a pseudo-terminal: what was shown, and keys.
type person struct {
	t     *testing.T
	tty   *os.File
	shown chan string
	text  string
}

func sitDown(t *testing.T, cmd *exec.Cmd) *person { return sitDownBefore(t, cmd, 160) }

// sitDownBefore is sitDown before a window of so many columns.
func sitDownBefore(t *testing.T, cmd *exec.Cmd, columns int) *person {
	cmd.Env = append(cmd.Env, "TERM=xterm")
	tty, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 40, Cols: uint16(columns)})
	require.NoError(t, err)
	term := &person{t: t, tty: tty, shown: make(chan string, 100)}
	go func() {
		defer close(term.shown)
		buffer := make([]byte, 4096)
		for {
			n, err := tty.Read(buffer)
			if n > 0 {
				term.shown <- string(buffer[:n])
			}
			if err != nil {
				return
			}
		}
	}()
	return term
}

// sees waits until a text is shown, and forgets what was shown up to it.
func (term *person) sees(text string) {
	term.t.Helper()
	term.waits(text, func() bool { return strings.Contains(term.text, text) })
	_, term.text, _ = strings.Cut(term.text, text)
}

// waits waits until what is waited for was shown.
func (term *person) waits(text string, shown func() bool) {
	term.t.Helper()
	limit := time.After(20 * time.Second)
	for !shown() {
		select {
		case more, open := <-term.shown:
			if !open {
				term.t.Fatalf("it ended without %q:\n%s", text, term.text)
			}
			term.text += more
		case <-limit:
			term.t.Fatalf("%q was not shown:\n%s", text, term.text)
		}
	}
}

// seesWords is sees for a text that may be broken between words. It gives what
// was shown of it and before it.
func (term *person) seesWords(text string) string {
	term.t.Helper()
	words := strings.Fields(text)
	for i, word := range words {
		words[i] = regexp.QuoteMeta(word)
	}
	broken := regexp.MustCompile(strings.Join(words, `\s+`))
	var at []int
	term.waits(text, func() bool { at = broken.FindStringIndex(term.text); return at != nil })
	shown := term.text[:at[1]]
	term.text = term.text[at[1]:]
	return shown
}

func (term *person) types(keys string) {
	term.t.Helper()
	_, err := term.tty.WriteString(keys)
	require.NoError(term.t, err)
}

func TestAPersonIsAskedAndHoldsAndStops(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "row.wend"), []byte("ahead 100; turn 90; ahead 40\n"), 0o600))
	start := func(t *testing.T) (*exec.Cmd, *person) {
		cmd := wendProcess(t, folder, "send", "row.wend", "--port", "sim")
		return cmd, sitDown(t, cmd)
	}
	code := func(cmd *exec.Cmd) int {
		cmd.Wait() //nolint:errcheck // the code says it
		return cmd.ProcessState.ExitCode()
	}
	armed := func(term *person) {
		term.sees("does the stylus stand at (0, 0)")
		term.types("there\r")
		term.sees("no emergency stop")
		term.sees("to draw: 140.0 mm in 3 s")
		term.sees("type `draw`")
		term.types("draw\r")
		term.sees("space holds, s stops")
	}
	t.Run("hold and resume", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		armed(term)
		term.types(" ")
		term.sees("held at (")
		term.sees("space resumes")
		term.types(" ")
		term.sees("drawn: 1 sheet; the stylus stands at (100.0, 40.0), confirmed")
		require.Equal(t, exitDone, code(cmd))
	})
	t.Run("stop", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		armed(term)
		term.types("s")
		term.sees("the same command draws it from the beginning")
		term.sees("wrote row.drawn.png")
		require.Equal(t, exitStopped, code(cmd))
	})
	t.Run("Ctrl-C twice", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		armed(term)
		term.types("\x03\x03")
		term.sees("the same command draws it from the beginning")
		require.Equal(t, exitStopped, code(cmd))
	})
	t.Run("another word than the one asked for", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		term.sees("does the stylus stand at")
		term.types("yes\r")
		term.sees("that is not the word: `there` does it")
		term.sees("Enter alone if not: ")
		term.types("no\r")
		term.sees("if it stands elsewhere, say where")
		term.sees("not done")
		require.Equal(t, exitStopped, code(cmd))
	})
	t.Run("what was typed ahead answers nothing", func(t *testing.T) {
		t.Parallel()
		cmd, term := start(t)
		term.types("there\rdraw\r")
		term.sees("does the stylus stand at")
		time.Sleep(100 * time.Millisecond)
		term.types("\x03")
		term.sees("not done")
		require.Equal(t, exitStopped, code(cmd))
	})
}

// A calibrated machine at a port: nothing begins without the typed word, keys
// stop a pattern, and a part that finds what is known leaves the profile alone.
// The stylus comes to the marks of the area by arrow keys, as in a jog: few
// answers instead of thirty distances.
func TestThePersonBringsTheStylusToTheMarksByKeys(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	cmd := wendProcess(t, folder, "machine", "tune", "--port", "sim", "--part", "area", "--seed", "2")
	term := sitDown(t, cmd)
	press := func(key string, times int) {
		for range times {
			term.types(key)
			term.sees("one key moves")
		}
	}
	term.sees("Enter when done> ")
	term.types("\r")
	term.sees("see desk-toy.tune.png, whose inner frame is the four marks")
	term.sees("arrow keys")
	term.sees("one key moves 2 mm")
	// Enter at once: slack is not taken up yet.
	term.types("\r")
	term.sees("come to it from inside: go back 3 mm or more")
	term.sees("one key moves 2 mm")
	press("+", 2)
	press("\x1b[D", 7) // 70 of some 73 mm
	press("-", 1)
	press("-", 1)
	term.types("-") // 1 mm
	term.sees("one key moves 1 mm")
	press("\x1b[D", 3)
	term.types("\r")
	term.sees("mark of the right edge")
	term.sees("one key moves 2 mm")
	// A stop on the way ends no more than the part.
	term.types("\x03")
	term.sees("area is stopped")
	term.sees("Enter begins area again; `leave` goes on without, `stop` ends")
	term.sees("> ")
	term.types("\r")
	term.sees("mark of the left edge")
	term.sees("one key moves 2 mm")
	// Distances are there for whoever prefers them.
	term.types("t")
	term.sees("how far is the stylus from the mark of the left edge?")
	term.sees("mm> ")
	term.types("leave\r")
	term.sees("area is left")
	cmd.Wait() //nolint:errcheck // the code says it
	require.Equal(t, exitStopped, cmd.ProcessState.ExitCode())
}

func TestAPersonTunesAtATerminal(t *testing.T) {
	t.Parallel()
	m, _, folder := liveBench(t)
	start := func(parts, caution string) (*exec.Cmd, *person) {
		cmd := wendProcess(t, folder, "machine", "tune", "--machine", "bench.toml", "--part", parts)
		term := sitDown(t, cmd)
		term.sees(caution)
		term.sees("Type `tune` to begin, Enter alone not to: ")
		return cmd, term
	}
	code := func(cmd *exec.Cmd) int {
		cmd.Wait() //nolint:errcheck // the code says it
		return cmd.ProcessState.ExitCode()
	}
	cmd, term := start("direction", "fit a reachable switch")
	term.types("yes\r")
	term.sees("that is not the word")
	term.sees("Enter alone not to: ")
	term.types("\r")
	term.sees("not done")
	require.Equal(t, exitStopped, code(cmd))

	cmd, term = start("direction", "cautions, as shown before: never unattended")
	term.types("tune\r")
	term.sees("bring the stylus to the middle")
	m.TurnKnob(simulator.X, 69)
	m.TurnKnob(simulator.Y, 51)
	term.sees("Enter when done> ")
	term.types("wait\r")
	term.sees("Enter alone, or `done`, says that it is done")
	term.sees("Enter when done> ")
	term.types("\r")
	term.sees("no motion goes farther than 7 mm left")
	term.sees("1 right  2 left  3 up  4 down  5 it did not move")
	term.sees("> ")
	require.InDelta(t, 5+69+2, m.Look().StylusMM.X, 0.5)
	term.types("sideways\r")
	term.sees("a number from 1 to 5, or the first letters")
	term.sees("> ")
	term.types("1\r")
	term.sees("(motor y, 2 mm)")
	term.sees("5 it did not move")
	term.sees("> ")
	term.types("up\r")
	term.sees("y runs the right way")
	term.sees("bench.toml is as it was")
	require.Equal(t, exitDone, code(cmd))

	cmd, term = start("slack", "cautions, as shown before")
	term.types("tune\r")
	term.sees("Type `there` if so")
	term.sees("> ")
	term.types("there\r")
	term.sees("wipe the sheet")
	term.sees("Enter when done> ")
	begun := m.Look().StylusMM
	term.types("\r")
	term.sees("space holds, s stops")
	term.types(" ")
	term.sees("held at (")
	term.types("s")
	term.sees("slack is stopped")
	term.sees("Enter begins slack again; `leave` goes on without, `stop` ends")
	term.sees("> ")
	term.types("\r")
	term.sees("wipe the sheet")
	term.sees("Enter when done> ")
	// The pattern begins where it did the first time, but for the slack.
	require.Less(t, begun.Distance(m.Look().StylusMM), 1.0)
	term.types("\r")
	term.sees("space holds, s stops")
	// A process that is told to end asks nothing more.
	tell(t, cmd, syscall.SIGTERM)
	term.sees("stopped; what was found is kept")
	endedAsTold(t, cmd, syscall.SIGTERM)
	require.Empty(t, m.Look().Contacts)
}

func TestCtrlCLeavesTheQuestionsOfANewProfile(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	cmd := wendProcess(t, folder, "machine", "new", "new.toml")
	term := sitDown(t, cmd)
	term.sees("What do people call it? [new] ")
	term.types("\x03")
	term.sees("stopped; nothing was written")
	cmd.Wait() //nolint:errcheck // the code says it
	require.Equal(t, exitStopped, cmd.ProcessState.ExitCode())
	require.NoFileExists(t, filepath.Join(folder, "new.toml"))
}

// Whoever wipes by hand needs no port.
func TestASheetIsWipedByHandWithoutAPort(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	made, err := wendProcess(t, folder, "machine", "new", "bench.toml", "--area", "150,110", "--line", "32").CombinedOutput()
	require.NoError(t, err, string(made))
	cmd := wendProcess(t, folder, "machine", "erase", "--machine", "bench.toml")
	term := sitDown(t, cmd)
	term.sees("type `wiped`; Enter alone stops here: ")
	term.types("wiped\r")
	term.sees("wiped")
	cmd.Wait() //nolint:errcheck // the code says it
	require.Equal(t, exitDone, cmd.ProcessState.ExitCode())
}

// Whatever the width of the window, the questions before a machine moves are
// seen whole, broken between words, and the cautions with them the first time.
func TestQuestionsAreSeenWholeInNarrowWindows(t *testing.T) {
	t.Parallel()
	for _, columns := range []int{0, 40, 80, 90, 110} {
		t.Run(fmt.Sprint(columns), func(t *testing.T) {
			t.Parallel()
			folder := t.TempDir()
			require.NoError(t, os.WriteFile(filepath.Join(folder, "row.wend"), []byte("ahead 100\n"), 0o600))
			cmd := wendProcess(t, folder, "send", "row.wend", "--port", "sim", "--fast")
			term := sitDownBefore(t, cmd, columns)
			asked := func(question string) {
				t.Helper()
				shown := term.seesWords(question)
				if tty.Crowds(question+" ", columns) {
					term.sees("> ")
				}
				for line := range strings.SplitSeq(strings.ReplaceAll(shown, "\x1b[?2004h", ""), "\n") {
					line = strings.TrimRight(line[strings.LastIndexByte("\r"+line, '\r'):], " ")
					require.True(t, columns == 0 || utf8.RuneCountInString(line) <= columns, line)
				}
			}
			look := "look: does the stylus stand at (0, 0) of the page? Type `there` if so, Enter alone if not:"
			asked(look)
			term.types("yes\r")
			term.seesWords("that is not the word: `there` does it")
			asked(look)
			term.types("there\r")
			for _, caution := range operate.Cautions() {
				term.seesWords(caution)
			}
			asked("type `draw` to start, Enter alone not to:")
			term.types("\r")
			term.seesWords("not done")
			cmd.Wait() //nolint:errcheck // the code says it
			require.Equal(t, exitStopped, cmd.ProcessState.ExitCode())
		})
	}
}
