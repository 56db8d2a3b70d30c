package window

import (
	"context"
	"encoding/json"
	"net"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/coder/websocket"
)

// pipes are a network within the test, so that a window on it lives in the test's own
// time.
type pipes struct {
	calls  chan net.Conn
	closed chan struct{}
	once   sync.Once
	// silent: what a browser says is lost on the way from now on.
	silent atomic.Bool
}

func newPipes() *pipes { return &pipes{calls: make(chan net.Conn), closed: make(chan struct{})} }

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case conn := <-p.calls:
		return conn, nil
	case <-p.closed:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error {
	p.once.Do(func() { close(p.closed) })
	return nil
}

func (p *pipes) Addr() net.Addr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 4321} }

func (p *pipes) dial(ctx context.Context, _, _ string) (net.Conn, error) {
	here, there := net.Pipe()
	select {
	case p.calls <- there:
		return &quietable{here, p}, nil
	case <-p.closed:
		return nil, net.ErrClosed
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

type quietable struct {
	net.Conn
	pipes *pipes
}

func (q *quietable) Write(b []byte) (int, error) {
	if q.pipes.silent.Load() {
		return len(b), nil
	}
	return q.Conn.Write(b)
}

// listening is a view that reads all the time, as a browser does: it answers whoever
// asks whether it is there.
func (o *opened) listening(t *testing.T) *view {
	v := o.view()
	v.come = make(chan map[string]any, 10000)
	go func() {
		for {
			kind, data, err := v.conn.Read(context.Background())
			if err != nil {
				return
			}
			var m map[string]any
			if kind == websocket.MessageText && json.Unmarshal(data, &m) == nil {
				v.come <- m
			}
		}
	}()
	return v
}
