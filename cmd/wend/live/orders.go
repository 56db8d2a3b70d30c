package live

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"wend/lang/diag"
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
}

// ordersTable is every order, in the order in which `/help` lists them.
func ordersTable() []order {
	return []order{
		{"help", "help [WORD]", "these orders, or what a word of the language does", (*Prompt).help},
		{"where", "where", "mode, position and how well it is known, heading, line", (*Prompt).where},
		{"program", "program", "all entries as one tidy program", (*Prompt).listing},
		{"picture", "picture [FILE]", "write the sheet as a PNG (live.png)", (*Prompt).writePicture},
		{"save", "save FILE", "write the entries as a program that draws this line", (*Prompt).save},
		{"load", "load FILE", "take a program file as one entry", (*Prompt).load},
		{"step", "step FILE", "the same, statement by statement, while you watch", (*Prompt).step},
		{"forget", "forget", "take back the latest entry, if it is not scratched yet", (*Prompt).forget},
		{"walk", "walk back [MM]", "go back over the line, so that nothing is seen of it", (*Prompt).walkBack},
		{"new", "new sheet", "begin a new sheet: the picture is wiped", (*Prompt).newSheet},
		{"steer", "steer", "draw with the arrow keys; it is written down as statements", (*Prompt).steer},
		{"connect", "connect [PORT]", "from dry to connected; PORT `sim` is the simulated machine", (*Prompt).connect},
		{"here", "here X Y", "say where the stylus stands, after looking", (*Prompt).declare},
		{"confirm", "confirm", "say that the stylus stands where it is taken to be", (*Prompt).confirm},
		{"arm", "arm", "from connected to armed, after the check list", (*Prompt).arm},
		{"draw", "draw", "draw on the machine what is not drawn yet", (*Prompt).drawOrder},
		{"disarm", "disarm", "from armed back to connected", (*Prompt).disarm},
		{"disconnect", "disconnect", "back to dry", (*Prompt).disconnect},
		{"leave", "leave", "leave (so does Ctrl-D)", (*Prompt).leave},
	}
}

// obey carries out an order, which is written without its slash.
func (p *Prompt) obey(ctx context.Context, text string) error {
	word, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	var words []string
	for _, o := range ordersTable() {
		if o.word == word {
			return o.run(p, ctx, strings.TrimSpace(rest))
		}
		words = append(words, o.word)
	}
	if leaving(word) {
		return refusef("there is no order `/%s`; `/leave` leaves, and so does Ctrl-D", word)
	}
	if near := diag.Nearest(word, words, 1); len(near) > 0 {
		return refusef("there is no order `/%s`; did you mean `/%s`?", word, near[0])
	}
	return refusef("there is no order `/%s`; `/help` lists them", word)
}

// leaving tells whether people use a word to leave a prompt.
func leaving(word string) bool {
	switch strings.ToLower(word) {
	case "quit", "exit", "bye", "q", "close", "end", "logout":
		return true
	}
	return false
}

func (p *Prompt) help(ctx context.Context, word string) error {
	if word != "" {
		word = strings.TrimPrefix(word, "/")
		for _, o := range ordersTable() {
			if o.word == word && (p.Explain == nil || !p.known(word)) {
				p.say("/%s: %s", o.form, o.does)
				return nil
			}
		}
		for _, s := range p.session.now.ownSignatures() {
			if s.word == word {
				p.say("%s: from your entries", strings.Join(s.forms, "\n"))
				return nil
			}
		}
		return p.Explain(ctx, word)
	}
	p.say("Orders to the prompt begin with a slash; everything else is the language.")
	for _, o := range ordersTable() {
		if p.Plain {
			p.say("/%s: %s", o.form, o.does)
		} else {
			p.say("  /%-15s %s", o.form, o.does)
		}
	}
	p.say("Tab completes names and shows their use; an open bracket goes on below.")
	p.say("Ctrl-C clears a line, or stops what is being worked out; Ctrl-D leaves.")
	p.say("While the machine moves: space holds and resumes, s or Ctrl-C stops.")
	return nil
}

// known tells whether a word is one of the language or the library.
func (p *Prompt) known(word string) bool {
	for _, s := range librarySignatures() {
		if s.word == word {
			return true
		}
	}
	return false
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
	// The usual name is for looking at, again and again.
	over := name == "" || p.ours[name]
	if name == "" {
		name = "live.png"
	}
	now := &p.session.now
	data, err := p.Picture(ctx, now.program, now.drawn, len(now.drawn.Sheets)-1)
	if err != nil {
		return err
	}
	return p.write(name, data, over)
}

func (p *Prompt) write(name string, data []byte, over bool) error {
	if err := p.Write(name, data, over); err != nil {
		return err
	}
	p.ours[name] = true
	p.say("wrote %s", name)
	return nil
}

func (p *Prompt) save(_ context.Context, name string) error {
	if name == "" {
		return refusal("name the file: `/save pinwheel.wend`")
	}
	if err := p.write(name, []byte(p.session.Program()), p.ours[name]); err != nil {
		return err
	}
	p.unsaved = false
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

func (p *Prompt) forget(context.Context, string) error {
	text, err := p.session.Forget(p.scratched())
	if err != nil {
		return err
	}
	first, _, more := strings.Cut(text, "\n")
	if more {
		first += " …"
	}
	p.keep()
	p.say("forgot `%s`", first)
	p.show()
	return nil
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
