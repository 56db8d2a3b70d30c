//go:build unix

package window

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// To open a pipe would wait for somebody who writes to it, and the page with it.
func TestAPipeIsRefusedAtOnce(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, syscall.Mkfifo(filepath.Join(folder, "a.wend"), 0o600))
	files, err := openFolder(folder, "")
	require.NoError(t, err)
	defer files.close()
	_, _, err = files.text("a.wend")
	require.ErrorContains(t, err, "no file that could be read")
}

func TestALinkIsRenamedItselfAndOverNothing(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "t.wend"), []byte("ahead 20\n"), 0o600))
	require.NoError(t, os.Symlink("t.wend", filepath.Join(folder, "link.wend")))
	files, err := openFolder(folder, "")
	require.NoError(t, err)
	defer files.close()
	require.ErrorContains(t, files.rename("link.wend", "t.wend"), "there is a file `t.wend` already")
	text, _, err := files.text("t.wend")
	require.NoError(t, err)
	require.Equal(t, "ahead 20\n", text)
}
