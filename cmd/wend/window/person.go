package window

import (
	"context"
	"io"
	"slices"
	"strings"
	"sync"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
)

// person is whoever sits at the window that holds the machine.
type person struct {
	bench *bench

	mu      sync.Mutex
	asking  chan answer // of the question that is open; nil if none is
	waiting []operate.Key
	pressed chan struct{}
	wish    chan struct{} // to stop
}

type answer struct {
	text string
	err  error
}

// left is the answer of who leaves a question, or has gone.
var left = answer{err: operate.ErrLeft}

var _ operate.Person = (*person)(nil)

func newPerson(b *bench) *person {
	return &person{bench: b, pressed: make(chan struct{}, 1), wish: make(chan struct{}, 2)}
}

// Say is that of operate.Person.
func (p *person) Say(text string) {
	kind := "note"
	if slices.Contains(operate.Cautions(), strings.TrimSpace(text)) || strings.HasPrefix(text, "cautions") {
		kind = "caution"
	}
	p.bench.say(sayMessage{Type: "say", Text: strings.TrimSpace(text), Kind: kind})
}

// asOfAPage says the ways out of a terminal as a page has them.
var asOfAPage = strings.NewReplacer(
	"`wend machine jog` brings it to a mark, `wend machine here X Y` says where it is", "look, and move its mark on the sheet to where it stands",
	"say `wend machine here X Y`", "say where it stands",
)

// Diagnose is that of operate.Person.
func (p *person) Diagnose(list diag.List) {
	for _, d := range list {
		text := d.Message
		if d.Hint != "" {
			text += " (" + asOfAPage.Replace(d.Hint) + ")"
		}
		p.Say(text)
	}
}

// Ask is that of operate.Person. Nobody is asked where no window is there.
func (p *person) Ask(ctx context.Context, question string) (string, error) {
	open := make(chan answer, 1)
	p.mu.Lock()
	p.asking = open
	p.mu.Unlock()
	defer func() {
		p.mu.Lock()
		p.asking = nil
		p.mu.Unlock()
	}()
	if !p.bench.asked(question) {
		return "", io.EOF
	}
	select {
	case a := <-open:
		return a.text, a.err
	case <-p.wish:
		return "", operate.ErrLeft
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

// answer answers the question that is open, and nothing otherwise: what was typed
// ahead counts for nothing.
func (p *person) answer(a answer) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.asking != nil {
		select {
		case p.asking <- a:
		default: // it has been answered
		}
	}
}

// Show is that of operate.Person.
func (p *person) Show(status *operate.Status) { p.bench.shown(status) }

// Keys is that of operate.Person.
func (p *person) Keys() operate.Keys { return p }

// Key is that of operate.Keys.
func (p *person) Key(ctx context.Context) (operate.Key, error) {
	for {
		p.mu.Lock()
		if len(p.waiting) > 0 {
			key := p.waiting[0]
			p.waiting = p.waiting[1:]
			p.mu.Unlock()
			return key, nil
		}
		p.mu.Unlock()
		select {
		case <-p.pressed:
		case <-ctx.Done():
			return 0, ctx.Err()
		}
	}
}

// press presses a key. A hold makes any wish to go on void that has not been heard.
func (p *person) press(key operate.Key) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if key == operate.KeyHold {
		p.waiting = slices.DeleteFunc(p.waiting, func(k operate.Key) bool { return k == operate.KeyGoOn || k == operate.KeyHold })
	}
	if len(p.waiting) < 16 {
		p.waiting = append(p.waiting, key)
	}
	select {
	case p.pressed <- struct{}{}:
	default:
	}
}

// stop wishes for a stop: on the line, and when it is wished for again at once.
func (p *person) stop() {
	select {
	case p.wish <- struct{}{}:
	default:
	}
}

// calm forgets keys that were pressed, and stops that were wished for, while nothing
// moved.
func (p *person) calm() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.waiting = nil
	for {
		select {
		case <-p.wish:
		default:
			return
		}
	}
}

// Interrupted is that of operate.Person.
func (p *person) Interrupted() <-chan struct{} { return p.wish }
