package tty

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/operate"
	"wend/runtime/link"
)

func TestProgressStaysOnOneLineAtAnyWidth(t *testing.T) {
	for _, columns := range []int{1, 8, 20, 40, 80, 200} {
		var out bytes.Buffer
		var m Meter
		m.Show(&out, &operate.Status{Progress: link.Progress{Mode: link.Moving, Part: 0.5, DrawnMM: 100, TotalMM: 200, SecondsTo: 9}, What: "drawn"}, false, true, columns)
		line, ok := strings.CutPrefix(out.String(), "\r\x1b[K")
		require.True(t, ok)
		require.Less(t, len([]rune(line)), columns)
	}
}
