package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"wend/cmd/wend/window"
	"wend/cmd/wend/window/compact"
	"wend/lang/diag"
)

// enginePackage is the engine of an exported window.
const enginePackage = "wend/cmd/wend/window/wasm"

// engineFlags are how the engine is compiled: without symbols, and without calls
// written out in place but where it runs long. That takes a tenth off what a browser
// fetches, and nothing off its speed.
var engineFlags = []string{
	"-trimpath", "-ldflags=-s -w", "-gcflags=all=-l", "-gcflags=wend/runtime/...=", "-gcflags=runtime=",
	"-gcflags=internal/runtime/...=", "-gcflags=math=", "-gcflags=math/bits=",
}

// export writes the window as a site into a folder that holds nothing yet, or
// nothing at all.
func (c console) export(ctx context.Context, folder string) error {
	entries, err := os.ReadDir(folder)
	made := errors.Is(err, fs.ErrNotExist)
	switch {
	case made:
		// Whether it can be written is known before the engine is compiled.
		if err := os.Mkdir(folder, 0o777); err != nil {
			return noFolder(filepath.Join(folder, "index.html"), err)
		}
	case err != nil:
		return notWritten(folder, reason(err))
	case len(entries) > 0:
		return &diag.Fault{Code: "output-failed", Args: diag.Args{"name": folder, "reason": "there is something in it"}, File: folder, Hint: "name a new folder, or an empty one"}
	}
	written, err := c.exportInto(ctx, folder)
	if err != nil {
		for _, place := range written {
			os.RemoveAll(place) //nolint:errcheck // what went wrong before counts
		}
		if made {
			os.Remove(folder) //nolint:errcheck // as above
		}
		return err
	}
	c.tell("wrote %s: a site that any file server can offer; programs stay in the browser, and nothing is drawn on machines\n", filepath.ToSlash(folder))
	return nil
}

// exportInto is export into a folder that is there and empty; it gives what it wrote
// there, also when it failed.
func (c console) exportInto(ctx context.Context, folder string) (written []string, err error) {
	trial, err := createBeside(filepath.Join(folder, "index.html"))
	if err != nil {
		return nil, notWritten(folder, reason(err))
	}
	trial.drop()
	site, err := window.Site()
	if err != nil {
		return nil, err
	}
	site["notices.txt"] = []byte(notices)
	if site["engine.bin"], err = compiledEngine(ctx, folder); err != nil {
		return nil, err
	}
	root, err := goTool(ctx, "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	if site["wasm_exec.js"], err = os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js")); err != nil {
		return nil, noEngine("its compiler lacks wasm_exec.js")
	}
	for name, content := range site {
		place := filepath.Join(folder, filepath.FromSlash(name))
		first, _, _ := strings.Cut(name, "/")
		written = append(written, filepath.Join(folder, first))
		if err := os.MkdirAll(filepath.Dir(place), 0o777); err != nil {
			return written, notWritten(folder, reason(err))
		}
		if err := os.WriteFile(place, content, 0o666); err != nil {
			return written, notWritten(place, reason(err))
		}
	}
	return written, nil
}

// compiledEngine is the engine, compiled anew from the sources around the current
// folder, as the page unpacks it: many a file server packs nothing.
func compiledEngine(ctx context.Context, folder string) ([]byte, error) {
	beside, err := os.MkdirTemp("", "wend-export-")
	if err != nil {
		return nil, notWritten(folder, reason(err))
	}
	defer os.RemoveAll(beside) //nolint:errcheck // it is in the system's folder of things that go
	place := filepath.Join(beside, "engine.wasm")
	if _, err := goTool(ctx, slices.Concat([]string{"build"}, engineFlags, []string{"-o", place, enginePackage})...); err != nil {
		return nil, err
	}
	engine, err := os.ReadFile(place)
	if err != nil {
		return nil, notWritten(folder, reason(err))
	}
	if engine, err = compact.Module(engine); err != nil {
		return nil, noEngine(err.Error())
	}
	var packed bytes.Buffer
	w, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(engine)
		err = errors.Join(err, w.Close())
	}
	return packed.Bytes(), err
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
