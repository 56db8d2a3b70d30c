package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/bench"
	"wend/cmd/wend/drawing"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/calibrate"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

type tuneFlags struct {
	profileFlags
	parts []string
	out   string
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
profile, whose old text is kept as NAME.toml.1 (.2, …). Parts can be done alone.

The patterns are drawn by the simulated machine, which is as the profile says, and
shown as a picture, NAME.tune.png, to be read with its rulers. What is found there
is a rehearsal: calibrated = true is left to a real machine.

Answers are read line by line from standard input; ` + "`stop`" + ` ends, and keeps the parts
that are done.`,
		Example: `  wend machine tune --machine bench.toml
  wend machine tune --machine bench.toml --part slack,length`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			for _, part := range f.parts {
				if !slices.Contains(names, part) {
					return usagef("--part knows %s, not `%s`%s", strings.Join(names, ", "), part, didYouMean(part, names))
				}
			}
			return c.tune(cmd.Context(), &f)
		},
	}
	f.add(cmd)
	cmd.Flags().StringSliceVar(&f.parts, "part", nil, "only these `parts`, in the usual order")
	cmd.Flags().StringVar(&f.out, "out", "", "`folder` for the pictures (without it: beside the profile)")
	return cmd
}

func (c console) tune(ctx context.Context, f *tuneFlags) error {
	profile, list := c.profile(f.machine)
	c.show(list, f.plain)
	if list.Failed() {
		return exit(exitErrors)
	}
	c.say("Calibration on the simulated machine, which is as %s says. On a real one:", profile.Name)
	for _, caution := range cautions() {
		c.say("  %s", caution)
	}
	start := profile.ToPage(profile.AreaBox().Max.Times(0.5))
	b, err := bench.On(drawing.Simulated(profile, start, machine.Side{X: 1, Y: 1}))
	if err != nil {
		return c.tuneFailed(err)
	}
	base := outputBase(f.machine, f.out)
	if f.machine == "" {
		base = filepath.Join(f.out, "desk-toy")
	}
	op := &tuner{console: c, bench: b, profile: profile, picture: base + ".tune.png", lines: linesOf(c)}
	session, err := calibrate.Begin(ctx, b, op, b, profile)
	if err != nil {
		return c.tuneFailed(err)
	}
	kept := ""
	for _, part := range calibrate.Parts() {
		if len(f.parts) > 0 && !slices.Contains(f.parts, string(part)) {
			continue
		}
		before := len(session.Findings())
		c.say("\n%s", part)
		if err := session.Run(ctx, part); err != nil {
			return c.tuneFailed(err)
		}
		for _, found := range session.Findings()[before:] {
			c.say("  %s", found.Text)
		}
		op.profile = session.Profile()
		if f.machine == "" {
			continue
		}
		now := session.Profile()
		now.Calibrated = profile.Calibrated
		if kept, err = keepProfile(f.machine, kept, now); err != nil {
			return c.refuse(err)
		}
	}
	result := tunedJSON{File: f.machine, Kept: kept, Findings: []findingJSON{}}
	for _, found := range session.Findings() {
		result.Findings = append(result.Findings, findingJSON{string(found.Part), found.Text})
	}
	if f.json {
		if err := c.writeJSON(result); err != nil {
			return exit(exitErrors)
		}
		return nil
	}
	for _, found := range result.Findings {
		fmt.Fprintf(c.stdout, "%-11s %s\n", found.Part, found.Text)
	}
	switch {
	case f.machine == "":
		fmt.Fprintln(c.stdout, "The desk toy is built in: nothing was written. `wend machine new` makes a profile.")
	case kept == "":
		fmt.Fprintf(c.stdout, "%s is as it was\n", f.machine)
	default:
		fmt.Fprintf(c.stdout, "wrote %s; its old text is in %s\n", f.machine, kept)
	}
	return nil
}

// tunedJSON is what `wend machine tune --json` prints. The fields are a
// promise: they may be added to, not renamed.
type tunedJSON struct {
	File     string        `json:"file"`
	Kept     string        `json:"kept"` // where the old text of the profile is
	Findings []findingJSON `json:"findings"`
}

type findingJSON struct {
	Part string `json:"part"`
	Text string `json:"text"`
}

// errLeft is an operator who has gone.
var errLeft = errors.New("stopped; parts that were done are kept")

func (c console) tuneFailed(err error) error {
	var trouble *calibrate.Trouble
	switch {
	case errors.Is(err, errLeft), errors.Is(err, context.Canceled):
		c.say("%s", errLeft)
		return exit(exitStopped)
	case errors.As(err, &trouble):
		c.say("tune: %s", trouble.Text)
		return exit(exitMachine)
	}
	c.show(drawing.Faults(err), false)
	return exit(exitMachine)
}

// keepProfile writes a profile into its file, if that changes it. The old text
// is kept beside it, once for a whole calibration.
func keepProfile(name, kept string, p *machine.Profile) (string, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return kept, fileFault(name, err)
	}
	now := machine.Update(source.New(name, string(text)), p)
	if now == string(text) {
		return kept, nil
	}
	if _, list := machine.Read(source.New(name, now)); list.Failed() {
		return kept, list
	}
	for n := 1; kept == ""; n++ {
		copied := name + "." + strconv.Itoa(n)
		switch err := writeNew(copied, text); {
		case err == nil:
			kept = copied
		case !isThere(err):
			return "", err
		}
	}
	return kept, commit([]output{{name: name, data: []byte(now)}}, nil)
}

func isThere(err error) bool {
	var fault *diag.Fault
	return errors.As(err, &fault) && fault.Code == "profile-exists"
}

// tuner is the operator at the console.
type tuner struct {
	console
	bench   *bench.Bench
	profile *machine.Profile
	picture string
	blank   int // how much line there was when the sheet was wiped
	lines   <-chan string
}

// linesOf reads standard input line by line, and ends where it ends.
func linesOf(c console) <-chan string {
	lines := make(chan string)
	go func() {
		defer close(lines)
		for scanner := bufio.NewScanner(c.stdin); scanner.Scan(); {
			lines <- strings.TrimSpace(scanner.Text())
		}
	}()
	return lines
}

// answer waits for a line.
func (o *tuner) answer(ctx context.Context) (string, error) {
	select {
	case <-ctx.Done():
		return "", ctx.Err()
	case line, open := <-o.lines:
		if !open || line == "stop" {
			return "", errLeft
		}
		return line, nil
	}
}

func (o *tuner) Ready(ctx context.Context, q calibrate.Question) error {
	fmt.Fprintf(o.stderr, "  %s (Enter when done) ", q.Ask)
	_, err := o.answer(ctx)
	o.blank = len(o.bench.Simulated().Trace()) - 1
	return err
}

// sheet draws what is on the sheet.
func (o *tuner) sheet(ctx context.Context) error {
	line := o.bench.Simulated().Trace()
	line = line[min(o.blank, len(line)-1):]
	for i, at := range line {
		line[i] = o.profile.ToPage(at)
	}
	page := o.profile.Page()
	var picture bytes.Buffer
	err := preview.PNG(ctx, &picture, preview.Picture{
		Page:   preview.Page{WidthMM: page.Width(), HeightMM: page.Height(), MarginMM: o.profile.Area.MarginMM},
		Points: line, LineWidthMM: min(o.profile.Drawing.LineWidthMM, 0.2), Title: "what the stylus drew",
	}, preview.Options{PixelsPerMM: 12})
	if err != nil {
		return err
	}
	return commit([]output{{name: o.picture, data: picture.Bytes()}}, nil)
}

func (o *tuner) Measure(ctx context.Context, q calibrate.Question) (float64, error) {
	if err := o.sheet(ctx); err != nil {
		return 0, err
	}
	o.say("  see %s", filepath.ToSlash(o.picture))
	if q.More != "" {
		o.say("  %s", q.More)
	}
	for {
		unit := ""
		if q.Unit != "" {
			unit = " (" + q.Unit + ")"
		}
		fmt.Fprintf(o.stderr, "  %s%s ", q.Ask, unit)
		text, err := o.answer(ctx)
		if err != nil {
			return 0, err
		}
		v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		switch {
		case err != nil || v != v:
			o.say("  it takes a number, such as %g", (q.Low+q.High)/2)
		case v < q.Low || v > q.High:
			o.say("  from %g to %g can be; `stop` ends", q.Low, q.High)
		default:
			return v, nil
		}
	}
}

func (o *tuner) Choose(ctx context.Context, q calibrate.Question) (int, error) {
	if err := o.sheet(ctx); err != nil {
		return 0, err
	}
	o.say("  see %s", filepath.ToSlash(o.picture))
	if q.More != "" {
		o.say("  %s", q.More)
	}
	for {
		fmt.Fprintf(o.stderr, "  %s (%s) ", q.Ask, strings.Join(q.Options, ", "))
		text, err := o.answer(ctx)
		if err != nil {
			return 0, err
		}
		found := -1
		for i, option := range q.Options {
			if text != "" && strings.HasPrefix(option, strings.ToLower(text)) {
				found = i
				break
			}
		}
		if found >= 0 {
			return found, nil
		}
		o.say("  one of: %s; its first letters are enough", strings.Join(q.Options, ", "))
	}
}
