package window

import (
	"context"
	"encoding/json"
	"net/http"
	"sync"
	"time"

	"github.com/coder/websocket"

	"wend/cmd/wend/window/talk"
)

// socket is a page that is connected.
type socket struct {
	server *Server
	conn   *websocket.Conn
	out    *outbox // nil until the page has said who it is
	lanes  *lanes
	used   *used
	leave  context.CancelFunc
	gone   chan struct{}

	mu    sync.Mutex
	known map[string]string // versions of open files, as this page has them
}

// Bounds of a socket.
const (
	helloTime    = 5 * time.Second
	messageBytes = talk.LongestText + 1<<20 // a text, and what stands around it
	writeTime    = 30 * time.Second
)

// connect takes the socket of a page that was let in.
func (s *Server) connect(w http.ResponseWriter, r *http.Request) {
	if r.Header.Get("Origin") != s.origin {
		refuse(w)
		return
	}
	ctx, leave := context.WithCancel(r.Context())
	defer leave()
	one := &socket{server: s, leave: leave, gone: make(chan struct{}), known: map[string]string{}}
	defer close(one.gone)
	s.mu.Lock()
	full := len(s.sockets) >= mostSockets
	if !full {
		s.sockets[one] = true
	}
	s.mu.Unlock()
	if full {
		refuse(w)
		return
	}
	defer func() {
		s.mu.Lock()
		delete(s.sockets, one)
		s.mu.Unlock()
	}()
	conn, err := websocket.Accept(w, r, &websocket.AcceptOptions{CompressionMode: websocket.CompressionDisabled})
	if err != nil {
		return
	}
	defer conn.CloseNow() //nolint:errcheck // it has gone
	conn.SetReadLimit(messageBytes)
	one.conn = conn
	hello, from := one.greeted(ctx)
	if !from {
		conn.Close(websocket.StatusPolicyViolation, "not from here") //nolint:errcheck // it has gone
		return
	}
	begun := s.begun(hello.Begin)
	defer begun.leave()
	begun.out.closes(leave)
	one.lanes, one.used = begun.lanes, begun.used
	if begun.path != "" {
		one.knows(begun.path, begun.version)
	}
	s.mu.Lock()
	one.out = begun.out
	s.mu.Unlock()
	s.bench.greet(one)
	var over sync.WaitGroup
	over.Go(func() { one.out.write(ctx, conn); leave() })
	over.Go(func() { one.ping(ctx) })
	// What changed before this page was there to be told.
	over.Go(one.tellUsed)
	if hello.Begin != nil {
		one.files(ctx, hello)
	}
	one.read(ctx)
	s.bench.gone(one)
	leave()
	begun.leave()
	one.lanes.wait()
	over.Wait()
}

// ping asks the page's socket whether it is there: the browser answers by itself,
// also where the page is hidden.
func (k *socket) ping(ctx context.Context) {
	tick := time.NewTicker(pingTime)
	defer tick.Stop()
	for {
		if k.conn.Ping(ctx) != nil {
			return
		}
		k.server.bench.answered(k)
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
	}
}

// greeted gives the first message, and reports whether it holds the secret of a
// served page.
func (k *socket) greeted(ctx context.Context) (*fromPage, bool) {
	ctx, done := context.WithTimeout(ctx, helloTime)
	defer done()
	kind, data, err := k.conn.Read(ctx)
	var hello fromPage
	return &hello, err == nil && kind == websocket.MessageText && json.Unmarshal(data, &hello) == nil &&
		hello.Type == "hello" && k.server.pages.has(hello.Secret)
}

// read takes messages until the page has gone.
func (k *socket) read(ctx context.Context) {
	for {
		kind, data, err := k.conn.Read(ctx)
		if err != nil {
			return
		}
		var head struct {
			Type string `json:"type"`
			ID   uint32 `json:"id"`
		}
		if kind != websocket.MessageText || json.Unmarshal(data, &head) != nil {
			k.out.Text(talk.Failed{Type: "failed", Text: "This message could not be read."})
			continue
		}
		switch handle := pageMessages[head.Type]; {
		case talk.Handles(head.Type):
			if head.Type == "program" {
				k.used.forget()
			}
			k.lanes.take(head.Type, head.ID, data)
		case handle != nil:
			var m fromPage
			if err := json.Unmarshal(data, &m); err != nil {
				k.out.Text(talk.Failed{Type: "failed", ID: head.ID, Text: "This message could not be read."})
				continue
			}
			handle(k, ctx, &m)
		default:
			k.out.Text(talk.Failed{Type: "failed", ID: head.ID, Text: "Nothing is known here of a message of this type."})
		}
	}
}
