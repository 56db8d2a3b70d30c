package window

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/coder/websocket"
	"github.com/stretchr/testify/require"

	"wend/cmd/wend/lesson"
	"wend/runtime/machine"
)

// opened is a window on a folder, served as a browser would find it.
type opened struct {
	*Server
	t      *testing.T
	folder string
	pages  pages // how a browser reaches it
}

// pages reach a window; nil for a network as it is.
type pages func(ctx context.Context, network, address string) (net.Conn, error)

func openWindow(t *testing.T, file string, files map[string]string) *opened {
	folder, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	for name, text := range files {
		place := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(place), 0o755))
		require.NoError(t, os.WriteFile(place, []byte(text), 0o644))
	}
	return openWindowIn(t, Options{Folder: folder, File: file, State: t.TempDir()})
}

func openWindowIn(t *testing.T, options Options) *opened {
	listener, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	return openWindowAt(t, options, listener, nil)
}

func openWindowAt(t *testing.T, options Options, listener net.Listener, pages pages) *opened {
	if options.Settings.Profile == nil {
		options.Settings.Profile = machine.DeskToy()
	}
	s, err := Open(options, listener.Addr())
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	over := make(chan error, 1)
	go func() { over <- s.Serve(ctx, listener) }()
	t.Cleanup(func() {
		cancel()
		require.NoError(t, <-over)
	})
	return &opened{s, t, options.Folder, pages}
}

// do asks as whoever sends these headers.
func (o *opened) do(method, address string, header map[string]string, body io.Reader) (*http.Response, string) {
	request, err := http.NewRequest(method, address, body)
	require.NoError(o.t, err)
	for name, value := range header {
		if name == "Host" {
			request.Host = value
		} else {
			request.Header.Set(name, value)
		}
	}
	client := http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }, Transport: &http.Transport{DisableKeepAlives: true, DialContext: o.pages}}
	response, err := client.Do(request)
	if err != nil {
		// The server may close before a large body has been sent.
		require.NotNil(o.t, body)
		return nil, ""
	}
	defer response.Body.Close()
	text, err := io.ReadAll(response.Body)
	require.NoError(o.t, err)
	return response, string(text)
}

// in is the cookie of a browser that was let in.
func (o *opened) in() string {
	response, _ := o.do("GET", o.Address(), nil, nil)
	require.Equal(o.t, 200, response.StatusCode)
	require.Len(o.t, response.Cookies(), 1)
	c := response.Cookies()[0]
	return c.Name + "=" + c.Value
}

var secretInPage = regexp.MustCompile(`name="wend-secret" content="([0-9a-f]{32})"`)

func (o *opened) secret(cookie string) string {
	_, text := o.do("GET", o.origin+"/", map[string]string{"Cookie": cookie}, nil)
	found := secretInPage.FindStringSubmatch(text)
	require.NotNil(o.t, found, text)
	return found[1]
}

// view is a page that is connected, as a browser's would be.
type view struct {
	t    *testing.T
	conn *websocket.Conn
	come chan map[string]any // what was read already; nil: it is read when it is waited for
	last []any               // that was taken of it
}

func (o *opened) dial(header map[string]string) (*websocket.Conn, *http.Response, error) {
	options := &websocket.DialOptions{HTTPHeader: http.Header{}, HTTPClient: &http.Client{Transport: &http.Transport{DialContext: o.pages}}}
	for name, value := range header {
		if name == "Host" {
			options.Host = value
		} else {
			options.HTTPHeader.Set(name, value)
		}
	}
	ctx, done := context.WithTimeout(context.Background(), 20*time.Second)
	defer done()
	return websocket.Dial(ctx, "ws://"+o.host+"/socket", options)
}

func (o *opened) view() *view { return o.viewThat(nil) }

// viewThat is a page that begins with something.
func (o *opened) viewThat(begins any) *view {
	cookie := o.in()
	return o.viewOf(cookie, o.secret(cookie), begins)
}

func (o *opened) viewOf(cookie, secret string, begins any) *view {
	conn, _, err := o.dial(map[string]string{"Cookie": cookie, "Origin": o.origin})
	require.NoError(o.t, err)
	conn.SetReadLimit(256 << 20)
	v := &view{t: o.t, conn: conn}
	o.t.Cleanup(func() { conn.CloseNow() }) //nolint:errcheck // it may have gone
	v.send(map[string]any{"type": "hello", "secret": secret, "begin": begins})
	return v
}

func (v *view) send(message map[string]any) {
	data, err := json.Marshal(message)
	require.NoError(v.t, err)
	ctx, done := context.WithTimeout(context.Background(), 20*time.Second)
	defer done()
	require.NoError(v.t, v.conn.Write(ctx, websocket.MessageText, data))
}

// next waits for a message of one of some types.
func (v *view) next(kinds ...string) map[string]any {
	ctx, done := context.WithTimeout(context.Background(), 20*time.Second)
	defer done()
	for {
		var m map[string]any
		if v.come != nil {
			select {
			case m = <-v.come:
				v.last = append(v.last[max(0, len(v.last)-12):], m)
			case <-ctx.Done():
				v.t.Fatalf("waiting for %v after %v", kinds, v.last)
			}
		} else {
			kind, data, err := v.conn.Read(ctx)
			require.NoError(v.t, err, "waiting for %v", kinds)
			if kind != websocket.MessageText {
				continue
			}
			require.NoError(v.t, json.Unmarshal(data, &m))
		}
		for _, wanted := range kinds {
			if m["type"] == wanted {
				return m
			}
		}
	}
}

const square = "loop 4 {\n  ahead 20\n  turn 90\n}\n"

func TestAPageIsServedToWhoHasTheKeyOnce(t *testing.T) {
	o := openWindow(t, "", nil)
	address := o.Address()
	response, text := o.do("GET", address, nil, nil)
	require.Equal(t, 200, response.StatusCode)
	require.Contains(t, text, `content="0;url=/"`)
	c := response.Cookies()[0]
	require.Equal(t, fmt.Sprintf("wend-%s", strings.Split(o.host, ":")[1]), c.Name)
	require.True(t, c.HttpOnly)
	require.Equal(t, http.SameSiteStrictMode, c.SameSite)
	require.Equal(t, "no-referrer", response.Header.Get("Referrer-Policy"))
	require.NotContains(t, text, address)

	response, text = o.do("GET", o.origin+"/", map[string]string{"Cookie": c.Name + "=" + c.Value}, nil)
	require.Equal(t, 200, response.StatusCode)
	require.NotContains(t, text, "{{secret}}")
	policy := response.Header.Get("Content-Security-Policy")
	require.Contains(t, policy, "script-src 'self' 'wasm-unsafe-eval';")
	require.Contains(t, policy, "frame-ancestors 'none'")
	require.NotContains(t, policy, "unsafe-inline")

	response, _ = o.do("GET", address, nil, nil)
	require.Equal(t, 403, response.StatusCode, "a key works once")
}

func TestWhoIsNotLetInGetsAPlainRefusalWithThePolicy(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square})
	other := openWindow(t, "", nil)
	cookie := o.in()
	foreign := other.in()
	with := func(more map[string]string) map[string]string {
		all := map[string]string{"Cookie": cookie}
		for name, value := range more {
			all[name] = value
		}
		return all
	}
	for name, c := range map[string]struct {
		method, path string
		header       map[string]string
	}{
		"no key":              {"GET", "/", nil},
		"a wrong key":         {"GET", "/in/" + strings.Repeat("0", 32), nil},
		"an empty key":        {"GET", "/in/", nil},
		"a wrong cookie":      {"GET", "/", map[string]string{"Cookie": o.cookie + "=" + strings.Repeat("0", 32)}},
		"another port's":      {"GET", "/", map[string]string{"Cookie": foreign}},
		"its value as ours":   {"GET", "/", map[string]string{"Cookie": o.cookie + "=" + strings.SplitN(foreign, "=", 2)[1]}},
		"a foreign host":      {"GET", "/", with(map[string]string{"Host": "drawings.example"})},
		"localhost":           {"GET", "/", with(map[string]string{"Host": strings.Replace(o.host, "127.0.0.1", "localhost", 1)})},
		"another port":        {"GET", "/", with(map[string]string{"Host": other.host})},
		"a foreign origin":    {"GET", "/", with(map[string]string{"Origin": "http://drawings.example"})},
		"no origin in words":  {"GET", "/", with(map[string]string{"Origin": "null"})},
		"another port's page": {"GET", "/", with(map[string]string{"Origin": other.origin})},
		"host and origin":     {"GET", "/", with(map[string]string{"Host": "drawings.example", "Origin": "http://drawings.example"})},
		"a post":              {"POST", "/", with(nil)},
		"a file without key":  {"GET", "/index.html", nil},
		"the socket, plain":   {"GET", "/socket", with(nil)},
	} {
		t.Run(name, func(t *testing.T) {
			response, text := o.do(c.method, o.origin+c.path, c.header, nil)
			require.Equal(t, 403, response.StatusCode)
			require.Equal(t, "Not from here. An address lets one browser in, once: press Enter where wend open runs, and it prints a new one.\n", text)
			require.NotEmpty(t, response.Header.Get("Content-Security-Policy"))
			require.Empty(t, response.Cookies())
		})
	}
	for _, path := range []string{"/../server.go", "/%2e%2e/server.go", "/web/dist/index.html", "/a.wend", "//etc/passwd", "/index.html%00.js", "/dist"} {
		response, text := o.do("GET", o.origin+path, with(nil), nil)
		require.Equal(t, 404, response.StatusCode, path)
		require.Equal(t, "not here\n", text)
	}
}

func TestALargeBodyIsNotRead(t *testing.T) {
	o := openWindow(t, "", nil)
	sent := &counted{left: 100 << 20}
	response, _ := o.do("POST", o.origin+"/", map[string]string{"Cookie": o.in()}, sent)
	if response != nil {
		require.Equal(t, 403, response.StatusCode)
	}
	require.Less(t, sent.read.Load(), int64(16<<20))
}

// counted is a body that counts how much of it was sent. A refusal may come while it
// still is.
type counted struct {
	left int64
	read atomic.Int64
}

func (c *counted) Read(b []byte) (int, error) {
	n := min(int64(len(b)), c.left)
	c.left -= n
	c.read.Add(n)
	if n == 0 {
		return 0, io.EOF
	}
	return int(n), nil
}

func TestTheSocketWantsCookieOriginHostAndTheSecretOfThePage(t *testing.T) {
	o := openWindow(t, "", nil)
	other := openWindow(t, "", nil)
	cookie := o.in()
	for name, header := range map[string]map[string]string{
		"no cookie":        {"Origin": o.origin},
		"no origin":        {"Cookie": cookie},
		"a foreign origin": {"Cookie": cookie, "Origin": "http://drawings.example"},
		"another port":     {"Cookie": cookie, "Origin": other.origin},
		"host and origin":  {"Cookie": cookie, "Origin": "http://drawings.example", "Host": "drawings.example"},
	} {
		t.Run(name, func(t *testing.T) {
			_, response, err := o.dial(header)
			require.Error(t, err)
			require.Equal(t, 403, response.StatusCode)
		})
	}
	for name, hello := range map[string]string{
		"no secret": `{"type":"hello"}`, "a wrong one": `{"type":"hello","secret":"` + strings.Repeat("0", 32) + `"}`,
		"another port's": `{"type":"hello","secret":"` + other.secret(other.in()) + `"}`,
		"no hello":       `{"type":"files"}`, "rubbish": `}`,
	} {
		t.Run(name, func(t *testing.T) {
			conn, _, err := o.dial(map[string]string{"Cookie": cookie, "Origin": o.origin})
			require.NoError(t, err)
			require.NoError(t, conn.Write(context.Background(), websocket.MessageText, []byte(hello)))
			_, _, err = conn.Read(context.Background())
			require.Equal(t, websocket.StatusPolicyViolation, websocket.CloseStatus(err))
		})
	}
}

func TestTheNumberOfSocketsIsLimited(t *testing.T) {
	o := openWindow(t, "", nil)
	cookie := o.in()
	refused := 0
	for range 3 * mostSockets {
		conn, response, err := o.dial(map[string]string{"Cookie": cookie, "Origin": o.origin})
		if err != nil {
			require.Equal(t, 403, response.StatusCode)
			refused++
			continue
		}
		defer conn.CloseNow() //nolint:errcheck // it may have gone
	}
	require.Equal(t, 2*mostSockets, refused)
}

func TestAMessageThatIsTooLongEndsTheSocketAlone(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square})
	v, w := o.view(), o.view()
	long := `{"type":"program","id":1,"text":"` + strings.Repeat("a", messageBytes) + `"}`
	ctx, done := context.WithTimeout(context.Background(), 20*time.Second)
	defer done()
	v.conn.Write(ctx, websocket.MessageText, []byte(long)) //nolint:errcheck // it may be cut off
	var err error
	for err == nil { // how the machine stands was said before
		_, _, err = v.conn.Read(ctx)
	}
	require.Equal(t, websocket.StatusMessageTooBig, websocket.CloseStatus(err)) // the page says so
	w.send(map[string]any{"type": "open", "path": "a.wend"})
	require.Equal(t, square, w.next("opened", "failed")["text"])
}

func TestAProgramThatNeverEndsGivesWayToTheNext(t *testing.T) {
	o := openWindow(t, "", nil)
	v := o.view()
	v.send(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": "loop { turn 1 }\n"})
	require.EqualValues(t, 1, v.next("checked")["id"])
	v.send(map[string]any{"type": "program", "id": 2, "path": "a.wend", "text": square})
	require.EqualValues(t, 2, v.next("drawn")["id"])
}

func TestFilesAreOpenedSavedBegunAndRenamed(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square, "below/b.wend": "ahead 3\n", "cat.png": "no photo", ".hidden/c.wend": "ahead 4\n", "notes.txt": "x"})
	v := o.view()
	v.send(map[string]any{"type": "files"})
	listed := v.next("files")
	var paths []string
	for _, f := range listed["files"].([]any) {
		paths = append(paths, f.(map[string]any)["path"].(string))
	}
	require.ElementsMatch(t, []string{"a.wend", "below/b.wend", "cat.png"}, paths)
	require.Greater(t, len(listed["gallery"].([]any)), 20)

	v.send(map[string]any{"type": "open", "path": "below/b.wend"})
	version := v.next("opened")["version"]
	v.send(map[string]any{"type": "save", "path": "below/b.wend", "text": "ahead 5\n", "version": version})
	require.NotEqual(t, version, v.next("saved", "failed")["version"])
	text, err := os.ReadFile(filepath.Join(o.folder, "below/b.wend"))
	require.NoError(t, err)
	require.Equal(t, "ahead 5\n", string(text))

	v.send(map[string]any{"type": "new", "path": "oak"})
	require.Equal(t, "oak.wend", v.next("opened", "failed")["path"])
	v.send(map[string]any{"type": "new", "path": "oak"})
	require.Contains(t, v.next("opened", "failed")["text"], "already")
	v.send(map[string]any{"type": "rename", "path": "oak.wend", "to": "a.wend"})
	require.Contains(t, v.next("opened", "failed")["text"], "already")
	v.send(map[string]any{"type": "rename", "path": "oak.wend", "to": "elm"})
	require.Equal(t, "elm.wend", v.next("opened", "failed")["path"])
	require.NoFileExists(t, filepath.Join(o.folder, "oak.wend"))

	for _, name := range []string{"garden.wend", "garden-2.wend"} {
		v.send(map[string]any{"type": "open", "piece": "garden"})
		m := v.next("opened", "failed")
		require.Equal(t, name, m["path"], "%v", m)
		v.send(map[string]any{"type": "program", "id": 3, "path": m["path"], "text": m["text"]})
		require.NotEmpty(t, v.next("drawn")["sheets"])
	}
	entries, err := os.ReadDir(o.folder)
	require.NoError(t, err)
	for _, e := range entries {
		require.False(t, strings.HasPrefix(e.Name(), ".wend-"), "nothing half-written is left behind")
	}
}

// A lesson is begun once and gone on with; what is done of it stands where the
// terminal keeps it, and both read what the other wrote.
func TestALessonIsGoneOnWith(t *testing.T) {
	o := openWindow(t, "", map[string]string{"lessons-done.txt": "# The tasks of `wend lesson` that are done here.\n10.1\n"})
	v := o.view()
	v.send(map[string]any{"type": "files"})
	require.Equal(t, []any{"10.1"}, v.next("files")["done"])
	v.send(map[string]any{"type": "open", "piece": "lesson-3"})
	m := v.next("opened", "failed")
	require.Equal(t, "lesson-3.wend", m["path"])
	require.Equal(t, lesson.Lessons()[2].Start, m["text"])
	v.send(map[string]any{"type": "save", "path": "lesson-3.wend", "text": "ahead 5\n", "version": m["version"]})
	v.next("saved")
	v.send(map[string]any{"type": "open", "piece": "lesson-3"})
	m = v.next("opened", "failed")
	require.Equal(t, "lesson-3.wend", m["path"])
	require.Equal(t, "ahead 5\n", m["text"], "it is as it was left")

	v.send(map[string]any{"type": "files"})
	v.next("files")
	v.send(map[string]any{"type": "done", "tasks": []string{"9.2", "3.1"}})
	require.Equal(t, []any{"3.1", "9.2", "10.1"}, v.next("files")["done"])
	kept, err := os.ReadFile(filepath.Join(o.folder, lesson.DoneFile))
	require.NoError(t, err)
	require.Equal(t, "# The tasks of `wend lesson` that are done here.\n3.1\n9.2\n10.1\n", string(kept))
	for _, none := range []string{"3.9", "mine", "3.1\n#", ""} {
		v.send(map[string]any{"type": "done", "tasks": []string{none}})
		require.Contains(t, v.next("failed")["text"], "there is no task", none)
	}
	// What is in its way is left as it is.
	require.NoError(t, os.Remove(filepath.Join(o.folder, lesson.DoneFile)))
	require.NoError(t, os.Mkdir(filepath.Join(o.folder, lesson.DoneFile), 0o755))
	v.send(map[string]any{"type": "done", "tasks": []string{"3.1"}})
	require.Contains(t, v.next("failed")["text"], "could not be kept")
}

func TestNothingLeadsOutOfTheFolder(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square})
	outside := filepath.Join(t.TempDir(), "b.wend")
	require.NoError(t, os.WriteFile(outside, []byte("ahead 7\n"), 0o644))
	require.NoError(t, os.Symlink(outside, filepath.Join(o.folder, "link.wend")))
	require.NoError(t, os.Symlink(filepath.Dir(outside), filepath.Join(o.folder, "far")))
	require.NoError(t, os.Symlink("a.wend", filepath.Join(o.folder, "near.wend")))
	v := o.view()
	for _, name := range []string{
		"../b.wend", "..", ".", "", "/etc/passwd", outside, "link.wend", "far/b.wend", "a/../../b.wend", "./a.wend", "a.wend/", `..\b.wend`, `C:\b.wend`,
		"%2e%2e/b.wend", "..%2fb.wend", "a.wend\x00", "a.wend:x", "．．/b.wend", ".hidden/c.wend", "A.WEND.", "a.wend ", "far/../far/b.wend", "<script>.wend",
	} {
		for _, message := range []map[string]any{
			{"type": "open", "path": name}, {"type": "save", "path": name, "text": "ahead 1\n", "version": versionOf([]byte("ahead 7\n"))},
			{"type": "rename", "path": name, "to": "c.wend"}, {"type": "rename", "path": "a.wend", "to": name},
		} {
			if message["type"] == "rename" && message["path"] != "a.wend" && (name == "link.wend") {
				continue // the link itself may have another name
			}
			v.send(message)
			m := v.next("opened", "saved", "failed", "conflict")
			if m["type"] == "conflict" {
				require.Empty(t, m["theirs"], "%v: %v", message, m) // there is no such file
				continue
			}
			require.Equal(t, "failed", m["type"], "%v: %v", message, m)
		}
	}
	v.send(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": "use \"far/b.wend\" as b\nuse \"../b.wend\" as c\nnote image(\"far/b.wend\")"})
	for _, m := range v.next("drawn")["messages"].([]any) {
		require.Equal(t, "file-outside", m.(map[string]any)["code"])
	}
	text, err := os.ReadFile(outside)
	require.NoError(t, err)
	require.Equal(t, "ahead 7\n", string(text))
	require.FileExists(t, filepath.Join(o.folder, "a.wend"))

	// What is said is about files, not about how they are read.
	long := strings.Repeat("a", 300) + ".wend"
	for want, message := range map[string]map[string]any{
		"not among the files of this window": {"type": "open", "path": "link.wend"},
		"too long for a file":                {"type": "rename", "path": "a.wend", "to": long},
		"a folder that is a file":            {"type": "open", "path": "a.wend/b.wend"},
		"new name is a text":                 {"type": "rename", "path": "a.wend", "to": []int{1}},
	} {
		v.send(message)
		m := v.next("opened", "failed")
		require.Contains(t, m["text"], want, "%v", m)
	}

	// A link within the folder stays one, and what it names is replaced.
	v.send(map[string]any{"type": "save", "path": "near.wend", "text": "ahead 9\n", "version": versionOf([]byte(square))})
	require.Equal(t, "saved", v.next("saved", "failed", "conflict")["type"])
	text, err = os.ReadFile(filepath.Join(o.folder, "a.wend"))
	require.NoError(t, err)
	require.Equal(t, "ahead 9\n", string(text))
	info, err := os.Lstat(filepath.Join(o.folder, "near.wend"))
	require.NoError(t, err)
	require.NotZero(t, info.Mode()&os.ModeSymlink)
}

func TestWithAFileNothingElseIsShown(t *testing.T) {
	o := openWindow(t, "a.wend", map[string]string{"a.wend": "use \"b.wend\" as b\nb.side\n", "b.wend": "figure side() { ahead 9 }\n", "c.wend": square})
	require.ErrorIs(t, o.Server.folder.sees("b.wend"), errOutside, "nothing has used it yet")
	v := o.view()
	list := func() (paths []string) {
		v.send(map[string]any{"type": "files"})
		for _, f := range v.next("files")["files"].([]any) {
			paths = append(paths, f.(map[string]any)["path"].(string))
		}
		return paths
	}
	for _, name := range []string{"c.wend", "C.WEND"} {
		v.send(map[string]any{"type": "open", "path": name})
		require.Equal(t, "failed", v.next("opened", "failed")["type"])
		v.send(map[string]any{"type": "save", "path": name, "text": "ahead 1\n"})
		require.Equal(t, "failed", v.next("saved", "failed", "conflict")["type"])
	}
	v.send(map[string]any{"type": "new", "path": "c.wend"})
	require.Equal(t, "failed", v.next("opened", "failed")["type"])
	v.send(map[string]any{"type": "program", "id": 1, "path": "a.wend", "text": "use \"b.wend\" as b\nb.side\n"})
	require.Empty(t, v.next("drawn")["messages"])
	require.Equal(t, []string{"a.wend", "b.wend"}, list())
}

// What a window begins with is opened and drawn with the first message, whether it was
// made ahead or not.
func TestAPageBeginsWithItsProgramDrawn(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square, "b.wend": "ahead 9\n", "photo.png": "no photo"})
	begins := func(o *opened, begin any, path string) {
		t.Helper()
		v := o.viewThat(begin)
		m := v.next("opened", "failed")
		require.Equal(t, path, m["path"], "%v", m)
		require.EqualValues(t, 1, m["program"])
		for left := 3; left > 0; left-- {
			switch m := v.next("checked", "drawn", "files", "failed"); m["type"] {
			case "files":
				require.NotEmpty(t, m["files"])
			case "drawn":
				require.NotEmpty(t, m["sheets"])
				fallthrough
			default:
				require.EqualValues(t, 1, m["id"], "%v", m)
			}
		}
		// The next text is drawn as ever, and the conversation knows what was.
		v.send(map[string]any{"type": "ask", "what": "trail", "id": 2, "path": path, "sheet": 0, "piece": 0})
		require.Equal(t, "answer", v.next("answer", "failed")["type"])
		v.send(map[string]any{"type": "program", "id": 3, "path": path, "text": "ahead 7\n"})
		require.EqualValues(t, 3, v.next("drawn")["id"])
		v.conn.CloseNow() //nolint:errcheck // it may have gone
	}
	begins(o, map[string]any{}, "a.wend")
	begins(o, map[string]any{"path": "b.wend"}, "b.wend")
	for _, path := range []string{"gone.wend", "../a.wend", "photo.png"} {
		begins(o, map[string]any{"path": path}, "a.wend")
	}
	begins(o, map[string]any{"piece": "lesson-2", "path": "b.wend"}, "lesson-2.wend")
	require.FileExists(t, filepath.Join(o.folder, "lesson-2.wend"))
	begins(o, map[string]any{"piece": "no such", "path": "b.wend"}, "b.wend")
	begins(openWindow(t, "b.wend", map[string]string{"a.wend": square, "b.wend": "ahead 9\n"}), map[string]any{"path": "a.wend"}, "b.wend")

	// A file that was changed since, or taken away, is not shown as it was.
	cookie := o.in()
	secret := o.secret(cookie)
	o.mu.Lock()
	made := o.ahead
	o.mu.Unlock()
	require.NotNil(t, made)
	require.Equal(t, "a.wend", made.beginning().path)
	require.NoError(t, os.WriteFile(filepath.Join(o.folder, "a.wend"), []byte("ahead 11\n"), 0o644))
	require.Equal(t, "ahead 11\n", o.viewOf(cookie, secret, map[string]any{}).next("opened")["text"])
	require.NoError(t, os.Remove(filepath.Join(o.folder, "a.wend")))
	require.Equal(t, "b.wend", o.viewThat(map[string]any{}).next("opened")["path"])

	// Without a program, or for a page that wants none, nothing is opened.
	none := openWindow(t, "", map[string]string{"photo.png": "no photo"})
	require.Equal(t, "files", none.viewThat(map[string]any{}).next("opened", "failed", "files")["type"])
	v := o.viewThat(nil)
	v.send(map[string]any{"type": "lesson", "id": 2, "lesson": 1})
	require.Equal(t, "lesson", v.next("opened", "failed", "files", "lesson")["type"])
}

// A page that is loaded anew begins with what it saved when it was left, also where
// that takes the disk a while.
func TestAPageBeginsWithWhatIsJustBeingSaved(t *testing.T) {
	o := openWindow(t, "a.wend", map[string]string{"a.wend": square})
	v := o.view()
	v.send(map[string]any{"type": "open", "path": "a.wend"})
	version := v.next("opened")["version"]
	writes, goes := make(chan struct{}), make(chan struct{})
	o.Server.folder.write = func(file *os.File, data []byte) error {
		close(writes)
		<-goes
		return fill(file, data)
	}
	v.send(map[string]any{"type": "save", "path": "a.wend", "text": "ahead 5\n", "version": version})
	<-writes
	time.AfterFunc(50*time.Millisecond, func() { close(goes) })
	require.Equal(t, "ahead 5\n", o.viewThat(map[string]any{}).next("opened")["text"])
}

// What was begun for a page that never comes ends by itself, and with the window.
func TestABeginningWithoutAPageEnds(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": "loop { turn 1 }\n"})
	o.in()
	o.mu.Lock()
	made := o.ahead
	o.mu.Unlock()
	o.folderChanged()
	require.ErrorIs(t, made.beginning().lanes.ctx.Err(), context.Canceled)
	made.beginning().lanes.wait()
	o.in() // and this one with the window
}

func TestTwoWindowsThatSaveOneFileLoseNothing(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square})
	v, w := o.view(), o.view()
	version := map[*view]any{}
	for _, each := range []*view{v, w} {
		each.send(map[string]any{"type": "open", "path": "a.wend"})
		version[each] = each.next("opened")["version"]
	}
	v.send(map[string]any{"type": "save", "path": "a.wend", "text": "ahead 1\n", "version": version[v]})
	require.Equal(t, "saved", v.next("saved", "conflict", "failed")["type"])
	w.send(map[string]any{"type": "save", "path": "a.wend", "text": "ahead 2\n", "version": version[w]})
	m := w.next("saved", "conflict")
	require.Equal(t, "conflict", m["type"])
	require.Equal(t, "ahead 1\n", m["theirs"])
	text, err := os.ReadFile(filepath.Join(o.folder, "a.wend"))
	require.NoError(t, err)
	require.Equal(t, "ahead 1\n", string(text))
	// With the version that it was told of, it may.
	w.send(map[string]any{"type": "save", "path": "a.wend", "text": "ahead 2\n", "version": m["version"]})
	require.Equal(t, "saved", w.next("saved", "conflict", "failed")["type"])
	require.Equal(t, "ahead 2\n", v.next("changed")["text"])
}

func TestAChangeFromOutsideIsTold(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a.wend"), []byte(square), 0o644))
	changes := make(chan func(), 1)
	o := openWindowIn(t, Options{Folder: folder, Watch: func(ctx context.Context, _ string, changed func()) error {
		changes <- changed
		<-ctx.Done()
		return nil
	}})
	v := o.view()
	v.send(map[string]any{"type": "open", "path": "a.wend"})
	v.next("opened")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a.wend"), []byte("ahead 8\n"), 0o644))
	changed := <-changes
	changed()
	require.Equal(t, "ahead 8\n", v.next("changed")["text"])
}

// A file that a program reads is told of when it changes, also between the drawing that
// is made ahead and the page that comes for it.
func TestAUsedFileThatChangesIsTold(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644))
	}
	write("a.wend", "use \"part.wend\" as part\nahead part.side()\n")
	write("part.wend", "fn side() { return 10 }\n")
	changes := make(chan func(), 1)
	o := openWindowIn(t, Options{Folder: folder, Watch: func(ctx context.Context, _ string, changed func()) error {
		changes <- changed
		<-ctx.Done()
		return nil
	}})
	changed := <-changes
	cookie := o.in()
	secret := o.secret(cookie)
	o.mu.Lock()
	made := o.ahead
	o.mu.Unlock()
	made.beginning().lanes.wait()
	write("part.wend", "fn side() { return 11 }\n")
	v := o.viewOf(cookie, secret, map[string]any{})
	require.Equal(t, "a.wend", v.next("opened")["path"])
	require.EqualValues(t, 1, v.next("drawn")["id"])
	require.Equal(t, "part.wend", v.next("used")["path"])

	draw := func(id int, text string) float64 {
		v.send(map[string]any{"type": "program", "id": id, "path": "a.wend", "text": text})
		for {
			if m := v.next("drawn"); m["id"].(float64) == float64(id) {
				return m["sheets"].([]any)[0].(map[string]any)["lineMM"].(float64)
			}
		}
	}
	text := "use \"part.wend\" as part\nahead part.side()\n"
	require.EqualValues(t, 11, draw(2, text))
	changed()
	write("part.wend", "fn side() { return 12 }\n")
	changed()
	require.Equal(t, "part.wend", v.next("used")["path"])
	require.EqualValues(t, 12, draw(3, text))
	// One that is taken away, and is back.
	require.NoError(t, os.Remove(filepath.Join(folder, "part.wend")))
	changed()
	require.Equal(t, "part.wend", v.next("used")["path"])
	write("part.wend", "fn side() { return 12 }\n")
	changed()
	require.Equal(t, "part.wend", v.next("used")["path"])
	// What is read no more is not told of.
	require.EqualValues(t, 5, draw(4, "ahead 5\n"))
	write("part.wend", "fn side() { return 13 }\n")
	changed()
	v.send(map[string]any{"type": "program", "id": 5, "path": "a.wend", "text": "ahead 6\n"})
	require.EqualValues(t, 5, v.next("used", "drawn")["id"])
}

func TestASaveOnAFullDiskLeavesTheFileAsItWas(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square})
	o.Server.folder.write = func(file *os.File, data []byte) error {
		file.Write(data[:len(data)/2]) //nolint:errcheck // some of it still found room
		return &os.PathError{Op: "write", Path: file.Name(), Err: syscall.ENOSPC}
	}
	v := o.view()
	v.send(map[string]any{"type": "save", "path": "a.wend", "text": "ahead 1\n", "version": versionOf([]byte(square))})
	m := v.next("saved", "failed", "conflict")
	require.Equal(t, "failed", m["type"])
	require.Contains(t, m["text"], "disk is full")
	entries, err := os.ReadDir(o.folder)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	text, err := os.ReadFile(filepath.Join(o.folder, "a.wend"))
	require.NoError(t, err)
	require.Equal(t, square, string(text))
}

func TestAFolderThatIsProtectedIsSaid(t *testing.T) {
	o := openWindow(t, "", map[string]string{"a.wend": square})
	o.Server.folder.open = func(string, int, os.FileMode) (*os.File, error) {
		return nil, &os.PathError{Op: "open", Err: syscall.EACCES}
	}
	v := o.view()
	for _, message := range []map[string]any{
		{"type": "open", "piece": "fern"}, {"type": "open", "piece": "lesson-1"}, {"type": "new", "path": "b.wend"},
		{"type": "save", "path": "a.wend", "text": "ahead 1\n", "version": versionOf([]byte(square))},
	} {
		v.send(message)
		m := v.next("saved", "opened", "failed")
		require.Contains(t, m["text"], "is protected", "%v", message)
	}
}

func TestUndoIsThereAgainForTheSameTextAlone(t *testing.T) {
	state, folder := t.TempDir(), t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a.wend"), []byte(square), 0o644))
	entries := map[string]any{"done": []any{"x"}}
	v := openWindowIn(t, Options{Folder: folder, State: state}).view()
	v.send(map[string]any{"type": "open", "path": "a.wend"})
	require.Nil(t, v.next("opened")["history"])
	v.send(map[string]any{"type": "history", "path": "a.wend", "entries": entries})
	v.send(map[string]any{"type": "history", "path": "../a.wend", "entries": entries})
	v.send(map[string]any{"type": "files"})
	v.next("files")
	w := openWindowIn(t, Options{Folder: folder, State: state}).view()
	w.send(map[string]any{"type": "open", "path": "a.wend"})
	require.Equal(t, entries, w.next("opened")["history"])
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a.wend"), []byte("ahead 8\n"), 0o644))
	w.send(map[string]any{"type": "open", "path": "a.wend"})
	require.Nil(t, w.next("opened")["history"])
}

func TestOnlyThisComputerIsServed(t *testing.T) {
	_, err := Open(Options{Folder: t.TempDir()}, &net.TCPAddr{IP: net.IPv4(192, 0, 2, 1), Port: 80})
	require.Error(t, err)
	_, err = Open(Options{Folder: filepath.Join(t.TempDir(), "none")}, &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 80})
	require.True(t, errors.Is(err, os.ErrNotExist))
}
