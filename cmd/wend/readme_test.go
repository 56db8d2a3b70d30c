package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"
)

const readmeFile = "../../README.md"

// A command of the README waits for a person, a port or a save, compiles, or belongs to the
// shell: such are run by the tests that are named here, all others by TestTheReadmesCommandsRun.
var runElsewhere = map[string]string{
	"go test ./...":                                                           "TestTheReadmesCommandsRun", // this is it
	"go install ./cmd/wend":                                                   "TestTheReadmesCommandsRun", // by the same building
	`export PATH="$PATH:$(go env GOPATH)/bin"`:                                "TestTheReadmesCommandsRun", // of the shell
	"wend build first.wend --watch":                                           "TestEverySaveOfAWatchedFileIsSeen",
	"wend open --lesson 3":                                                    "TestALessonIsBegunInTheFolder",
	"wend open --export":                                                      "TestAnExportThatCannotBeMadeWritesNothing",
	"wend open --export site":                                                 "TestAnExportThatCannotBeMadeWritesNothing",
	"wend open examples/fern.wend":                                            "TestOpenPrintsAnAddressThatLetsABrowserIn",
	"wend open --machine bench.toml --port /dev/ttyUSB0":                      "TestAMachineHoldsWhenTheComputerSleeps",
	"wend machine tune --machine bench.toml --port sim":                       "TestAPersonTunesAtATerminal",
	"wend machine tune --machine bench.toml --port /dev/ttyUSB0":              "TestANewMachineIsTunedThroughItsPortAndDraws",
	"wend send examples/fern.wend --machine bench.toml --port /dev/ttyUSB0":   "TestAPersonIsAskedAndHoldsAndStops",
	"wend send examples/fern.wend --machine rehearsal.toml --port /dev/pts/3": "TestASerialClientDrawsOnTheSimulatedMachine",
	"wend simulate --machine rehearsal.toml":                                  "TestASerialClientDrawsOnTheSimulatedMachine",
	"wend send examples/fern.wend examples/tides.wend":                        "TestAListThatWasKilledGoesOnWhereItStood",
	"wend send --resume":                                                      "TestADrawingSurvivesTheEndOfItsProcess",
	"wend send --abandon":                                                     "TestADrawingThatWasCutOffIsDroppedOnPurposeOnly",
	"dry (0, 0) 0°> ahead 40":                                                 "TestThePromptEditsLinesAndShowsWhatTheyDraw",
}

// Each plain word that is answered with a command is answered with one that there is.
func TestWhatPlainWordsMeanIsThere(t *testing.T) {
	for word, meant := range commandMeant {
		root := newRoot(quietConsole(nil))
		cmd, rest, err := root.Find(strings.Fields(meant))
		require.NoError(t, err, word)
		require.NotContains(t, commandNames(root), word)
		for _, flag := range rest {
			name := strings.TrimPrefix(flag, "--")
			cmd.InitDefaultVersionFlag()
			require.NotNil(t, cmd.Flags().Lookup(name), "%s: %s", word, meant)
		}
	}
}

// What is to be seen after a command, as lines of a script; `!` alone if it ends with an error.
var seenAfter = map[string]string{
	"wend build examples/fern.wend --out .":                        "exists fern.png fern.gcode",
	`wend write "HAPPY NEW YEAR"`:                                  "exists happy-new-year.png",
	"wend explain arc":                                             "stdout For.example",
	"wend build examples/meadow.wend --seeds 1..12 --out .":        "exists meadow.seeds.png",
	"wend new mine.wend --from winter":                             "cmp mine.wend examples/winter.wend",
	"wend build examples/winter.wend --out . --also gif":           "exists winter.gif",
	"wend lesson 1":                                                "exists lesson-1.wend sketch-1.1.png sketch-1.2.png sketch-1.3.png",
	"wend lesson 3":                                                "exists lesson-3.wend sketch-3.1.png",
	"wend lesson 3 --check lesson-3.wend":                          "!",
	"wend lesson 3 --print lesson-3.html":                          "exists lesson-3.html",
	"wend lesson --print card.html":                                "exists card.html",
	"wend build mine.wend --also html":                             "exists mine.html",
	"wend build examples/wreath/leaf.svg --out .":                  "exists leaf-line.png leaf-line.gcode",
	"wend new card.wend --from examples/wreath/leaf.svg":           "grep drawing card.wend",
	"wend build examples/moonrise/moon.png --style levels --out .": "exists moon-line.png moon-line.gcode",
	"wend build bracket.nc":                                        "exists bracket-line.png bracket-line.gcode",
	"wend machine new bench.toml --area 150,110 --line 32":         "grep 'calibrated = false' bench.toml",
	"wend send first.wend --port sim":                              "exists first.drawn.png",
}

var (
	fenced    = regexp.MustCompile("(?ms)^```(\\w*)\n(.*?)^```\n")
	inSpan    = regexp.MustCompile("`(wend [^`\n]+)`")
	longFlag  = regexp.MustCompile(`--[a-z][a-z-]*[a-z]`)
	openPlace = regexp.MustCompile(`…|\[|\b[A-Z]{2,}\b.*|\b[XY]\b`)
)

// readmeCommands are the commands of the README in their order, each once: the lines of its
// blocks without a language, and what stands within a sentence.
func readmeCommands(page string) (commands []string) {
	add := func(command string) {
		command, _, _ = strings.Cut(command, "  #")
		command = strings.TrimSpace(strings.Replace(command, "go run ./cmd/wend", "wend", 1))
		if command != "" && !slices.Contains(commands, command) {
			commands = append(commands, command)
		}
	}
	for page != "" {
		at := fenced.FindStringSubmatchIndex(page)
		prose, rest, language, lines := page, "", "", ""
		if at != nil {
			prose, rest, language, lines = page[:at[0]], page[at[1]:], page[at[2]:at[3]], page[at[4]:at[5]]
		}
		for _, span := range inSpan.FindAllStringSubmatch(prose, -1) {
			add(span[1])
		}
		switch {
		case language != "":
		case strings.HasPrefix(lines, "dry "): // what the prompt shows
			add(strings.SplitN(lines, "\n", 2)[0])
		default:
			for line := range strings.Lines(lines) {
				add(line)
			}
		}
		page = rest
	}
	return commands
}

// sourceOfTests are the tests of this folder.
func sourceOfTests(t *testing.T) string {
	t.Helper()
	files, err := filepath.Glob("*_test.go")
	require.NoError(t, err)
	var all strings.Builder
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		all.Write(text)
	}
	return all.String()
}

// Every command that the README shows is run by this very binary, one after the other, in a
// folder that holds the examples as a clone does; one with a place to fill in names a command
// and flags that there are.
func TestTheReadmesCommandsRun(t *testing.T) {
	text, err := os.ReadFile(readmeFile)
	require.NoError(t, err)
	page := string(text)
	tests := sourceOfTests(t)
	root := newRoot(quietConsole(nil))
	var script strings.Builder
	run, named := 0, 0
	for _, command := range readmeCommands(page) {
		if test, found := runElsewhere[command]; found {
			require.Contains(t, tests, "func "+test+"(t *testing.T)", command)
			named++
			continue
		}
		words := strings.Fields(command)
		require.Equal(t, "wend", words[0], command)
		found, rest, err := root.Find(words[1:])
		require.NoError(t, err, command)
		if len(rest) == 0 || openPlace.MatchString(strings.ReplaceAll(command, `"HAPPY NEW YEAR"`, "")) {
			require.True(t, found != root || strings.Contains(command, "COMMAND"), command)
			named++
			continue
		}
		run++
		after := seenAfter[command]
		line := strings.ReplaceAll(command, `"`, "'")
		if entries, piped := strings.CutPrefix(line, "wend live < "); piped {
			fmt.Fprintf(&script, "stdin %s\n", entries)
			line = "wend live"
		}
		if strings.Contains(line, "--port sim") {
			line += " --fast" // as the same drawing, without the waiting
		}
		if after == "!" {
			line, after = "! "+line, ""
		}
		fmt.Fprintf(&script, "%s\n%s\n", line, after)
	}
	t.Logf("%d commands are run here, %d are looked up or run elsewhere", run, named)
	for command := range seenAfter {
		require.Contains(t, readmeCommands(page), command)
	}
	for command := range runElsewhere {
		require.Contains(t, readmeCommands(page), command)
	}

	// What is worth trying of the first program.
	first := ""
	for _, block := range fenced.FindAllStringSubmatch(page, -1) {
		if block[1] == "wend" {
			first = block[2]
			break
		}
	}
	for _, change := range []string{"`vane 450` in place of `vane 45`", "- `van 45`", "- `draw curves.rose(5, 45) at page.center` in place of `begin` and the loop"} {
		require.Contains(t, page, change)
	}
	script.WriteString(`
kept
wend build first.wend
! wend build far.wend
stderr 'the line leaves the page here, .* mm past'
stderr 'hint: '
exists far.off-page.png
! exists far.png far.gcode
! wend build typed.wend
stderr 'vane'
wend build rose.wend
-- first.wend --
` + first + `
-- far.wend --
` + strings.Replace(first, "  vane 45\n", "  vane 450\n", 1) + `
-- typed.wend --
` + strings.Replace(first, "  vane 45\n", "  van 45\n", 1) + `
-- rose.wend --
draw curves.rose(5, 45) at page.center
-- entries.txt --
ahead 40
loop 3 {
  turn 120; ahead 20
}
-- bracket.nc --
G21 G90
G1 X20 Y20 F300
G1 X60 Y20
G1 X60 Y50
`)
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "readme.txtar"), []byte(script.String()), 0o644))
	testscript.Run(t, testscript.Params{
		Dir:  folder,
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){"kept": examplesAreKept},
		Setup: func(env *testscript.Env) error {
			env.Setenv("NO_COLOR", "")
			env.Setenv("XDG_STATE_HOME", filepath.Join(env.WorkDir, "state"))
			return os.CopyFS(filepath.Join(env.WorkDir, "examples"), os.DirFS("../../examples"))
		},
	})
}

// examplesAreKept holds the examples against those of the project: none is changed, and
// nothing stands beside them.
func examplesAreKept(ts *testscript.TestScript, _ bool, _ []string) {
	files := func(folder string) (all []string) {
		ts.Check(filepath.WalkDir(folder, func(path string, entry os.DirEntry, err error) error {
			if err == nil && !entry.IsDir() {
				name, _ := filepath.Rel(folder, path)
				all = append(all, name)
			}
			return err
		}))
		return all
	}
	const kept = "../../examples"
	here := ts.MkAbs("examples")
	if before, after := files(kept), files(here); !slices.Equal(before, after) {
		ts.Fatalf("examples has other files: %v", after)
	}
	for _, name := range files(kept) {
		before, err := os.ReadFile(filepath.Join(kept, name))
		ts.Check(err)
		if after := ts.ReadFile(filepath.Join("examples", name)); after != string(before) {
			ts.Fatalf("examples/%s is changed", name)
		}
	}
}

// Every flag that the README names is one of some command.
func TestTheReadmesFlagsAreThere(t *testing.T) {
	page, err := os.ReadFile(readmeFile)
	require.NoError(t, err)
	known := map[string]bool{"--help": true, "--version": true}
	var collect func(c *cobra.Command)
	collect = func(c *cobra.Command) {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) { known["--"+f.Name] = true })
		for _, sub := range c.Commands() {
			collect(sub)
		}
	}
	collect(newRoot(quietConsole(nil)))
	found := longFlag.FindAllString(string(page), -1)
	require.Greater(t, len(found), 50)
	for _, flag := range found {
		require.True(t, known[flag], flag)
	}
}

// The README and the help of the command say the same of exit codes, and the command
// ends with them.
func TestExitCodesAreThoseThatAreSaid(t *testing.T) {
	page, err := os.ReadFile(readmeFile)
	require.NoError(t, err)
	_, said, found := strings.Cut(newRoot(quietConsole(nil)).Long, "Exit codes: ")
	require.True(t, found)
	require.Contains(t, string(page), "Exit codes: "+strings.Join(strings.Fields(said), " ")+"\n")

	folder := t.TempDir()
	t.Chdir(folder)
	t.Setenv("XDG_STATE_HOME", filepath.Join(folder, "state"))
	for name, text := range map[string]string{"right.wend": "ahead 20\n", "wrong.wend": "ahed 20\n", "untidy.wend": "ahead  20\n", "wrong.toml": "name = 3\n"} {
		require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	}
	whole := func() console {
		c := quietConsole(nil)
		c.stdin, c.now, c.window = strings.NewReader(""), time.Now, func() (int, int) { return 0, 0 }
		return c
	}
	gone, stop := context.WithCancel(context.Background())
	stop()
	for _, c := range []struct {
		ctx  context.Context
		code int
		args string
	}{
		{nil, exitDone, "check right.wend"},
		{nil, exitDone, "--help"},
		{nil, exitErrors, "check wrong.wend"},
		{nil, exitErrors, "check wrong.toml"},
		{nil, exitErrors, "check none.wend"},
		{nil, exitErrors, "explain nothing-of-that-name"},
		{nil, exitErrors, "new right.wend"},
		{nil, exitErrors, "format --check untidy.wend"},
		{nil, exitErrors, "lesson 1.1 --check right.wend"},
		{nil, exitUsage, "biuld right.wend"},
		{nil, exitUsage, "build --colour red right.wend"},
		{nil, exitUsage, "lesson 99"},
		{nil, exitMachine, "send right.wend --armed"},
		{nil, exitMachine, "send right.wend --port sim --fast --resume"},
		{gone, exitStopped, "build right.wend"},
	} {
		if c.ctx == nil {
			c.ctx = context.Background()
		}
		require.Equal(t, c.code, run(c.ctx, strings.Fields(c.args), whole()), c.args)
	}
	broken := whole() // as a fault of wend's own would
	broken.now = func() time.Time { panic("no clock") }
	require.Equal(t, exitOurs, run(context.Background(), []string{"check", "right.wend"}, broken))
}

// Every link and picture of the README leads to a file, or to a heading of its own.
func TestTheReadmesLinksLeadSomewhere(t *testing.T) {
	text, err := os.ReadFile(readmeFile)
	require.NoError(t, err)
	page := fenced.ReplaceAllString(string(text), "")
	headings := map[string]bool{}
	for _, heading := range regexp.MustCompile(`(?m)^#+ (.*)$`).FindAllStringSubmatch(page, -1) {
		// As file servers that show Markdown name them (from memory).
		name := strings.Map(func(r rune) rune {
			switch {
			case r == ' ':
				return '-'
			case r == '-' || unicode.IsLetter(r) || unicode.IsDigit(r):
				return unicode.ToLower(r)
			}
			return -1
		}, heading[1])
		headings["#"+name] = true
	}
	links := regexp.MustCompile(`\]\(([^)\s]+)\)`).FindAllStringSubmatch(page, -1)
	require.Greater(t, len(links), 20)
	for _, link := range links {
		if strings.HasPrefix(link[1], "#") {
			require.True(t, headings[link[1]], link[1])
			continue
		}
		_, err := os.Stat(filepath.Join("../..", filepath.FromSlash(link[1])))
		require.NoError(t, err)
	}
}
