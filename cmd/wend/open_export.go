package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"wend/cmd/wend/window"
	"wend/lang/diag"
)

// enginePackage is the engine of an exported window.
const enginePackage = "wend/cmd/wend/window/wasm"

// export writes the window as a site into a folder that holds nothing yet. Its
// engine is compiled anew, from the sources around the current folder.
func (c console) export(ctx context.Context, folder string) error {
	entries, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return notWritten(folder, reason(err))
	case len(entries) > 0:
		return &diag.Fault{Code: "output-failed", Args: diag.Args{"name": folder, "reason": "there is something in it"}, File: folder, Hint: "name a new folder, or an empty one"}
	}
	site, err := window.Site()
	if err != nil {
		return err
	}
	site["notices.txt"] = []byte(notices)
	beside, err := os.MkdirTemp("", "wend-export-")
	if err != nil {
		return notWritten(folder, reason(err))
	}
	defer os.RemoveAll(beside) //nolint:errcheck // it is in the system's folder of things that go
	engine := filepath.Join(beside, "engine.wasm")
	if _, err := goTool(ctx, "build", "-trimpath", "-ldflags=-s -w", "-o", engine, enginePackage); err != nil {
		return err
	}
	if site["engine.wasm"], err = os.ReadFile(engine); err != nil {
		return notWritten(folder, reason(err))
	}
	root, err := goTool(ctx, "env", "GOROOT")
	if err != nil {
		return err
	}
	if site["wasm_exec.js"], err = os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js")); err != nil {
		return noEngine("its compiler lacks wasm_exec.js")
	}
	for name, content := range site {
		place := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(place), 0o777); err != nil {
			return notWritten(folder, reason(err))
		}
		if err := os.WriteFile(place, content, 0o666); err != nil {
			return notWritten(place, reason(err))
		}
	}
	c.tell("wrote %s: a site that any file server can offer; programs stay in the browser, and nothing is drawn on machines\n", filepath.ToSlash(folder))
	return nil
}

// goTool runs the Go toolchain for the browser's machine, and gives what it prints.
func goTool(ctx context.Context, arguments ...string) (string, error) {
	if _, err := exec.LookPath("go"); err != nil {
		return "", noEngine("there is no Go toolchain here")
	}
	command := exec.CommandContext(ctx, "go", arguments...)
	command.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	var said bytes.Buffer
	command.Stderr = &said
	out, err := command.Output()
	switch {
	case ctx.Err() != nil:
		return "", errStopped
	case err != nil:
		first, _, _ := strings.Cut(strings.TrimSpace(said.String()), "\n")
		return "", noEngine(diag.OneLine(first))
	}
	return strings.TrimSpace(string(out)), nil
}

func noEngine(why string) error {
	return &diag.Fault{Code: "export-engine", Args: diag.Args{"reason": why}}
}
