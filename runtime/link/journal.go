package link

import (
	"time"

	"wend/runtime/gate"
	"wend/runtime/geom"
)

// journal is what a drawing writes down of itself before it sends it. A motion
// by hand has none: nil.
type journal struct {
	memory *Memory // nil for a machine of which nothing is remembered
	now    func() time.Time
	Record
}

// recordS is about how much motion, in seconds, one intent record covers.
const recordS = 1.0

// write has what it knows reach the disk.
func (j *journal) write() error {
	if j.memory == nil {
		return nil
	}
	return j.memory.record(j.Record)
}

// forget ends the journal of a drawing that is done.
func (j *journal) forget() error {
	if j.memory == nil {
		return nil
	}
	return j.memory.forgetJournal()
}

// covers reports whether a move may be sent by what is written already.
func (j *journal) covers(index int) bool {
	return j == nil || index < 0 || index <= j.MaySend && len(j.Back) == 0 && !j.Refused
}

// reached notes what surely is drawn, and what stays to be seen beside it.
func (j *journal) reached(drawn int, offMM float64, offAt geom.Point) {
	j.Drawn, j.OffMM, j.OffAt = drawn, offMM, offAt
}

// intend writes down that moves up to one are about to be sent, or that the
// motors are led back, and how many seconds that takes.
func (j *journal) intend(last int, back []geom.Point, seconds float64) error {
	j.MaySend, j.Stopped, j.Refused, j.Back = last, false, false, back
	j.drains(j.now(), seconds)
	return j.write()
}

// stopped writes down that the motors stand, and how they come back to where the
// line was left.
func (j *journal) stopped(at Place, back []geom.Point) error {
	j.MaySend, j.Stopped, j.Refused, j.At, j.Back = j.Drawn, true, false, at, back
	return j.write()
}

// refusalHeard writes down that a line is missing from what was sent, before
// anything is done about it: whoever goes on after a session that ended meanwhile
// must not take the motors to be on the line.
func (d *drawing) refusalHeard() {
	if j := d.journal; j != nil && !j.Refused {
		j.reached(d.moves, d.offMM, d.offAt)
		j.Refused = true
		if sent, any := d.l.flow.sent(); any {
			j.MaySend = max(j.Drawn, sent) // nothing more is sent until that is mended
		}
		d.unkept = j.write()
	}
}

// onTheLine writes down, after a refusal, that the motors stand on the line all the
// same.
func (d *drawing) onTheLine() error {
	j := d.journal
	if j == nil || !j.Refused {
		return nil
	}
	j.reached(d.moves, d.offMM, d.offAt)
	j.Refused = false
	return j.write()
}

// begin writes down that the motors are about to turn.
func (d *drawing) begin() error {
	d.l.turned = true
	if d.journal == nil {
		return d.l.keep(byHand)
	}
	if err := d.journal.write(); err != nil {
		return err
	}
	return d.l.keep(byDrawing)
}

// intend sees to it that the journal speaks of a move before it is sent.
func (d *drawing) intend(index int) error {
	j := d.journal
	if j.covers(index) {
		return nil
	}
	if len(j.Back) > 0 {
		for i := range d.l.flow.flight {
			if d.l.flow.flight[i].index < 0 && index <= j.MaySend {
				return nil // still on the way back
			}
		}
	}
	// As many of the moves to come as take about a second.
	seconds, last := 0.0, index
	for i := 0; seconds < recordS; i++ {
		if err := d.fill(i + 1); err != nil {
			return err
		}
		if i >= len(d.ahead) || d.ahead[i].Kind == gate.End {
			break
		}
		seconds += d.ahead[i].seconds()
		last = max(last, d.ahead[i].index)
	}
	j.reached(d.moves, d.offMM, d.offAt)
	return j.intend(last, nil, seconds)
}

// intendBack writes down that the motors are about to be led back to where the
// line was left: what was drawn after it does not count.
func (d *drawing) intendBack() error {
	j := d.journal
	if j == nil {
		return nil
	}
	seconds := 0.0
	for i := range d.ahead {
		if d.ahead[i].index > 0 {
			break
		}
		seconds += d.ahead[i].seconds()
	}
	j.reached(d.moves, d.offMM, d.offAt)
	j.At, _, _ = d.l.Where()
	return j.intend(j.MaySend, d.backAhead(), seconds)
}
