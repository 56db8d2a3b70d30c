package main

import (
	"context"
	"errors"
	"io"
	"time"

	"wend/cmd/wend/drawing"
	"wend/cmd/wend/live"
	"wend/lang/diag"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// connect opens the machine at a port. With realTime the simulated one takes
// as long as a real one would.
func (c console) connect(ctx context.Context, settings drawing.Settings, port string, realTime bool) (*live.Connection, error) {
	profile := settings.Profile
	if port == "" {
		port = profile.Board.Port
	}
	switch {
	case port == "sim":
		return connectSimulated(ctx, settings, realTime)
	case port == "":
		return nil, &diag.Fault{Code: "port-unnamed"}
	case profile.BuiltIn:
		return nil, &diag.Fault{Code: "machine-unnamed"}
	}
	memory, err := link.OpenMemory(link.Disk(c.stateFolder()), profile.Name, profile)
	if err != nil {
		return nil, err
	}
	wire, err := link.OpenPort(port, profile.Board.Baud)
	if err != nil {
		memory.Close()
		return nil, err
	}
	release := func() error {
		err := wire.Close()
		memory.Close()
		return err
	}
	l, err := link.Connect(ctx, link.Setup{Wire: wire, Now: time.Now, Profile: profile, Memory: memory})
	if err != nil {
		return nil, errors.Join(err, release())
	}
	connection := &live.Connection{
		Machine: l, Name: port, CheckList: checkList(profile, port), Calibrated: profile.Calibrated,
		Nobody: profile.Eraser.Kind == machine.EraserNone, Disturbs: profile.Eraser.DisturbsStylus, Close: release,
	}
	if e := profile.Eraser; e.Kind == machine.EraserSerial {
		connection.Wipe = func(ctx context.Context) error {
			board, err := link.OpenPort(e.Port, e.Baud)
			if err != nil {
				return err
			}
			return errors.Join(wipe(ctx, board, e, time.Now), board.Close())
		}
	}
	return connection, nil
}

// checkList is what a person reads before arming.
func checkList(p *machine.Profile, port string) []string {
	return append([]string{"machine: " + p.Name + ", at " + port}, cautions()...)
}

// connectSimulated switches on a simulated machine whose stylus stands where
// the profile says.
func connectSimulated(ctx context.Context, settings drawing.Settings, realTime bool) (*live.Connection, error) {
	profile := settings.Profile
	start := profile.Area.StartMM
	m := simulator.New(drawing.Simulated(profile, start, machine.Side{X: 1, Y: 1}))
	port, err := m.Open(simulatedWait)
	if err != nil {
		return nil, err
	}
	began := time.Unix(0, 0)
	now := func() time.Time { return began.Add(time.Duration(m.Now() * float64(time.Second))) }
	var wire io.ReadWriter = port
	if realTime {
		wire = &paced{Port: port, machine: m}
	}
	l, err := link.Connect(ctx, link.Setup{Wire: wire, Now: now, Profile: profile})
	if err != nil {
		return nil, err
	}
	// It is new, so it is known where it stands; but nobody has looked.
	if err := errors.Join(l.Declare(ctx, start), l.Doubt()); err != nil {
		return nil, err
	}
	// Whoever wipes a real sheet, here it is the simulated eraser, as it is by
	// itself.
	eraser := machine.Eraser{Send: "ERASE", Done: "DONE", TimeoutS: 10}
	if e := profile.Eraser; e.Kind == machine.EraserSerial {
		eraser = e
	}
	return &live.Connection{
		Machine: l, Name: "the simulated machine", CheckList: checkList(profile, "sim"), Calibrated: true,
		Disturbs: profile.Eraser.DisturbsStylus, Close: port.Close,
		Wipe: func(ctx context.Context) error {
			board, err := m.Eraser().Open(simulatedWait)
			if err != nil {
				return err
			}
			var wire io.ReadWriter = board
			if realTime {
				wire = &paced{Port: board, machine: m}
			}
			return errors.Join(wipe(ctx, wire, eraser, now), board.Close())
		},
	}, nil
}

// simulatedWait is how much time passes at most while a simulated port is read.
const simulatedWait = 10 * time.Millisecond

// paced lets simulated time pass no faster than real time. It lets some
// milliseconds come together before it sleeps, since a byte takes less than the
// shortest sleep.
type paced struct {
	*simulator.Port
	machine *simulator.Machine
	ahead   time.Duration // simulated time over real time, since last
	last    time.Time
}

func (p *paced) Read(dst []byte) (int, error) {
	const together = 5 * time.Millisecond
	before := p.machine.Now()
	n, err := p.Port.Read(dst)
	now := time.Now()
	if !p.last.IsZero() {
		// Time during which nobody read is not made up for.
		p.ahead = max(0, p.ahead-now.Sub(p.last))
	}
	p.last = now
	p.ahead += time.Duration((p.machine.Now() - before) * float64(time.Second))
	if p.ahead > together {
		time.Sleep(p.ahead)
	}
	return n, err
}
