package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/creack/pty"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/runtime/calibrate"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

type simulateFlags struct {
	profileFlags
	picture            string
	eraser             bool
	seed               uint64
	hides              bool // a seed was given
	steps, speed, axes string
}

func newSimulate(c console) *cobra.Command {
	var f simulateFlags
	cmd := &cobra.Command{
		Use:   "simulate",
		Short: "the simulated machine on a pseudo-terminal, for any serial client",
		Long: `Opens a pseudo-terminal, prints its name, and answers there like a motion board with
the machine of the profile behind it: steps, slack, skew, walls. It runs in real time
until Ctrl-C or ` + "`quit`" + `, and tells then what it ran into. The picture shows what the stylus
really drew. It is written anew while that grows, once a second at most; each sheet that
was wiped is kept beside it, as NAME.sheet-1.png, NAME.sheet-2.png and so on.

Meanwhile orders can be typed, or come line by line from standard input: ` + "`picture`" + ` writes
the picture at once, ` + "`wipe`" + ` wipes the sheet by hand, ` + "`turn x 5`" + ` turns a knob by hand,
` + "`bring 70 50`" + ` brings the stylus there, ` + "`where`" + ` says where it is; ` + "`help`" + ` lists them.

The machine need not be as the profile says. --seed hides its scale, slack and skew,
those that the same seed hides in a rehearsal (` + "`wend machine tune --port sim`" + `); the stylus
is about the middle then, and the end tells what was hidden. --board-steps, --board-speed
and --board-reversed are what the board itself is set to, rightly or wrongly.

A pseudo-terminal cannot tell when it is opened: unlike most boards, this one is not
reset by that. The reset byte of the wire resets it.

wend itself can draw on it from another terminal, as on a real machine:
` + "`wend machine here 0 0 --machine FILE`" + `, then ` + "`wend send NAME.wend --machine FILE --port PORT`" + `,
with the port that is printed here and a profile that says calibrated = true.`,
		Example: `  wend simulate
  wend simulate --machine bench.toml --eraser --picture bench.png
  wend simulate --machine bench.toml --seed 7 --board-reversed x
  wend simulate --board-steps 80,100 --board-speed 40,40`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if !strings.HasSuffix(f.picture, ".png") {
				return usagef("--picture names a .png file, not `%s`", f.picture)
			}
			f.hides = cmd.Flags().Changed("seed")
			return c.simulate(cmd.Context(), &f)
		},
	}
	f.add(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.picture, "picture", "simulated.png", "`file` for the picture of what was drawn")
	flags.BoolVar(&f.eraser, "eraser", false, "also the eraser board, on a pseudo-terminal of its own")
	flags.Uint64Var(&f.seed, "seed", 0, "`number` of a machine with a scale, slack and skew of its own; 0 takes another every time")
	flags.StringVar(&f.steps, "board-steps", "", "steps per mm that the board is set to, `X,Y` (without it: as in the profile)")
	flags.StringVar(&f.speed, "board-speed", "", "largest speed that the board is set to, `X,Y` in mm/s (without it: as in the profile)")
	flags.StringVar(&f.axes, "board-reversed", "", "`axes` whose direction the board is set to turn round: x, y, xy or none (without it: as in the profile)")
	return cmd
}

// misset changes what the board is set to.
func (f *simulateFlags) misset(board *simulator.Board) error {
	pair := func(flag, text, example string, most float64, to *[2]float64, times float64) error {
		if text == "" {
			return nil
		}
		at, err := parsePoint(text)
		if err != nil || at.X <= 0 || at.Y <= 0 || at.X > most || at.Y > most {
			return usagef("--%s takes two numbers above 0 and up to %g, such as %s, not `%s`", flag, most, example, text)
		}
		*to = [2]float64{at.X * times, at.Y * times}
		return nil
	}
	if err := pair("board-steps", f.steps, "80,100", 100_000, &board.StepsPerMM, 1); err != nil {
		return err
	}
	if err := pair("board-speed", f.speed, "40,40", 10_000, &board.RateMMPerMin, 60); err != nil {
		return err
	}
	switch f.axes {
	case "":
	case "none", "x", "y", "xy":
		board.DirectionMask = map[string]int{"x": 1, "y": 2, "xy": 3}[f.axes]
	default:
		return usagef("--board-reversed knows x, y, xy and none, not `%s`", f.axes)
	}
	return nil
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

// simulation is one run of a simulated machine, beside which somebody stands.
type simulation struct {
	c       console
	plain   bool
	profile *machine.Profile
	machine *simulator.Machine
	album   album
	hidden  *hidden // nil for a machine that is as the profile says
}

func (c console) newSimulation(f *simulateFlags) (*simulation, error) {
	profile, list := c.profile(f.machine)
	c.show(list, f.plain)
	if list.Failed() {
		return nil, exit(exitErrors)
	}
	s := &simulation{c: c, plain: f.plain, profile: profile}
	setup := engine.Simulated(profile, profile.Area.StartMM, machine.Gap{})
	if f.hides {
		h := hide(profile, calibrate.Parts(), c.seedOr(f.seed))
		s.hidden, setup = &h, h.setup
	}
	if err := f.misset(&setup.Board); err != nil {
		return nil, err
	}
	s.machine = simulator.New(setup)
	s.album = album{machine: s.machine, profile: profile, base: strings.TrimSuffix(f.picture, ".png")}
	return s, nil
}

func (c console) simulate(ctx context.Context, f *simulateFlags) error {
	s, err := c.newSimulation(f)
	if err != nil {
		return err
	}
	// A folder that is not there is found out before the drawing, not after it.
	if err := s.album.update(ctx); err != nil {
		return c.refuse(err)
	}
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
	go func() { served <- s.machine.Serve(serving, board.near, wallClock{}) }()
	if f.eraser {
		eraser, err := open()
		if err != nil {
			return c.refuse(err)
		}
		c.tell("eraser %s\n", eraser.far.Name())
		send, done := s.profile.Eraser.Send, s.profile.Eraser.Done
		if send == "" {
			send, done = simulator.EraserSend, simulator.EraserDone
		}
		c.say("the eraser begins at %q and answers %q", send, done)
		go func() { served <- s.machine.Eraser().Serve(serving, eraser.near, wallClock{}) }()
	}
	err = s.attend(serving, stop, served)
	stop()
	for _, end := range ends {
		end.close() //nolint:errcheck // nobody uses it any more
	}
	if err != nil && !errors.Is(err, context.Canceled) {
		s.failed(err)
		return exit(exitMachine)
	}
	return s.told(f)
}

// attend obeys what is typed, and keeps the pictures up to date, until the
// machine is served no more.
func (s *simulation) attend(ctx context.Context, stop func(), served <-chan error) error {
	lines, typed, release := s.lines(stop)
	defer release()
	name := s.profile.Name + ", simulated"
	if s.hidden != nil {
		name = fmt.Sprintf("a simulated machine of the size of %s, which hides what is otherwise (seed %d); the stylus is about the middle", s.profile.Name, s.hidden.seed)
	}
	if typed {
		s.c.say("%s", s.c.paragraph(s.c.stderr, "", name+". `help` lists what can be typed; `quit` or Ctrl-C ends. The picture is "+s.album.name()))
	} else {
		s.c.say("%s; Ctrl-C ends", name)
	}
	if lines != nil {
		go func() {
			if s.prompt(ctx, lines, typed) {
				stop()
			}
		}()
	}
	grown := make(chan struct{})
	go func() {
		defer close(grown)
		s.album.grow(ctx, s.failed)
	}()
	err := <-served
	stop()
	<-grown
	return err
}

// failed says what went wrong beside the machine.
func (s *simulation) failed(err error) { s.c.show(engine.Faults(err), s.plain) }

// told tells what the machine did, and draws it.
func (s *simulation) told(f *simulateFlags) error {
	look := s.machine.Look()
	result := simulatedJSON{LostSteps: look.LostSteps, Contacts: []contactJSON{}}
	if err := s.album.update(context.Background()); err != nil {
		return s.c.refuse(err)
	}
	result.Pictures = s.album.all()
	for _, line := range linesOf(s.machine) {
		result.LineMM += geom.Length(line)
	}
	result.LineMM = micron(result.LineMM)
	for _, contact := range look.Contacts {
		result.Contacts = append(result.Contacts, contactJSON{wallOf(contact), micron(contact.TimeS), micron(contact.OverrunMM)})
	}
	if s.hidden != nil {
		result.Hidden = &simulatedHiddenJSON{s.hidden.seed, s.hidden.truths()}
	}
	if f.json {
		if err := s.c.writeJSON(result); err != nil {
			return exit(exitErrors)
		}
		return nil
	}
	result.tell(s.c)
	return nil
}

func (r *simulatedJSON) tell(c console) {
	c.tell("drew %s on %s\n", gcode.Length(r.LineMM), diag.Counted(len(r.Pictures), "sheet"))
	for _, contact := range r.Contacts {
		c.tell("ran into the %s wall after %.1f s, and was pulled on for %.2f mm\n", contact.Wall, contact.TimeS, contact.OverrunMM)
	}
	if len(r.Contacts) == 0 {
		c.tell("touched no wall\n")
	}
	if r.Hidden != nil {
		c.tell("the machine of seed %d:\n", r.Hidden.Seed)
		for _, f := range r.Hidden.Figures {
			c.tell("  %-10s %.2f %s\n", f.Name, f.Truth, f.Unit)
		}
	}
	for _, name := range r.Pictures {
		c.tell("wrote %s\n", name)
	}
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
	// Hidden is what --seed made otherwise than the profile says.
	Hidden *simulatedHiddenJSON `json:"hidden,omitempty"`
}

type simulatedHiddenJSON struct {
	Seed    uint64      `json:"seed"`
	Figures []truthJSON `json:"figures"`
}

type contactJSON struct {
	Wall      string  `json:"wall"`
	TimeS     float64 `json:"time_s"`
	OverrunMM float64 `json:"overrun_mm"`
}
