package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/fsnotify/fsnotify"
	"github.com/stretchr/testify/require"
)

// A save is whatever puts another content under a name: writing, renaming
// another file over it, or making it anew, with its folder if that is gone.
func TestEverySaveOfAWatchedFileIsSeen(t *testing.T) {
	folder := t.TempDir()
	program := filepath.Join(folder, "program.wend")
	used := filepath.Join(folder, "parts", "leaf.wend")
	write := func(name string) { require.NoError(t, os.WriteFile(name, []byte("ahead 1\n"), 0o644)) }
	write(program)
	watcher, err := fsnotify.NewWatcher()
	require.NoError(t, err)
	defer watcher.Close()
	for _, c := range []struct {
		what string
		save func()
	}{
		{"written", func() { write(program) }},
		{"replaced", func() { write(program + "~"); require.NoError(t, os.Rename(program+"~", program)) }},
		{"removed", func() { require.NoError(t, os.Remove(program)) }},
		{"made anew", func() { write(program) }},
		{"folder made", func() { require.NoError(t, os.Mkdir(filepath.Dir(used), 0o755)) }},
		{"written in it", func() { write(used) }},
		{"folder removed", func() { require.NoError(t, os.RemoveAll(filepath.Dir(used))) }},
		{"folder made again", func() { require.NoError(t, os.Mkdir(filepath.Dir(used), 0o755)) }},
		{"written in that", func() { write(used) }},
	} {
		files := map[string]bool{}
		for _, name := range []string{program, used} {
			files[name] = true
			require.NoError(t, watchFolder(watcher, filepath.Dir(name), files))
		}
		c.save()
		ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
		require.True(t, waitForSave(ctx, watcher, files), c.what)
		cancel()
	}
}
