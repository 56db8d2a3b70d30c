package live

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/format"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Session is a drawing that grows entry by entry. The entries, one after the
// other, are an ordinary program, and the line is what that program draws.
//
// An entry is taken as a whole or not at all: it must read, check, run and stay
// on the page, and the line so far must be the beginning of the new line to the
// last bit. To find that out the whole program runs again, so an entry costs
// time in proportion to the whole drawing.
type Session struct {
	settings engine.Settings
	now      state
	before   []state // one for each entry that can be forgotten
}

// state is a session at one time. It is never changed.
type state struct {
	entries []entry
	program *engine.Program
	drawn   *plan.Plan
	files   map[fileUse]*source.File // that the entries use, as they were when first read
}

// fileUse is a file that a text uses, by itself or through other files.
type fileUse struct{ program, path string }

// entry is one accepted text with its tree.
type entry struct {
	source *source.File
	tree   *ast.File
}

// Mark is a place on the line: a vertex of a sheet, both counted from 0.
type Mark struct{ Sheet, Vertex int }

// before reports whether a mark lies earlier on the line than another.
func (m Mark) before(other Mark) bool {
	return m.Sheet < other.Sheet || m.Sheet == other.Sheet && m.Vertex < other.Vertex
}

// Change is an entry that could be accepted.
type Change struct {
	state
	From     Mark // where the line was before it
	moved    bool // the stylus stands elsewhere
	Said     []plan.Saying
	Warnings diag.List
}

// NewSession begins with an empty program.
func NewSession(ctx context.Context, settings engine.Settings) (*Session, diag.List) {
	s := &Session{settings: settings}
	empty := source.New("<start>", "")
	now, list := s.run(ctx, []entry{{empty, &ast.File{Source: empty}}}, nil)
	s.now = now
	return s, list
}

// StartAt lets the line begin at another place. What was entered must stay on
// the page from there too.
func (s *Session) StartAt(ctx context.Context, start geom.Point) diag.List {
	old := s.settings
	s.settings.Start = &start
	now, list := s.run(ctx, s.now.entries, s.now.files)
	if list.Failed() {
		s.settings = old
		return list
	}
	// Earlier states were drawn from the old start.
	for i, earlier := range s.before {
		if again, list := s.run(ctx, earlier.entries, earlier.files); !list.Failed() {
			s.before[i] = again
			continue
		}
		s.before = s.before[:0]
		break
	}
	s.now = now
	return nil
}

// End is where the line ends.
func (s *state) End() Mark {
	last := len(s.drawn.Sheets) - 1
	return Mark{last, len(s.drawn.Sheets[last].Points) - 1}
}

// At is the place of a mark on the page.
func (s *state) At(m Mark) geom.Point { return s.drawn.Sheets[m.Sheet].Points[m.Vertex] }

// Here is where the stylus is when all is drawn.
func (s *state) Here() geom.Point { return s.At(s.End()) }

// Length is the length of the line between two marks, in mm.
func (s *state) Length(from, to Mark) float64 {
	total := 0.0
	for sheet := from.Sheet; sheet <= to.Sheet; sheet++ {
		points := s.points(from, to, sheet)
		for i := 1; i < len(points); i++ {
			total += points[i].Distance(points[i-1])
		}
	}
	return total
}

// points are the vertices of one sheet between two marks.
func (s *state) points(from, to Mark, sheet int) []geom.Point {
	points := s.drawn.Sheets[sheet].Points
	if sheet == to.Sheet {
		points = points[:to.Vertex+1]
	}
	if sheet == from.Sheet {
		points = points[from.Vertex:]
	}
	return points
}

// Try finds out what a text would do. The change is nil if it cannot be
// accepted; then the list says why. Its name is what messages call it; an empty
// one stands for the next number.
func (s *Session) Try(ctx context.Context, name, text string) (*Change, diag.List) {
	return s.try(ctx, s.file(name, text))
}

func (s *Session) file(name, text string) *source.File {
	if name == "" {
		name = fmt.Sprintf("<entry %d>", len(s.now.entries))
	}
	return source.New(name, text)
}

// mended is what there is to say about a text that cannot be accepted, with
// edits that were tried by running them too. Each run draws all there is once
// more, so a long line allows for fewer.
func (s *Session) mended(ctx context.Context, file *source.File, list diag.List) diag.List {
	left := triedVertices
	read := func(text string) diag.List {
		_, faults := s.read(source.New(file.Name, text))
		return faults
	}
	run := func(text string) diag.List {
		if left < 0 || ctx.Err() != nil {
			return nil
		}
		for _, sheet := range s.now.drawn.Sheets {
			left -= len(sheet.Points)
		}
		_, faults := s.try(ctx, source.New(file.Name, text))
		return faults
	}
	draw := func(text string) *plan.Plan {
		if change, faults := s.try(ctx, source.New(file.Name, text)); !faults.Failed() {
			return change.drawn
		}
		return nil
	}
	if read(file.Text).Failed() {
		return engine.Mended(file, list, read, run, draw)
	}
	try := func(text string) diag.List {
		if faults := read(text); faults.Failed() {
			return faults
		}
		return run(text)
	}
	return engine.Mended(file, list, try, nil, draw)
}

// triedVertices is how many vertices are drawn to find an edit: some tenths of a
// second.
const triedVertices = 500_000

// read is a text as one more entry, read and checked but not run. There is none
// if the list failed.
func (s *Session) read(file *source.File) (*reading, diag.List) {
	tree, list := parse.File(file)
	if list.Failed() {
		return nil, list
	}
	entries, added, again := s.replaced(entry{file, tree})
	if again != nil {
		return nil, again
	}
	ready, more := s.ready(append(entries, added), s.now.files)
	list = append(list, more...)
	if ready.program == nil {
		return nil, about(list, added)
	}
	return &reading{ready, added}, list
}

// reading is a session with one more entry that did not run yet.
type reading struct {
	state
	added entry
}

func (s *Session) try(ctx context.Context, file *source.File) (*Change, diag.List) {
	r, list := s.read(file)
	if r == nil {
		return nil, list
	}
	now, added := r.state, r.added
	more := now.draw(ctx)
	list = append(list, more...)
	if list.Failed() {
		return nil, about(list, added)
	}
	from := s.now.End()
	if !continues(s.now.drawn, now.drawn) {
		return nil, diag.List{diag.New("live-line-changed", added.tree.Place(), nil)}
	}
	return &Change{
		state: now, From: from, moved: now.Here() != s.now.Here(),
		Said:     now.drawn.Said[len(s.now.drawn.Said):],
		Warnings: warningsOf(list, added.source),
	}, nil
}

// Accept makes a change of this session's present state the new state.
func (s *Session) Accept(c *Change) {
	s.before = append(s.before, s.now)
	s.now = c.state
}

// run evaluates entries as one program.
func (s *Session) run(ctx context.Context, entries []entry, files map[fileUse]*source.File) (state, diag.List) {
	now, list := s.ready(entries, files)
	if now.program == nil {
		return state{}, list
	}
	list = append(list, now.draw(ctx)...)
	if list.Failed() {
		return state{}, list
	}
	return now, list
}

// ready checks entries as one program; there is none in the state if that cannot
// run.
func (s *Session) ready(entries []entry, files map[fileUse]*source.File) (state, diag.List) {
	now := state{entries: entries, files: map[fileUse]*source.File{}}
	for name, file := range files {
		now.files[name] = file
	}
	settings := s.settings
	settings.Read = func(program, path string) (*source.File, error) {
		this := fileUse{program, path}
		if file := now.files[this]; file != nil {
			return file, nil
		}
		file, err := s.settings.Read(program, path)
		if err == nil {
			now.files[this] = file
		}
		return file, err
	}
	program, list := engine.Ready(whole(entries), nil, settings)
	now.program = program
	return now, list
}

// draw runs the program of a state.
func (s *state) draw(ctx context.Context) diag.List {
	drawn, list := s.program.Draw(ctx)
	s.drawn = drawn
	return slices.DeleteFunc(list, func(d diag.Diagnostic) bool { return d.Code == "program-empty" })
}

// whole is all entries as one tree. What messages call the program is the last
// of them.
func whole(entries []entry) *ast.File {
	all := &ast.File{Source: entries[len(entries)-1].source}
	for _, e := range entries {
		all.Body = append(all.Body, e.tree.Body...)
	}
	return all
}

// assisted is a text that is being typed after the entries, as an editor asks
// about it.
func (s *Session) assisted(text string) *assist.Document {
	var comments []ast.Comment
	for _, e := range s.now.entries {
		comments = append(comments, e.tree.Comments...)
	}
	settings, files := s.settings, s.now.files
	settings.Read = func(program, path string) (*source.File, error) {
		if file := files[fileUse{program, path}]; file != nil {
			return file, nil
		}
		return s.settings.Read(program, path)
	}
	document, _ := engine.Assisted(source.New("<typed>", text), whole(s.now.entries).Body, comments, settings)
	return document
}

// continues reports whether a line is the beginning of another.
func continues(old, longer *plan.Plan) bool {
	if len(old.Sheets) > len(longer.Sheets) || len(old.Said) > len(longer.Said) {
		return false
	}
	for i, sheet := range old.Sheets {
		points := longer.Sheets[i].Points
		if len(points) < len(sheet.Points) || i < len(old.Sheets)-1 && len(points) > len(sheet.Points) {
			return false
		}
		// A beginning that is given before any line moves the first point.
		if i == len(old.Sheets)-1 && len(sheet.Points) == 1 && longer.Sheets[i].Begun && !sheet.Begun {
			continue
		}
		if !slices.Equal(points[:len(sheet.Points)], sheet.Points) {
			return false
		}
	}
	return true
}

// about keeps the errors that concern the latest entry. If there are none, an
// earlier entry does not fit together with it.
func about(list diag.List, latest entry) diag.List {
	errors := slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool { return d.Severity != diag.Error })
	own := slices.DeleteFunc(slices.Clone(errors), func(d diag.Diagnostic) bool { return !concerns(d, latest.source) })
	if len(own) > 0 {
		return own
	}
	for _, stmt := range latest.tree.Body {
		if name, ok := definedName(stmt); ok && len(errors) > 0 {
			errors[0] = errors[0].WithRelated(name.Span, "the new definition, which does not fit this; give both anew in one entry")
			break
		}
	}
	return errors
}

// concerns reports whether a diagnostic is about a text, or came about by it.
func concerns(d diag.Diagnostic, file *source.File) bool {
	return d.Span.File == file || slices.ContainsFunc(d.Trail, func(f diag.Frame) bool { return f.Span.File == file })
}

// warningsOf are the warnings about an entry. At a prompt nothing is unused
// yet: the next entry may use it.
func warningsOf(list diag.List, latest *source.File) diag.List {
	return slices.DeleteFunc(slices.Clone(list), func(d diag.Diagnostic) bool {
		return d.Span.File != latest || d.Code == "unused-variable" || d.Code == "unused-use"
	})
}

// Forget takes back the latest entries, so many. Nothing changes if that fails:
// if they are not so many, or line of one is drawn on the machine, up to drawn.
func (s *Session) Forget(n int, drawn Mark) (texts []string, err error) {
	switch {
	case len(s.before) == 0:
		return nil, refusal("there is no entry to forget")
	case n > len(s.before):
		return nil, refusef("there are %d entries to forget, not %d", len(s.before), n)
	}
	for i := range n {
		if previous := s.before[len(s.before)-1-i]; previous.End().before(drawn) {
			which := "the line of the latest entry is"
			if i > 0 {
				which = fmt.Sprintf("of the latest %d entries only %d can be taken back; the line before them is", n, i)
			}
			return nil, refusal(which + " scratched already and cannot be taken back; `/walk back` goes back over it, `/new sheet` has it wiped")
		}
	}
	for range n {
		last := len(s.before) - 1
		texts = append([]string{strings.TrimSpace(s.now.entries[len(s.now.entries)-1].source.Text)}, texts...)
		s.now, s.before = s.before[last], s.before[:last]
	}
	return texts, nil
}

// Program is all entries as one tidy program that draws the same line.
func (s *Session) Program() string {
	var text strings.Builder
	if s.settings.Seed != nil {
		// A seed that was chosen outside counts for more than those of the entries.
		if s.now.seeds() {
			fmt.Fprintf(&text, "# This line is drawn with --seed %d.\n\n", s.now.drawn.Seed)
		} else {
			fmt.Fprintf(&text, "seed %d\n", s.now.drawn.Seed)
		}
	}
	if first := s.now.drawn.Sheets[0]; s.settings.Start != nil && !first.Begun {
		fmt.Fprintf(&text, "begin %s, %s\n", number(first.Points[0].X), number(first.Points[0].Y))
	}
	apart, comment := false, ""
	for _, e := range s.now.entries {
		t := strings.Trim(e.source.Text, " \t\r\n")
		switch {
		case t == "":
			continue
		case len(e.tree.Body) == 0:
			comment += t + "\n" // it is about what follows
			continue
		}
		if text.Len() > 0 && (apart || defines(e)) {
			text.WriteString("\n")
		}
		apart = defines(e)
		text.WriteString(comment + t + "\n")
		comment = ""
	}
	text.WriteString(comment)
	tree, _ := parse.File(source.New("<entries>", text.String()))
	return format.Source(tree)
}

// seeds reports whether the entries begin the random sequence themselves.
func (s *state) seeds() bool {
	found := false
	for _, e := range s.entries {
		ast.Walk(e.tree, func(n ast.Node) bool {
			if call, ok := n.(*ast.Call); ok {
				if o := s.program.Checked.Refs[call.Fn]; o != nil && o.Builtin != nil && o.Builtin.Op == types.Seed {
					found = true
				}
			}
			return !found
		})
	}
	return found
}

// defines reports whether an entry is, or ends with, a definition or has several
// lines, so that it stands apart in a program.
func defines(e entry) bool {
	for _, stmt := range e.tree.Body {
		switch stmt.(type) {
		case *ast.FuncDef, *ast.FigureDef, *ast.Use:
			return true
		}
	}
	return strings.Contains(strings.TrimSpace(e.source.Text), "\n")
}

// refusal is why something is not done, for the person at the prompt.
type refusal string

func (r refusal) Error() string { return string(r) }

func refusef(format string, args ...any) error { return refusal(fmt.Sprintf(format, args...)) }
