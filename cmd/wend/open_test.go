package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/machine"

	"wend/cmd/wend/lesson"
)

func TestOpenPrintsAnAddressThatLetsABrowserIn(t *testing.T) {
	folder := t.TempDir()
	program := filepath.Join(folder, "a.wend")
	require.NoError(t, os.WriteFile(program, []byte("ahead 5\n"), 0o644))
	for _, name := range []string{program, folder} {
		read, write := io.Pipe()
		var said bytes.Buffer
		ctx, stop := context.WithCancel(context.Background())
		code := make(chan int, 1)
		go func() {
			code <- run(ctx, []string{"open", name, "--no-browser"}, console{
				stdin: bytes.NewReader(nil), stdout: write, stderr: &said, environment: func(string) string { return "" },
				terminal: func(int) bool { return false }, columns: func() int { return 80 }, now: time.Now,
			})
		}()
		address, err := bufio.NewReader(read).ReadString('\n')
		require.NoError(t, err)
		require.Regexp(t, regexp.MustCompile(`^http://127\.0\.0\.1:\d+/in/[0-9a-f]{32}\n$`), address)
		response, err := http.Get(address[:len(address)-1])
		require.NoError(t, err)
		response.Body.Close()
		require.Equal(t, 200, response.StatusCode)
		stop()
		require.Equal(t, exitDone, <-code)
		require.Empty(t, said.String())
	}
}

func TestALessonIsBegunInTheFolder(t *testing.T) {
	folder := t.TempDir()
	ended, end := context.WithCancel(context.Background())
	end() // what opens is closed at once
	open := func(ctx context.Context, arguments ...string) (int, string) {
		var said bytes.Buffer
		code := run(ctx, append([]string{"open", "--no-browser"}, arguments...), console{
			stdin: bytes.NewReader(nil), stdout: io.Discard, stderr: &said, environment: func(string) string { return "" },
			terminal: func(int) bool { return false }, columns: func() int { return 80 }, now: time.Now,
		})
		return code, said.String()
	}
	code, said := open(ended, "--lesson", "3", folder)
	require.Equal(t, exitDone, code, said)
	program := filepath.Join(folder, "lesson-3.wend")
	text, err := os.ReadFile(program)
	require.NoError(t, err)
	require.Equal(t, lesson.Lessons()[2].Start, string(text))
	require.NoError(t, os.WriteFile(program, []byte("ahead 5\n"), 0o644))
	code, _ = open(ended, "--lesson", "3", folder)
	require.Equal(t, exitDone, code)
	text, err = os.ReadFile(program)
	require.NoError(t, err)
	require.Equal(t, "ahead 5\n", string(text), "what was begun is gone on with")

	for _, wrong := range []struct{ number, name, why string }{
		{"13", folder, "they go from 1 to 12"}, {"3.2", folder, "--lesson 3"}, {"three", folder, "a lesson has a number"}, {"3", program, "begins in a folder"},
	} {
		code, said := open(context.Background(), "--lesson", wrong.number, wrong.name)
		require.Equal(t, exitUsage, code)
		require.Contains(t, said, wrong.why)
	}
}

func TestABrowserIsStartedWithoutTheKeyInItsArguments(t *testing.T) {
	tools := t.TempDir()
	told := filepath.Join(tools, "told")
	script := "#!/bin/sh\n{ echo \"$@\"; stat -c %a \"$1\"; cat \"$1\"; } > " + told + ".new && mv " + told + ".new " + told + "\n"
	require.NoError(t, os.WriteFile(filepath.Join(tools, "xdg-open"), []byte(script), 0o755))
	t.Setenv("PATH", tools+string(os.PathListSeparator)+os.Getenv("PATH"))
	file, err := startBrowser("http://127.0.0.1:1/in/00ff")
	require.NoError(t, err)
	var text []byte
	require.Eventually(t, func() bool { text, err = os.ReadFile(told); return err == nil }, 20*time.Second, time.Millisecond)
	lines := bytes.SplitN(text, []byte("\n"), 3)
	require.Equal(t, string(file), string(lines[0]))
	require.Equal(t, "600", string(lines[1]))
	require.Contains(t, string(lines[2]), `content="0;url=http://127.0.0.1:1/in/00ff"`)
	file.remove()
	require.NoFileExists(t, string(file))
	t.Setenv("PATH", t.TempDir())
	_, err = startBrowser("http://127.0.0.1:1/in/00ff")
	require.ErrorContains(t, err, "nothing here opens pages")
}

func TestWhatCannotBeOpenedIsSaid(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a.gcode"), []byte("G1 X1 F60\n"), 0o644))
	for name, why := range map[string]string{
		filepath.Join(folder, "none.wend"): "there is no file", filepath.Join(folder, "a.gcode"): "instruction file",
		os.DevNull: "a pipe or a device",
	} {
		var said bytes.Buffer
		code := run(context.Background(), []string{"open", name, "--no-browser"}, console{
			stdout: io.Discard, stderr: &said, environment: func(string) string { return "" }, terminal: func(int) bool { return false }, columns: func() int { return 80 }, now: time.Now,
		})
		require.Equal(t, exitErrors, code)
		require.Contains(t, said.String(), why)
	}
}

func TestAPortThatNoMachineIsKnownForIsRefusedAtOnce(t *testing.T) {
	var said bytes.Buffer
	code := run(context.Background(), []string{"open", t.TempDir(), "--no-browser", "--port", "/dev/nowhere"}, console{
		stdout: io.Discard, stderr: &said, environment: func(string) string { return "" }, terminal: func(int) bool { return false }, columns: func() int { return 80 }, now: time.Now,
	})
	require.Equal(t, exitMachine, code)
	require.Contains(t, said.String(), "the built-in desk toy is for the simulated machine only")
}

func TestThePortOfAWindowIsTheNamedOneOrTheProfilesOrTheSimulatedMachine(t *testing.T) {
	own := machine.DeskToy()
	own.BuiltIn, own.Board.Port = false, "/dev/own"
	for _, c := range []struct {
		profile     *machine.Profile
		named, port string
	}{{machine.DeskToy(), "", "sim"}, {own, "", "/dev/own"}, {own, "/dev/other", "/dev/other"}, {own, "sim", "sim"}} {
		port, err := portFromWindow(c.profile, c.named)
		require.NoError(t, err)
		require.Equal(t, c.port, port)
	}
}

func TestAnExportThatCannotBeMadeWritesNothing(t *testing.T) {
	try := func(arguments ...string) (int, string) {
		var said bytes.Buffer
		code := run(context.Background(), append([]string{"open"}, arguments...), console{
			stdout: io.Discard, stderr: &said, environment: func(string) string { return "" }, terminal: func(int) bool { return false }, columns: func() int { return 80 }, now: time.Now,
		})
		return code, said.String()
	}
	t.Setenv("PATH", t.TempDir())
	site := filepath.Join(t.TempDir(), "site")
	code, said := try("--export", site)
	require.Equal(t, exitErrors, code)
	require.Contains(t, said, "no Go toolchain")
	require.NoDirExists(t, site)
	full := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(full, "a"), nil, 0o644))
	code, said = try("--export", full)
	require.Equal(t, exitErrors, code)
	require.Contains(t, said, "something in it")
	// Nothing is compiled for a place that cannot be written.
	for place, why := range map[string]string{filepath.Join(full, "a", "site"): "cannot be written", filepath.Join(full, "no", "such", "site"): "cannot be written"} {
		code, said = try("--export", place)
		require.Equal(t, exitErrors, code)
		require.Contains(t, said, why)
		require.NotContains(t, said, "Go toolchain")
	}
	code, said = try("--export", "")
	require.Equal(t, exitUsage, code)
	require.Contains(t, said, "--export wants the name of a new folder")
	code, _ = try("--export", site, "a.wend")
	require.Equal(t, exitUsage, code)
}
