package link

import (
	"context"
	"errors"
	"time"

	"wend/lang/diag"
	"wend/runtime/gate"
)

// finish is reached when everything is drawn.
func (d *drawing) finish(ctx context.Context) error {
	l := d.l
	l.still = 0
	ok, err := l.until(ctx, answerS, quickPollS, func() bool { return l.standing() || l.trouble != nil })
	if err != nil || l.trouble != nil {
		return nil // the trouble is looked at next
	}
	if !ok || !l.last.is(stateIdle) {
		l.raise(trouble{kind: troubleStalled})
		return nil
	}
	if !d.brief {
		if err := d.settingsStay(ctx); err != nil {
			return d.halted(ctx, err)
		}
	}
	if l.mode, err = l.mode.next(finishes); err != nil {
		return err
	}
	l.armedAt = l.now()
	d.show()
	err = l.keep(still)
	// A motion by hand leaves the drawing that it may help to go on with.
	if d.record != nil {
		err = errors.Join(err, l.memory.forgetJournal())
	}
	if err != nil {
		return err
	}
	if err := d.marked(); err != nil {
		return err
	}
	return errDone
}

// settingsStay reads the settings once more: a board with another scale counts
// itself to be where it should, and is elsewhere.
func (d *drawing) settingsStay(ctx context.Context) error {
	l := d.l
	l.comparing = false
	defer func() { l.comparing = true }()
	if err := l.readSettings(ctx); err != nil {
		return err
	}
	l.forgetTrouble()
	if different := l.Mismatches(); len(different) > 0 {
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(different)}}
	}
	return nil
}

// stop is the controlled stop: on the line, position kept.
func (d *drawing) stop(ctx context.Context, why error) error {
	l := d.l
	l.forgetTrouble()
	l.comparing = false
	if err := d.stand(ctx); err != nil {
		return d.halted(ctx, err)
	}
	at := l.where(&l.last)
	var gap detour
	on, mm := true, 0.0
	if l.refusals > 0 {
		if gap, on = l.leftOut(at); on {
			d.leave(gap)
		} else {
			mm = l.fromTheLine(at)
		}
	} else {
		on, mm = d.reconcile(at)
	}
	if !on {
		return d.halted(ctx, l.offBy(mm).fault(l))
	}
	if err := d.rejoin(ctx, at, gap); err != nil {
		return d.halted(ctx, err)
	}
	if err := d.settingsStay(ctx); err != nil {
		return d.halted(ctx, err)
	}
	l.comparing = false
	l.rejudge()
	back := d.backAhead()
	d.ahead = nil
	l.mode, _ = l.mode.next(stops)
	err := l.keep(still)
	if d.record != nil {
		d.record.Drawn, d.record.MaySend, d.record.Stopped = d.moves, d.moves, true
		d.record.Back, d.record.OffMM, d.record.OffAt = back, d.offMM, d.offAt
		d.record.At, _, _ = l.Where()
		err = errors.Join(err, l.memory.record(*d.record))
	}
	return errors.Join(why, err)
}

// halted is what to do about an error that leaves nothing to mend.
func (d *drawing) halted(ctx context.Context, err error) error {
	var fault *diag.Fault
	switch {
	case errors.Is(err, errHard):
		return d.stopHard()
	case errors.As(err, &fault) && (fault.Code == "position-not-kept" || fault.Code == "gate-refused"):
		// The machine is as it should be: it stops on the line.
		return d.stop(ctx, err)
	}
	return d.halt(err)
}

// halt ends a drawing whose position nobody knows any more. The board, if it
// still hears, is held first and reset then.
func (d *drawing) halt(err error) error {
	l := d.l
	if d.running {
		l.comparing = false
		why := err.Error()
		if l.trouble == nil || l.trouble.kind != troubleGone {
			l.silence()
		}
		l.lose(why)
	}
	l.mode, _ = l.mode.next(alarms)
	l.flight = l.flight[:0]
	return errors.Join(err, l.keep(still))
}

// silence makes sure that a board of which little is known does not go on: it
// is held, and reset when it must stand. Nobody listens to its answers.
func (l *Link) silence() {
	if l.signal(gate.Hold) != nil {
		return
	}
	end := l.now().Add(duration(standstillS))
	l.polling, l.still = quickPollS, 0
	for l.now().Before(end) && !l.standing() {
		if l.step() != nil {
			return
		}
	}
	l.resetUnheard()
}

// resetUnheard resets the board whatever it says to that, and waits a little
// for its greeting.
func (l *Link) resetUnheard() {
	before := l.greetings
	if l.signal(gate.Reset) != nil {
		return
	}
	l.polling, l.unanswered = 0, time.Time{}
	l.flow.drop()
	end := l.now().Add(duration(resetS))
	for l.now().Before(end) && l.greetings == before {
		if l.step() != nil {
			return
		}
	}
}

// stopHard resets the board while it moves.
func (d *drawing) stopHard() error {
	l := d.l
	l.comparing = false
	l.resetUnheard()
	l.lose("the motors were stopped without braking")
	l.mode, _ = l.mode.next(alarms)
	l.flight = l.flight[:0]
	return errors.Join(ErrStopped, l.keep(still))
}
