package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"wend/cmd/wend/drawing"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

type sendFlags struct {
	machineFlags
	run    runFlags
	resume bool
}

func newSend(c console) *cobra.Command {
	var f sendFlags
	cmd := &cobra.Command{
		Use:   "send FILE",
		Short: "check a program or an instruction file, then draw it on the machine",
		Long: `Checks everything first, as build and check do. Then it connects, compares the board's
settings with the profile, shows what will be drawn and where, and asks for a typed
word. While it draws, space holds and resumes, s stops on the line, and so does
Ctrl-C; Ctrl-C a second time stops at once, and then nobody knows the position.

A program begins where the stylus stands; one that says ` + "`begin`" + ` is walked there first,
and the sheet is wiped. An instruction file of any origin is made anew for this machine,
as build does it; if it says where the stylus must stand, it is walked there when asked.
--resume goes on with a drawing that was cut off.`,
		Example: `  wend send fern.wend --port sim
  wend send fern.wend --machine bench.toml --port /dev/ttyUSB0
  wend send drawing.gcode --machine bench.toml --armed
  wend send fern.wend --machine bench.toml --resume`,
		Args: exactlyOne("a program or an instruction file"),
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
				s := &sending{c: c, f: &f, o: o, settings: settings, name: args[0]}
				err := o.failed(s.run(ctx))
				if f.json {
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
	flags.BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	flags.StringVar(&f.run.seed, "seed", "", "`number` that begins the random sequence, whatever the program says")
	flags.StringArrayVar(&f.run.set, "set", nil, "give a top-level variable another first value, `NAME=VALUE`; may be repeated")
	f.run.addTravel(cmd)
	flags.BoolVar(&f.resume, "resume", false, "go on with the drawing that was cut off")
	return cmd
}

// sending is one run of send.
type sending struct {
	c        console
	f        *sendFlags
	o        *operator
	settings drawing.Settings
	name     string

	connection *connection
	link       *link.Link
	record     *link.Record // of the drawing to go on with
	program    *drawing.Program
	plan       *plan.Plan
	outcome    link.Outcome
	sheets     int
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
}

func (s *sending) result(err error) sentJSON {
	out := s.outcome
	return sentJSON{
		File: s.name, OK: err == nil, Complete: out.Complete, Position: out.Certainty.String(), At: newPointJSON(out.At),
		DrawnMM: micron(out.DrawnMM), Moves: out.Moves, Mended: out.Mended, Starved: out.Starved, Sheets: s.sheets,
	}
}

func (s *sending) run(ctx context.Context) error {
	profile := s.settings.Profile
	port, err := portOf(profile, s.f.port)
	if err != nil {
		return err
	}
	if port != simulatedPort && !profile.Calibrated {
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": profile.Name}}
	}
	if err := s.firstLook(ctx); err != nil {
		return err
	}
	if s.f.resume {
		if err := s.waitForDrained(ctx, port); err != nil {
			return err
		}
	}
	connection, err := s.c.connect(ctx, s.settings, port, s.o.keys != nil)
	if err != nil {
		return err
	}
	defer connection.Close() //nolint:errcheck // nothing moves any more
	s.connection, s.link = connection, connection.link
	if err := s.o.Settle(ctx, s.link); err != nil {
		return err
	}
	if s.record != nil {
		return s.goOn(ctx)
	}
	if err := s.o.Confirm(ctx, &s.connection.Connection); err != nil {
		return err
	}
	return s.sendLine(ctx)
}

// firstLook checks the file before any port is opened.
func (s *sending) firstLook(ctx context.Context) error { return s.load(ctx, nil) }

// told shows warnings, and gives errors back.
func (s *sending) told(list diag.List) error {
	if list.Failed() {
		return list
	}
	if !s.f.quiet {
		s.c.show(list, s.f.plain)
	}
	return nil
}

// load reads and runs the program, or reads the instruction file, from a place
// of the page or from where the profile says.
func (s *sending) load(ctx context.Context, start *geom.Point) error {
	settings := s.settings
	settings.Start = start
	program, list := s.c.load(s.name, "send", settings)
	if program == nil {
		return list
	}
	list = append(list, s.f.run.unfit(program)...)
	drawn, more := program.Draw(ctx)
	if list = append(list, more...); list.Failed() || drawn == nil {
		return list
	}
	if start == nil {
		return nil // this was only to see
	}
	s.program, s.plan = program, drawn
	s.c.said(drawn, &s.f.run)
	return s.told(list)
}

func (s *sending) sendLine(ctx context.Context) error {
	_, at, _ := s.link.Where()
	if err := s.load(ctx, &at); err != nil {
		return err
	}
	if s.program.StartSaid() {
		if err := s.walkToStart(ctx, at); err != nil {
			return err
		}
	}
	total, box := 0.0, geom.EmptyBox()
	for i := range s.plan.Sheets {
		known := s.program.Describe(s.plan, i)
		total += known.LineMM
		box = box.Union(known.Bounds)
	}
	what := fmt.Sprintf("to draw: %s on %s, within x %.1f to %.1f, y %.1f to %.1f mm of the page",
		gcode.Length(total), sheetCount(len(drawing.WithLine(s.plan))), box.Min.X, box.Max.X, box.Min.Y, box.Max.Y)
	if len(s.plan.Sheets) == 1 && !s.plan.Sheets[0].Begun {
		_, known, err := s.lower(ctx, 0)
		if err != nil {
			return err
		}
		what = fmt.Sprintf("to draw: %s in %s, within x %.1f to %.1f, y %.1f to %.1f mm of the page",
			gcode.Length(total), gcode.Duration(known.Seconds), box.Min.X, box.Max.X, box.Min.Y, box.Max.Y)
	} else if s.plan.Sheets[0].Begun {
		p := s.plan.Sheets[0].Points[0]
		what += fmt.Sprintf("; first a walk to (%.1f, %.1f), then the sheet is wiped", p.X, p.Y)
	}
	if err := s.o.Arm(ctx, &s.connection.Connection, what, "draw"); err != nil {
		return err
	}
	for i := range s.plan.Sheets {
		if err := s.sendSheet(ctx, i); err != nil {
			return err
		}
	}
	return s.ended()
}

// lower writes the instructions of a sheet, for the flanks as they are.
func (s *sending) lower(ctx context.Context, sheet int) (string, drawing.Sheet, error) {
	at, _, _ := s.link.Where()
	var text bytes.Buffer
	known, list := s.program.Lower(ctx, s.plan, sheet, at.Gap, &text)
	if list.Failed() {
		return "", known, list
	}
	return text.String(), known, nil
}

func (s *sending) sendSheet(ctx context.Context, i int) error {
	sheet := s.plan.Sheets[i]
	if sheet.Begun || i > 0 {
		if sheet.Begun {
			gap := machine.Gap{}
			to := link.Place{Steps: link.MotorsAt(s.settings.Profile, sheet.Points[0], gap), Gap: gap}
			if err := s.walk(ctx, to); err != nil {
				return err
			}
		}
		if err := s.o.Wipe(ctx, &s.connection.Connection, true); err != nil {
			return err
		}
		if err := s.o.Confirm(ctx, &s.connection.Connection); err != nil {
			return err
		}
		if err := s.o.Rearm(&s.connection.Connection); err != nil {
			return err
		}
	}
	if len(sheet.Points) < 2 {
		return nil
	}
	text, known, err := s.lower(ctx, i)
	if err != nil {
		return err
	}
	return s.draw(ctx, link.Job{Name: s.name, Text: text, Sheet: i, Seconds: known.Seconds})
}

func (s *sending) walk(ctx context.Context, to link.Place) error {
	return s.o.Watched(ctx, "walked", func(ctx context.Context, op link.Operator) error { return s.link.Walk(ctx, to, op) })
}

func (s *sending) draw(ctx context.Context, job link.Job) error {
	err := s.o.Watched(ctx, "drawn", func(ctx context.Context, op link.Operator) (err error) {
		s.outcome, err = s.link.Draw(ctx, job, op)
		return err
	})
	if err != nil {
		s.stopped(err)
		return err
	}
	s.sheets++
	if s.outcome.Starved > 0 && !s.f.quiet {
		s.c.say("the motors stood %d times for want of moves: the link or this computer is slower than the drawing was planned for", s.outcome.Starved)
	}
	return nil
}

// stopped says where a drawing was left, and how to go on.
func (s *sending) stopped(why error) {
	out := s.outcome
	if out.Certainty == link.Lost {
		s.c.say("stopped after %s; nobody knows where the stylus is now: look, and say it with `wend machine here X Y`", gcode.Length(out.DrawnMM))
		return
	}
	var fault *diag.Fault
	if errors.As(why, &fault) && fault.Code == "position-not-kept" {
		s.c.say("stopped at (%.1f, %.1f) after %s, and that could not be written down: when there is room, say it with `wend machine here %.2f %.2f`", out.At.X, out.At.Y, gcode.Length(out.DrawnMM), out.At.X, out.At.Y)
		return
	}
	s.c.say("stopped at (%.1f, %.1f) after %s; the position is %s", out.At.X, out.At.Y, gcode.Length(out.DrawnMM), out.Certainty)
	if s.connection.simulated == nil {
		s.c.say("`%s` goes on", resumeCommand(s.name, s.f.machine, s.f.port))
	}
}

func (s *sending) ended() error {
	if s.f.json || s.f.quiet {
		return nil
	}
	_, at, certainty := s.link.Where()
	fmt.Fprintf(s.c.stdout, "drawn: %s; the stylus stands at (%.1f, %.1f), %s\n", sheetCount(s.sheets), at.X, at.Y, certainty)
	if s.connection.simulated != nil && s.plan != nil {
		s.c.say("`wend build %s --as-drawn` shows what that machine draws", s.name)
	}
	return nil
}

// walkToStart offers to walk to where an instruction file begins, if the stylus
// does not stand there.
func (s *sending) walkToStart(ctx context.Context, at geom.Point) error {
	profile, start := s.settings.Profile, s.plan.Sheets[0].Points[0]
	away := start.Distance(at)
	if away <= 1.5*max(1/profile.StepsPerMM().X, 1/profile.StepsPerMM().Y) {
		return nil
	}
	fault := &diag.Fault{Code: "start-elsewhere", Args: diag.Args{"x": fmt.Sprintf("%.1f", start.X), "y": fmt.Sprintf("%.1f", start.Y), "mm": fmt.Sprintf("%.1f", away)}}
	if s.o.Alone {
		return fault
	}
	s.c.say("%s", fault)
	if err := s.o.Consent(ctx, "type `walk` to go there, which draws a line on the sheet, Enter alone not to: ", "walk", false); err != nil {
		return err
	}
	gap := machine.Gap{}
	return s.walk(ctx, link.Place{Steps: link.MotorsAt(profile, start, gap), Gap: gap})
}

// waitForDrained reads the journal, and waits until the motors surely stand:
// opening the port may reset the board.
func (s *sending) waitForDrained(ctx context.Context, port string) error {
	if port == simulatedPort {
		return &diag.Fault{Code: "resume-none"}
	}
	record, err := link.Remember(link.Disk(s.c.stateFolder()), s.settings.Profile.Name, s.settings.Profile).Journal()
	if err != nil {
		return err
	}
	if record == nil {
		return &diag.Fault{Code: "resume-none"}
	}
	s.record = record
	if wait := record.DrainedBy.Sub(s.c.now()); wait > 0 && !record.Stopped {
		s.c.say("waiting %s until the motors surely stand", gcode.Duration(wait.Seconds()))
		select {
		case <-time.After(wait):
		case <-s.o.interrupted:
			return exit(exitStopped)
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// goOn goes on with a drawing that was cut off.
func (s *sending) goOn(ctx context.Context) error {
	r := s.record
	// It began where the stylus stood then.
	start := link.StylusAt(s.settings.Profile, r.Start.Steps, r.Start.Gap)
	if err := s.startedAt(ctx, r, start); err != nil {
		return err
	}
	var out bytes.Buffer
	known, list := s.program.Lower(ctx, s.plan, r.Sheet, r.Start.Gap, &out)
	if list.Failed() {
		return list
	}
	text, seconds := out.String(), known.Seconds
	from, err := s.link.GoOn(ctx, r, text)
	if err != nil {
		return err
	}
	if err := s.o.Confirm(ctx, &s.connection.Connection); err != nil {
		return err
	}
	if err := s.o.Arm(ctx, &s.connection.Connection, fmt.Sprintf("to go on with: %s, after %d of %d moves", r.Name, from.Drawn, r.Moves), "draw"); err != nil {
		return err
	}
	if err := s.draw(ctx, link.Job{Name: s.name, Text: text, Sheet: r.Sheet, Seconds: seconds, From: from}); err != nil {
		return err
	}
	if s.plan != nil {
		for i := r.Sheet + 1; i < len(s.plan.Sheets); i++ {
			if err := s.sendSheet(ctx, i); err != nil {
				return err
			}
		}
	}
	return s.ended()
}

// startedAt runs the program as it ran then. On a later sheet the place where
// the first one began is not known any more: it counts only where the program
// says where it begins.
func (s *sending) startedAt(ctx context.Context, r *link.Record, start geom.Point) error {
	if r.Sheet > 0 {
		start = s.settings.Profile.Area.StartMM
	}
	if err := s.load(ctx, &start); err != nil {
		return err
	}
	if r.Sheet >= len(s.plan.Sheets) {
		return &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": r.Name}}
	}
	return nil
}
