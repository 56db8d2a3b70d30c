package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strconv"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/sending"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/simulator"
)

type sendFlags struct {
	machineFlags
	run     runFlags
	resume  resumeFlag
	abandon bool
	fast    bool
}

func newSend(c console) *cobra.Command {
	var f sendFlags
	cmd := &cobra.Command{
		Use:   "send FILE…",
		Short: "check a program, a drawing or an instruction file, then draw it on the machine",
		Long: `Checks everything first, as build and check do. Then it connects, compares the board's
settings with the profile, shows what will be drawn and where, and asks for a typed
word. While it draws, space holds and resumes, s stops on the line, and so does
Ctrl-C; Ctrl-C a second time stops at once, and then nobody knows the position.

A program begins where the stylus stands; one that says ` + "`begin`" + ` is walked there first,
and the sheet is wiped. An instruction file of any origin is made anew for this machine,
as build does it; if it says where the stylus must stand, it is walked there when asked.
Several files are drawn one after the other, and the sheet is wiped in between.
With --port sim, NAME.drawn.png shows what the simulated machine drew; --fast does not
wait as long as a real one would take. On a terminal you are asked all that a real machine
would make you asked; off one nothing is, and it needs no --armed.
--resume goes on with a drawing, or a list of them, that was cut off. Where nobody knows
how far it came, NAME.stopped.png shows where the stylus may stand; say
where it stands with ` + "`wend machine here X Y`" + `. Where that is beside the line, or near
several passes of it, you are asked; a script says --resume=MM, mm along the line.
--abandon drops what is left of it instead; then the files that are named are drawn, if
any are. Where a drawing was cut off and neither is said, you are asked.`,
		Example: `  wend send fern.wend --port sim
  wend send fern.wend --machine bench.toml --port /dev/ttyUSB0
  wend send drawing.gcode --machine bench.toml --armed
  wend send fern.wend wave.wend --machine bench.toml
  wend send fern.wend --machine bench.toml --resume
  wend send --machine bench.toml --abandon`,
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case f.abandon && f.resume.on:
				return usagef("--resume goes on with what was cut off, --abandon drops it: only one of them")
			case f.abandon && len(args) == 0:
				return nil
			}
			return atLeastOne("a program, a drawing or an instruction file")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			f.run.machine, f.run.limits = f.machine, "normal"
			f.run.json, f.run.quiet, f.run.plain = f.json, f.quiet, f.plain
			settings, list, err := f.run.settings(c)
			if err != nil {
				return err
			}
			if list.Failed() {
				c.show(list, f.plain)
				return exit(exitErrors)
			}
			return c.withOperator(cmd.Context(), &f.machineFlags, func(ctx context.Context, o *operator) error {
				s := newSender(c, &f, o, settings, args)
				err := o.failed(s.run(ctx))
				if f.json && !s.printed && len(args) > 0 {
					if wrong := c.writeJSON(s.result(err)); wrong != nil {
						return exit(exitErrors)
					}
				}
				return err
			})
		},
	}
	f.add(cmd)
	flags := cmd.Flags()
	flags.BoolVar(&f.json, "json", false, "print one JSON object for each drawing instead of text")
	flags.StringVar(&f.run.seed, "seed", "", "`number` that begins the random sequence, whatever the program says")
	flags.StringArrayVar(&f.run.set, "set", nil, "give a top-level variable another first value, `NAME=VALUE`; may be repeated")
	f.run.addElsewhere(cmd)
	flags.BoolVar(&f.fast, "fast", false, "with --port sim: do not wait as long as a real machine would take")
	flags.BoolVar(&f.abandon, "abandon", false, "drop what is left of the drawing, or the list, that was cut off; what is drawn and the position stay")
	flags.Var(&f.resume, "resume", "go on with the drawing, or the list, that was cut off; --resume=MM so far along the line, where it passes more than once near the stylus")
	flags.Lookup("resume").NoOptDefVal = "true"
	return cmd
}

// sender is one run of send: the flow of package sending, and this terminal as its
// seat.
type sender struct {
	sending.Sending
	c        console
	f        *sendFlags
	o        *operator
	settings engine.Settings
	names    []string
	inputs   map[string]input // by name: what was judged is what is drawn, and a pipe can be read only once

	simulated *simulator.Machine // nil for a real one
	printed   bool               // the JSON of the drawing at hand
	pictures  []string           // of what the simulated machine drew
}

func newSender(c console, f *sendFlags, o *operator, settings engine.Settings, names []string) *sender {
	s := &sender{c: c, f: f, o: o, settings: settings, names: names, inputs: map[string]input{}}
	s.Sending = sending.Sending{Talk: &o.Conversation, Profile: settings.Profile, Now: c.now, Seat: s}
	if len(names) > 0 {
		s.Name = names[0]
	}
	if f.resume.said {
		s.MeantMM = &f.resume.alongMM
	}
	return s
}

// sentJSON is what `wend send --json` prints.
type sentJSON struct {
	File     string    `json:"file"`
	OK       bool      `json:"ok"`
	Complete bool      `json:"complete"`
	Position string    `json:"position"` // lost, assumed, confirmed
	At       pointJSON `json:"at"`
	DrawnMM  float64   `json:"drawn_mm"`
	Moves    int       `json:"moves"`
	Mended   int       `json:"mended"`
	Starved  int       `json:"starved"`
	Sheets   int       `json:"sheets"`
	Pictures []string  `json:"pictures"` // of what the simulated machine drew
}

func (s *sender) result(err error) sentJSON {
	out := s.Outcome
	return sentJSON{
		File: s.Name, OK: err == nil, Complete: out.Complete, Position: out.Certainty.String(), At: newPointJSON(out.At),
		DrawnMM: micron(out.DrawnMM), Moves: out.Moves, Mended: out.Mended, Starved: out.Starved, Sheets: s.Sheets,
		Pictures: append([]string{}, s.pictures...),
	}
}

func (s *sender) run(ctx context.Context) error {
	port, err := portOf(s.Profile, s.f.port)
	if err != nil {
		return err
	}
	if port != simulatedPort && !s.Profile.Calibrated {
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": s.Profile.Name}}
	}
	s.take(port)
	switch {
	case port == simulatedPort && (s.f.resume.on || s.f.abandon):
		return &diag.Fault{Code: "resume-simulated"}
	case s.f.abandon:
		if err := s.Abandon(); err != nil {
			return err
		}
	case port != simulatedPort && !s.f.resume.on:
		if s.f.resume.on, err = s.Settle(ctx); err != nil {
			return err
		}
	}
	if len(s.names) == 0 {
		return nil
	}
	if s.f.resume.on {
		if err := s.Recall(); err != nil {
			return err
		}
	}
	if err := s.firstLook(ctx, port); err != nil {
		return err
	}
	if s.f.resume.on {
		if err := s.Drained(ctx); err != nil {
			return err
		}
	}
	opening, done := s.o.Interruptible(ctx)
	connection, err := s.o.connect(opening, s.settings, port, !s.f.fast)
	stopped := context.Cause(opening)
	done()
	if err != nil {
		return errors.Join(err, stopped)
	}
	defer connection.Close() //nolint:errcheck // nothing moves any more
	s.Machine, s.simulated = &connection.Connection, connection.simulated
	if err := s.o.Settle(ctx, s.Machine); err != nil {
		return err
	}
	first := s.List.File
	for s.List.File < len(s.names) {
		s.Name, s.printed = s.names[s.List.File], false
		if err := s.Draw(ctx, s.List.File == first); err != nil {
			return err
		}
		if err := s.List.Next(s.c.now()); err != nil {
			return err
		}
	}
	s.List.Forget()
	return s.Marked
}

// take takes the list of the files that were named.
func (s *sender) take(port string) {
	var paths []string
	for _, name := range s.names {
		if full, err := filepath.Abs(name); err == nil {
			name = full
		}
		if real, err := filepath.EvalSymlinks(name); err == nil {
			name = real
		}
		paths = append(paths, name)
	}
	var kept link.Files
	if port != simulatedPort {
		kept = link.Disk(s.c.stateFolder())
	}
	s.Take(s.Name, sending.NewList(kept, s.Profile, paths))
}

// firstLook checks every file before any port is opened, each from where the
// stylus will stand by then, and refuses what would need a person where there is
// none.
func (s *sender) firstLook(ctx context.Context, port string) error {
	var start *geom.Point
	if port != simulatedPort {
		start = s.Remembered()
	}
	var faults diag.List // of all files
	for k := s.List.File; k < len(s.names); k++ {
		s.Name = s.names[k]
		from := start
		if k == s.List.File && s.Resumes() {
			page := s.Began()
			from = &page
		}
		_, drawn, list := s.read(ctx, from)
		if list.Failed() || drawn == nil {
			// Where one behind a faulty one begins is known only if it says so.
			if !faults.Failed() || drawn == nil || drawn.Sheets[0].Begun {
				faults = append(faults, list...)
			}
			continue
		}
		if s.o.Alone {
			if err := s.attended(drawn, k > s.List.File, port); err != nil {
				return err
			}
		}
		last := drawn.Sheets[len(drawn.Sheets)-1].Points
		start = &last[len(last)-1]
	}
	s.Name = s.names[s.List.File]
	if faults.Failed() {
		return faults
	}
	return nil
}

// attended refuses what needs a person, before anything moves.
func (s *sender) attended(drawn *plan.Plan, further bool, port string) error {
	eraser := s.settings.Profile.Eraser
	if port != simulatedPort && (further || len(drawn.Sheets) > 1 || drawn.Sheets[0].Begun) {
		switch eraser.Kind {
		case machine.EraserOperator:
			return &diag.Fault{Code: "eraser-none", Hint: "a person wipes here, who is asked on a terminal: send it from one"}
		case machine.EraserNone:
			return &diag.Fault{Code: "eraser-none"}
		}
		if eraser.DisturbsStylus && s.o.Word == operate.Sure {
			return &diag.Fault{Code: "position-unsure", Hint: "the eraser may move the stylus, and nobody looks afterwards: send it from a terminal, or say --armed and answer for it"}
		}
	}
	for _, sheet := range drawn.Sheets {
		if len(sheet.Pauses) > 0 {
			message := sheet.Pauses[0].Message
			if message == "" {
				message = "the program waits"
			}
			return &diag.Fault{Code: "pause-unattended", Args: diag.Args{"message": message}}
		}
	}
	return nil
}

// told shows warnings, and gives errors back.
func (s *sender) told(list diag.List) error {
	if list.Failed() {
		return list
	}
	if !s.f.quiet {
		s.c.show(list, s.f.plain)
	}
	return nil
}

// read reads and runs the program, or reads the instruction file, from a place
// of the page or from where the profile says.
func (s *sender) read(ctx context.Context, start *geom.Point) (*engine.Program, *plan.Plan, diag.List) {
	settings := s.settings
	settings.Start = start
	working := s.c.progress(&s.f.run, "the picture evolves")
	defer working.clear()
	settings.Progress = working.tell
	in, known := s.inputs[s.Name]
	if !known {
		var err error
		if in, err = s.c.readInput(s.Name); err != nil {
			return nil, nil, engine.Faults(err)
		}
		s.inputs[s.Name] = in
	}
	program, list := in.load("send", settings)
	if program == nil {
		return nil, nil, list
	}
	list = append(list, s.f.run.unfit(program)...)
	drawn, more := program.Draw(ctx)
	return program, drawn, append(append(list, more...), program.Blank(drawn)...)
}

// Read is that of sending.Seat.
func (s *sender) Read(ctx context.Context, start geom.Point) (*engine.Program, *plan.Plan, error) {
	program, drawn, list := s.read(ctx, &start)
	if list.Failed() || drawn == nil {
		return nil, nil, list
	}
	s.c.said(program.Said(), false, &s.f.run)
	return program, drawn, s.told(list)
}

// Begins is that of sending.Seat.
func (s *sender) Begins(context.Context, int) {}

// Check is that of sending.Seat.
func (s *sender) Check() string { return "`wend check " + quotedWord(s.Name) + "`" }

// Stands is that of sending.Seat.
func (s *sender) Stands(at *geom.Point) string {
	if at == nil {
		return "say it with `wend machine here X Y`"
	}
	return fmt.Sprintf("say it with `wend machine here %.2f %.2f`", at.X, at.Y)
}

// GoesOn is that of sending.Seat.
func (s *sender) GoesOn() string {
	return fmt.Sprintf("`%s` goes on; with --abandon in place of --resume it is dropped", resumeCommand(s.names, s.f.machine, s.f.port))
}

// Stopped is that of sending.Seat. The simulated machine ends with the command, so
// nothing is kept to go on with: what it drew before it was stopped is shown.
func (s *sender) Stopped(error) bool {
	if s.simulated == nil {
		return false
	}
	s.c.say("stopped after %s; the simulated machine is a new one each time, so the same command draws it from the beginning", gcode.Length(s.Outcome.DrawnMM))
	if err := s.show(); err != nil {
		s.c.say("%s", err)
		return true
	}
	for _, name := range s.pictures {
		s.c.say("wrote %s, what the simulated machine drew until then", name)
	}
	return true
}

// show writes pictures of what the simulated machine really drew.
func (s *sender) show() error {
	outputs, err := drawnBy(s.simulated, s.Profile, outputBase(s.Name, "")+".drawn", max(1, s.Sheets))
	if err == nil {
		err = commit(outputs, nil)
	}
	if err == nil {
		s.pictures = namesOf(outputs)
	}
	return err
}

// Ended is that of sending.Seat.
func (s *sender) Ended() error {
	s.pictures = nil
	s.forgetPossible()
	if s.simulated != nil {
		if err := s.show(); err != nil {
			return err
		}
	}
	if s.f.json {
		s.printed = true
		return s.c.writeJSON(s.result(s.Marked))
	}
	if s.f.quiet {
		return nil
	}
	if len(s.names) > 1 {
		s.c.tell("%s ", s.Name)
	}
	s.c.tell("%s\n", s.Drawn())
	for _, name := range s.pictures {
		s.c.tell("wrote %s, what the simulated machine drew\n", name)
	}
	return nil
}

// ToStart is that of sending.Seat: it offers to walk to where an instruction file
// begins, if the stylus does not stand there.
func (s *sender) ToStart(ctx context.Context, at, start geom.Point) error {
	away := start.Distance(at)
	if scale := s.Profile.StepsPerMM(); away <= 1.5*max(1/scale.X, 1/scale.Y) {
		return nil
	}
	// As it is typed it must lead there to a step.
	walk := fmt.Sprintf("wend machine jog --to %s,%s", exactMM(start.X), exactMM(start.Y))
	for _, flag := range [][2]string{{"machine", s.f.machine}, {"port", s.f.port}} {
		if flag[1] != "" {
			walk += " --" + flag[0] + " " + quotedWord(flag[1])
		}
	}
	fault := &diag.Fault{Code: "start-elsewhere", Args: diag.Args{"x": exactMM(start.X), "y": exactMM(start.Y), "mm": fmt.Sprintf("%.2f", away), "walk": walk}}
	if s.simulated != nil {
		fault.Hint = "the simulated machine is a new one each time: send it from a terminal, where it offers to walk there, or to `wend simulate`"
	}
	if s.o.Alone {
		return fault
	}
	s.c.say("%s", fault)
	if err := s.o.Consent(ctx, "type `walk` to go there, which draws a line on the sheet, Enter alone not to: ", "walk", false); err != nil {
		return err
	}
	return s.Walk(ctx, start)
}

// exactMM is a length as it is typed, to a thousandth of a mm.
func exactMM(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1000)/1000+0, 'f', -1, 64)
}
