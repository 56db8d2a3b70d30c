//go:build unix

package main

import (
	"bufio"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"
	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// windowPage is a page of a window that runs as a process of its own, connected as a
// browser's would be.
type windowPage struct {
	t     *testing.T
	conn  *websocket.Conn
	last  []string // what was said
	state string
	// program is what it shows, by name.
	path, text string
}

// openProcess opens a window, and gives the address that it prints.
func openProcess(t *testing.T, folder string, args ...string) (*exec.Cmd, string) {
	t.Helper()
	cmd := wendProcess(t, folder, append([]string{"open", "--no-browser"}, args...)...)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		cmd.Process.Kill() //nolint:errcheck // it may have ended
		cmd.Wait()         //nolint:errcheck // likewise
	})
	address, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	return cmd, strings.TrimSpace(address)
}

// openPage opens the page of a window, which shows a program of its folder.
func openPage(t *testing.T, folder, address, path string) *windowPage {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, path))
	require.NoError(t, err)
	first, err := http.Get(address)
	require.NoError(t, err)
	first.Body.Close()
	origin := address[:strings.Index(address, "/in/")]
	request, err := http.NewRequest("GET", origin+"/", nil)
	require.NoError(t, err)
	request.AddCookie(first.Cookies()[0])
	served, err := http.DefaultClient.Do(request)
	require.NoError(t, err)
	defer served.Body.Close()
	page, err := io.ReadAll(served.Body)
	require.NoError(t, err)
	secret := regexp.MustCompile(`name="wend-secret" content="([0-9a-f]{32})"`).FindStringSubmatch(string(page))
	require.NotNil(t, secret)
	header := http.Header{"Origin": {origin}, "Cookie": {first.Cookies()[0].Name + "=" + first.Cookies()[0].Value}}
	conn, _, err := websocket.Dial(context.Background(), strings.Replace(origin, "http", "ws", 1)+"/socket", &websocket.DialOptions{HTTPHeader: header})
	require.NoError(t, err)
	conn.SetReadLimit(1 << 26)
	t.Cleanup(func() { conn.CloseNow() }) //nolint:errcheck // it may have gone
	p := &windowPage{t: t, conn: conn, path: path, text: string(text)}
	p.send("hello", "secret", secret[1])
	return p
}

// send sends a message about the program that the page shows.
func (p *windowPage) send(kind string, more ...any) {
	p.t.Helper()
	m := map[string]any{"type": kind, "path": p.path, "text": p.text}
	for i := 0; i < len(more); i += 2 {
		m[more[i].(string)] = more[i+1]
	}
	data, err := json.Marshal(m)
	require.NoError(p.t, err)
	require.NoError(p.t, p.conn.Write(context.Background(), websocket.MessageText, data))
}

type windowMessage struct {
	Type, Text, Kind, State, Certainty string
	Word                               *string
	Drawn                              any
	Unfinished                         *struct{ Path string }
}

// until goes on until a message is there, and has whoever sits there answer each
// question with its word.
func (p *windowPage) until(is func(m windowMessage) bool) windowMessage {
	p.t.Helper()
	ctx, done := context.WithTimeout(context.Background(), 60*time.Second)
	defer done()
	for {
		kind, data, err := p.conn.Read(ctx)
		require.NoError(p.t, err, "%s\n%s", strings.Join(p.last, "\n"), p.state)
		var m windowMessage
		if kind != websocket.MessageText || json.Unmarshal(data, &m) != nil {
			continue
		}
		if m.Type == "say" || m.Type == "failed" {
			p.last = append(p.last, m.Text)
		}
		if m.Type == "machine" {
			p.state = m.State
		}
		if is(m) {
			return m
		}
		if m.Kind == "question" {
			word := "1" // of the passes, the first
			if m.Word != nil {
				word = *m.Word
			}
			p.conn.Write(ctx, websocket.MessageText, []byte(`{"type":"answer-person","text":"`+word+`"}`)) //nolint:errcheck // then nothing is read
		}
	}
}

func (p *windowPage) said(text string) {
	p.t.Helper()
	p.until(func(m windowMessage) bool { return strings.Contains(m.Text, text) })
}

func (p *windowPage) stands(state string) windowMessage {
	p.t.Helper()
	return p.until(func(m windowMessage) bool { return m.Type == "machine" && m.State == state })
}

// drawsFor connects, lets the machine draw, and comes back when the board has drawn
// some of it.
func (p *windowPage) drawsFor(port string, some func() bool) {
	p.t.Helper()
	p.send("connect", "port", port)
	p.stands("connected")
	p.send("send")
	p.said("to draw: ")
	p.until(func(m windowMessage) bool { return m.Type == "machine" && m.State == "moving" && some() })
}

// afterSome is a while after it is asked about first.
func afterSome() func() bool {
	var began time.Time
	return func() bool {
		if began.IsZero() {
			began = time.Now()
		}
		return time.Since(began) > time.Second
	}
}

const windowRows = "loop 2 {\n  ahead 100\n  turn 90\n  ahead 3\n  turn 90\n  ahead 100\n  turn -90\n  ahead 3\n  turn -90\n}\n"

// windowRowsMM is how long that is.
const windowRowsMM = 2 * 206

// windows are two at one board, each a process of its own. In the first the rows are
// being drawn.
type windows struct {
	folder, board string
	first         *exec.Cmd
	page, other   *windowPage
	// drewItWhole ends the board, and holds its record against the rows.
	drewItWhole func()
}

func twoWindows(t *testing.T) *windows {
	t.Helper()
	folder, profile := rowsAt(t, nil, map[string]string{"rows.wend": windowRows})
	sim, said := simulateProcess(t, folder, "--machine", "bench.toml", "--json")
	b := &windows{folder: folder, board: portSaid(t, said, "board")}
	here, err := wendProcess(t, folder, "machine", "here", "0", "0", "--machine", "bench.toml").CombinedOutput()
	require.NoError(t, err, string(here))
	first, address := openProcess(t, folder, "--machine", "bench.toml", "--port", b.board)
	b.first, b.page = first, openPage(t, folder, address, "rows.wend")
	b.page.drawsFor("", afterSome())
	_, address = openProcess(t, folder, "--machine", "bench.toml", "--port", b.board)
	b.other = openPage(t, folder, address, "rows.wend")
	b.drewItWhole = func() {
		drew := simulated(t, sim, said)
		require.Empty(t, drew.Contacts)
		require.InDelta(t, windowRowsMM, drew.LineMM, 2*(profile.X.SlackMM+profile.Y.SlackMM)+0.5)
	}
	return b
}

// A window whose process is killed while the motors turn, and another one: it says
// what was cut off, shows how far it came, and goes on with it after the word.
func TestAWindowGoesOnWithWhatAKilledOneBegan(t *testing.T) {
	t.Parallel()
	b := twoWindows(t)
	first, other := b.first, b.other
	require.NoError(t, first.Process.Kill())
	first.Wait() //nolint:errcheck // it was killed

	other.send("connect")
	other.said("rows.wend was cut off after")
	other.until(func(m windowMessage) bool { return m.Type == "left" && m.Drawn != nil })
	require.Equal(t, "rows.wend", other.stands("connected").Unfinished.Path)
	other.send("resume")
	other.said("drawn: 1 sheet")
	require.Nil(t, other.stands("connected").Unfinished)

	b.drewItWhole()
}

// A page that is closed makes the machine hold; a terminal that is closed stops it on
// the line, and send goes on with what the window began.
func TestWhatAWindowBeganIsGoneOnWithBySend(t *testing.T) {
	t.Parallel()
	b := twoWindows(t)
	first, folder := b.first, b.folder
	// Somebody else does not get it meanwhile.
	b.other.send("connect")
	b.other.said("another wend")

	require.NoError(t, b.page.conn.CloseNow())
	time.Sleep(2500 * time.Millisecond)
	tell(t, first, syscall.SIGHUP) // its terminal is closed, too
	endedAsTold(t, first, syscall.SIGHUP)
	where, err := wendProcess(t, folder, "machine", "here", "--machine", "bench.toml").CombinedOutput()
	require.NoError(t, err)
	require.Contains(t, string(where), "assumed at")
	rest, err := wendProcess(t, folder, "send", "rows.wend", "--machine", "bench.toml", "--port", b.board, "--armed", "--resume").CombinedOutput()
	require.NoError(t, err, string(rest))
	require.Contains(t, string(rest), "to go on with: rows.wend, after")

	b.drewItWhole()
}

// A computer that sleeps: the board draws what it holds, at most a second of it, and
// holds until somebody goes on.
func TestAMachineHoldsWhenTheComputerSleeps(t *testing.T) {
	t.Parallel()
	m, profile, folder := liveBench(t)
	require.NoError(t, os.WriteFile(filepath.Join(folder, "rows.wend"), []byte(windowRows), 0o600))
	here, err := wendProcess(t, folder, "machine", "here", "0", "0", "--machine", "bench.toml").CombinedOutput()
	require.NoError(t, err, string(here))
	cmd, address := openProcess(t, folder, "--machine", "bench.toml")
	page := openPage(t, folder, address, "rows.wend")
	drawn := func() float64 { return geom.Length(m.Trace()) }
	page.drawsFor("", func() bool { return drawn() > 20 })
	require.NoError(t, cmd.Process.Signal(syscall.SIGSTOP))
	time.Sleep(3 * time.Second)
	stood := drawn()
	time.Sleep(300 * time.Millisecond)
	require.Equal(t, stood, drawn())
	require.NoError(t, cmd.Process.Signal(syscall.SIGCONT))
	page.stands("held")
	held := drawn()
	page.send("key", "key", "go on")
	page.said("drawn: 1 sheet")
	require.Greater(t, drawn(), held)
	require.InDelta(t, windowRowsMM, drawn(), 2*(profile.X.SlackMM+profile.Y.SlackMM)+0.5)
}

// A cable that comes out, and goes in again: what was drawn until then is found, or
// somebody says where the stylus is, and the drawing is gone on with.
func TestACableComesOutWhileAWindowDraws(t *testing.T) {
	t.Parallel()
	folder, profile := rowsAt(t, nil, map[string]string{"rows.wend": windowRows})
	m := simulator.New(engine.Simulated(profile, profile.Area.StartMM, machine.Gap{}))
	plug := func() (port string, pull func()) {
		ends, err := openPseudo()
		require.NoError(t, err)
		ctx, stop := context.WithCancel(context.Background())
		served := make(chan struct{})
		go func() {
			defer close(served)
			m.Serve(ctx, ends.near, wallClock{}) //nolint:errcheck // ends with the cable
		}()
		pulled := false
		pull = func() {
			if !pulled {
				pulled = true
				stop()
				ends.close() //nolint:errcheck // it comes out
				<-served
			}
		}
		t.Cleanup(pull)
		return ends.far.Name(), pull
	}
	port, pull := plug()
	_, address := openProcess(t, folder, "--machine", "bench.toml", "--port", port)
	page := openPage(t, folder, address, "rows.wend")
	page.send("connect")
	page.stands("connected")
	page.send("stands", "at", [2]float64{0, 0})
	page.until(func(m windowMessage) bool { return m.Type == "machine" && m.Certainty == "confirmed" })
	page.send("send")
	page.until(func(now windowMessage) bool { return now.State == "moving" && geom.Length(m.Trace()) > 30 })
	pull()
	port, _ = plug() // the board goes on with what it holds
	page.said("the connection to the board is gone")
	page.stands("none")
	time.Sleep(1500 * time.Millisecond)
	require.Less(t, geom.Length(m.Trace()), float64(windowRowsMM-50))

	page.send("connect", "port", port)
	page.said("rows.wend was cut off after")
	lost := page.stands("connected")
	require.Equal(t, "lost", lost.Certainty)
	require.Equal(t, "rows.wend", lost.Unfinished.Path)
	// This board counted on: where the line was left is found.
	page.send("resume")
	page.said("drawn: 1 sheet")
	require.InDelta(t, windowRowsMM, geom.Length(m.Trace()), 2*(profile.X.SlackMM+profile.Y.SlackMM)+0.5)
}
