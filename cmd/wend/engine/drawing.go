// Package engine wires the stages together: a program text becomes a checked
// program, the checked program one line, the line instructions that were read
// back. Each stage gives its result and everything there is to say about it.
// Files are read through a function; nothing is written here.
package engine

import (
	"context"
	"encoding/json"
	"maps"
	"runtime"
	"slices"
	"strings"
	"sync"

	"wend/internal/largepages"
	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/compile"
	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/words"
	"wend/runtime/bounds"
	"wend/runtime/eval"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/stdlib"
)

// Settings are what a run depends on beside the program.
type Settings struct {
	Profile *machine.Profile
	Seed    *uint64     // nil: what the program says, or 1
	Start   *geom.Point // page mm; nil: what the profile says
	High    bool        // the high limits
	Limits  eval.Limits // instead of the usual ones; those that are 0 are the usual ones
	// Values are given to top-level variables, by name, in place of their own.
	Values map[string]*ast.Let
	// Read gives the content of a file that a program names, by itself or through
	// other files, whatever kind of file it is. The program goes by the name of
	// its text; where entries of several texts are one program, it is the text
	// that the use began in. A failure is a *diag.Fault.
	Read func(program, path string) (*source.File, error)
	// Fills is what becomes of what is filled in a drawing from elsewhere; "" for
	// the usual.
	Fills string
	// Photo is how a photo is drawn that is no part of a program.
	Photo PhotoWishes
	// Progress is told from time to time how much of a word's long work is done; it
	// may be nil.
	Progress func(done, of int)
	// Results keeps what costly words gave for later runs; nil to keep nothing.
	Results *eval.Results
	// DrawTravel draws the ways on which an instruction file lifts its tool.
	DrawTravel bool
}

// ResultsBytes is how much of what costly words gave a prompt or a watch keeps.
const ResultsBytes = 64 << 20

// Program is a program that was checked and is ready to run, or the line that
// an instruction file or a drawing from elsewhere means.
type Program struct {
	Settings
	Checked *check.Program // nil for an instruction file
	name    string         // of its file
	traced  *gcode.Traced  // nil for a program
	picture *source.File   // the program that draws a drawing or photo from elsewhere; nil for others
	photo   bool           // the line comes from a photo
	code    *code.Program
	text    *source.File            // nil: it is of several texts
	used    map[use]usedFile        // a file is read once, however often it is named
	users   map[*source.File]string // the program that a used file belongs to
	data    map[use]*source.File    // what was read while it ran
	said    []plan.Saying           // what it printed when it was drawn last
}

// use is a file that a program uses.
type use struct{ program, path string }

type usedFile struct {
	tree   *ast.File
	faults diag.List
}

// Load reads what a program uses, checks it and makes it ready to run. The
// program is nil if any of the list is an error.
func Load(main *source.File, settings Settings) (*Program, diag.List) {
	tree, list := parse.File(main)
	p := newProgram(settings)
	checked, list := p.check(tree, list)
	return p.load(main, checked, list)
}

// load is Load for what was read and checked, with all that there was to say.
func (p *Program) load(main *source.File, checked *check.Program, list diag.List) (*Program, diag.List) {
	ready, list := p.ready(checked, list)
	if ready == nil {
		return nil, mended(main, list, p.Settings)
	}
	ready.text = main
	return ready, list
}

// Ready is Load for a tree that was read already, with what reading it had to
// say. Its statements may come from several texts.
func Ready(tree *ast.File, list diag.List, settings Settings) (*Program, diag.List) {
	p := newProgram(settings)
	checked, list := p.check(tree, list)
	return p.ready(checked, list)
}

// ready compiles what was checked.
func (p *Program) ready(checked *check.Program, list diag.List) (*Program, diag.List) {
	if list.Failed() {
		return nil, append(list, p.absent(checked.Main.File)...).Sorted()
	}
	p.Checked, p.name = checked, checked.Main.File.Source.Name
	p.code = compile.Program(checked)
	return p, list
}

// Assisted is a text as an editor asks about it, also with errors in it, and what
// reading and checking it had to say. The text is the last of those that are one program together; before it stand the
// statements of the others.
func Assisted(text *source.File, before []ast.Stmt, comments []ast.Comment, settings Settings) (*assist.Document, diag.List) {
	tree, list := parse.File(text)
	whole := &ast.File{Source: text, Body: slices.Concat(before, tree.Body), Comments: slices.Concat(comments, tree.Comments)}
	checked, list := newProgram(settings).check(whole, list)
	return document(text, tree, checked), list
}

func document(text *source.File, tree *ast.File, checked *check.Program) *assist.Document {
	return &assist.Document{
		Tree: tree, Scan: sync.OnceValue(func() []ast.Token { return parse.Tokens(text) }), Program: checked, Words: stdlib.Vocabulary(),
	}
}

// Draft is a text that was read and checked once, for what an editor asks about it
// and to be run.
type Draft struct {
	Document *assist.Document
	List     diag.List // what reading and checking it had to say
	text     *source.File
	program  *Program
}

// Read reads and checks a text, also with errors in it.
func Read(text *source.File, settings Settings) *Draft {
	tree, list := parse.File(text)
	p := newProgram(settings)
	checked, list := p.check(tree, list)
	return &Draft{document(text, tree, checked), list, text, p}
}

// Load gives what the function Load gives for the text. Progress is that of the
// Settings. It is called once.
func (d *Draft) Load(progress func(done, of int)) (*Program, diag.List) {
	d.program.Progress = progress
	return d.program.load(d.text, d.Document.Program, slices.Clone(d.List))
}

func newProgram(settings Settings) *Program {
	return &Program{Settings: settings, used: map[use]usedFile{}, users: map[*source.File]string{}, data: map[use]*source.File{}}
}

// check checks a tree, with what reading it had to say.
func (p *Program) check(tree *ast.File, list diag.List) (*check.Program, diag.List) {
	checked, more := check.Check(tree, check.Options{
		Library:  stdlib.Library(),
		Everyday: func(word string) bool { return words.Statement(word) != nil },
		Absent: func(word string) bool {
			write, known := words.Value(word)
			return known && write == ""
		},
		Load:     p.use,
		Module:   theme,
		Set:      p.Values,
		Reported: list,
	})
	return checked, append(list, more...).Sorted()
}

// use reads a file that another one names. It lies beside that file or below.
func (p *Program) use(from *source.File, path string) (*ast.File, diag.List) {
	this, err := p.named(from, path)
	if err != nil {
		return nil, diag.List{asDiagnostic(err)}
	}
	if before, ok := p.used[this]; ok {
		return before.tree, before.faults
	}
	file, err := p.Read(this.program, this.path)
	if err == nil {
		file, err = Text(file)
	}
	if err != nil {
		return nil, Faults(err)
	}
	p.users[file] = this.program
	tree, faults := parse.File(file)
	p.used[this] = usedFile{tree, faults}
	return tree, faults
}

func theme(name string) *ast.File {
	file := stdlib.Module(name)
	if file == nil {
		return nil
	}
	tree, _ := parse.File(file)
	return tree
}

// Draw runs the program and holds its line against the page. The plan is nil
// if the program did not run to its end. The line of an instruction file was
// held against the area when it was read.
func (p *Program) Draw(ctx context.Context) (*plan.Plan, diag.List) {
	return p.DrawFollowed(ctx, Follower{})
}

// Follower is told of the line of a program while it is drawn: see Line and Placed
// of eval.Options.
type Follower struct {
	Line   func(sheet int, stretch []geom.Point)
	Placed func(place uint32, trail []diag.Frame)
}

// DrawFollowed is Draw with a follower.
func (p *Program) DrawFollowed(ctx context.Context, follower Follower) (*plan.Plan, diag.List) {
	if p.traced != nil {
		return p.traced.Plan, nil
	}
	if p.picture != nil {
		return p.drawPicture(ctx)
	}
	options := p.options()
	p.said = nil
	options.Line, options.Placed = follower.Line, follower.Placed
	options.Said = func(s plan.Saying) { p.said = append(p.said, s) }
	drawn, list := p.draw(ctx, options)
	if list.Failed() && p.text != nil && len(p.text.Text) <= mendedBytes {
		list = mendedRun(ctx, p.text, list, p.Settings)
	}
	return drawn, list
}

// Text is the program as it is written; empty where the line is of several texts, or
// of a file that is no program.
func (p *Program) Text() string {
	if p.text == nil || p.FromElsewhere() {
		return ""
	}
	return p.text.Text
}

// Said is what the program printed when it was drawn last, also if it then
// failed.
func (p *Program) Said() []plan.Saying { return p.said }

func (p *Program) draw(ctx context.Context, options eval.Options) (*plan.Plan, diag.List) {
	drawn, list := eval.Run(ctx, p.code, options)
	if drawn == nil {
		return nil, list
	}
	// What the line has outgrown while it was drawn makes room for lowering it.
	if slices.ContainsFunc(drawn.Sheets, large) {
		points := 0
		for _, sheet := range drawn.Sheets {
			points = max(points, len(sheet.Points))
		}
		largepages.Ahead(loweringBytes * points)
		runtime.GC()
	}
	// Which calls and passes led off the page is found by one more run for all
	// of them together.
	var segments []eval.Segment
	outside := bounds.Check(drawn, p.Profile.Page(), func(sheet, segment int) []diag.Frame {
		segments = append(segments, eval.Segment{Sheet: sheet, Index: segment})
		return nil
	})
	if len(segments) > 0 {
		options.Said = nil
		trails, err := eval.Trails(ctx, p.code, options, segments)
		if err != nil {
			return nil, append(list, Faults(err)...)
		}
		traced := outside[len(outside)-len(segments):]
		for i, at := range segments {
			traced[i].Trail = trails[at]
		}
	}
	return drawn, append(append(list, outside...), p.empty(drawn)...)
}

// Steps runs the program anew and calls a function before each statement, and
// another one with what it prints. It ends when the first gives an error. The
// program must have drawn without fault before.
func (p *Program) Steps(ctx context.Context, step func(eval.Step) error, said func(plan.Saying)) {
	options := p.options()
	options.Step, options.Said = step, said
	eval.Run(ctx, compile.Stepping(p.Checked), options) // the outcome is known
}

func (p *Program) options() eval.Options {
	options := eval.Options{
		Natives:     stdlib.Natives(),
		Seed:        1,
		Start:       p.Profile.Area.StartMM,
		Page:        p.Profile.Page(),
		ToleranceMM: p.Profile.FlattenToleranceMM(),
		LineWidthMM: p.Profile.Drawing.LineWidthMM,
		Read:        p.read,
		Seconds:     p.Seconds,
		Progress:    p.Progress,
	}
	if p.Results != nil {
		options.Results = p.Results
		if profile, err := json.Marshal(p.Profile); err == nil {
			options.Machine = string(profile)
		}
	}
	if p.Seed != nil {
		options.Seed, options.SeedForced = *p.Seed, true
	}
	if p.Start != nil {
		options.Start = *p.Start
	}
	options.Limits = p.Limits
	if p.High {
		options.Limits = eval.HighLimits()
	}
	return options
}

// empty reports a program that leaves no line on any sheet. One that prints
// something was not meant to draw.
func (p *Program) empty(drawn *plan.Plan) diag.List {
	if len(drawn.Said) > 0 {
		return nil
	}
	return p.Blank(drawn)
}

// Blank reports a plan without line where one is needed, with what the program
// does instead of drawing.
func (p *Program) Blank(drawn *plan.Plan) diag.List {
	if drawn == nil || len(WithLine(drawn)) > 0 {
		return nil
	}
	d := diag.New("program-empty", p.Checked.Main.File.Place().Head(), nil)
	var silent []string
	for _, stmt := range p.Checked.Main.File.Body {
		text := stmt.Place().Text()
		switch s := stmt.(type) {
		case *ast.FigureDef:
			if !slices.ContainsFunc(slices.Collect(maps.Values(p.Checked.Refs)), func(o *check.Object) bool { return o.Def == s }) {
				d.Hint = "`figure " + s.Name.Name + "` tells how to draw it; a line `" + s.Name.Name + "` below draws it"
				return diag.List{d}
			}
		case *ast.Do:
			if len(text) <= 30 && !strings.ContainsAny(text, "`\n") && len(silent) < 3 {
				silent = append(silent, "`"+text+"`")
			}
		}
	}
	if len(silent) > 0 {
		verb := " leave no line"
		if len(silent) == 1 {
			verb = " leaves no line"
		}
		d.Hint = strings.Join(silent, ", ") + verb + "; this does: `ahead 40`"
	}
	return diag.List{d}
}
