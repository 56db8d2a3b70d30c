//go:build unix

package window

import (
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
