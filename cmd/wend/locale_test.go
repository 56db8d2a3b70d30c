package main

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheLocaleSaysWhetherThereIsMoreThanASCII(t *testing.T) {
	for _, try := range []struct {
		environment map[string]string
		ascii       bool
	}{
		{map[string]string{}, true},
		{map[string]string{"LANG": "C"}, true},
		{map[string]string{"LANG": "de_DE.UTF-8"}, false},
		{map[string]string{"LANG": "C.utf8"}, false},
		{map[string]string{"LANG": "de_DE.UTF-8@euro"}, false},
		{map[string]string{"LANG": "de_DE.ISO-8859-1"}, true},
		{map[string]string{"LANG": "en_GB.UTF-8", "LC_CTYPE": "C"}, true},
		{map[string]string{"LANG": "C", "LC_CTYPE": "C", "LC_ALL": "en_GB.UTF-8"}, false},
		{map[string]string{"LANG": "en_GB.UTF-8", "LC_ALL": "POSIX"}, true},
	} {
		c := console{environment: func(name string) string { return try.environment[name] }}
		require.Equal(t, try.ascii, c.ascii(), "%v", try.environment)
	}
}

func TestTextInASCIIComesNear(t *testing.T) {
	var out bytes.Buffer
	_, err := fmt.Fprint(asciiWriter{&out}, "Zoë's “häuschen”: 45°, 3 × 2 … ½ ☺\n")
	require.NoError(t, err)
	require.Equal(t, "Zoe's \"hauschen\": 45 deg, 3 x 2 ... 1?2 ?\n", out.String())
}
