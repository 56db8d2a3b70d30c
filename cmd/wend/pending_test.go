package main

import (
	"bytes"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// inFolder are the names of what is in a folder.
func inFolder(t *testing.T, folder string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestALongOutputIsInAFileBesideItsPlaceWhileItIsMade(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "a.gcode")
	require.NoError(t, os.WriteFile(name, []byte("before"), 0o600))
	row := []byte("G1 X12.34 Y56.78\n")
	var made pendings
	p := made.add(name)
	var whole bytes.Buffer
	write := func(bytes int) {
		for n := 0; n < bytes; n += len(row) {
			for _, w := range []interface{ Write([]byte) (int, error) }{p, &whole} {
				_, err := w.Write(row)
				require.NoError(t, err)
			}
		}
	}
	write(pendingBytes / 2)
	require.Equal(t, []string{"a.gcode"}, inFolder(t, folder), "a short one is in memory")
	write(pendingBytes)
	require.Len(t, inFolder(t, folder), 2)
	require.Zero(t, p.text.Len())
	for _, n := range []int{pendingBytes + 5, 17} {
		p.Truncate(n)
		whole.Truncate(n)
		write(pendingBytes / 4)
		require.Equal(t, whole.Len(), p.Len())
		require.True(t, bytes.Equal(whole.Bytes(), p.Bytes()))
	}
	now, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, "before", string(now))

	require.NoError(t, commit([]output{{name: name, made: p}}, nil))
	made.drop()
	require.Equal(t, []string{"a.gcode"}, inFolder(t, folder))
	now, err = os.ReadFile(name)
	require.NoError(t, err)
	require.True(t, bytes.Equal(whole.Bytes(), now))
	if info, err := os.Stat(name); runtime.GOOS != "windows" {
		require.NoError(t, err)
		require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	}
}

func TestNothingIsLeftOfALongOutputThatIsNotToBe(t *testing.T) {
	folder := t.TempDir()
	var made pendings
	for _, name := range []string{"a.gcode", "a.svg"} {
		_, err := made.add(filepath.Join(folder, name)).Write(make([]byte, 2*pendingBytes))
		require.NoError(t, err)
	}
	require.Len(t, inFolder(t, folder), 2)
	made.drop()
	require.Empty(t, inFolder(t, folder))
}

// Where no file can be made yet it stays in memory, and what is in the way is said
// when it is committed.
func TestALongOutputWithoutAFolderWaitsInMemory(t *testing.T) {
	folder := t.TempDir()
	var made pendings
	defer made.drop()
	data := bytes.Repeat([]byte("x"), 2*pendingBytes)
	late, linked, lost := filepath.Join(folder, "new", "a.gcode"), filepath.Join(folder, "link.gcode"), filepath.Join(folder, "no", "no", "a.gcode")
	other := t.TempDir()
	require.NoError(t, os.Symlink(filepath.Join(other, "b.gcode"), linked))
	for _, name := range []string{late, linked, lost} {
		p := made.add(name)
		_, err := p.Write(data)
		require.NoError(t, err)
		require.Nil(t, p.file)
		err = commit([]output{{name: name, made: p}}, nil)
		if name != late {
			require.ErrorContains(t, err, map[string]string{linked: "it is a link", lost: "there is no folder"}[name])
			continue
		}
		require.NoError(t, err)
		now, err := os.ReadFile(name)
		require.NoError(t, err)
		require.True(t, bytes.Equal(data, now))
	}
	require.Equal(t, []string{"link.gcode", "new"}, inFolder(t, folder))
	require.Empty(t, inFolder(t, other))
}
