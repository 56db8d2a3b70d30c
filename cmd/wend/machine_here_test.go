package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/link"
	"wend/runtime/machine"
)

// A position and a journal as a process leaves them that is killed while it
// draws.
func TestHereTellsOfADrawingThatWasCutOff(t *testing.T) {
	folder := t.TempDir()
	profile := machine.DeskToy()
	profile.Name, profile.Calibrated, profile.BuiltIn = "bench toy", true, false
	file := filepath.Join(folder, "bench toy.toml")
	require.NoError(t, os.WriteFile(file, machine.Marshal(profile), 0o600))
	here := func(more ...string) string {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), append([]string{"machine", "here", "--machine", file}, more...), console{
			stdin: strings.NewReader(""), stdout: &stdout, stderr: &stderr, now: time.Now,
			environment: func(name string) string { return map[string]string{"XDG_STATE_HOME": folder}[name] },
			terminal:    func(int) bool { return false },
		})
		require.Zero(t, code, stderr.String())
		return stdout.String()
	}
	require.Contains(t, here("20", "15"), "bench toy: assumed at (20.00, 15.00)")
	found, err := filepath.Glob(filepath.Join(folder, "wend", "*.position"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	text, err := os.ReadFile(found[0])
	require.NoError(t, err)
	moving := strings.Replace(string(text), `"moving":false,"drawing":false`, `"moving":true,"drawing":true`, 1)
	require.NotEqual(t, string(text), moving)
	require.NoError(t, os.WriteFile(found[0], []byte(moving), 0o600))
	lost := "bench toy: the position is lost: the session before ended while something moved\n"
	require.Equal(t, lost, here())

	journal := strings.TrimSuffix(found[0], ".position") + ".journal"
	record := link.Record{Version: 2, Name: "rows.wend", Profile: link.Fingerprint(profile), Moves: 80, Drawn: 12, MaySend: 30}
	keep := func() {
		data, err := json.Marshal(record)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(journal, data, 0o600))
	}
	keep()
	require.Equal(t, lost+"rows.wend was cut off, at least 12 of its 80 moves drawn: `wend send rows.wend --machine \""+file+"\" --port NAME --resume` asks the board, which may still know where the stylus is.\n", here())
	var said hereJSON
	require.NoError(t, json.Unmarshal([]byte(here("--json")), &said))
	require.Equal(t, &cutOffJSON{Name: "rows.wend", Sheet: 1, Moves: 80, Drawn: 12, MayDrawn: 30}, said.CutOff)

	// While the other process is there, nothing is cut off.
	memory, err := link.OpenMemory(link.Disk(filepath.Join(folder, "wend")), profile.Name, profile)
	require.NoError(t, err)
	require.Equal(t, "bench toy: the position is lost: another wend is drawing with it just now\n", here())
	memory.Close()

	// A journal by another profile says nothing of this one; and once somebody
	// has looked, the position is known.
	record.Profile = "another"
	keep()
	require.Equal(t, lost, here())
	record.Profile = link.Fingerprint(profile)
	keep()
	require.Contains(t, here("20", "15"), "assumed at (20.00, 15.00)")
}
