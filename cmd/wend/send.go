package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/plan"
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
				s := &sending{c: c, f: &f, o: o, settings: settings, names: args, inputs: map[string]input{}}
				if len(args) > 0 {
					s.name = args[0]
				}
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

// sending is one run of send.
type sending struct {
	c        console
	f        *sendFlags
	o        *operator
	settings engine.Settings
	names    []string
	name     string           // the one at hand
	inputs   map[string]input // by name: what was judged is what is drawn, and a pipe can be read only once
	list     *sendList

	connection *connection
	link       *link.Link
	record     *link.Record // of the drawing to go on with
	program    *engine.Program
	plan       *plan.Plan
	outcome    link.Outcome
	sheets     int
	marked     error    // the first stroke that stays beside a line
	printed    bool     // the JSON of the drawing at hand
	pictures   []string // of what the simulated machine drew
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

func (s *sending) result(err error) sentJSON {
	out := s.outcome
	return sentJSON{
		File: s.name, OK: err == nil, Complete: out.Complete, Position: out.Certainty.String(), At: newPointJSON(out.At),
		DrawnMM: micron(out.DrawnMM), Moves: out.Moves, Mended: out.Mended, Starved: out.Starved, Sheets: s.sheets,
		Pictures: append([]string{}, s.pictures...),
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
	s.list = newSendList(s.c, profile, s.names, port != simulatedPort)
	switch {
	case port == simulatedPort && (s.f.resume.on || s.f.abandon):
		return &diag.Fault{Code: "resume-simulated"}
	case port != simulatedPort && !s.f.resume.on:
		if err := s.settleUnfinished(ctx); err != nil {
			return err
		}
	}
	if len(s.names) == 0 {
		return nil
	}
	if s.f.resume.on {
		if err := s.recall(); err != nil {
			return err
		}
	}
	if err := s.firstLook(ctx, port); err != nil {
		return err
	}
	if s.f.resume.on {
		if err := s.waitForDrained(ctx); err != nil {
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
	s.connection, s.link = connection, connection.link
	if err := s.o.Settle(ctx, s.link); err != nil {
		return err
	}
	first := s.list.File
	for s.list.File < len(s.names) {
		s.name, s.sheets, s.outcome, s.printed = s.names[s.list.File], 0, link.Outcome{}, false
		var err error
		if s.list.File == first && s.record != nil {
			err = s.goOn(ctx)
		} else {
			err = s.sendLine(ctx, s.list.File == first)
		}
		if err != nil {
			return err
		}
		s.list.File++
		if s.list.File < len(s.names) {
			if err := s.list.at(0, false, s.c.now()); err != nil {
				return err
			}
		}
	}
	s.list.forget()
	return s.marked
}

// recall finds out what --resume goes on with.
func (s *sending) recall() error {
	memory := s.memory()
	known, err := s.list.recall()
	if err != nil {
		return err
	}
	if s.record, err = memory.Journal(); err != nil {
		return err
	}
	switch {
	case s.record != nil:
		return nil
	case !known:
		return &diag.Fault{Code: "resume-none"}
	case s.list.Begun && memory.Written().After(s.list.Time):
		// The journal ended with the sheet, and the next one had not begun.
		s.list.Sheet++
	}
	s.list.Begun = false
	return nil
}

func (s *sending) memory() *link.Memory {
	return link.Remember(link.Disk(s.c.stateFolder()), s.settings.Profile.Name, s.settings.Profile)
}

// firstLook checks every file before any port is opened, each from where the
// stylus will stand by then, and refuses what would need a person where there is
// none.
func (s *sending) firstLook(ctx context.Context, port string) error {
	profile := s.settings.Profile
	var start *geom.Point
	if port != simulatedPort {
		if at, certainty, _ := s.memory().Recall(); certainty != link.Lost {
			page := link.StylusAt(profile, at.Steps, at.Gap)
			start = &page
		}
	}
	var faults diag.List // of all files
	for k := s.list.File; k < len(s.names); k++ {
		s.name = s.names[k]
		from := start
		if k == s.list.File && (s.record != nil || s.list.Sheet > 0) {
			page := s.began()
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
			if err := s.attended(drawn, k > s.list.File, port); err != nil {
				return err
			}
		}
		last := drawn.Sheets[len(drawn.Sheets)-1].Points
		start = &last[len(last)-1]
	}
	s.name = s.names[s.list.File]
	if faults.Failed() {
		return faults
	}
	return nil
}

// attended refuses what needs a person, before anything moves.
func (s *sending) attended(drawn *plan.Plan, further bool, port string) error {
	eraser := s.settings.Profile.Eraser
	if port != simulatedPort && (further || len(drawn.Sheets) > 1 || drawn.Sheets[0].Begun) {
		if eraser.Kind != machine.EraserSerial {
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

// began is where the line of the drawing that was cut off began, page mm.
func (s *sending) began() geom.Point {
	if r := s.record; r != nil && r.Sheet == 0 {
		return link.StylusAt(s.settings.Profile, r.Start.Steps, r.Start.Gap)
	}
	if s.list.Sheet > 0 || s.list.Begun {
		return s.list.Start
	}
	return s.settings.Profile.Area.StartMM
}

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

// read reads and runs the program, or reads the instruction file, from a place
// of the page or from where the profile says.
func (s *sending) read(ctx context.Context, start *geom.Point) (*engine.Program, *plan.Plan, diag.List) {
	settings := s.settings
	settings.Start = start
	working := s.c.progress(&s.f.run, "the picture evolves")
	defer working.clear()
	settings.Progress = working.tell
	in, known := s.inputs[s.name]
	if !known {
		var err error
		if in, err = s.c.readInput(s.name); err != nil {
			return nil, nil, engine.Faults(err)
		}
		s.inputs[s.name] = in
	}
	program, list := in.load("send", settings)
	if program == nil {
		return nil, nil, list
	}
	list = append(list, s.f.run.unfit(program)...)
	drawn, more := program.Draw(ctx)
	return program, drawn, append(append(list, more...), program.Blank(drawn)...)
}

// load is read for the file that is drawn now.
func (s *sending) load(ctx context.Context, start geom.Point) error {
	program, drawn, list := s.read(ctx, &start)
	if list.Failed() || drawn == nil {
		return list
	}
	s.program, s.plan = program, drawn
	s.c.said(program.Said(), false, &s.f.run)
	return s.told(list)
}

// sendLine draws the file at hand, or what is left of its sheets. The word for
// a whole list is asked for with the first drawing.
func (s *sending) sendLine(ctx context.Context, first bool) error {
	if err := s.o.Confirm(ctx, &s.connection.Connection); err != nil {
		return err
	}
	_, at, _ := s.link.Where()
	if s.list.Sheet > 0 {
		at = s.began()
	}
	s.list.Start = at
	if err := s.load(ctx, at); err != nil {
		return err
	}
	if s.list.Sheet >= len(s.plan.Sheets) {
		return s.ended() // its last sheet was drawn
	}
	if s.program.StartSaid() && s.list.Sheet == 0 {
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
	what := fmt.Sprintf("to draw: %s on %s, within %s of the page",
		gcode.Length(total), diag.Counted(len(engine.WithLine(s.plan)), "sheet"), reachOf(box))
	if len(s.plan.Sheets) == 1 && !s.plan.Sheets[0].Begun {
		_, known, err := s.lower(ctx, 0)
		if err != nil {
			return err
		}
		what = fmt.Sprintf("to draw: %s in %s, within %s of the page",
			gcode.Length(total), gcode.Duration(known.Seconds), reachOf(box))
	} else if s.plan.Sheets[0].Begun {
		p := s.plan.Sheets[0].Points[0]
		what += fmt.Sprintf("; first a walk to (%.1f, %.1f), then the sheet is wiped", p.X, p.Y)
	}
	if more := len(s.names) - s.list.File - 1; first && more > 0 {
		what += fmt.Sprintf("; then %s, the sheet wiped before each", map[bool]string{true: "one more drawing", false: fmt.Sprintf("%d more drawings", more)}[more == 1])
	}
	if first {
		if err := s.o.Arm(ctx, &s.connection.Connection, what, "draw"); err != nil {
			return err
		}
	} else {
		s.o.Note("%s: %s", s.name, what)
	}
	// A further drawing of a list wants a clean sheet, as one that was left
	// between two sheets does.
	if (!first || s.list.File > 0) && s.list.Sheet == 0 && !s.plan.Sheets[0].Begun {
		if err := s.wipe(ctx); err != nil {
			return err
		}
	}
	return s.sheetsFrom(ctx, s.list.Sheet)
}

// sheetsFrom draws the sheets that are left.
func (s *sending) sheetsFrom(ctx context.Context, first int) error {
	for i := first; i < len(s.plan.Sheets); i++ {
		if err := s.sendSheet(ctx, i); err != nil {
			return err
		}
	}
	return s.ended()
}

// wipe has the sheet wiped for what was agreed to.
func (s *sending) wipe(ctx context.Context) error {
	if err := s.o.Wipe(ctx, &s.connection.Connection, true); err != nil {
		return err
	}
	if err := s.o.Confirm(ctx, &s.connection.Connection); err != nil {
		return err
	}
	return s.o.Rearm(&s.connection.Connection)
}

// lower writes the instructions of a sheet, for the flanks as they are.
func (s *sending) lower(ctx context.Context, sheet int) (string, engine.Sheet, error) {
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
		if err := s.wipe(ctx); err != nil {
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

// isMarked reports whether a drawing is complete, but for a stroke beside its
// line.
func (s *sending) isMarked(err error) bool {
	var fault *diag.Fault
	return s.outcome.Complete && errors.As(err, &fault) && fault.Code == "line-marked"
}

func (s *sending) walk(ctx context.Context, to link.Place) error {
	return s.o.Watched(ctx, "walked", func(ctx context.Context, op link.Operator) error { return s.link.Walk(ctx, to, op) })
}

func (s *sending) draw(ctx context.Context, job link.Job) error {
	if err := s.list.at(job.Sheet, true, s.c.now()); err != nil {
		return err
	}
	err := s.o.Watched(ctx, "drawn", func(ctx context.Context, op link.Operator) (err error) {
		s.outcome, err = s.link.Draw(ctx, job, op)
		return err
	})
	if s.isMarked(err) {
		if s.marked == nil {
			s.marked = err
		} else {
			s.o.failed(err) //nolint:errcheck // the first one gives the exit code
		}
		err = nil
	}
	if err == nil {
		err = s.list.at(job.Sheet+1, false, s.c.now())
	}
	if err != nil {
		err = s.named(err)
		s.stopped(err, job.Text)
		return err
	}
	s.sheets++
	if s.outcome.Starved > 0 && !s.f.quiet {
		s.c.say("the motors stood %d times for want of moves: the link or this computer is slower than the drawing was planned for", s.outcome.Starved)
	}
	return nil
}

// named has the way out of a refusal name the file.
func (s *sending) named(err error) error {
	var list diag.List
	if errors.As(err, &list) {
		for i := range list {
			if list[i].Code == "gate-refused" {
				list[i] = list[i].WithHint("`wend check %s` holds the whole file against the machine", quotedWord(s.name))
			}
		}
	}
	return err
}

// stopped says where a drawing was left, and how to go on.
func (s *sending) stopped(why error, text string) {
	out := s.outcome
	if s.connection.simulated != nil {
		s.stoppedSimulated()
		return
	}
	if out.Certainty == link.Lost {
		s.c.say("stopped after %s; nobody knows where the stylus is now: look, and say it with `wend machine here X Y`", gcode.Length(out.DrawnMM))
		s.possible(text)
		return
	}
	var fault *diag.Fault
	if errors.As(why, &fault) && fault.Code == "position-not-kept" {
		s.c.say("stopped at (%.1f, %.1f) after %s, and that could not be written down: when there is room, say it with `wend machine here %.2f %.2f`", out.At.X, out.At.Y, gcode.Length(out.DrawnMM), out.At.X, out.At.Y)
		return
	}
	s.c.say("stopped at (%.1f, %.1f) after %s; the position is %s", out.At.X, out.At.Y, gcode.Length(out.DrawnMM), out.Certainty)
	if record, err := s.memory().Journal(); err == nil && record != nil {
		s.c.say("`%s` goes on; with --abandon in place of --resume it is dropped", resumeCommand(s.names, s.f.machine, s.f.port))
	}
}

// stoppedSimulated shows what the simulated machine drew before it was stopped. It
// ends with the command, so nothing is kept to go on with.
func (s *sending) stoppedSimulated() {
	s.c.say("stopped after %s; the simulated machine is a new one each time, so the same command draws it from the beginning", gcode.Length(s.outcome.DrawnMM))
	if err := s.show(); err != nil {
		s.c.say("%s", err)
		return
	}
	for _, name := range s.pictures {
		s.c.say("wrote %s, what the simulated machine drew until then", name)
	}
}

// show writes pictures of what the simulated machine really drew.
func (s *sending) show() error {
	outputs, err := drawnBy(s.connection.simulated, s.settings.Profile, outputBase(s.name, "")+".drawn", max(1, s.sheets))
	if err == nil {
		err = commit(outputs, nil)
	}
	if err == nil {
		s.pictures = namesOf(outputs)
	}
	return err
}

func (s *sending) ended() error {
	s.pictures = nil
	s.forgetPossible()
	if s.connection.simulated != nil {
		if err := s.show(); err != nil {
			return err
		}
	}
	if s.f.json {
		s.printed = true
		return s.c.writeJSON(s.result(s.marked))
	}
	if s.f.quiet {
		return nil
	}
	_, at, certainty := s.link.Where()
	if len(s.names) > 1 {
		s.c.tell("%s ", s.name)
	}
	s.c.tell("drawn: %s; the stylus stands at (%.1f, %.1f), %s\n", diag.Counted(s.sheets, "sheet"), at.X, at.Y, certainty)
	for _, name := range s.pictures {
		s.c.tell("wrote %s, what the simulated machine drew\n", name)
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
	// As it is typed it must lead there to a step.
	walk := fmt.Sprintf("wend machine jog --to %s,%s", exactMM(start.X), exactMM(start.Y))
	for _, flag := range [][2]string{{"machine", s.f.machine}, {"port", s.f.port}} {
		if flag[1] != "" {
			walk += " --" + flag[0] + " " + quotedWord(flag[1])
		}
	}
	fault := &diag.Fault{Code: "start-elsewhere", Args: diag.Args{"x": exactMM(start.X), "y": exactMM(start.Y), "mm": fmt.Sprintf("%.2f", away), "walk": walk}}
	if s.connection.simulated != nil {
		fault.Hint = "the simulated machine is a new one each time: send it from a terminal, where it offers to walk there, or to `wend simulate`"
	}
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

// exactMM is a length as it is typed, to a thousandth of a mm.
func exactMM(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1000)/1000+0, 'f', -1, 64)
}

// waitForDrained waits until the motors surely stand: opening the port may reset
// the board.
func (s *sending) waitForDrained(ctx context.Context) error {
	if s.record == nil {
		return nil
	}
	if wait := s.record.Drains(s.c.now()); wait > 0 {
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
	s.list.Start = s.began()
	if err := s.load(ctx, s.list.Start); err != nil {
		return err
	}
	if r.Sheet >= len(s.plan.Sheets) {
		return &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": r.Name}}
	}
	var out bytes.Buffer
	known, list := s.program.Lower(ctx, s.plan, r.Sheet, r.Start.Gap, &out)
	if list.Failed() {
		return list
	}
	from, err := s.link.GoOn(ctx, r, out.String(), func(passes []link.Pass) (link.Pass, error) { return s.passOf(ctx, passes) })
	if err != nil {
		var fault *diag.Fault
		if errors.As(err, &fault) && fault.Code == "resume-uncertain" {
			s.possible(out.String())
		}
		return err
	}
	// Taking up slack would lead away from the line.
	if err := s.o.Look(ctx, &s.connection.Connection); err != nil {
		return err
	}
	what := fmt.Sprintf("to go on with: %s, after %d of %d moves", r.Name, from.Drawn, r.Moves)
	if n := len(from.Back); n > 0 {
		left := s.settings.Profile.ToPage(from.Back[n-1])
		what += fmt.Sprintf("; the stylus is led back first to where the line was left, about (%.1f, %.1f)", left.X, left.Y)
		if from.OffMM > 0 {
			what += fmt.Sprintf(", and a stroke of up to %.2f mm beside the line stays to be seen", from.OffMM)
		}
	}
	if err := s.o.Arm(ctx, &s.connection.Connection, what, "draw"); err != nil {
		return err
	}
	if err := s.draw(ctx, link.Job{Name: s.name, Text: out.String(), Sheet: r.Sheet, Seconds: known.Seconds, From: from}); err != nil {
		return err
	}
	return s.sheetsFrom(ctx, r.Sheet+1)
}
