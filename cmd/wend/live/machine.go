package live

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// Machine is a motion board that is connected: its modes, its position and how
// well that is known. *link.Link is one.
type Machine interface {
	Mode() link.Mode
	Where() (at link.Place, stylus geom.Point, certainty link.Certainty)
	WhyLost() string
	Declare(ctx context.Context, page geom.Point) error
	Confirm() error
	Doubt() error
	Mismatches() []link.Mismatch
	Arm() error
	Disarm()
	Draw(ctx context.Context, job link.Job, op link.Operator) (link.Outcome, error)
}

// Connection is a machine with what else belongs to it.
type Connection struct {
	Machine
	// Name is what people call it: a port, or the simulated machine.
	Name string
	// CheckList is what a person is shown before arming, line by line.
	CheckList []string
	// Wipe has an eraser wipe the sheet; nil where the operator does that, or
	// Nobody.
	Wipe   func(ctx context.Context) error
	Nobody bool
	// Calibrated tells that the machine may draw.
	Calibrated bool
	// Disturbs tells that wiping may move the stylus.
	Disturbs bool
	Close    func() error
}

// partway is where a piece of line was stopped: at, so many mm after the mark.
type partway struct {
	at geom.Point
	mm float64
}

// mode is what may move.
func (p *Prompt) mode() link.Mode {
	if p.machine == nil {
		return link.Dry
	}
	return p.machine.Mode()
}

// promptTexts are forms of the prompt, from the one that carries mode,
// certainty, position and heading to a bare sign, for narrow windows.
func (p *Prompt) promptTexts() []string {
	now := &p.session.now
	facing := degrees(now.drawn.Heading)
	if !p.Plain {
		facing += "°"
	}
	mode := p.mode().String()
	if p.machine == nil {
		at := place(now.Here())
		return []string{mode + " " + at + " " + facing + "> ", mode + " " + at + "> ", mode + "> ", "> "}
	}
	_, stylus, certainty := p.machine.Where()
	if certainty == link.Lost {
		return []string{mode + ", lost> ", "lost> ", "> "}
	}
	known := fmt.Sprintf("%s, %s", mode, certainty)
	return []string{known + " " + place(stylus) + " " + facing + "> ", known + " " + place(stylus) + "> ", known + "> ", mode + "> ", "> "}
}

// modeInWords says the mode, and the position with its certainty.
func (p *Prompt) modeInWords() string {
	if p.machine == nil {
		return "dry: no machine is connected, nothing moves"
	}
	_, at, certainty := p.machine.Where()
	line := fmt.Sprintf("%s (%s); the position is %s", p.mode(), p.machine.Name, certainty)
	if certainty == link.Lost {
		return line + ": " + p.machine.WhyLost()
	}
	return line + ", " + place(at)
}

// scratched is the mark up to which line is on the sheet for good.
func (p *Prompt) scratched() Mark {
	m := p.drawn
	if p.partway != nil {
		m.Vertex++
	}
	return m
}

// beyond is how much line after the mark is scratched already, in mm.
func (p *Prompt) beyond() float64 {
	if p.partway == nil {
		return 0
	}
	return p.partway.mm
}

func (p *Prompt) connect(ctx context.Context, port string) error {
	switch {
	case p.machine != nil:
		return refusef("%s is connected already", p.machine.Name)
	case p.Connect == nil:
		return refusal("no machine can be connected here")
	case port == "":
		port = p.Port
	}
	ctx, done := p.interruptible(ctx)
	defer done()
	c, err := p.Connect(ctx, port)
	if err != nil {
		return ofMachine(err)
	}
	p.machine = c
	p.say("%s", p.modeInWords())
	_, _, certainty := c.Where()
	switch certainty {
	case link.Lost:
		p.say("look where the stylus stands and say it: `/here X Y`, in mm of the page")
	case link.Assumed:
		p.say("look whether the stylus stands there: `/confirm`, or say where it is: `/here X Y`")
	}
	return nil
}

func (p *Prompt) connected() error {
	if p.machine == nil {
		return refusal("no machine is connected; `/connect` does that")
	}
	return nil
}

func (p *Prompt) declare(ctx context.Context, rest string) error {
	if err := p.connected(); err != nil {
		return err
	}
	words := strings.Fields(strings.ReplaceAll(rest, ",", " "))
	if len(words) != 2 {
		return refusal("it is written `/here 20 15`: x and y in mm of the page")
	}
	var at geom.Point
	for i, v := range []*float64{&at.X, &at.Y} {
		mm, err := strconv.ParseFloat(words[i], 64)
		if err != nil || mm-mm != 0 {
			return refusef("`%s` is no length in mm", words[i])
		}
		*v = mm
	}
	if err := p.machine.Declare(ctx, at); err != nil {
		return ofMachine(err)
	}
	p.say("%s", p.modeInWords())
	return p.begins(ctx)
}

func (p *Prompt) confirm(ctx context.Context, _ string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if err := p.machine.Confirm(); err != nil {
		return err
	}
	p.say("%s", p.modeInWords())
	return p.begins(ctx)
}

// begins lets a line of which nothing is drawn yet begin where the stylus is,
// unless the program says where it begins.
func (p *Prompt) begins(ctx context.Context) error {
	now := &p.session.now
	if p.drawn != (Mark{}) || p.partway != nil || now.drawn.Sheets[0].Begun {
		return nil
	}
	_, at, _ := p.machine.Where()
	if at.Distance(now.At(Mark{})) < p.grain() {
		return nil
	}
	if list := p.session.StartAt(ctx, at); list.Failed() {
		p.say("what was entered does not stay on the page from where the stylus stands:")
		return list
	}
	p.say("the line begins where the stylus stands, %s", place(at))
	return nil
}

// grain is what counts as the same place for motors, in mm.
func (p *Prompt) grain() float64 {
	scale := p.Settings.Profile.StepsPerMM()
	return 1.5 / min(scale.X, scale.Y)
}

func (p *Prompt) arm(ctx context.Context, _ string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if p.mode() == link.Armed {
		return refusal("it is armed already")
	}
	if !p.machine.Calibrated {
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": p.Settings.Profile.Name}}
	}
	if different := p.machine.Mismatches(); len(different) > 0 {
		for _, m := range different {
			p.say("the board is set otherwise: %s is %s, the profile says %s", m.Name, m.Is, m.Should)
		}
	}
	_, _, certainty := p.machine.Where()
	if certainty == link.Assumed && p.Armed {
		// The script's word stands for having looked, never for a lost position.
		if err := p.machine.Confirm(); err != nil {
			return err
		}
		certainty = link.Confirmed
	}
	if certainty == link.Confirmed && !p.Armed {
		now := &p.session.now
		for _, line := range p.machine.CheckList {
			p.say("%s", line)
		}
		p.say("the stylus stands at %s, confirmed; not drawn yet: %s", place(p.stylus()), gcode.Length(now.Length(p.drawn, now.End())-p.beyond()))
		if p.Script {
			return refusal("a script that moves a machine is started with --armed")
		}
		answer, err := p.ask(ctx, "type `arm` to let drawings start, anything else not to: ")
		if err != nil {
			return err
		}
		if answer != "arm" {
			return refusal("not armed")
		}
	}
	if err := p.machine.Arm(); err != nil {
		return ofMachine(err)
	}
	if err := p.begins(ctx); err != nil {
		p.machine.Disarm()
		return err
	}
	p.say("%s", p.modeInWords())
	return p.follow(ctx)
}

func (p *Prompt) stylus() geom.Point {
	_, at, _ := p.machine.Where()
	return at
}

func (p *Prompt) disarm(context.Context, string) error {
	if err := p.connected(); err != nil {
		return err
	}
	p.machine.Disarm()
	p.say("%s", p.modeInWords())
	return nil
}

// disconnect goes back to dry. What the machine has drawn stays drawn.
func (p *Prompt) disconnect(context.Context, string) error {
	if err := p.connected(); err != nil {
		return err
	}
	p.release()
	p.say("%s", p.modeInWords())
	return nil
}

// release lets the machine go. Nothing moves then.
func (p *Prompt) release() {
	if p.machine != nil {
		p.machine.Disarm()
		if err := p.machine.Close(); err != nil {
			p.complain(err)
		}
		p.machine = nil
	}
}

func (p *Prompt) drawOrder(ctx context.Context, _ string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if p.mode() != link.Armed {
		return refusef("the machine is %s; `/arm` lets drawings start", p.mode())
	}
	if !p.pending() {
		return refusal("everything is drawn")
	}
	return p.follow(ctx)
}

// watcher is the person at the prompt, as one who watches the machine.
func (p *Prompt) watcher(ctx context.Context) Watcher {
	return Watcher{
		Out: p.out, Keys: p.Keys, Interrupted: p.Interrupted, Progress: !p.Script, Plain: p.Plain,
		Diagnose: p.Diagnose, Answer: func(prompt string) (string, error) { return p.decide(ctx, prompt) },
	}
}

// decide reads an answer about a machine that is held: only what is typed from
// now on, and Ctrl-C is one too.
func (p *Prompt) decide(ctx context.Context, prompt string) (string, error) {
	p.Lines.Fresh()
	type answer struct {
		line string
		err  error
	}
	typed := make(chan answer, 1)
	go func() {
		line, err := p.Lines.ReadLine(prompt, "> ")
		typed <- answer{line, err}
	}()
	select {
	case a := <-typed:
		return a.line, a.err
	case <-p.Interrupted:
		return "", link.ErrStopped
	case <-ctx.Done():
		return "", ctx.Err()
	}
}

var _ Machine = (*link.Link)(nil)
