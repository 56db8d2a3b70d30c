//go:build firefox

package browser

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/coder/websocket"
	"github.com/stretchr/testify/require"
)

// second is a page in Firefox, driven by WebDriver BiDi (the W3C's draft), which it
// speaks itself.
type second struct {
	t       *testing.T
	ctx     context.Context
	conn    *websocket.Conn
	last    int
	context string
}

func inFirefox(t *testing.T) *second {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	t.Cleanup(cancel)
	profile := t.TempDir()
	run := exec.CommandContext(ctx, "firefox-esr", "--headless", "--no-remote", "--profile", profile, "--remote-debugging-port", "0")
	run.Env = append(os.Environ(), "HOME="+profile, "MOZ_DISABLE_CONTENT_SANDBOX=1")
	told, err := run.StderrPipe()
	require.NoError(t, err)
	require.NoError(t, run.Start())
	t.Cleanup(func() { run.Process.Kill(); run.Wait() }) //nolint:errcheck // it may have ended
	address := make(chan string, 1)
	go func() {
		for lines := bufio.NewScanner(told); lines.Scan(); {
			if _, at, ok := strings.Cut(lines.Text(), "WebDriver BiDi listening on "); ok {
				address <- at
			}
		}
	}()
	s := &second{t: t, ctx: ctx}
	select {
	case at := <-address:
		s.conn, _, err = websocket.Dial(ctx, strings.TrimSpace(at)+"/session", nil)
		require.NoError(t, err)
	case <-ctx.Done():
		t.Fatal("Firefox does not listen")
	}
	s.conn.SetReadLimit(64 << 20)
	s.call("session.new", object{"capabilities": object{}})
	tree := s.call("browsingContext.getTree", object{})
	s.context = tree["contexts"].([]any)[0].(object)["context"].(string)
	return s
}

// call is one command of the protocol, and its result.
func (s *second) call(method string, params object) object {
	s.t.Helper()
	s.last++
	text, err := json.Marshal(object{"id": s.last, "method": method, "params": params})
	require.NoError(s.t, err)
	require.NoError(s.t, s.conn.Write(s.ctx, websocket.MessageText, text))
	for {
		_, text, err := s.conn.Read(s.ctx)
		require.NoError(s.t, err)
		var m object
		require.NoError(s.t, json.Unmarshal(text, &m))
		if id, is := m["id"].(float64); !is || int(id) != s.last {
			continue // an event
		}
		require.Equal(s.t, "success", m["type"], "%s: %s", method, text)
		return m["result"].(object)
	}
}

func (s *second) until(expression string) {
	s.t.Helper()
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		answer := s.call("script.evaluate", object{"expression": "!!(" + expression + ")", "target": object{"context": s.context}, "awaitPromise": false})
		if result, ok := answer["result"].(object); ok && result["value"] == true {
			return
		}
	}
	s.t.Fatalf("never true: %s", expression)
}

// keys presses keys one after the other, with those of held down.
func (s *second) keys(held, text string) {
	s.t.Helper()
	var actions []object
	for _, k := range held {
		actions = append(actions, object{"type": "keyDown", "value": string(k)})
	}
	for _, k := range text {
		actions = append(actions, object{"type": "keyDown", "value": string(k)}, object{"type": "keyUp", "value": string(k)})
	}
	for _, k := range held {
		actions = append(actions, object{"type": "keyUp", "value": string(k)})
	}
	s.call("input.performActions", object{"context": s.context, "actions": []object{{"type": "key", "id": "keyboard", "actions": actions}}})
}

// Keys as WebDriver numbers them.
const (
	controlKey = "\ue009"
	enterKey   = "\ue007"
	altKey     = "\ue00a"
)

func TestAnotherBrowserWritesSeesAndMends(t *testing.T) {
	file := filepath.Join(t.TempDir(), "square.wend")
	require.NoError(t, os.WriteFile(file, []byte(square), 0o644))
	s := inFirefox(t)
	s.call("browsingContext.navigate", object{"context": s.context, "url": open(t, file), "wait": "none"})
	s.until(`document.getElementById("block")?.textContent.includes("160 mm")`)
	s.until(`document.querySelector("canvas.ink").getContext("2d").getImageData(0, 0, 2000, 2000).data.some(v => v)`)
	s.keys("", "ahed 50"+enterKey)
	s.until(editor + `.textContent.includes("No word")`)
	s.until(`document.getElementById("program").shadowRoot.querySelector(".note button")`)
	s.keys(altKey, enterKey)
	s.until(`document.getElementById("block").textContent.includes("210 mm")`)
	require.Eventually(t, func() bool {
		text, err := os.ReadFile(file)
		return err == nil && string(text) == "ahead 50\n"+square
	}, waits, tick)
}

func TestAnExportedSiteDrawsInAnotherBrowser(t *testing.T) {
	s := inFirefox(t)
	s.call("browsingContext.navigate", object{"context": s.context, "url": exported(t), "wait": "none"})
	s.until(`document.getElementById("block")?.textContent.includes(" mm")`)
	s.keys(controlKey, "a")
	s.keys("", "ahead 50")
	s.until(`document.getElementById("block").textContent.includes("50 mm")`)
}
