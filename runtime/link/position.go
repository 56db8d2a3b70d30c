package link

import (
	"time"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// position is where the motors stand, how well that is known, and what may be
// done from there: the profile gives it its meaning, the gate guards it, memory
// keeps it between sessions. It knows nothing of a board.
type position struct {
	profile *machine.Profile
	gate    *gate.Gate
	memory  *Memory // nil: nothing is kept
	pitch

	rest      geom.Point // machine mm: where the motors stand or last were reported
	flanks    flanks
	certainty Certainty
	why       string // the position is lost
	// provisional: the position is counted by a profile whose directions, scale
	// and area nobody has confirmed. It is good for this session only.
	provisional bool
}

// newPosition is what memory has of the position; without a memory it is at, if
// that is known.
func newPosition(p *machine.Profile, g *gate.Gate, memory *Memory, at *Place) *position {
	s := &position{
		profile: p, gate: g, memory: memory, pitch: newPitch(p), flanks: newFlanks(p), why: "nobody has said where the stylus is",
	}
	switch {
	case memory != nil:
		at, certainty, why := memory.Recall()
		s.why = why
		if certainty == Assumed {
			s.place(at, Assumed)
		}
	case at != nil:
		s.place(*at, Assumed)
	}
	return s
}

// adopt goes on by another profile, in a box of its own. Until somebody has said
// that it is so, the position is lost.
func (p *position) adopt(profile *machine.Profile, guard *gate.Gate, provisional bool) {
	if !sameFlanks(p.profile, profile) {
		p.flanks = newFlanks(profile)
	}
	p.profile, p.gate, p.pitch, p.provisional = profile, guard, newPitch(profile), provisional
	p.stand()
	p.certainty, p.why = Lost, "the session before ended while the machine was calibrated"
	if p.memory != nil {
		p.memory.profile = Fingerprint(profile)
	}
}

// stand takes over the place that the gate was told.
func (p *position) stand() {
	x, y := p.gate.At()
	p.rest = geom.Point{X: x, Y: y}
}

// place takes over a known place.
func (p *position) place(at Place, certainty Certainty) {
	mm := p.profile.AtSteps(at.Steps)
	if p.gate.Declare(mm.X, mm.Y) != nil {
		p.why = "the remembered position is not in the area"
		return
	}
	p.stand()
	p.certainty, p.why = certainty, ""
	p.flanks.forget()
	p.flanks.rest(at.Gap)
}

// where is the position: in whole steps of the motors, as the stylus' place in
// page mm, and how well it is known. While it is lost, the places mean nothing.
func (p *position) where() (at Place, stylus geom.Point, certainty Certainty) {
	at = Place{Steps: p.profile.NearestStep(p.rest), Gap: p.flanks.gap()}
	return at, StylusAt(p.profile, at.Steps, at.Gap), p.certainty
}

// known is the error of what needs a position that is not lost.
func (p *position) known() error {
	if p.certainty == Lost {
		return &diag.Fault{Code: "position-lost", Args: diag.Args{"why": p.why}}
	}
	return nil
}

// outside is the error of a place beyond the page.
func (p *position) outside(page geom.Point) error {
	return &diag.Fault{Code: "position-outside", Args: diag.Args{
		"x": short(page.X), "y": short(page.Y), "width": short(p.profile.Page().Width()), "height": short(p.profile.Page().Height()),
	}}
}

// onPage reports whether a place is on the page, its edge included.
func (p *position) onPage(page geom.Point) bool {
	return p.profile.Page().Grow(samePlaceMM).Contains(page)
}

// samePlaceMM is within which a place on the edge of the page is on it.
const samePlaceMM = 0.0005

// declare takes over what somebody sees who looks, in page mm.
func (p *position) declare(page geom.Point) error {
	at := MotorsAt(p.profile, page, p.flanks.gap())
	mm := p.profile.AtSteps(at)
	if !p.onPage(page) || p.gate.Declare(mm.X, mm.Y) != nil {
		return p.outside(page)
	}
	p.stand()
	p.certainty, p.why = Confirmed, ""
	return nil
}

// lose says that nobody knows where the stylus is.
func (p *position) lose(why string) {
	p.certainty, p.why = Lost, why
	p.gate.Lose()
	p.flanks.forget()
	p.rest = geom.Point{}
}

// rejudge has the gate go on from where the motors stand: what it passed last
// may not have been sent.
func (p *position) rejudge() {
	if p.certainty == Lost {
		return
	}
	if err := p.gate.Declare(p.rest.X, p.rest.Y); err != nil {
		p.lose("the motors stand outside the area that is guarded")
	}
}

// move follows the motors, straight.
func (p *position) move(from, to geom.Point) {
	p.flanks.move(p.stepsOf(to.Sub(from)))
	p.rest = to
}

// stylus is where the stylus is, in page mm, when the motors are at a place on
// their way from where they rested.
func (p *position) stylus(at geom.Point) geom.Point {
	slack := p.flanks
	slack.move(p.stepsOf(at.Sub(p.rest)))
	return StylusAt(p.profile, p.profile.NearestStep(at), slack.gap())
}

// keep writes down where the motors stand, or that they are about to turn. shift
// is what the board's own coordinates are short of.
func (p *position) keep(why motion, shift geom.Point, now time.Time) error {
	if p.memory == nil {
		return nil
	}
	at, _, certainty := p.where()
	if p.provisional {
		certainty = Lost
	}
	return p.memory.keep(at, certainty, why, shift, now)
}
