//go:build unix

package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/machine"
)

// What stands in somebody else's profile, in the name of a file or in a program
// must not reach a terminal as orders to it, whichever command shows it.
func TestNothingFromAFileSteersTheTerminal(t *testing.T) {
	const steers = "\x1b]0;owned\x07\x1b[2J\u009b31m\u202e\x7f"
	folder := t.TempDir()
	profile := machine.DeskToy()
	profile.Name, profile.Calibrated, profile.BuiltIn = "toy "+steers, true, false
	name := filepath.Join(folder, "a"+strings.ReplaceAll(steers, "/", "")+".wend")
	toml := filepath.Join(folder, "p\x1b[2J\u202e.toml")
	require.NoError(t, os.WriteFile(toml, machine.Marshal(profile), 0o600))
	require.NoError(t, os.WriteFile(name, []byte("note \"hello "+steers+"\"; pause \"look "+steers+"\"; ahead 5\n"), 0o600))
	for _, args := range [][]string{
		{"machine", "show", "--machine", toml},
		{"machine", "show", "--machine", toml, "--json"},
		{"machine", "here", "--machine", toml},
		{"machine", "here", "20", "15", "--machine", toml},
		{"machine", "here", "--machine", toml, "--json"},
		{"machine", "status", "--machine", toml, "--port", "sim"},
		{"machine", "jog", "--to", "5,5", "--machine", toml, "--port", "sim", "--armed"},
		{"build", name, "--machine", toml, "--out", folder},
		{"build", name, "--machine", toml, "--out", folder, "--json"},
		{"check", name, "--machine", toml},
		{"check", name, "--machine", toml, "--json"},
		{"format", name, "--check"},
		{"send", name, "--machine", toml, "--port", "sim", "--fast"},
		{"send", name, "--machine", toml, "--port", "sim", "--fast", "--armed"},
		{"live", "--machine", toml, "--plain"},
		{"wend" + steers},
		{"build", name + ".not"},
		{"build", name, "--set", steers + "=1"},
	} {
		cmd := wendProcess(t, folder, args...)
		cmd.Stdin = strings.NewReader("note \"\x1b[2J\"\n/connect sim\n/load " + name + "\n/program\n/leave\n")
		said, _ := cmd.CombinedOutput() // some are refused: that text counts too
		require.NotEmpty(t, string(said), args)
		require.NotRegexp(t, `[\x00-\x08\x0b-\x1f\x7f\x{80}-\x{9f}\x{202a}-\x{202e}\x{2066}-\x{2069}]`, string(said), args)
	}
}

// There is one place where texts for people are written, so that none goes
// around it: nothing formats onto standard output, and onto standard error only
// what has no text of others in it.
func TestTextsForPeopleAreWrittenInOnePlace(t *testing.T) {
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") || name == "console.go" {
			continue
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			print, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || !strings.HasPrefix(print.Sel.Name, "Fprint") {
				return true
			}
			if to, ok := call.Args[0].(*ast.SelectorExpr); ok {
				bare := len(call.Args) == 1 || name == "machine_jog.go" || name == "machine_tune_keys.go" // a status of numbers
				require.False(t, to.Sel.Name == "stdout" || to.Sel.Name == "stderr" && !bare, "%s: say and tell write to people", set.Position(call.Pos()))
			}
			return true
		})
	}
}
