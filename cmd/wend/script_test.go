package main

import (
	"flag"
	"os"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite golden files")

// TestMain lets the scripts call this very binary as `wend`.
func TestMain(m *testing.M) {
	if filepath.Base(os.Args[0]) != "wend" {
		// Processes that are told that their terminal is closed hear it, also where
		// the tests are run so that they outlive theirs (nohup).
		signal.Notify(make(chan os.Signal, 1), syscall.SIGHUP)
	}
	testscript.Main(m, map[string]func(){"wend": main})
}

// The scripts are the behaviour of the command as a person meets it: one file
// an area, each section a few lines to read.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv("NO_COLOR", "")
			pictures, err := filepath.Abs("../../stdlib/pictures")
			env.Setenv("PICTURES", pictures)
			return err
		},
	})
}
