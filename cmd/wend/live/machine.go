package live

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/link"
)

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
	if !p.Plain && !p.ASCII {
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
	if p.unsure != nil {
		return p.unsure.most
	}
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
	if err := p.standsOn(ctx); err != nil {
		return err
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
	p.unasked = 0
	if !p.machine.Calibrated {
		return &diag.Fault{Code: "machine-uncalibrated", Args: diag.Args{"name": p.Settings.Profile.Name}}
	}
	_, unknown := p.machine.SlackUnknown()
	_, at, certainty := p.machine.Where()
	switch {
	case unknown && certainty == link.Confirmed:
		if err := p.talk.Confirm(ctx, p.machine); err != nil {
			return p.notDone(err, "not armed")
		}
		_, at, certainty = p.machine.Where()
	case p.Armed != operate.Unsaid:
		if err := p.talk.Confirm(ctx, p.machine); err != nil {
			return ofMachine(err)
		}
	case certainty != link.Confirmed:
		return ofMachine(p.machine.Arm()) // it says what is missing
	}
	if err := p.talk.Settle(ctx, p.machine); err != nil {
		return p.notDone(err, "not armed")
	}
	now := &p.session.now
	what := fmt.Sprintf("the stylus stands at %s, %s; not drawn yet: %s", place(at), certainty, gcode.Length(now.Length(p.drawn, now.End())-p.beyond()))
	if err := p.talk.Arm(ctx, p.machine, what, "arm"); err != nil {
		return p.notDone(err, "not armed")
	}
	if err := p.begins(ctx); err != nil {
		p.machine.Disarm()
		return err
	}
	p.say("%s", p.modeInWords())
	return p.follow(ctx)
}

// notDone is why something was not done that the operator was asked about: what
// is so now, if they declined.
func (p *Prompt) notDone(err error, now string) error {
	if errors.Is(err, operate.ErrDeclined) {
		return refusal(now)
	}
	return ofMachine(err)
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
	p.unasked = 0
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
	p.unasked = 0
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
