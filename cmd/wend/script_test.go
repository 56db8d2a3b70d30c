package main

import (
	"flag"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite golden files")

// TestMain lets the scripts call this very binary as `wend`.
func TestMain(m *testing.M) {
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
