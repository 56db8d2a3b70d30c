package link

import (
	"context"
	"errors"

	"wend/lang/diag"
)

// finish is reached when everything is drawn.
func (d *drawing) finish(ctx context.Context) error {
	l := d.l
	l.board.still = 0
	ok, err := l.board.until(ctx, answerS, quickPollS, func() bool { return l.board.standing() || l.board.trouble != nil })
	if err != nil || l.board.trouble != nil {
		return nil // the trouble is looked at next
	}
	if !ok || !l.board.last.is(stateIdle) {
		l.board.raise(trouble{kind: troubleStalled})
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
	if d.journal != nil {
		err = errors.Join(err, d.journal.forget())
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
	l.flow.comparing = false
	defer func() { l.flow.comparing = true }()
	if err := l.board.readSettings(ctx); err != nil {
		return err
	}
	l.board.forgetTrouble()
	if different := l.Mismatches(); len(different) > 0 {
		return &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(different)}}
	}
	return nil
}

// stop is the controlled stop: on the line, position kept.
func (d *drawing) stop(ctx context.Context, why error) error {
	l := d.l
	l.board.forgetTrouble()
	l.flow.comparing = false
	if err := d.stand(ctx); err != nil {
		return d.halted(ctx, err)
	}
	at := l.board.where()
	var gap detour
	on, mm := true, 0.0
	if l.board.lines.refusals > 0 {
		if gap, on = l.flow.leftOut(at); on {
			d.leave(gap)
		} else {
			mm = l.flow.fromTheLine(at)
		}
	} else {
		on, mm = l.flow.reconcile(at)
		d.count()
	}
	if !on {
		return d.halted(ctx, l.flow.offBy(mm).fault())
	}
	if err := d.rejoin(ctx, at, gap); err != nil {
		return d.halted(ctx, err)
	}
	if err := d.settingsStay(ctx); err != nil {
		return d.halted(ctx, err)
	}
	l.flow.comparing = false
	l.rejudge()
	back := d.backAhead()
	d.ahead = nil
	l.mode, _ = l.mode.next(stops)
	err := l.keep(still)
	if j := d.journal; j != nil {
		j.reached(d.moves, d.offMM, d.offAt)
		at, _, _ := l.Where()
		err = errors.Join(err, j.stopped(at, back))
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
		l.flow.comparing = false
		why := err.Error()
		if l.board.trouble == nil || l.board.trouble.kind != troubleGone {
			l.board.silence()
		}
		l.lose(why)
	}
	l.mode, _ = l.mode.next(alarms)
	l.flow.clear()
	return errors.Join(err, l.keep(still))
}

// stopHard resets the board while it moves.
func (d *drawing) stopHard() error {
	l := d.l
	l.flow.comparing = false
	l.board.resetUnheard()
	l.lose("the motors were stopped without braking")
	l.mode, _ = l.mode.next(alarms)
	l.flow.clear()
	return errors.Join(ErrStopped, l.keep(still))
}
