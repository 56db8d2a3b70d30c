package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/internal/largepages"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// buildFlags are the flags of build beyond those of every run.
type buildFlags struct {
	runFlags
	out     string
	also    []string
	asDrawn bool
	bare    bool
	pixels  sideFlag
	seeds   string
	watch   bool
	// results are kept from one build to the next; nil if there is one alone.
	results *eval.Results
	// program is what is built, if it does not stand in a file.
	program *source.File
	// markAdded shows links and retraced line in the picture.
	markAdded bool
}

// buildBytes is how much memory build asks for in large pages: what a million pieces
// of line take.
const buildBytes = 128 << 20

func newBuild(c console) *cobra.Command {
	var f buildFlags
	cmd := &cobra.Command{
		Use:   "build FILE",
		Short: "check a program, then write its picture and its instructions",
		Long: `Checks everything, then writes NAME.png and NAME.gcode (NAME.sheet-2.png … for
further sheets) beside the program, or in the folder that --out names, and prints
a summary. A sheet without line, as after an erase at the very end, has no files
and is not counted. Outputs of an earlier run that would now mislead (further sheets,
NAME.off-page.png) are removed, if they name this program as theirs. A file in the
way that wend did not write is never replaced. Every instruction file is read back and compared with the
drawing before this reports success. If anything is wrong, none of these is
written; where a line leaves the page is then shown in NAME.off-page.png.

The folder that --out names is made if it is not there, but not those above it: a
path that is missing farther up is more likely misspelt.

An instruction file of any origin can be built too: NAME-line.png shows its line, and
NAME-line.gcode has it anew, with the speeds, the slack and the scale of this machine;
what it says of speeds is not followed. Its coordinates are mm from the lower left of
the area. The line begins where the file first draws, and ends where it last does.
Ways between two parts on which it lifts its tool, known by Z, by E that is missing, by
M5 and S0, or by the value of S of its rapid motions, are drawn only with --draw-travel.

A drawing that was made elsewhere (SVG) can be built as well: its strokes become one
line with the least visible extra line, as large as the page allows, in NAME-line.png
and NAME-line.gcode. What is filled is drawn by its outline; with --fills cover
it also hides what lies behind it, --fills hatch hatches it as well, and --fills none
leaves it out. What has no line, such as text that is not outlined, is named.

A photo (PNG, JPEG, GIF, WebP) becomes one line with its tones, in NAME-line.png and
NAME-line.gcode: as large as the page allows or as --width says, and with as much line
as the machine can draw in --minutes. Less time makes a picture lighter. --crop takes a
part of it; --contrast says how much its tones are stretched.

What a file is, is told by what stands in it, before its name. - reads it from
standard input; the outputs are then named stdin.`,
		Example: `  wend build examples/fern.wend
  wend build examples/meadow.wend --seed 7 --also svg,gif
  wend build examples/meadow.wend --seeds 1..12      twelve seeds on one picture
  wend build fern.wend --set 'size=[4.2, 30]' --watch   again on every save
  wend build fern.wend --as-drawn --machine bench.toml   what that machine would really do
  wend build fern.wend --bare --pixels 3000          a picture to show or print
  wend build leaf.svg --mark-added                 a drawing from elsewhere, as one line
  wend build cat.jpg --minutes 12 --crop 10,0,90,100     a photo as one line
  wend build bracket.nc --draw-travel --mark-added   an instruction file, made anew`,
		Args: exactlyOne("a program, a drawing, a photo or an instruction file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := f.checkFiles(); err != nil {
				return err
			}
			// No picture comes without some megabytes, and a large drawing takes a hundred.
			largepages.Ahead(buildBytes)
			runtime.GC()
			if f.seeds != "" {
				if err := f.checkSeeds(); err != nil {
					return err
				}
				return c.buildSeeds(cmd.Context(), args[0], &f)
			}
			if f.watch {
				return c.watch(cmd.Context(), args[0], &f)
			}
			_, err := c.build(cmd.Context(), args[0], &f)
			return err
		},
	}
	f.add(cmd)
	f.addElsewhere(cmd)
	f.addFiles(cmd)
	flags := cmd.Flags()
	flags.StringVar(&f.seeds, "seeds", "", "draw several seeds, `A..B`, on one contact sheet instead")
	flags.BoolVar(&f.watch, "watch", false, "build again on every save, until Ctrl-C; never moves a machine")
	return cmd
}

// addFiles adds the flags that say which files are written.
func (f *buildFlags) addFiles(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.out, "out", "", "`folder` to write to, made if it is not there (without it: beside the program)")
	flags.StringSliceVar(&f.also, "also", nil, "further outputs, such as `svg,gif` ("+furtherAbout()+")")
	flags.BoolVar(&f.asDrawn, "as-drawn", false, "also let the simulated machine draw the instructions: NAME.as-drawn.png, with what is off enlarged, beside what it would be if slack were not made up for")
	flags.BoolVar(&f.bare, "bare", false, "the line on paper alone in NAME.png, for showing and printing: no rulers, marks or words")
	flags.Var(&f.pixels, "pixels", "the longer side of NAME.png in `pixels` (without it: about 1600)")
	flags.BoolVar(&f.markAdded, "mark-added", false, "mark in the picture what was added to reach separate parts, and what was gone over again")
}

// picture says how NAME.png is drawn.
func (f *buildFlags) picture() preview.Options {
	return preview.Options{MarkAdded: f.markAdded, Bare: f.bare, Length: int(f.pixels)}
}

func (f *buildFlags) checkFiles() error {
	if f.bare && f.markAdded {
		return usagef("--mark-added explains itself beside the line, and --bare leaves all of that out; leave out one of them")
	}
	for _, kind := range f.also {
		if kinds := furtherKinds(); !slices.Contains(kinds, kind) {
			return usagef("--also knows %s, not `%s`", strings.Join(kinds, ", "), kind)
		}
	}
	return nil
}

// checkSeeds refuses what a contact sheet cannot have, rather than pass it over.
func (f *buildFlags) checkSeeds() error {
	switch {
	case f.asDrawn:
		return usagef("--as-drawn shows one seed; leave out --seeds")
	case f.watch:
		return usagef("--watch builds one seed; leave out --seeds")
	case len(f.also) > 0:
		return usagef("--also goes with one seed; leave out --seeds")
	case f.bare, f.pixels > 0:
		return usagef("--bare and --pixels go with one seed; leave out --seeds")
	case f.seed != "":
		return usagef("--seed and --seeds say two things; leave out one of them")
	}
	return nil
}

// build is the main job once. It gives the names of the files that the result
// depends on, also when it failed.
func (c console) build(ctx context.Context, name string, f *buildFlags) (inputs []string, err error) {
	inputs = []string{name}
	if f.machine != "" {
		inputs = append(inputs, f.machine)
	}
	settings, list, err := f.settings(c)
	if err != nil {
		return inputs, err
	}
	settings.Results = f.results
	settings.Read = func(program, used string) (*source.File, error) {
		inputs = append(inputs, used)
		return c.readBeside(program, used)
	}
	working := c.progress(&f.runFlags, "the picture evolves")
	settings.Progress = working.tell
	var result built
	var made pendings
	defer made.drop()
	if !list.Failed() {
		var more diag.List
		result, more = c.buildSheets(ctx, name, f, settings, &made)
		list = append(list, more...)
	}
	working.clear()
	if err := ctx.Err(); err != nil {
		return inputs, err
	}
	if outputs := result.outputs(); len(outputs) > 0 {
		if err := commitBuilt(outputs, inputs); err != nil {
			list = append(list, engine.Faults(err)...)
		} else {
			var more diag.List
			result.gone, more = removeStale(result.base, result.source, len(result.sheets), outputs)
			list = append(list, more...)
		}
	}
	return inputs, c.report(name, f, settings, result, list)
}

// built is what came of a program.
type built struct {
	drawn         *plan.Plan // nil if it did not run to its end
	fromElsewhere bool       // it comes from an instruction file or a drawing
	source        string     // the name that its outputs give of themselves
	base          string     // the path of its outputs without an ending
	gone          []string   // outputs of an earlier run that were removed
	sheets        []builtSheet
	// offPage are pictures of the sheets whose line leaves the page. They are
	// all that is written of such a program.
	offPage []output
}

func (b built) outputs() []output {
	all := b.offPage
	for _, s := range b.sheets {
		all = append(all, s.outputs...)
	}
	return all
}

// builtSheet is one sheet with the files it becomes.
type builtSheet struct {
	engine.Sheet
	outputs []output
	names   map[string]string // by kind: "png", "gcode", "svg", …
	asDrawn *engine.AsDrawn   // nil unless asked for
}

// output is the content of an output, by kind.
func (s *builtSheet) output(kind string) ([]byte, error) {
	i := slices.IndexFunc(s.outputs, func(o output) bool { return o.name == s.names[kind] })
	return s.outputs[i].made.content()
}

func (c console) buildSheets(ctx context.Context, name string, f *buildFlags, settings engine.Settings, made *pendings) (built, diag.List) {
	program, list := c.loadFor(name, f, settings)
	if program == nil {
		return built{}, list
	}
	ink := &inking{ctx: ctx, program: program, options: f.picture()}
	defer ink.stop()
	drawn, more := program.DrawFollowed(ctx, engine.Follower{Line: ink.follow})
	c.said(program.Said(), more.Failed(), &f.runFlags)
	list = append(list, more...)
	base := outputBase(name, f.out)
	if program.FromElsewhere() {
		base += "-line"
	}
	if list.Failed() {
		pictures, more := offPagePictures(ctx, program, drawn, list, base)
		return built{drawn: drawn, source: program.Source(), base: base, offPage: pictures}, append(list, more...)
	}
	var sheets []builtSheet
	var gap machine.Gap
	for n, i := range engine.WithLine(drawn) {
		job := &sheetJob{
			ctx: ctx, flags: f, program: program, drawn: drawn, sheet: i, gap: gap, picture: program.Picture(drawn, i), inked: ink.of(i), made: made,
			builtSheet: builtSheet{names: map[string]string{}},
		}
		list = append(list, job.run(sheetName(base, n))...)
		gap = job.EndGap
		sheets = append(sheets, job.builtSheet)
	}
	if list.Failed() {
		return built{drawn: drawn}, list
	}
	return built{drawn: drawn, fromElsewhere: program.FromElsewhere(), source: program.Source(), base: base, sheets: sheets}, list
}

// offPagePictures shows where a line leaves the page, if that is all that is
// wrong with it: to see it is the quickest way to mend it.
func offPagePictures(ctx context.Context, program *engine.Program, drawn *plan.Plan, list diag.List, base string) ([]output, diag.List) {
	for _, d := range list {
		if d.Severity == diag.Error && d.Code != "line-off-page" && d.Code != "begin-off-page" {
			return nil, nil
		}
	}
	var pictures []output
	page := program.Profile.Page().Grow(geom.SamePoint)
	for n, i := range engine.WithLine(drawn) {
		box := drawn.Sheets[i].Measure().Bounds
		if page.Contains(box.Min) && page.Contains(box.Max) {
			continue
		}
		var png bytes.Buffer
		if err := preview.PNG(ctx, &png, program.Picture(drawn, i), preview.Options{}); err != nil {
			return nil, engine.Faults(err)
		}
		pictures = append(pictures, output{name: sheetName(base, n) + ".off-page.png", data: png.Bytes()})
	}
	return pictures, nil
}

// atOnce runs jobs side by side and gives their errors in the order of the jobs.
// A panic in a job is raised again where the others have ended.
func atOnce(jobs []func() error) []error {
	errs := make([]error, len(jobs))
	panics := make([]any, len(jobs))
	done := make(chan struct{})
	for i, job := range jobs {
		go func() {
			defer func() {
				panics[i] = recover()
				done <- struct{}{}
			}()
			errs[i] = job()
		}()
	}
	for range jobs {
		<-done
	}
	for _, cause := range panics {
		if cause != nil {
			panic(cause)
		}
	}
	return errs
}

// outputBase is the path of the outputs without an ending.
func outputBase(name, folder string) string {
	if name == "-" {
		return filepath.Join(folder, "stdin")
	}
	base := strings.TrimSuffix(name, filepath.Ext(name))
	if strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)) == "" {
		base = name // a name that is an ending alone, such as .wend
	}
	if folder != "" {
		base = filepath.Join(folder, filepath.Base(base))
	}
	return base
}

// sheetName is the path of a sheet's outputs without an ending. Sheets without
// line are not counted.
func sheetName(base string, sheet int) string {
	if sheet == 0 {
		return base
	}
	return fmt.Sprintf("%s.sheet-%d", base, sheet+1)
}

// loadFor makes ready what is built: a file, or the program that stands for a
// text.
func (c console) loadFor(name string, f *buildFlags, settings engine.Settings) (*engine.Program, diag.List) {
	if f.program != nil {
		return engine.Load(f.program, settings)
	}
	program, list := c.load(name, "build", settings)
	if program != nil {
		list = append(list, f.unfit(program)...)
	}
	return program, list
}

// lastNotes is how much is shown of what a program printed before it failed.
const lastNotes = 20

// said shows what the program printed, with the number of each line. Of one that
// failed that is the end: what it printed just before.
func (c console) said(notes []plan.Saying, failed bool, f *runFlags) {
	if f.json || f.quiet {
		return
	}
	if earlier := len(notes) - lastNotes; failed && earlier > 0 {
		c.say("(%s before these)", diag.Counted(earlier, "note"))
		notes = notes[earlier:]
	}
	for _, s := range notes {
		c.say("line %d: %s", s.Span.From().Line, s.Text)
	}
}

// report says how it went: diagnostics to stderr and the summary to stdout, or
// everything as one JSON object.
func (c console) report(name string, f *buildFlags, settings engine.Settings, b built, list diag.List) error {
	list = list.Sorted()
	drawn, sheets := b.drawn, b.sheets
	if f.json {
		result := buildJSON{File: name, OK: !list.Failed(), Diagnostics: render.JSON(list), Sheets: []sheetJSON{}, Said: []sayingJSON{}, Removed: append([]string{}, b.gone...)}
		for _, o := range b.offPage {
			result.OffPage = append(result.OffPage, filepath.ToSlash(o.name))
		}
		if settings.Seed != nil {
			result.Seed = *settings.Seed
		}
		if drawn != nil {
			result.Seed = drawn.Seed
			for _, s := range drawn.Said {
				result.Said = append(result.Said, sayingJSON{s.Span.From().Line, s.Text})
			}
		}
		if result.OK {
			for _, s := range sheets {
				result.Sheets = append(result.Sheets, newSheetJSON(s, settings.Profile))
			}
		}
		if err := c.writeJSON(result); err != nil {
			return err
		}
	} else {
		c.show(f.worthShowing(list), f.plain)
		for _, o := range b.offPage {
			c.say("%s shows where", filepath.ToSlash(o.name))
		}
		if !list.Failed() && !f.quiet {
			c.summary(settings, b)
		}
	}
	if list.Failed() {
		return exit(exitErrors)
	}
	return nil
}
