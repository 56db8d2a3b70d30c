package tty

import (
	"context"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/operate"
)

func TestKeysAreReadFromTheirSequences(t *testing.T) {
	typed := make(chan byte, 64)
	for _, b := range []byte("\x1b[A\x1b[B\x1bOC\x1b[D+\r\n\x1b[3~\x1b[1;5C\xc3\xa4\x03q") {
		typed <- b
	}
	typed <- 0x1b
	var keys []operate.Key
	in := bytesIn(typed)
	for range 14 {
		key, err := in.Key(context.Background())
		require.NoError(t, err)
		keys = append(keys, key)
	}
	require.Equal(t, []operate.Key{operate.KeyUp, operate.KeyDown, operate.KeyRight, operate.KeyLeft, '+', operate.KeyEnter, operate.KeyEnter, operate.KeyOther, operate.KeyOther, operate.KeyOther, operate.KeyOther, operate.KeyCtrlC, 'q', operate.KeyEscape}, keys)
	typed <- 'x'
	typed <- 'y'
	require.Equal(t, 2, in.drain())
	close(typed)
	_, err := in.Key(context.Background())
	require.ErrorIs(t, err, io.EOF)
}
