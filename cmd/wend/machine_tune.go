package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/bench"
	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
)

type tuneFlags struct {
	machineFlags
	parts []string
	out   string
	seed  uint64
}

func newMachineTune(c console) *cobra.Command {
	var f tuneFlags
	names := make([]string, 0, len(calibrate.Parts()))
	for _, part := range calibrate.Parts() {
		names = append(names, string(part))
	}
	cmd := &cobra.Command{
		Use:   "tune",
		Short: "calibrate: patterns that are read by eye and ruler, and a profile that learns from them",
		Long: `Goes through a first calibration, part by part: ` + strings.Join(names, ", ") + `.
Each part draws a pattern and asks what it looks like; the answer goes into the
profile, whose old text is kept as NAME.toml.1 (.2, …). Once direction, scale and area
are done in one run, the profile says calibrated = true, and the machine may draw. The
other parts can be done alone then.

It begins in the middle of the sheet, where you bring the stylus by hand. Until the area
is known, no motion leaves a small box around it, which is said. Whatever would be
written to the board is shown first, and wants a typed word. While a pattern is drawn,
space holds and resumes, s or Ctrl-C stops on the line, and you are asked whether the
part begins again, is left, or all ends. Where the profile has an eraser board, it wipes
the sheet between patterns, and says so. In place of an answer, ` + "`again`" + `
begins the part again, ` + "`leave`" + ` goes on without it, and ` + "`stop`" + ` ends; what was found
is kept. Answers are held against each other and against what the parts before found:
one that does not fit is asked for again, and named if it still does not. Figures come
with a bound, for readings that are off by 0.3 mm.

To the marks of the area you bring the stylus by the arrow keys; without single keys, or
after t, you type how far it is instead.

With --port sim it is a rehearsal: the simulated machine has a scale, slack and skew of
its own, which you are to find. What it drew is shown as a picture, NAME.tune.png, made
anew after every pattern, to be read with its rulers. At the end you are told what was
hidden and how near you came; nothing is written into the profile. --seed hides the same
machine again.`,
		Example: `  wend machine tune --port sim
  wend machine tune --port sim --seed 7 --part squareness
  wend machine tune --machine bench.toml --port /dev/ttyUSB0
  wend machine tune --machine bench.toml --part slack,length`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("part") && len(f.parts) == 0 {
				return usagef("--part knows %s", strings.Join(names, ", "))
			}
			for _, part := range f.parts {
				if !slices.Contains(names, part) {
					return usagef("--part knows %s, not `%s`%s", strings.Join(names, ", "), part, didYouMean(part, names, cmd))
				}
			}
			return c.withOperator(cmd.Context(), &f.machineFlags, func(ctx context.Context, o *operator) error {
				return c.tune(ctx, &f, o)
			})
		},
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	cmd.Flags().StringSliceVar(&f.parts, "part", nil, "only these `parts`, in the usual order")
	cmd.Flags().Uint64Var(&f.seed, "seed", 0, "`number` of the machine that a rehearsal hides; 0 takes another every time")
	cmd.Flags().StringVar(&f.out, "out", "", "`folder` for the pictures of a rehearsal (without it: beside the profile)")
	return cmd
}

// tunedJSON is what `wend machine tune --json` prints. The fields are a
// promise: they may be added to, not renamed.
type tunedJSON struct {
	File       string        `json:"file"`
	Kept       string        `json:"kept"`      // where the old text of the profile is
	Rehearsal  bool          `json:"rehearsal"` // on the simulated machine: nothing is written
	Calibrated bool          `json:"calibrated"`
	Findings   []findingJSON `json:"findings"`
	Left       []string      `json:"left"`             // parts that were asked for and not done
	Hidden     *hiddenJSON   `json:"hidden,omitempty"` // what a rehearsal hid
}

type findingJSON struct {
	Part    string       `json:"part"`
	Text    string       `json:"text"`
	Figures []figureJSON `json:"figures"` // what was measured
}

// figureJSON is a figure: the truth is within its bound of its value.
type figureJSON struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Bound float64 `json:"bound"`
	Unit  string  `json:"unit"`
}

func newFindingJSON(found calibrate.Finding) findingJSON {
	out := findingJSON{Part: string(found.Part), Text: found.Text, Figures: []figureJSON{}}
	for _, f := range found.Figures {
		out.Figures = append(out.Figures, figureJSON{f.Name, micron(f.Value), micron(f.Bound), f.Unit})
	}
	return out
}

func (c console) tune(ctx context.Context, f *tuneFlags, o *operator) error {
	settings, err := f.settings(c)
	if err != nil {
		return o.failed(err)
	}
	if f.port, err = portOf(settings.Profile, f.port); err != nil {
		return o.failed(err)
	}
	t := &tuning{f: f, o: o, profile: settings.Profile, rehearsal: f.port == simulatedPort}
	t.result = tunedJSON{File: f.machine, Rehearsal: t.rehearsal, Calibrated: t.profile.Calibrated, Findings: []findingJSON{}, Left: []string{}}
	for _, part := range calibrate.Parts() {
		if len(f.parts) == 0 || slices.Contains(f.parts, string(part)) {
			t.parts = append(t.parts, part)
		}
	}
	if err := t.run(ctx, settings); err != nil {
		return t.failed(err)
	}
	if t.rehearsal {
		hidden := t.hidden.revealed(t.result.Findings)
		t.result.Hidden = &hidden
	}
	if f.json {
		if err := c.writeJSON(t.result); err != nil {
			return exit(exitErrors)
		}
		return t.done()
	}
	for _, found := range t.result.Findings {
		c.tell("%-11s %s\n", found.Part, found.Text)
	}
	switch {
	case t.rehearsal:
		t.result.Hidden.text(c.readable())
		c.tell("a rehearsal: nothing was written\n")
	case t.result.Kept == "":
		c.tell("%s is as it was\n", f.machine)
	default:
		c.tell("wrote %s; its old text is in %s\n", f.machine, t.result.Kept)
	}
	return t.done()
}

// done is how a run ends that nothing has ended: parts that were left were
// stopped by the operator.
func (t *tuning) done() error {
	if len(t.result.Left) == 0 {
		return nil
	}
	t.o.c.say("left: %s; `wend machine tune --part` goes through them alone", strings.Join(t.result.Left, ", "))
	return exit(exitStopped)
}

// tuning is one run of tune. It is the machine of the calibration, its eraser,
// and the operator who is asked.
type tuning struct {
	*bench.Bench
	f          *tuneFlags
	o          *operator
	rehearsal  bool
	parts      []calibrate.Part
	connection *connection
	profile    *machine.Profile // as it is known by now
	file       profileFile
	guard      geom.Box
	hidden     hidden // of a rehearsal
	picture    string // of a rehearsal
	blank      int    // how much line there was when the sheet was wiped
	result     tunedJSON
	// Of the way to a mark by keys.
	typed, asked, pressing bool
	waiting                []operate.Key // pressed while something moved
}

// errLeft is an operator who has gone, and errAgain one who begins a part again.
var (
	errLeft  = errors.New("stopped; what was found is kept")
	errAgain = errors.New("the part begins again")
)

func (t *tuning) failed(err error) error {
	switch {
	case errors.Is(err, errLeft), errors.Is(err, operate.ErrStopped), errors.Is(err, link.ErrStopped), errors.Is(err, context.Canceled):
		if t.rehearsal {
			t.o.c.say("stopped; a rehearsal keeps nothing")
		} else {
			t.o.c.say("%s", errLeft)
		}
		return exit(exitStopped)
	}
	return t.o.failed(err)
}

func (t *tuning) run(ctx context.Context, settings engine.Settings) error {
	o, c, profile := t.o, t.o.c, *t.profile
	if t.rehearsal {
		// What is not rehearsed is as the profile says.
		profile.Calibrated = !slices.Contains(t.parts, calibrate.Direction) || !slices.Contains(t.parts, calibrate.Scale) || !slices.Contains(t.parts, calibrate.Area)
		t.hidden = hide(&profile, t.parts, c.seedOr(t.f.seed))
		base := outputBase(t.f.machine, t.f.out)
		if t.f.machine == "" {
			base = filepath.Join(t.f.out, "desk-toy")
		}
		t.picture = base + ".tune.png"
		o.Note("a rehearsal on a simulated machine of the size of %s, which hides what is to be found (seed %d); on a real one:", profile.Name, t.hidden.seed)
	}
	fromMiddle := !profile.Calibrated
	for _, part := range t.parts {
		fromMiddle = fromMiddle || part.FromMiddle()
		for _, before := range part.Needs() {
			if !profile.Calibrated && !slices.Contains(t.parts, before) {
				return &diag.Fault{Code: "tune-order", Args: diag.Args{"part": string(part), "before": string(before)}}
			}
		}
	}
	o.Cautions()
	if !t.rehearsal {
		var err error
		if t.file, err = openProfile(t.f.machine, t.profile); err != nil {
			return err
		}
		turns := "the motors will turn from now on"
		if t.profile.Eraser.Kind == machine.EraserSerial {
			turns += ", and the eraser turns the toy over between patterns"
		}
		if err := o.Consent(ctx, turns+". Type `tune` to begin, Enter alone not to: ", "tune", true); err != nil {
			return err
		}
	}
	if o.lines == nil {
		o.lines, o.Alone = tty.LinesOf(c.stdin, c.stderr, false), false
	}
	// An operator would bring the simulated stylus there by hand.
	middle := profile.ToPage(profile.AreaBox().Max.Times(0.5))
	settings.Start = &middle
	var err error
	if t.rehearsal {
		t.connection, err = connectSimulatedAs(ctx, settings, t.hidden.setup, false)
	} else {
		t.connection, err = c.connect(ctx, settings, t.f.port, false)
	}
	if err != nil {
		return err
	}
	defer t.connection.Close() //nolint:errcheck // nothing moves any more
	t.Bench = &bench.Bench{
		Link: t.connection.link, Settle: func(ctx context.Context, l *link.Link) error {
			// Whoever does not agree leaves the part that wants it, not the others.
			err := o.Settle(ctx, l)
			if errors.Is(err, operate.ErrDeclined) {
				return calibrate.ErrLeft
			}
			return err
		},
		Watched: t.watched,
	}
	if slices.Contains(t.parts, calibrate.Area) {
		where := "with the motors' power off, turn each knob gently until the stylus stops, and stick tape on the frame 2 mm or more before that"
		if t.rehearsal {
			where = fmt.Sprintf("in the rehearsal they are %d mm inside the walls, and the picture shows them as its inner frame", rehearsalMarkMM)
		}
		o.c.say("%s", c.paragraph(c.stderr, "", "the area needs a mark at each of the four edges: "+where))
	}
	var known *geom.Point
	switch {
	case fromMiddle:
	case t.rehearsal:
		middle := profile.AreaBox().Max.Times(0.5)
		known = &middle
	default:
		if known, err = t.stands(ctx, &profile); err != nil {
			return err
		}
	}
	if err := t.through(ctx, calibrate.Begin(t, t, t, &profile, known)); err != nil {
		return err
	}
	return t.leave(ctx)
}

// through goes through the parts. One that finds nothing is begun again or left,
// as the operator likes, and the others go on: what was found stays.
func (t *tuning) through(ctx context.Context, session *calibrate.Session) error {
	for queue := slices.Clone(t.parts); len(queue) > 0; {
		part := queue[0]
		why := ""
		if lacking := session.Lacks(part); lacking != "" {
			why = fmt.Sprintf("it needs %s first", lacking)
		} else if part == calibrate.Erasing && len(t.result.Left) > 0 && len(t.result.Left) == len(t.parts)-1 {
			why = "so was all before it, and there is no pattern to wipe"
		}
		if why != "" {
			t.o.c.say("\n%s is left: %s", part, why)
			t.result.Left, queue = append(t.result.Left, string(part)), queue[1:]
			continue
		}
		err := t.part(ctx, session, part)
		var trouble *calibrate.Trouble
		if errors.As(err, &trouble) {
			t.o.c.say("  %s: %s", part, t.o.c.paragraph(t.o.c.stderr, "  ", trouble.Text))
			from := part
			if trouble.From != "" {
				from = trouble.From
			}
			switch again, asked := t.again(ctx, from); {
			case asked != nil:
				return asked
			case again && from != part:
				queue = append([]calibrate.Part{from}, queue...)
				continue
			case again:
				continue
			}
			err = calibrate.ErrLeft
		}
		if t.stoppedByHand(err) {
			t.o.c.say("  %s is stopped", part)
			again, asked := t.again(ctx, part)
			if asked != nil {
				return asked
			}
			if err = calibrate.ErrLeft; again {
				err = errAgain
			}
		}
		switch {
		case errors.Is(err, errAgain):
			continue
		case errors.Is(err, calibrate.ErrLeft):
			t.o.c.say("  %s is left", part)
			t.result.Left = append(t.result.Left, string(part))
		case err != nil:
			return err
		}
		queue = queue[1:]
	}
	return nil
}

// stoppedByHand reports whether a person at the terminal stopped a motion, and
// can be asked what they want. A process that is told to end just ends.
func (t *tuning) stoppedByHand(err error) bool {
	return (errors.Is(err, link.ErrStopped) || errors.Is(err, operate.ErrStopped)) && t.o.c.onTerminal(t.o.c.stdin) && !t.o.ending.Load()
}

// stands asks whether the stylus stands where it is taken to, and gives where
// the motors are then, in machine mm; nil if it is elsewhere or lost.
func (t *tuning) stands(ctx context.Context, p *machine.Profile) (*geom.Point, error) {
	at, stylus, certainty := t.Link.Where()
	if certainty == link.Lost {
		return nil, nil
	}
	if t.o.Word == operate.Unsaid {
		t.o.c.say("  look: does the stylus stand at (%.1f, %.1f) of the page? Type `there` if so, anything else to bring it to the middle", stylus.X, stylus.Y)
		if answer, err := t.answer(ctx, "  > "); err != nil || answer != "there" {
			return nil, err
		}
	}
	motors := p.AtSteps(at.Steps)
	return &motors, nil
}

// part goes through one part, and writes down what it found, also where it did
// not come to its end.
func (t *tuning) part(ctx context.Context, session *calibrate.Session, part calibrate.Part) error {
	before := len(session.Findings())
	t.o.Note("\n%s", part)
	failed := session.Run(ctx, part)
	for _, found := range session.Findings()[before:] {
		t.o.Note("  %s", found.Text)
		t.result.Findings = append(t.result.Findings, newFindingJSON(found))
	}
	t.profile = session.Profile()
	if err := t.keep(); err != nil || failed != nil {
		return errors.Join(failed, err)
	}
	// The fastest rungs may have lost steps that nobody saw, and an eraser
	// shakes the stylus.
	if _, _, certainty := t.Link.Where(); certainty == link.Confirmed && (part == calibrate.Pace || part == calibrate.Erasing && t.profile.Eraser.DisturbsStylus) {
		if err := t.Link.Doubt(); err != nil {
			return err
		}
	}
	return nil
}

// keep writes what was found into the profile.
func (t *tuning) keep() error {
	if t.rehearsal {
		return nil
	}
	t.result.Calibrated = t.profile.Calibrated
	edited, err := t.file.learn(t.profile)
	t.result.Kept = t.file.kept
	if edited {
		t.o.c.say("  %s was edited meanwhile: what was found is added to that; the edited text is kept in %s too", t.f.machine, t.file.kept)
	}
	return err
}

// leave brings the stylus to the middle of the page on known flanks, so that
// what is remembered of its place is all there is to know.
func (t *tuning) leave(ctx context.Context) error {
	_, _, certainty := t.Link.Where()
	if !t.profile.Calibrated || t.rehearsal || certainty != link.Confirmed || slices.Equal(t.parts, []calibrate.Part{calibrate.Erasing}) {
		return nil
	}
	page, gap := t.profile.Page(), machine.Gap{}
	to := link.Place{Steps: link.MotorsAt(t.profile, page.Min.Mix(page.Max, 0.5), gap), Gap: gap}
	err := t.o.Watched(ctx, "walked", func(ctx context.Context, op link.Operator) error { return t.Link.Walk(ctx, to, op) })
	if err == nil {
		_, at, certainty := t.Link.Where()
		t.o.Note("\nthe stylus stands at (%.1f, %.1f), %s", at.X, at.Y, certainty)
	}
	return err
}

// Declare is that of calibrate.Machine. It says which box is guarded.
func (t *tuning) Declare(ctx context.Context, p *machine.Profile, at geom.Point, guard geom.Box) error {
	if err := t.Bench.Declare(ctx, p, at, guard); err != nil {
		return err
	}
	if guard != t.guard && guard != p.AreaBox() {
		t.o.c.say("  from here, no motion goes farther than %.0f mm left, %.0f right, %.0f down, %.0f up",
			at.X-guard.Min.X, guard.Max.X-at.X, at.Y-guard.Min.Y, guard.Max.Y-at.Y)
	}
	t.guard = guard
	return nil
}

// Follow is that of calibrate.Machine. The picture of a rehearsal grows with
// every pattern.
func (t *tuning) Follow(ctx context.Context, path []geom.Point, speedMMS float64) error {
	err := t.Bench.Follow(ctx, path, speedMMS)
	if err == nil && t.rehearsal && !t.pressing {
		err = t.draw(ctx, true, false)
	}
	return err
}

// patienceS is how long an eraser may take whose time is not known yet.
const patienceS = 300

// Wipe is that of calibrate.Eraser.
func (t *tuning) Wipe(ctx context.Context) (seconds float64, err error) {
	if t.connection.eraser == nil {
		return 0, &diag.Fault{Code: "eraser-none"}
	}
	if !t.rehearsal {
		if err := t.o.Consent(ctx, "the eraser will turn the toy over; hands away. Type `wipe` to start it, Enter alone not to: ", "wipe", true); err != nil {
			return 0, err
		}
	}
	err = t.erase(ctx, func(ctx context.Context, board wiper) error {
		seconds, err = board.Wipe(ctx)
		return err
	})
	return seconds, err
}

// wipeClean has the eraser wipe the sheet between two patterns, and says so. The
// operator agreed to that at the beginning. Where it fails, that is said: somebody
// has to look, and to wipe the sheet.
func (t *tuning) wipeClean(ctx context.Context) (wiped bool, err error) {
	t.o.c.say("  the eraser wipes the sheet now, for the next pattern; hands away from the frame")
	err = t.erase(ctx, func(ctx context.Context, board wiper) error {
		board.Says.Rounds = t.profile.Eraser.Rounds
		return board.WipeClean(ctx)
	})
	switch {
	case err == nil:
		t.wiped()
		return true, nil
	case errors.Is(err, operate.ErrStopped) || ctx.Err() != nil:
		return false, err
	}
	t.o.failed(err) //nolint:errcheck // it is said, and a person goes on
	return false, nil
}

// erase has the eraser board do something, which the operator may stop.
func (t *tuning) erase(ctx context.Context, do func(context.Context, wiper) error) error {
	board, err := t.connection.eraser()
	if err != nil {
		return err
	}
	board.Says.TimeoutS = patienceS
	ctx, done := t.o.Interruptible(ctx)
	defer done()
	return errors.Join(do(ctx, board), board.close())
}

var (
	_ calibrate.Machine = (*tuning)(nil)
	_ calibrate.Eraser  = (*tuning)(nil)
)
