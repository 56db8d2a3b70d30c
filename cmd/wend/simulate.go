package main

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"strings"
	"time"

	"github.com/creack/pty"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"wend/cmd/wend/drawing"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/preview"
	"wend/runtime/simulator"
)

type simulateFlags struct {
	profileFlags
	picture string
	eraser  bool
}

func newSimulate(c console) *cobra.Command {
	var f simulateFlags
	cmd := &cobra.Command{
		Use:   "simulate",
		Short: "the simulated machine on a pseudo-terminal, for any serial client",
		Long: `Opens a pseudo-terminal, prints its name, and answers there like a motion board with
the machine of the profile behind it: steps, slack, skew, walls. It runs in real time
until Ctrl-C, then writes a picture of what the stylus really drew (one for each sheet
that was wiped) and tells what it ran into.

A pseudo-terminal cannot tell when it is opened: unlike most boards, this one is not
reset by that. The reset byte of the wire resets it.`,
		Example: `  wend simulate
  wend simulate --machine bench.toml --eraser --picture bench.png`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !strings.HasSuffix(f.picture, ".png") {
				return usagef("--picture names a .png file, not `%s`", f.picture)
			}
			return c.simulate(cmd.Context(), &f)
		},
	}
	f.add(cmd)
	cmd.Flags().StringVar(&f.picture, "picture", "simulated.png", "`file` for the picture of what was drawn")
	cmd.Flags().BoolVar(&f.eraser, "eraser", false, "also the eraser board, on a pseudo-terminal of its own")
	return cmd
}

// wallClock is the time of the room.
type wallClock struct{}

func (wallClock) Now() time.Time                         { return time.Now() }
func (wallClock) After(d time.Duration) <-chan time.Time { return time.After(d) }

// pseudo is a pseudo-terminal that passes bytes on as they are. The far end is
// kept open, so that clients may come and go.
type pseudo struct{ near, far *os.File }

func openPseudo() (*pseudo, error) {
	near, far, err := pty.Open()
	if err != nil {
		return nil, err
	}
	p := &pseudo{near, far}
	if _, err := term.MakeRaw(int(far.Fd())); err != nil {
		return nil, errors.Join(err, p.close())
	}
	return p, nil
}

func (p *pseudo) close() error { return errors.Join(p.near.Close(), p.far.Close()) }

func (c console) simulate(ctx context.Context, f *simulateFlags) error {
	profile, list := c.profile(f.machine)
	c.show(list, f.plain)
	if list.Failed() {
		return exit(exitErrors)
	}
	m := simulator.New(drawing.Simulated(profile, profile.Area.StartMM, machine.Gap{}))
	var ends []*pseudo
	open := func() (*pseudo, error) {
		end, err := openPseudo()
		if err != nil {
			return nil, &diag.Fault{Code: "simulate-terminal", Args: diag.Args{"reason": err.Error()}}
		}
		ends = append(ends, end)
		return end, nil
	}
	board, err := open()
	if err != nil {
		return c.refuse(err)
	}
	serving, stop := context.WithCancel(ctx)
	defer stop()
	served := make(chan error, 2)
	c.tell("board %s\n", board.far.Name())
	go func() { served <- m.Serve(serving, board.near, wallClock{}) }()
	if f.eraser {
		eraser, err := open()
		if err != nil {
			return c.refuse(err)
		}
		c.tell("eraser %s\n", eraser.far.Name())
		send, done := profile.Eraser.Send, profile.Eraser.Done
		if send == "" {
			send, done = simulator.EraserSend, simulator.EraserDone
		}
		c.say("the eraser begins at %q and answers %q", send, done)
		go func() { served <- m.Eraser().Serve(serving, eraser.near, wallClock{}) }()
	}
	c.say("%s, simulated; Ctrl-C ends and draws what the stylus did", profile.Name)
	err = <-served
	stop()
	for _, end := range ends {
		end.close() //nolint:errcheck // nobody uses it any more
	}
	if err != nil && !errors.Is(err, context.Canceled) {
		c.show(drawing.Faults(err), f.plain)
		return exit(exitMachine)
	}
	return c.simulated(f, profile, m)
}

// simulated tells what a machine did, and draws it.
func (c console) simulated(f *simulateFlags, profile *machine.Profile, m *simulator.Machine) error {
	look := m.Look()
	result := simulatedJSON{LostSteps: look.LostSteps, Contacts: []contactJSON{}}
	outputs, lengthMM, err := drawnBy(m, profile, strings.TrimSuffix(f.picture, ".png"), math.MaxInt)
	if err != nil {
		return c.refuse(err)
	}
	result.LineMM, result.Pictures = lengthMM, namesOf(outputs)
	result.LineMM = micron(result.LineMM)
	for _, contact := range look.Contacts {
		result.Contacts = append(result.Contacts, contactJSON{wallOf(contact), micron(contact.TimeS), micron(contact.OverrunMM)})
	}
	if err := commit(outputs, nil); err != nil {
		return c.refuse(err)
	}
	if f.json {
		if err := c.writeJSON(result); err != nil {
			return exit(exitErrors)
		}
		return nil
	}
	c.tell("drew %s on %s\n", gcode.Length(result.LineMM), sheetCount(len(outputs)))
	for _, contact := range result.Contacts {
		c.tell("ran into the %s wall after %.1f s: the motor pulled on for %.2f mm\n", contact.Wall, contact.TimeS, contact.OverrunMM)
	}
	if len(result.Contacts) == 0 {
		c.tell("touched no wall\n")
	}
	for _, name := range result.Pictures {
		c.tell("wrote %s\n", name)
	}
	return nil
}

// drawnBy makes the pictures of what a simulated machine really drew, on its
// last sheets, at most so many; with the length of all their lines, mm.
func drawnBy(m *simulator.Machine, p *machine.Profile, base string, most int) (outputs []output, lengthMM float64, err error) {
	var lines [][]geom.Point
	for _, sheet := range m.Sheets() {
		lines = append(lines, sheet.Line)
	}
	lines = append(lines, m.Trace())
	lines = lines[max(0, len(lines)-most):]
	page := p.Page()
	for i, line := range lines {
		lengthMM += geom.Length(line)
		on := make([]geom.Point, len(line))
		for k, at := range line {
			on[k] = p.ToPage(at)
		}
		var picture bytes.Buffer
		err := preview.PNG(context.Background(), &picture, preview.Picture{
			Page:   preview.Page{WidthMM: page.Width(), HeightMM: page.Height(), MarginMM: p.Area.MarginMM},
			Points: on, LineWidthMM: p.Drawing.LineWidthMM,
		}, preview.Options{})
		if err != nil {
			return nil, 0, err
		}
		outputs = append(outputs, output{name: sheetName(base, i) + ".png", data: picture.Bytes()})
	}
	return outputs, lengthMM, nil
}

func namesOf(outputs []output) []string {
	all := make([]string, 0, len(outputs))
	for _, o := range outputs {
		all = append(all, o.name)
	}
	return all
}

func wallOf(contact simulator.Contact) string {
	switch {
	case contact.Axis == simulator.X && contact.Beyond:
		return "right"
	case contact.Axis == simulator.X:
		return "left"
	case contact.Beyond:
		return "upper"
	}
	return "lower"
}

// simulatedJSON is what `wend simulate --json` prints at its end. The fields
// are a promise: they may be added to, not renamed.
type simulatedJSON struct {
	LineMM    float64       `json:"line_mm"`
	Contacts  []contactJSON `json:"wall_contacts"`
	LostSteps [2]int64      `json:"lost_steps"`
	Pictures  []string      `json:"pictures"`
}

type contactJSON struct {
	Wall      string  `json:"wall"`
	TimeS     float64 `json:"time_s"`
	OverrunMM float64 `json:"overrun_mm"`
}
