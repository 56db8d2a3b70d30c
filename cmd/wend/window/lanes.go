package window

import (
	"context"
	"sync"

	"wend/cmd/wend/window/talk"
)

// mostAtOnce is how many requests of one page are worked on at a time.
const mostAtOnce = 32

// lanes answer the requests of one page. Of each type that draws, the newest
// counts: what still runs is cancelled. A new text cancels all that the one before
// was drawn for.
type lanes struct {
	ctx     context.Context
	session *talk.Session
	out     *outbox
	over    sync.WaitGroup

	mu      sync.Mutex
	running map[string]context.CancelFunc
	count   int
}

func newLanes(ctx context.Context, session *talk.Session, out *outbox) *lanes {
	return &lanes{ctx: ctx, session: session, out: out, running: map[string]context.CancelFunc{}}
}

// replaced are the types whose requests end when one of a type comes.
var replaced = map[string][]string{
	"program":    {"program", "variations", "steps", "as-drawn"},
	"variations": {"variations"},
	"steps":      {"steps"},
	"as-drawn":   {"as-drawn"},

	"lesson-check": {"lesson-check"},
}

// take begins to answer a request.
func (l *lanes) take(kind string, id uint32, message []byte) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, before := range replaced[kind] {
		if cancel := l.running[before]; cancel != nil {
			cancel()
			delete(l.running, before)
		}
	}
	if l.count >= mostAtOnce {
		l.out.Text(talk.Failed{Type: "failed", ID: id, Text: "Too much was asked at once; this was not done."})
		return
	}
	l.count++
	ctx, cancel := context.WithCancel(l.ctx)
	if replaced[kind] != nil {
		l.running[kind] = cancel
	}
	l.over.Go(func() {
		defer cancel()
		l.session.Answer(ctx, message)
		l.mu.Lock()
		defer l.mu.Unlock()
		l.count--
	})
}

// wait waits until all have ended; the context has.
func (l *lanes) wait() { l.over.Wait() }
