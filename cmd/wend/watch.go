package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"

	"wend/cmd/wend/engine"
	"wend/runtime/eval"
)

// A save is over when nothing has happened to the file for a moment: editors
// write it in several steps, and often replace it by another of the same name. A
// file that is empty, or not there, has just begun to be written.
const (
	settleTime = 20 * time.Millisecond
	emptyTime  = 100 * time.Millisecond
)

func settleTimeOf(name string) time.Duration {
	if info, err := os.Stat(name); err != nil || info.Size() == 0 {
		return emptyTime
	}
	return settleTime
}

// watch builds again whenever a file that the drawing is made of is saved. It
// watches folders, not files, since a saved file may be a new one. It never
// moves a machine.
func (c console) watch(ctx context.Context, name string, f *buildFlags) error {
	if name == "-" {
		return usagef("--watch needs a file: standard input is read once")
	}
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return usagef("--watch: %s", err)
	}
	defer watcher.Close()
	f.results = eval.NewResults(engine.ResultsBytes)
	// The program's own folder is watched before it is read, so that a save
	// during the first build counts too.
	if err := watcher.Add(filepath.Dir(name)); err != nil {
		return usagef("--watch: the folder %s cannot be watched: %s", filepath.Dir(name), err)
	}
	for {
		inputs, err := c.build(ctx, name, f)
		if err != nil && !errors.Is(err, exit(exitErrors)) {
			return err
		}
		files := map[string]bool{}
		for _, input := range inputs {
			files[filepath.Clean(input)] = true
			if err := watchFolder(watcher, filepath.Dir(input), files); err != nil {
				return err
			}
		}
		if err != nil {
			c.sayOfBefore(name, f)
		}
		c.say("watching %s; Ctrl-C ends", name)
		if !waitForSave(ctx, watcher, files) {
			return nil
		}
	}
}

// sayOfBefore says that a picture that is there does not show what was just
// saved.
func (c console) sayOfBefore(name string, f *buildFlags) {
	for _, picture := range []string{outputBase(name, f.out) + ".png", outputBase(name, f.out) + "-line.png"} {
		if info, err := os.Stat(picture); err == nil {
			c.say("%s still shows what was built at %s", filepath.ToSlash(picture), info.ModTime().Format(time.TimeOnly))
		}
	}
}

// watchFolder watches a folder. To watch it once more changes nothing, unless it
// was removed and made again. Of a folder that is not there, the nearest one
// above is watched, and its coming is waited for as if it were a file.
func watchFolder(watcher *fsnotify.Watcher, folder string, files map[string]bool) error {
	for {
		err := watcher.Add(folder)
		above := filepath.Dir(folder)
		switch {
		case err == nil:
			return nil
		case !errors.Is(err, fs.ErrNotExist) || above == folder:
			return usagef("--watch: the folder %s cannot be watched: %s", folder, err)
		}
		files[filepath.Clean(folder)] = true
		folder = above
	}
}

// waitForSave waits until one of the files was saved and nothing more happens
// to any of them for a moment. It is false when the context ended first.
func waitForSave(ctx context.Context, watcher *fsnotify.Watcher, files map[string]bool) bool {
	var settled <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return false
		case event, open := <-watcher.Events:
			if !open {
				return false
			}
			if files[filepath.Clean(event.Name)] && !event.Op.Has(fsnotify.Chmod) {
				settled = time.After(settleTimeOf(event.Name))
			}
		case _, open := <-watcher.Errors:
			if !open {
				return false
			}
			// Events may have been lost: build again rather than miss one.
			settled = time.After(emptyTime)
		case <-settled:
			return true
		}
	}
}
