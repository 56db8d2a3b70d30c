package window

import (
	"context"
	"encoding/json"
	"sync"

	"github.com/coder/websocket"
)

// outboxBytes is how much waits for a page that does not read before it is given
// up.
const outboxBytes = 256 << 20

type packet struct {
	kind websocket.MessageType
	data []byte
	slot string // what it takes the place of, while that waits; empty for nothing
}

// outbox keeps messages for a page, in order, so that nobody who has something to
// say waits for the page to read.
type outbox struct {
	mu      sync.Mutex
	giveUp  func()
	waiting []packet
	bytes   int
	come    chan struct{}
}

func newOutbox(giveUp func()) *outbox { return &outbox{giveUp: giveUp, come: make(chan struct{}, 1)} }

// closes says what is called from now on when too much waits.
func (o *outbox) closes(giveUp func()) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.giveUp = giveUp
}

// Text is that of talk.Carrier.
func (o *outbox) Text(message any) { o.text("", message) }

// latest is Text for a message of which only the last one counts.
func (o *outbox) latest(slot string, message any) { o.text(slot, message) }

func (o *outbox) text(slot string, message any) {
	data, err := json.Marshal(message)
	if err != nil {
		return // not of ours: their fields can all be written
	}
	o.put(packet{websocket.MessageText, data, slot})
}

// Binary is that of talk.Carrier.
func (o *outbox) Binary(message []byte) { o.put(packet{websocket.MessageBinary, message, ""}) }

func (o *outbox) put(p packet) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if p.slot != "" {
		for i, before := range o.waiting {
			if before.slot == p.slot {
				o.bytes += len(p.data) - len(before.data)
				o.waiting[i] = p
				return
			}
		}
	}
	o.waiting = append(o.waiting, p)
	if o.bytes += len(p.data); o.bytes > outboxBytes {
		o.giveUp()
		return
	}
	select {
	case o.come <- struct{}{}:
	default:
	}
}

// write sends what comes until the context ends or the page has gone.
func (o *outbox) write(ctx context.Context, conn *websocket.Conn) {
	for {
		o.mu.Lock()
		batch := o.waiting
		o.waiting = nil
		o.mu.Unlock()
		for _, p := range batch {
			limited, done := context.WithTimeout(ctx, writeTime)
			err := conn.Write(limited, p.kind, p.data)
			done()
			if err != nil {
				return
			}
			o.mu.Lock()
			o.bytes -= len(p.data)
			o.mu.Unlock()
		}
		if len(batch) > 0 {
			continue
		}
		select {
		case <-o.come:
		case <-ctx.Done():
			return
		}
	}
}
