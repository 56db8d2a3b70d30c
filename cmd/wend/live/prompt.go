// Package live is the prompt: entries of the language, one after the other,
// each tried as a whole before it counts; orders to the prompt itself; and, when
// that is asked for, a machine that draws each entry as it is accepted.
//
// The drawing is kept by Session, which knows of no terminal and no machine.
// Prompt reads entries and shows what they do. Files, the terminal and the
// machine come in through Options.
package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/operate"
	"wend/cmd/wend/tty"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/lang/words"
	"wend/runtime/link"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// Options are what a prompt works with.
type Options struct {
	Settings engine.Settings
	Lines    tty.LineReader
	Keys     operate.Keys // nil where single key presses cannot be read
	Out      io.Writer
	// Plain draws no pictures, marks or rewritten lines.
	Plain bool
	// ASCII is for terminals that have no other letters.
	ASCII bool
	// Script ends at the first error: nobody is there to answer it.
	Script bool
	// Size is the window in letters; nil where there is none.
	Size func() (columns, rows int)
	// Interrupted holds a Ctrl-C that no line editor has taken, at most one.
	Interrupted <-chan struct{}
	// Remember keeps a whole entry for the history; it may be nil.
	Remember func(entry string)

	Diagnose func(diag.List)
	// Explain is the page of a word.
	Explain func(ctx context.Context, word string) (string, error)
	// Programs are the paths of programs and folders that begin so; it may be
	// nil.
	Programs func(begin string) []string
	// Load reads a program file.
	Load func(name string) (*source.File, error)
	// Write writes a file: over another one only if that is said.
	Write func(name string, data []byte, over bool) error
	// Picture is a sheet as a PNG.
	Picture func(ctx context.Context, program *engine.Program, drawn *plan.Plan, sheet int) ([]byte, error)
	// Pictured reports whether a file is a picture that a prompt wrote.
	Pictured func(name string) bool

	// Stopped is a picture, as PNG, of where the stylus may stand on a line.
	Stopped func(ctx context.Context, planned preview.Picture, stretch *link.Stretch) ([]byte, error)
	// Remove removes a picture that a prompt wrote.
	Remove func(name string)

	// Record keeps the entries so far, so that nothing is lost with the
	// session; it may be nil. Kept is where, for the person.
	Record func(program []byte) error
	Kept   string
	// Left is a program that an earlier session left unsaved, or empty.
	Left string

	// Connect opens a machine at a port, or where its profile says if that is
	// empty. Port is the usual one.
	Connect func(ctx context.Context, port string) (*operate.Connection, error)
	Port    string
	// Armed stands for the answers to all questions before something moves; for
	// scripts.
	Armed operate.Word
	// Cautioned is that of operate.Conversation.
	Cautioned func() bool
}

// Prompt is one session with a person or a script.
type Prompt struct {
	Options
	session *Session
	talk    *operate.Conversation
	out     io.Writer
	unsaved bool            // entries since the last /save
	ours    map[string]bool // files that were written here and may be written again
	saved   string          // the file of the last /save
	later   []string        // lines that come before those that are read

	machine   *operate.Connection // nil while dry
	drawn     Mark                // up to where the machine has drawn
	partway   *partway            // a piece of line that was stopped within
	unsure    *unsure             // where it may have drawn to, after its position was lost
	possible  string              // the picture of that, or empty
	granted   bool                // motion of what is at hand was allowed as a whole
	unasked   float64             // mm: entries up to so much start with their own Enter
	entered   entered             // how the entry at hand was
	open      string              // the lines of an entry that is not complete yet
	linesRead int                 // lines that were read so far
	entryLine int                 // the line, from 1, with which the entry began
}

var errLeave = errors.New("leave")

// ErrFailed is given when a script ended at an entry with an error, which has
// been shown.
var ErrFailed = errors.New("an entry failed")

// ErrMachine is given when a script ended because the machine or the link
// failed, which has been shown.
var ErrMachine = errors.New("the machine failed")

// ErrStopped is given when a script ended because the operator stopped the
// machine.
var ErrStopped = errors.New("stopped by the operator")

// stopped says that the operator stopped the machine, and how to go on.
type stopped string

func (s stopped) Error() string { return string(s) }

// machineError is an error of the machine or the link.
type machineError struct{ error }

func (e machineError) Unwrap() error { return e.error }

// ofMachine marks an error as one of the machine.
func ofMachine(err error) error {
	if err == nil {
		return nil
	}
	return machineError{err}
}

// New begins a session. Faults of the start are in the list.
func New(ctx context.Context, o Options) (*Prompt, diag.List) {
	session, list := NewSession(ctx, o.Settings)
	diagnose := o.Diagnose
	o.Diagnose = func(list diag.List) { diagnose(byOrders(list)) }
	p := &Prompt{Options: o, session: session, out: o.Out, ours: map[string]bool{}}
	p.talk = &operate.Conversation{
		Person: &person{p: p}, Alone: o.Script, Word: o.Armed, Cautioned: o.Cautioned,
		Elsewhere: p.elsewhere,
		Remedy:    "if it stands elsewhere, say where: `/here X Y`",
	}
	return p, list
}

// Unsaved reports whether there are entries that no file has.
func (p *Prompt) Unsaved() bool { return p.unsaved }

// Run reads entries until the person leaves, the input ends or ctx does. The
// machine, if there is one, is left in peace: nothing moves after Run.
func (p *Prompt) Run(ctx context.Context) error {
	defer p.release()
	defer func() {
		if p.unsaved && p.Record != nil {
			p.say("the entries are kept in %s until the next session", p.Kept)
		}
	}()
	if !p.Script {
		p.say("%s", p.greeting())
		if p.Left != "" {
			p.say("The last session was not saved; `/restore` takes up its entries again (%s).", p.Left)
		}
	}
	for ctx.Err() == nil {
		text, err := p.entry(ctx)
		switch {
		case errors.Is(err, tty.ErrCleared):
			continue
		case errors.Is(err, errLeave):
			return nil
		case errors.Is(err, io.EOF):
			if !p.Script {
				p.say("")
			}
			return nil
		case err != nil:
			return err
		}
		if strings.TrimSpace(text) == "" {
			continue
		}
		if p.Remember != nil {
			p.Remember(folded(text))
		}
		err = p.do(ctx, text)
		switch {
		case errors.Is(err, errLeave):
			return nil
		case err != nil:
			p.complain(err)
			var machine machineError
			switch {
			case p.Script && errors.As(err, new(stopped)):
				return ErrStopped
			case p.Script && errors.As(err, &machine):
				return ErrMachine
			case p.Script:
				return ErrFailed
			}
		}
	}
	return ctx.Err()
}

func (p *Prompt) greeting() string {
	page := p.Settings.Profile.Page()
	return fmt.Sprintf("wend live, dry: nothing moves. The page is %s by %s mm (%s).\nType a statement, such as `ahead 40`. `/help` lists the orders.",
		diag.Tenths(page.Width()), diag.Tenths(page.Height()), p.Settings.Profile.Name)
}

// say tells the person something, in lines that fit the window.
func (p *Prompt) say(format string, args ...any) {
	text := render.Visible(fmt.Sprintf(format, args...))
	if columns, _ := p.window(); columns > 0 {
		text = withinColumns(text, columns)
	}
	fmt.Fprintln(p.out, text)
}

// window is the size of the window in letters; 0 where there is none.
func (p *Prompt) window() (columns, rows int) {
	if p.Size == nil {
		return 0, 0
	}
	return p.Size()
}

// withinColumns breaks lines at spaces where they are too long for a window. What
// is laid out in columns, such as a list or a source line, is short enough or
// broken by the terminal.
func withinColumns(text string, columns int) string {
	var out strings.Builder
	for i, line := range strings.Split(text, "\n") {
		if i > 0 {
			out.WriteByte('\n')
		}
		for letters := []rune(line); ; {
			if len(letters) < columns || columns < 20 {
				out.WriteString(string(letters))
				break
			}
			at := columns - 1
			for at > 0 && letters[at] != ' ' {
				at--
			}
			if at == 0 {
				at = columns - 1
			}
			out.WriteString(string(letters[:at]) + "\n")
			letters = []rune(strings.TrimLeft(string(letters[at:]), " "))
		}
	}
	return out.String()
}

// complain says why something was not done.
func (p *Prompt) complain(err error) {
	var list diag.List
	var fault *diag.Fault
	switch {
	case errors.As(err, &list):
		// The first one: at a prompt the others may well follow from it.
		if len(list) > 0 {
			p.Diagnose(list.Sorted()[:1])
		}
	case errors.As(err, &fault):
		p.Diagnose(diag.List{fault.At(source.Span{})})
	case errors.Is(err, context.Canceled):
		p.say("stopped")
	default:
		p.say("%s", err)
	}
}

// entry reads one entry: as many lines as its brackets want. Orders are obeyed
// in between.
func (p *Prompt) entry(ctx context.Context) (string, error) {
	prompts := p.promptTexts()
	text, bracket := "", ""
	defer func() { p.open = "" }()
	for {
		p.open = text
		line, err := p.nextLine(ctx, prompts)
		switch {
		case err == nil:
		case text == "" && errors.Is(err, tty.ErrIdle):
			p.say("%s", howToLeave)
			return "", tty.ErrCleared
		case text == "", ctx.Err() != nil:
			return "", err
		case p.Script && errors.Is(err, io.EOF):
			return text, nil // what is missing is said
		case isLeft(err):
			return "", p.dropped(text)
		default:
			return "", err
		}
		switch {
		case text != "" && p.orderWithin(line, bracket, text):
			if err := p.do(ctx, line); errors.Is(err, errLeave) {
				p.dropped(text) //nolint:errcheck // it is left
				return "", err
			} else if err != nil {
				p.complain(err)
			}
			continue
		case text != "" && strings.TrimSpace(line) == "" && !p.Script && !p.Lines.Waiting():
			p.say("a `%s` is still open: `%s` ends the entry, Ctrl-C drops it", bracket, closing[bracket])
		}
		if text == "" {
			p.entryLine = p.linesRead
		}
		text += line
		var more bool
		bracket, more = parse.Incomplete(source.New("", text))
		if isOrder(text) || !more {
			return text, nil
		}
		text += "\n"
		// What is open is shown where the entry stands.
		within := "more> "
		if bracket != "" {
			within = "in " + bracket + "> "
		}
		prompts = []string{
			strings.Repeat(" ", max(0, utf8.RuneCountInString(p.promptTexts()[0])-len(within))) + within, within, "> ",
		}
	}
}

var closing = map[string]string{"{": "}", "(": ")", "[": "]", "": "the rest of the line"}

// isLeft reports whether a person left what was read: with Ctrl-C or Ctrl-D.
func isLeft(err error) bool {
	return errors.Is(err, tty.ErrCleared) || errors.Is(err, tty.ErrIdle) || errors.Is(err, io.EOF)
}

// dropped tells that an entry that was open is not taken. Nothing is lost: the
// history has its lines.
func (p *Prompt) dropped(text string) error {
	if p.Remember != nil {
		p.Remember(text)
		p.say("the open entry is dropped; the up arrow brings its lines back")
	} else {
		p.say("the open entry is dropped")
	}
	return tty.ErrCleared
}

// orderWithin reports whether a line of an open entry is an order. Within round
// and square brackets a line may begin with a stroke of division.
func (p *Prompt) orderWithin(line, bracket, text string) bool {
	if !isOrder(line) {
		return false
	}
	word, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimSpace(line), "/"), " ")
	return bracket == "{" || isOrderWord(word) && !known(word) && !p.defined(word) && !strings.Contains(text, word)
}

// nextLine is the line that waits from before, or one that is read.
func (p *Prompt) nextLine(ctx context.Context, prompts []string) (string, error) {
	if len(p.later) == 0 {
		line, err := p.readLine(ctx, prompts...)
		if p.entered = unattended; p.Lines.ByHand() {
			p.entered = byHand
		}
		return line, err
	}
	p.entered = unattended
	line := p.later[0]
	p.later = p.later[1:]
	p.say("%s%s", prompts[0], line)
	return line, nil
}

const howToLeave = "Ctrl-D leaves, and so does `/leave`"

// readLine reads a line behind the first of the prompts that fits the window,
// and gives up when ctx ends.
func (p *Prompt) readLine(ctx context.Context, prompts ...string) (string, error) {
	type result struct {
		line string
		err  error
	}
	select {
	case <-p.Interrupted: // it was for what is over now
	default:
	}
	// The line editor takes Ctrl-C itself while a line is open; one that comes
	// just after its end is for what the line says. A plain terminal has only this.
	interrupted := p.Interrupted
	if p.Keys != nil {
		interrupted = nil
	}
	read := make(chan result, 1)
	go func() {
		line, err := p.Lines.ReadLine(prompts...)
		read <- result{line, err}
	}()
	for {
		select {
		case r := <-read:
			p.linesRead++
			return r.line, r.err
		case <-interrupted:
			p.say("\n%s", howToLeave)
			if !p.Script {
				fmt.Fprint(p.out, prompts[0])
			}
		case <-ctx.Done():
			return "", ctx.Err()
		}
	}
}

func isOrder(text string) bool { return strings.HasPrefix(strings.TrimSpace(text), "/") }

// do carries out one entry or order.
func (p *Prompt) do(ctx context.Context, text string) error {
	if isOrder(text) {
		p.entered = byOrder
		return p.obey(ctx, strings.TrimPrefix(strings.TrimSpace(text), "/"))
	}
	if order, ok := p.bare(text); ok {
		p.entered = byOrder
		return p.obey(ctx, order)
	}
	defer func() { p.entered = byOrder }()
	name := ""
	if p.Script {
		name = fmt.Sprintf("<line %d>", p.entryLine) // of what is read, where no entry has a number to be seen
	}
	return p.take(ctx, name, text)
}

// take tries an entry, and if it can be, accepts it, shows what it did, and
// draws it on the machine.
func (p *Prompt) take(ctx context.Context, name, text string) error {
	change, err := p.try(ctx, name, text)
	if err != nil {
		return err
	}
	p.accept(change)
	p.shown(change)
	if change.From != change.End() {
		p.remind()
	}
	return p.follow(ctx)
}

// accept makes a change the new state, and keeps it.
func (p *Prompt) accept(c *Change) {
	p.session.Accept(c)
	p.keep()
}

// keep keeps the entries as they are.
func (p *Prompt) keep() {
	p.unsaved = true
	if p.Record != nil {
		if err := p.Record([]byte(p.session.Program())); err != nil {
			p.complain(err)
			p.Record = nil // said once
		}
	}
}

// try finds out what an entry does; Ctrl-C ends that.
func (p *Prompt) try(ctx context.Context, name, text string) (*Change, error) {
	return p.tryIn(ctx, p.session, name, text)
}

func (p *Prompt) tryIn(ctx context.Context, session *Session, name, text string) (*Change, error) {
	ctx, done := p.interruptible(ctx)
	defer done()
	file := session.file(name, text)
	change, list := session.try(ctx, file)
	if change == nil && ctx.Err() == nil {
		list = p.hinted(session.mended(ctx, file, list), text)
	}
	switch {
	case ctx.Err() != nil:
		return nil, refusal("stopped; nothing of the entry counts")
	case change == nil:
		return nil, list
	}
	return change, nil
}

// hinted points to the orders that are the way out: of a bare word, to the order
// of that name; of a line that begins too late, to what takes entries
// back, and to a new sheet.
func (p *Prompt) hinted(list diag.List, text string) diag.List {
	phrase := strings.Fields(text)
	for i, d := range list {
		switch d.Code {
		case "unknown-word":
			for _, o := range ordersTable() {
				if len(phrase) > 0 && o.word == phrase[0] && d.Span.Text() == phrase[0] {
					list[i].Hint = fmt.Sprintf("the order to the prompt is `/%s`", o.form)
				}
			}
		case "order-word":
			if o, ok := words.OrderFor(strings.Join(phrase, " ")); ok && strings.HasPrefix(o.Does, "/") {
				list[i].Hint = fmt.Sprintf("the order to the prompt is `%s`", o.Does)
			}
		case "missing-value":
			if len(phrase) == 1 && isOrderWord(phrase[0]) {
				list[i].Hint = fmt.Sprintf("the order to the prompt is `/%s`; as a statement it wants to know what: `draw petal`", phrase[0])
			}
		case "begin-late":
			list[i].Hint = "`/forget` takes entries back, one by one, until none has drawn; `/new sheet` begins another sheet, which may begin elsewhere"
		case "begin-twice":
			list[i].Hint = d.Hint + "; `/forget` takes entries back, one by one"
		}
	}
	return list
}

// byOrders gives what is wrong with the position the way out that this prompt
// has, in place of commands that could not open the port meanwhile.
func byOrders(list diag.List) diag.List {
	list = slices.Clone(list)
	for i, d := range list {
		switch d.Code {
		case "position-unconfirmed":
			list[i].Hint = "look where the stylus stands: `/confirm` if it is there, else `/here X Y`"
		case "position-lost":
			list[i].Hint = "look where the stylus stands and say it: `/here X Y`; to move it first, `/disconnect`, then `wend machine jog`"
		}
	}
	return list
}

// interruptible is a context that Ctrl-C ends.
func (p *Prompt) interruptible(ctx context.Context) (context.Context, func()) {
	ctx, cancel := context.WithCancel(ctx)
	over := make(chan struct{})
	go func() {
		defer close(over)
		select {
		case <-p.Interrupted:
			cancel()
		case <-ctx.Done():
		}
	}()
	return ctx, func() { cancel(); <-over }
}

// shown says what an entry said and where it led.
func (p *Prompt) shown(c *Change) {
	for _, s := range c.Said {
		p.say("%s", s.Text)
	}
	if len(c.Warnings) > 0 {
		p.Diagnose(c.Warnings)
	}
	switch {
	case c.From != c.End(), c.moved:
		p.showState(&c.state)
	case len(c.Said) == 0 && len(c.entries[len(c.entries)-1].tree.Body) > 0:
		p.say("%s", p.standing(&c.state))
	}
}

// show shows the drawing as it is.
func (p *Prompt) show() { p.showState(&p.session.now) }

func (p *Prompt) showState(s *state) {
	fmt.Fprint(p.out, p.picture(s, 0))
	p.say("%s", p.standing(s))
}

// remind says that line waits while the machine may not draw.
func (p *Prompt) remind() {
	if waits := p.waits(); waits != "" && p.mode() != link.Armed {
		p.say("%s; `/arm` lets the machine draw it", waits)
	}
}

// folded is an entry on one line, where that means the same: so that history
// brings back the whole of it.
func folded(text string) string {
	lines := strings.Split(text, "\n")
	if len(lines) == 1 || strings.Contains(text, "#") {
		return text
	}
	var out strings.Builder
	for i, line := range lines {
		line = strings.TrimSpace(line)
		if i > 0 && line != "" {
			so := strings.TrimSpace(out.String())
			switch {
			case so == "" || strings.ContainsAny(so[len(so)-1:], "{([,=:+-*/^;"), strings.ContainsAny(line[:1], "})]."), strings.HasPrefix(line, "else"):
				out.WriteByte(' ')
			default:
				out.WriteString("; ")
			}
		}
		out.WriteString(line)
	}
	if _, list := parse.File(source.New("", out.String())); list.Failed() {
		return text
	}
	return out.String()
}
