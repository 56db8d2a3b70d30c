package main

import (
	"context"
	"errors"
	"io"
	"time"

	"wend/cmd/wend/bench"
	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// connection is a machine whose port is open.
type connection struct {
	operate.Connection
	link      *link.Link
	simulated *simulator.Machine // nil for a real one
	// eraser opens the port of the eraser board; nil where there is none.
	eraser func() (wiper, error)
}

// wiper is an eraser board whose port is open.
type wiper struct {
	bench.Eraser
	close func() error
}

// connect opens the machine at a port. With realTime the simulated one takes
// as long as a real one would.
func (c console) connect(ctx context.Context, settings engine.Settings, port string, realTime bool) (*connection, error) {
	profile := settings.Profile
	port, err := portOf(profile, port)
	if err != nil {
		return nil, err
	}
	if port == simulatedPort {
		return connectSimulated(ctx, settings, realTime)
	}
	if c.onTerminal(c.stderr) {
		// A board may take seconds to greet.
		c.say("opening %s", port)
	}
	kept := link.Disk(c.stateFolder())
	memory, err := link.OpenMemory(kept, profile.Name, profile)
	if err != nil {
		return nil, err
	}
	wire, err := c.port(port, profile.Board.Baud)
	if err != nil {
		memory.Close()
		return nil, err
	}
	release := func() error {
		err := wire.Close()
		memory.Close()
		return err
	}
	l, err := link.Connect(ctx, link.Setup{Wire: wire, Now: c.now, Profile: profile, Memory: memory})
	if err != nil {
		return nil, errors.Join(err, release())
	}
	connected := &connection{link: l, Connection: operate.Connection{
		Machine: l, Name: port, CheckList: checkList(profile, port), Calibrated: profile.Calibrated, Counts: l.Counts(), Kept: kept,
		Nobody: profile.Eraser.Kind == machine.EraserNone, Disturbs: profile.Eraser.DisturbsStylus, Close: release,
	}}
	if e := profile.Eraser; e.Kind == machine.EraserSerial {
		connected.erases(func() (wiper, error) {
			board, err := c.port(e.Port, e.Baud)
			if err != nil {
				return wiper{}, err
			}
			return wiper{bench.Eraser{Wire: board, Says: e, Now: c.now}, board.Close}, nil
		})
	}
	return connected, nil
}

// portOf is the port that is named, or else the profile's: one that the
// machine may be driven at.
func portOf(p *machine.Profile, port string) (string, error) {
	if port == "" {
		port = p.Board.Port
	}
	switch {
	case port == "":
		return "", &diag.Fault{Code: "port-unnamed"}
	case port != simulatedPort && p.BuiltIn:
		return "", &diag.Fault{Code: "machine-unnamed"}
	}
	return port, nil
}

// erases says how the eraser board is reached.
func (c *connection) erases(open func() (wiper, error)) {
	c.eraser = open
	c.Wipe = func(ctx context.Context) error {
		board, err := open()
		if err != nil {
			return err
		}
		return errors.Join(board.WipeClean(ctx), board.close())
	}
}

// simulatedPort is what the simulated machine is called where a port is named.
const simulatedPort = "sim"

// checkList is what a person reads before arming, besides the cautions.
func checkList(p *machine.Profile, port string) []string {
	return []string{"machine: " + p.Name + ", at " + port}
}

// connectSimulated switches on a simulated machine whose stylus stands where
// the settings or the profile say.
func connectSimulated(ctx context.Context, settings engine.Settings, realTime bool) (*connection, error) {
	start := startOf(settings)
	return connectSimulatedAs(ctx, settings, engine.Simulated(settings.Profile, start, machine.Gap{}), realTime)
}

// startOf is where the stylus stands by the settings, or else by the profile.
func startOf(settings engine.Settings) geom.Point {
	if settings.Start != nil {
		return *settings.Start
	}
	return settings.Profile.Area.StartMM
}

// connectSimulatedAs is connectSimulated with a machine that need not be as the
// profile says.
func connectSimulatedAs(ctx context.Context, settings engine.Settings, setup simulator.Setup, realTime bool) (*connection, error) {
	profile, start := settings.Profile, startOf(settings)
	m := simulator.New(setup)
	port, err := m.Open(simulatedWait)
	if err != nil {
		return nil, err
	}
	began := time.Unix(0, 0)
	now := func() time.Time { return began.Add(time.Duration(m.Now() * float64(time.Second))) }
	wire := func(port *simulator.Port) io.ReadWriter {
		if realTime {
			return &paced{Port: port, machine: m}
		}
		return port
	}
	// It is new, so it is known where it stands; but nobody has looked.
	at := link.Place{Steps: link.MotorsAt(profile, start, machine.Gap{})}
	l, err := link.Connect(ctx, link.Setup{Wire: wire(port), Now: now, Profile: profile, At: &at})
	if err != nil {
		return nil, err
	}
	// Whoever wipes a real sheet, here it is the simulated eraser, as it is by
	// itself.
	eraser := machine.Eraser{Send: simulator.EraserSend, Done: simulator.EraserDone, TimeoutS: 10}
	if e := profile.Eraser; e.Kind == machine.EraserSerial {
		eraser = e
	}
	connected := &connection{link: l, simulated: m, Connection: operate.Connection{
		Machine: l, Name: "the simulated machine", CheckList: checkList(profile, simulatedPort), Calibrated: true, Counts: true,
		Disturbs: profile.Eraser.DisturbsStylus, Close: port.Close,
	}}
	connected.erases(func() (wiper, error) {
		board, err := m.Eraser().Open(simulatedWait)
		if err != nil {
			return wiper{}, err
		}
		return wiper{bench.Eraser{Wire: wire(board), Says: eraser, Now: now}, board.Close}, nil
	})
	return connected, nil
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
