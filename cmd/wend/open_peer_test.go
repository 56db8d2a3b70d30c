//go:build unix && peers

package main

import (
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// A board in another language refuses a line while a window draws: it holds, is
// stopped, and is gone on with from the page until every corner is there.
func TestAWindowDrawsOnABoardInAnotherLanguageInSpiteOfARefusedLine(t *testing.T) {
	t.Parallel()
	b := newPeerBoard(t, "ahead 12; turn 120; ahead 10; turn -100; ahead 8\n", "--refuse", "0", "--late", "0.3")
	_, address := openProcess(t, b.folder, "--machine", "peer.toml", "--port", b.port)
	page := openPage(t, b.folder, address, "corner.wend")
	page.send("connect")
	page.stands("connected")
	page.send("send")
	page.stands("held")
	page.send("key", "key", "stop")
	page.said("`Go on with it` goes on")
	page.until(func(m windowMessage) bool {
		return m.Type == "machine" && (m.State == "stopped" || m.State == "connected")
	})
	page.send("resume")
	page.said("the stylus is led back first to where the line was left, about (60.0, 40.0)")
	page.said("the drawing is complete, with a stroke of up to")
	require.Contains(t, b.trace(), geom.Point{X: 77, Y: 45})
}

// The socket of a page that draws is closed: a board in another language stands
// before it has come to the end, and after Ctrl-C send draws the rest of the line,
// none of it twice.
func TestABoardInAnotherLanguageHoldsWhenItsWindowIsClosed(t *testing.T) {
	t.Parallel()
	b := newPeerBoard(t, strings.Repeat("ahead 60; turn 90; ahead 2; turn 90; ahead 60; turn -90; ahead 2; turn -90\n", 3))
	cmd, address := openProcess(t, b.folder, "--machine", "peer.toml", "--port", b.port)
	page := openPage(t, b.folder, address, "corner.wend")
	page.drawsFor("", func() bool { return geom.Length(b.trace()) > 10 })
	require.NoError(t, page.conn.CloseNow())
	time.Sleep(2500 * time.Millisecond)
	held := geom.Length(b.trace())
	time.Sleep(500 * time.Millisecond)
	require.Equal(t, held, geom.Length(b.trace()))
	require.Less(t, held, 360.0)
	require.NoError(t, cmd.Process.Signal(os.Signal(syscall.SIGINT)))
	require.NoError(t, cmd.Wait())
	code, said := b.send("--resume")
	require.Equal(t, exitDone, code, said)
	require.InDelta(t, 372, geom.Length(b.trace()), 0.5)
}
