package tty

import (
	"context"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/operate"
)

func TestKeysAreReadFromTheirSequences(t *testing.T) {
	typed := make(chan stroke, 64)
	for _, b := range []byte("\x1b[A\x1b[B\x1bOC\x1b[D+\r\n\x1b[3~\x1b[1;5C\xc3\xa4\x03q") {
		typed <- stroke{b: b}
	}
	typed <- stroke{b: 0x1b}
	var keys []operate.Key
	in := bytesIn(typed)
	for range 14 {
		key, err := in.Key(context.Background())
		require.NoError(t, err)
		keys = append(keys, key)
	}
	require.Equal(t, []operate.Key{operate.KeyUp, operate.KeyDown, operate.KeyRight, operate.KeyLeft, '+', operate.KeyEnter, operate.KeyEnter, operate.KeyOther, operate.KeyOther, operate.KeyOther, operate.KeyOther, operate.KeyCtrlC, 'q', operate.KeyEscape}, keys)
	typed <- stroke{b: 'x'}
	typed <- stroke{b: 'y'}
	require.Equal(t, 2, in.drain())
	close(typed)
	_, err := in.Key(context.Background())
	require.ErrorIs(t, err, io.EOF)
}

func TestWhatIsPastedIsMarkedAndTheMarksAreTakenOut(t *testing.T) {
	var m pasteMarks
	text := func(chunks ...string) (typed, pasted string) {
		for _, chunk := range chunks {
			for _, s := range m.strokes([]byte(chunk)) {
				if s.pasted {
					pasted += string(s.b)
				} else {
					typed += string(s.b)
				}
			}
		}
		return typed, pasted
	}
	typed, pasted := text("a\x1b[200~bc\rd\x1b[201~e")
	require.Equal(t, "ae", typed)
	require.Equal(t, "bc\rd", pasted)
	typed, pasted = text("a\x1b[20", "0~b\x1b[2", "01~\x1b", "[A")
	require.Equal(t, "a\x1b[A", typed)
	require.Equal(t, "b", pasted)
	strokes := m.strokes([]byte("x\r"))
	require.False(t, strokes[0].joined)
	require.True(t, strokes[1].joined)
}
