package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"

	"wend/cmd/wend/operate"
	"wend/runtime/gcode"
	"wend/runtime/link"
)

// entered is how the text at hand came: whether its own Enter may let a machine
// start that a person allowed to.
type entered int

const (
	byOrder    entered = iota // it is no entry
	unattended                // pasted, typed ahead, or typed in answer to a question
	byHand                    // typed at its prompt while nothing moved
)

// unaskedOrder has a person allow entries up to a length to start with their own
// Enter, until the machine is armed no longer, something fails, or the prompt is
// left. Longer ones still ask, and what nobody typed at the prompt waits for one
// more Enter.
func (p *Prompt) unaskedOrder(ctx context.Context, rest string) error {
	if err := p.connected(); err != nil {
		return err
	}
	if p.mode() != link.Armed {
		p.unasked = 0
		return refusef("the machine is %s; `/arm` first", p.mode())
	}
	if rest == "" && p.unasked > 0 {
		p.say("entries up to %s start with their own Enter; `/unasked 0` ends that", gcode.Length(p.unasked))
		return nil
	}
	mm, err := strconv.ParseFloat(strings.TrimSuffix(rest, "mm"), 64)
	switch {
	case err != nil || !(mm >= 0) || mm-mm != 0:
		return refusal("it is written `/unasked 200`: the longest line, in mm, that an entry may draw without a question")
	case mm == 0:
		p.unasked = 0
		p.say("every entry asks before it is drawn")
		return nil
	case mm > p.mostUnasked():
		return refusef("%s is too long to start without a question; on this page it may be up to %s", gcode.Length(mm), gcode.Length(p.mostUnasked()))
	case p.Script:
		return refusal("nobody types here; a script that moves a machine is started with --armed")
	}
	p.talk.Cautions()
	question := fmt.Sprintf("each entry of up to %s will start as soon as its Enter is pressed; space holds, s stops. Type `unasked` to allow that, Enter alone not to: ", gcode.Length(mm))
	if err := p.talk.Consent(ctx, question, "unasked", false); err != nil {
		return p.notDone(err, "every entry asks before it is drawn")
	}
	p.unasked = mm
	p.say("entries up to %s start with their own Enter, until `/disarm`, a fault, or the end of this prompt", gcode.Length(mm))
	return nil
}

// halfPerimeters is how long an entry may be that starts without a question, in
// half perimeters of the page: ten times once across and once up is more than
// what is drawn at a glance, and a slip of the keys allows no drawing for hours.
const halfPerimeters = 10

// mostUnasked is the longest line, in mm, that a person may allow to start with
// its own Enter.
func (p *Prompt) mostUnasked() float64 {
	page := p.Settings.Profile.Page()
	return halfPerimeters * (page.Width() + page.Height())
}

// starts asks for the word that lets a piece of line start, where it is asked
// for.
func (p *Prompt) starts(ctx context.Context, lineMM float64, word string) error {
	switch {
	case p.granted:
		return nil
	case word == "draw" && p.allowed(lineMM) && p.entered == byHand:
		return nil
	case word == "draw" && p.allowed(lineMM) && p.entered == unattended && !p.Script:
		return p.oneMoreEnter(ctx)
	}
	return p.talk.Consent(ctx, fmt.Sprintf("type `%s` to start, Enter alone to leave it for later: ", word), word, true)
}

// allowed reports whether a piece of line is all that is to be drawn, of one
// entry and on one sheet, and no longer than a person allowed.
func (p *Prompt) allowed(lineMM float64) bool {
	now := &p.session.now
	before := p.session.before
	if p.unasked <= 0 || p.partway != nil || len(before) == 0 || p.drawn.Sheet != now.End().Sheet {
		return false
	}
	return before[len(before)-1].End() == p.drawn && lineMM <= p.unasked
}

// oneMoreEnter has a person press Enter for what was not typed at the prompt.
func (p *Prompt) oneMoreEnter(ctx context.Context) error {
	answer, err := p.talk.Person.Ask(ctx, "this was not typed here: Enter starts it, anything else leaves it for later: ")
	switch {
	case errors.Is(err, operate.ErrLeft), errors.Is(err, io.EOF):
		return operate.ErrDeclined
	case err != nil:
		return err
	case strings.TrimSpace(answer) == "":
		return nil
	}
	p.elsewhere(answer)
	return operate.ErrDeclined
}

// elsewhere takes what was typed at a question and does not answer it as the
// next entry. A single word that is no one's may be a try at the answer.
func (p *Prompt) elsewhere(answer string) bool {
	word := strings.TrimSpace(answer)
	letters := strings.IndexFunc(word, func(r rune) bool { return !unicode.IsLetter(r) }) < 0
	_, order := p.bare(word)
	if letters && !order && !p.defined(word) {
		return false
	}
	p.later = append(p.later, answer)
	return true
}
