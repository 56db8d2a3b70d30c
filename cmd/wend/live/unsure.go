package live

import (
	"context"
	"strings"

	"wend/cmd/wend/operate"
	"wend/runtime/geom"
	"wend/runtime/link"
)

// unsure is a piece of line of which nobody knows how far it is drawn.
type unsure struct {
	sentLine
	stretch *link.Stretch
	most    Mark // up to where line may be on the sheet
	beside  bool // somebody has looked: the stylus stands beside the line
}

// mayStand remembers on which stretch of the line the stylus may stand, now that
// its position is lost, and has a picture show it.
func (p *Prompt) mayStand(ctx context.Context, outcome *sent, line sentLine) {
	if outcome.Left == nil {
		return
	}
	stretch, err := link.StretchOf(p.Settings.Profile, outcome.Left, outcome.text)
	if err != nil {
		p.complain(err)
		return
	}
	last := stretch.Possible[len(stretch.Possible)-1]
	most, within := line.reached(last, geom.Length(stretch.Drawn)+geom.Length(stretch.Possible), false, p.grain())
	if within != nil {
		most.Vertex++
	}
	p.unsure = &unsure{sentLine: line, stretch: stretch, most: most}
	now := &p.session.now
	name := strings.TrimSuffix(p.usualPicture(), ".png") + ".stopped.png"
	data, err := p.Stopped(ctx, now.program.Picture(now.drawn, line.drawn.Sheet), stretch)
	if err == nil {
		err = p.Write(name, data, p.ours[name] || p.Pictured(name))
	}
	if err != nil {
		p.complain(err)
		return
	}
	p.ours[name], p.possible = true, name
	p.say("%s", operate.Shows(name, stretch))
}

// standsOn finds, where it is not known how far the line is drawn, on which pass
// of it the stylus stands that somebody saw.
func (p *Prompt) standsOn(ctx context.Context) error {
	u := p.unsure
	if u == nil {
		return nil
	}
	_, said, _ := p.machine.Where()
	if u.stretch.Within != nil {
		// What is missing is behind it, wherever it stands.
		u.beside = true
		p.say("the board refused a line: the stylus goes back first to where the line surely is drawn, and the way there will be seen")
		return nil
	}
	passes := p.machine.Passes(u.stretch)
	if len(passes) == 0 {
		u.beside = true
		p.say("that is on no part of the line where it may stand: if it is so, the way from there to the line will be seen; if not, say it anew")
		return nil
	}
	pass, err := p.talk.Pass(ctx, operate.Sighting{Said: said, Passes: passes, LineWidthMM: p.Settings.Profile.Drawing.LineWidthMM}, false)
	if err != nil {
		// It is not known so well then.
		if doubt := p.machine.Doubt(); doubt != nil {
			return ofMachine(doubt)
		}
		return p.notDone(err, "look again, and say where it stands: `/here X Y`")
	}
	offMM, err := p.machine.StandOn(ctx, u.stretch, pass)
	if err != nil {
		return ofMachine(err)
	}
	if offMM > 0 {
		p.say("a stroke of up to %.2f mm beside the line may stay to be seen there", offMM)
	}
	p.drawn, p.partway = u.reached(pass.At, pass.AlongMM, false, p.grain())
	p.unsure = nil
	return nil
}
