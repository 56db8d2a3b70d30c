package simulator

import (
	"context"
	"errors"
	"io"
	"os"
	"time"
)

// line is one end of a wire, as Port and Serve use it; the machine is locked.
type line interface {
	receive([]byte)
	transmit(dst []byte, most int) []byte
	speaks() bool // whether bytes are due
}

func (m *Machine) speaks() bool { return m.out.due() <= m.now }

func (e *Eraser) speaks() bool { return e.out.due() <= e.m.now }

// ErrUnplugged is what a port gives while its cable is out.
var ErrUnplugged = errors.New("the cable of the simulated machine is out")

// Port is an open serial port in the same process. Reading it lets virtual time
// pass: Read gives the bytes that are due; when there are none it lets time
// pass until there are, at most for the port's timeout, and then gives 0 and
// no error, as serial ports with a timeout do. So whoever reads drives the
// time, and there should be one such reader at a time: with several ports, the
// others have a timeout of 0, with which Read never lets time pass.
// Write takes no time: bytes are on the wire, and come through at the baud rate.
type Port struct {
	m       *Machine
	end     line
	timeout float64 // seconds
	closed  bool
}

// Open opens the port of the motion board. That resets it, unless it is built
// to keep running. The error is ErrUnplugged.
func (m *Machine) Open(timeout time.Duration) (*Port, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.unplugged {
		return nil, ErrUnplugged
	}
	m.motion.run(m.now, false)
	m.in.clear(m.now)
	m.out.clear(m.now)
	if !m.board.KeepsRunning {
		m.boot()
	}
	return &Port{m: m, end: m, timeout: timeout.Seconds()}, nil
}

// Open opens the port of the eraser board.
func (e *Eraser) Open(timeout time.Duration) (*Port, error) {
	e.m.mu.Lock()
	defer e.m.mu.Unlock()
	return &Port{m: e.m, end: e, timeout: timeout.Seconds()}, nil
}

// SetReadTimeout changes how long Read waits, in virtual time.
func (p *Port) SetReadTimeout(timeout time.Duration) error {
	p.m.mu.Lock()
	defer p.m.mu.Unlock()
	p.timeout = max(0, timeout.Seconds())
	return nil
}

// Read gives bytes that are due. The error is ErrUnplugged or os.ErrClosed.
func (p *Port) Read(dst []byte) (int, error) {
	p.m.mu.Lock()
	defer p.m.mu.Unlock()
	if err := p.usable(); err != nil || len(dst) == 0 {
		return 0, err
	}
	stop := func() bool { return p.end.speaks() || p.usable() != nil }
	if !stop() && p.timeout > 0 {
		p.m.advanceByByte(p.m.now+p.timeout, stop)
	}
	if err := p.usable(); err != nil {
		return 0, err
	}
	return len(p.end.transmit(dst[:0], len(dst))), nil
}

// Write puts bytes on the wire. The error is ErrUnplugged or os.ErrClosed.
func (p *Port) Write(src []byte) (int, error) {
	p.m.mu.Lock()
	defer p.m.mu.Unlock()
	if err := p.usable(); err != nil {
		return 0, err
	}
	p.end.receive(src)
	return len(src), nil
}

// Close closes the port; the board goes on with what it holds.
func (p *Port) Close() error {
	p.m.mu.Lock()
	defer p.m.mu.Unlock()
	p.closed = true
	return nil
}

func (p *Port) usable() error {
	if p.closed {
		return os.ErrClosed
	}
	if p.m.unplugged && p.end == line(p.m) {
		return ErrUnplugged
	}
	return nil
}

// Clock is the time that passes while a machine is served.
type Clock interface {
	Now() time.Time
	After(time.Duration) <-chan time.Time
}

// served is how often, at least, a served machine looks at the clock: often
// while something is under way, seldom when only the host can begin anything.
const (
	servedBusy = time.Millisecond
	servedIdle = 20 * time.Millisecond
)

// Serve lets the board speak through rw while the time of a clock passes, until
// the context is done, reading fails, or the host hangs up (io.EOF: no error).
// It reads rw in a goroutine of its own, which ends when rw is closed.
func (m *Machine) Serve(ctx context.Context, rw io.ReadWriter, clock Clock) error {
	return m.serve(ctx, rw, clock, m)
}

// Serve lets the eraser speak through rw. Time passes by the motion board's
// Serve alone, which must run too.
func (e *Eraser) Serve(ctx context.Context, rw io.ReadWriter, clock Clock) error {
	return e.m.serve(ctx, rw, clock, e)
}

func (m *Machine) serve(ctx context.Context, rw io.ReadWriter, clock Clock, end line) error {
	stop, cancel := context.WithCancel(ctx)
	defer cancel()
	heard := make(chan []byte)
	failed := make(chan error, 1)
	go func() {
		for {
			chunk := make([]byte, 256)
			n, err := rw.Read(chunk)
			if n > 0 {
				select {
				case heard <- chunk[:n]:
				case <-stop.Done():
					return
				}
			}
			if err != nil {
				failed <- err
				return
			}
		}
	}()
	last := clock.Now()
	catchUp := func() {
		now := clock.Now()
		if end == line(m) {
			m.advance(m.now+max(0, now.Sub(last).Seconds()), func() bool { return false })
		}
		last = now
	}
	for {
		m.mu.Lock()
		catchUp()
		said := end.transmit(nil, maxBytes)
		pause := servedIdle
		if m.underWay() {
			pause = servedBusy
		}
		m.mu.Unlock()
		if len(said) > 0 {
			if _, err := rw.Write(said); err != nil {
				return err
			}
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case err := <-failed:
			if errors.Is(err, io.EOF) {
				return nil
			}
			return err
		case chunk := <-heard:
			m.mu.Lock()
			catchUp()
			end.receive(chunk)
			m.mu.Unlock()
		case <-clock.After(pause):
		}
	}
}

// underWay reports whether anything happens without the host.
func (m *Machine) underWay() bool {
	return m.booting || m.motion.moving() || m.order != nil || m.ready ||
		m.in.head < len(m.in.bytes) || m.out.head < len(m.out.bytes) ||
		m.eraser.in.head < len(m.eraser.in.bytes) || m.eraser.out.head < len(m.eraser.out.bytes)
}
