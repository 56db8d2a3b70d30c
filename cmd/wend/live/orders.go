package live

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/lang/words"
	"wend/runtime/gcode"
	"wend/runtime/geom"
)

// order is a word for the prompt itself. Nothing of the language begins with a
// slash, so an order can never be taken for a statement, nor a statement for an
// order, whatever names a program uses.
type order struct {
	word string // the first one
	form string // how it is written, without the slash
	does string
	run  func(p *Prompt, ctx context.Context, rest string) error
	// machine: it is about a machine, and so of no use to who draws on paper.
	machine bool
}

// ordersTable is every order, in the order in which `/help` lists them.
func ordersTable() []order {
	return []order{
		{"help", "help [WORD]", "these orders, or all about a word or an order", (*Prompt).help, false},
		{"words", "words [THEME]", "the words that there are, by theme", (*Prompt).words, false},
		{"explain", "explain WORD", "what a word, or the code of an error, means", (*Prompt).explain, false},
		{"where", "where", "mode, position and how well it is known, heading, line", (*Prompt).where, false},
		{"entries", "entries", "your entries with their numbers", (*Prompt).entries, false},
		{"program", "program", "all entries as one tidy program", (*Prompt).listing, false},
		{"picture", "picture [FILE]", "write the sheet as a PNG, live.png; `over FILE` replaces one", (*Prompt).writePicture, false},
		{"save", "save FILE", "write the entries as a program; `over FILE` replaces one", (*Prompt).save, false},
		{"load", "load FILE", "take a program file as one entry", (*Prompt).load, false},
		{"step", "step FILE", "take it in too, statement by statement, while you watch", (*Prompt).step, false},
		{"restore", "restore", "take up what the last session left unsaved, entry by entry", (*Prompt).restore, false},
		{"forget", "forget [N]", "take back the latest entry, or N; `to 5`: all after entry 5", (*Prompt).forget, false},
		{"walk", "walk back [MM]", "go back over the line, so that nothing is seen of it", (*Prompt).walkBack, false},
		{"new", "new sheet", "begin a new sheet: the picture is wiped", (*Prompt).newSheet, false},
		{"steer", "steer", "draw with the arrow keys; it is written down as statements", (*Prompt).steer, false},
		{"connect", "connect [PORT]", "from dry to connected; PORT `sim` is the simulated machine", (*Prompt).connect, true},
		{"here", "here X Y", "say where the stylus stands, after looking", (*Prompt).declare, true},
		{"confirm", "confirm", "say that the stylus stands where it is taken to be", (*Prompt).confirm, true},
		{"arm", "arm", "from connected to armed, after the check list", (*Prompt).arm, true},
		{"draw", "draw", "draw on the machine what is not drawn yet", (*Prompt).drawOrder, true},
		{"abandon", "abandon", "drop the rest of a stopped line; the drawing goes on there", (*Prompt).abandon, true},
		{"unasked", "unasked MM", "let entries up to so many mm start with their own Enter", (*Prompt).unaskedOrder, true},
		{"disarm", "disarm", "from armed back to connected", (*Prompt).disarm, true},
		{"disconnect", "disconnect", "back to dry", (*Prompt).disconnect, true},
		{"leave", "leave", "leave (so does Ctrl-D)", (*Prompt).leave, false},
	}
}

// obey carries out an order, which is written without its slash.
func (p *Prompt) obey(ctx context.Context, text string) error {
	word, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	var all []string
	for _, o := range ordersTable() {
		if o.word == word {
			return o.run(p, ctx, strings.TrimSpace(rest))
		}
		all = append(all, o.word)
	}
	if o, ok := words.OrderFor(text); ok && slices.Contains(bareOrders, o.Does) {
		return p.obey(ctx, o.Does[1:])
	} else if ok {
		return refusef("there is no order `/%s`; it is `%s`", text, o.Does)
	}
	if near := diag.Nearest(word, all, 1); len(near) > 0 {
		return refusef("there is no order `/%s`; did you mean `/%s`?", word, near[0])
	}
	return refusef("there is no order `/%s`; `/help` lists them", word)
}

func isOrderWord(word string) bool {
	return slices.ContainsFunc(ordersTable(), func(o order) bool { return o.word == word })
}

func (p *Prompt) help(ctx context.Context, word string) error {
	ofMachine := word == "machine" && !p.defined(word)
	if word != "" && !ofMachine {
		return p.explain(ctx, word)
	}
	var rows []row
	var others []string
	for _, o := range ordersTable() {
		if o.machine == ofMachine {
			rows = append(rows, row{"/" + o.form, o.does})
		} else if o.machine {
			others = append(others, "/"+o.word)
		}
	}
	if ofMachine {
		return p.page(ctx, append(p.rows(rows), "While the machine moves: space holds and resumes, s or Ctrl-C stops."))
	}
	lines := append([]string{"Orders begin with a slash; everything else is the language."}, p.rows(rows)...)
	return p.page(ctx, append(lines,
		"With a machine: "+strings.Join(others, " ")+"; `/help machine` says what they do.",
		"Tab completes names and shows their use; an open bracket goes on below.",
		"Ctrl-C clears a line, or stops what is being worked out; Ctrl-D leaves."))
}

func (p *Prompt) where(context.Context, string) error {
	now := &p.session.now
	p.say("%s", p.modeInWords())
	p.say("%s, seed %d", p.standing(now), now.drawn.Seed)
	if waits := p.waits(); waits != "" {
		p.say("%s", waits)
	}
	return nil
}

// waits says how much line the machine has not drawn yet; it is empty if there
// is none, or no machine.
func (p *Prompt) waits() string {
	now := &p.session.now
	if left := now.Length(p.drawn, now.End()) - p.beyond(); p.machine != nil && left > 0.05 {
		return "not drawn on the machine yet: " + gcode.Length(left)
	}
	return ""
}

func (p *Prompt) listing(context.Context, string) error {
	text := p.session.Program()
	if strings.TrimSpace(text) == "" {
		return refusal("there is no entry yet")
	}
	p.say("%s", strings.TrimRight(text, "\n"))
	return nil
}

func (p *Prompt) writePicture(ctx context.Context, name string) error {
	usual := p.usualPicture()
	name, over, err := outputName(name, usual, ".png")
	if err != nil {
		return err
	}
	// The usual name is for looking at, again and again.
	over = over || name == usual && p.Pictured(name)
	now := &p.session.now
	data, err := p.Picture(ctx, now.program, now.drawn, len(now.drawn.Sheets)-1)
	if err != nil {
		return err
	}
	return p.write("picture", name, data, over)
}

// usualPicture is the name of a picture that is given none. Prompts that are
// open at a time have one each, as they have for what they keep.
func (p *Prompt) usualPicture() string {
	if p.Kept == "" {
		return "live.png"
	}
	return strings.TrimSuffix(filepath.Base(p.Kept), ".wend") + ".png"
}

// outputName is the file that an order to write names, with its ending, and
// whether it is to be written over; usual is the one meant if none is named.
func outputName(rest, usual, ending string) (name string, over bool, err error) {
	name, over = strings.CutPrefix(rest+" ", "over ")
	if name = strings.TrimSpace(name); name == "" {
		return usual, over, nil
	}
	last := filepath.Base(name)
	if os.IsPathSeparator(name[len(name)-1]) || last == "." || last == ".." {
		return "", false, refusef("%s is a folder; name a file", name)
	}
	given := filepath.Ext(name)
	switch {
	case strings.EqualFold(given, ending):
		return name, over, nil
	case ending == ".png" && given != "":
		return "", false, refusef("a picture is a PNG, so the name of its file ends in .png, not in %s", given)
	}
	return name + ending, over, nil
}

// write writes a file for an order: in place of another one only if that is
// said, or if it was written here.
func (p *Prompt) write(order, name string, data []byte, over bool) error {
	err := p.Write(name, data, over || p.ours[name])
	var fault *diag.Fault
	if errors.As(err, &fault) && fault.Code == "output-exists" {
		return refusef("%s is there already; `/%s over %s` writes over it", name, order, name)
	}
	if err != nil {
		return err
	}
	p.ours[name] = true
	p.say("wrote %s", name)
	return nil
}

// save writes the entries as a program: under the name that is given, under the
// last one again if none is, and in place of a file that is there if that is
// said.
func (p *Prompt) save(_ context.Context, name string) error {
	name, over, err := outputName(name, p.saved, ".wend")
	switch {
	case err != nil:
		return err
	case name == "":
		return refusal("name the file: `/save flower`")
	}
	if err := p.write("save", name, []byte(p.session.Program()), over); err != nil {
		return err
	}
	p.unsaved, p.saved = false, name
	return nil
}

func (p *Prompt) load(ctx context.Context, name string) error {
	if name == "" {
		return refusal("name the file: `/load pinwheel.wend`")
	}
	file, err := p.Load(name)
	if err != nil {
		return err
	}
	return p.take(ctx, file.Name, file.Text)
}

// forget takes back the latest entry, so many, or all after one.
func (p *Prompt) forget(_ context.Context, rest string) error {
	n, words := 1, strings.Fields(rest)
	how := refusal("it is written `/forget`, `/forget 3` for three entries, or `/forget to 5` for all after entry 5; `/entries` lists them")
	switch {
	case len(words) == 1:
		n, _ = strconv.Atoi(words[0])
	case len(words) == 2 && words[0] == "to":
		to, err := strconv.Atoi(words[1])
		if err != nil || to < 0 {
			return how
		}
		if n = len(p.session.now.entries) - 1 - to; n <= 0 {
			return refusef("nothing comes after entry %d; `/entries` lists them", to)
		}
	case len(words) > 0:
		return how
	}
	if n < 1 {
		return how
	}
	texts, err := p.session.Forget(n, p.scratched())
	if err != nil {
		return err
	}
	for _, text := range texts {
		if p.Remember != nil {
			p.Remember(folded(text)) // the up arrow brings it back
		}
	}
	p.keep()
	if n == 1 {
		p.say("forgot `%s`", firstLine(texts[0]))
	} else {
		p.say("forgot %d entries, from `%s` to `%s`", n, firstLine(texts[0]), firstLine(texts[n-1]))
	}
	p.show()
	return nil
}

// firstLine is a text on one line: its first one, with a sign that there is more.
func firstLine(text string) string {
	first, _, more := strings.Cut(strings.TrimSpace(text), "\n")
	if more {
		first += " …"
	}
	return first
}

// entries lists the entries with their numbers.
func (p *Prompt) entries(ctx context.Context, _ string) error {
	if len(p.session.now.entries) == 1 {
		return refusal("there is no entry yet")
	}
	var lines []string
	for i, e := range p.session.now.entries {
		if i > 0 {
			lines = append(lines, fmt.Sprintf("%4d  %s", i, firstLine(e.source.Text)))
		}
	}
	return p.page(ctx, lines)
}

// walkBack adds an entry that goes unseen to an earlier place of the line: to
// where the latest line began, or so many mm back.
func (p *Prompt) walkBack(ctx context.Context, rest string) error {
	word, length, _ := strings.Cut(rest, " ")
	if word != "back" {
		return refusal("it is written `/walk back`, or `/walk back 25` for 25 mm")
	}
	now := &p.session.now
	end := now.End()
	points := now.drawn.Sheets[end.Sheet].Points
	var to geom.Point
	if length = strings.TrimSpace(length); length != "" {
		mm, err := strconv.ParseFloat(length, 64)
		if err != nil || !(mm > 0) {
			return refusef("`%s` is no length in mm", length)
		}
		to = back(points, mm)
	} else {
		from := Mark{end.Sheet, 0}
		for i := len(p.session.before) - 1; i >= 0; i-- {
			if m := p.session.before[i].End(); m.before(end) {
				if m.Sheet == end.Sheet {
					from = m
				}
				break
			}
		}
		to = now.At(from)
	}
	if to.Distance(now.Here()) <= geom.SamePoint {
		return refusal("there is no line to go back over")
	}
	return p.take(ctx, "", fmt.Sprintf("sneak %s, %s", number(to.X), number(to.Y)))
}

// back is the place so many mm before the end of a line, or its start.
func back(points []geom.Point, mm float64) geom.Point {
	for i := len(points) - 1; i > 0; i-- {
		length := points[i].Distance(points[i-1])
		if length >= mm {
			return points[i].Add(points[i-1].Sub(points[i]).Times(mm / length))
		}
		mm -= length
	}
	return points[0]
}

// number is a coordinate as it is written in a program: exact to far below
// what makes two points one.
func number(mm float64) string {
	text := strconv.FormatFloat(mm, 'f', 9, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" || text == "" {
		return "0"
	}
	return text
}

func (p *Prompt) newSheet(ctx context.Context, rest string) error {
	if rest != "sheet" {
		return refusal("it is written `/new sheet`")
	}
	return p.take(ctx, "", "erase")
}

func (p *Prompt) leave(context.Context, string) error { return errLeave }
