package link

import (
	"context"
	"errors"

	"wend/lang/diag"
	"wend/runtime/gate"
)

// pause is reached: all is drawn up to an M0.
func (d *drawing) pause() error {
	l := d.l
	message := d.waiting.message
	d.atPause = true
	var err error
	if l.mode, err = l.mode.next(holds); err != nil {
		return err
	}
	if message == "" {
		message = "the program waits"
	}
	if !d.op.Holds(message, nil, d.place()) {
		return d.stop(context.Background(), &diag.Fault{Code: "pause-unattended", Args: diag.Args{"message": message}})
	}
	return nil
}

// hold brings the motors to a stand on the line.
func (d *drawing) hold(ctx context.Context, message string, why *diag.Fault) error {
	l := d.l
	if err := d.stand(ctx); err != nil {
		return d.halted(ctx, err)
	}
	if l.board.trouble != nil {
		return nil
	}
	var err error
	if l.mode, err = l.mode.next(holds); err != nil {
		return err
	}
	d.show()
	if !d.op.Holds(message, why, l.position.stylus(l.board.where())) {
		if why == nil {
			return d.stop(ctx, ErrStopped)
		}
		return d.stop(ctx, why)
	}
	return nil
}

// stand holds the motors and waits until two reports agree that they stand.
func (d *drawing) stand(ctx context.Context) error {
	l := d.l
	defer d.count()
	l.flow.holding, l.board.still = true, 0
	stands := l.board.standsSince()
	end := l.now().Add(duration(standstillS))
	for {
		if err := l.board.signal(gate.Hold); err != nil {
			return err
		}
		// The byte may get lost: it is sent again until the board has heard it.
		again := l.now().Add(duration(againS))
		stopHard := false
		ok, err := l.board.until(ctx, end.Sub(l.now()).Seconds(), quickPollS, func() bool {
			stopHard = d.hard()
			return stopHard || stands() || l.board.trouble != nil && !l.board.trouble.mends() || l.board.last.is(stateRun) && l.now().After(again)
		})
		switch {
		case err != nil:
			return err
		case l.board.trouble != nil && !l.board.trouble.mends():
			return l.board.trouble.fault()
		case stopHard:
			return errHard
		case stands():
			l.board.polling = l.board.reportS
			return nil
		case !ok:
			return &diag.Fault{Code: "board-moves"}
		}
	}
}

// againS is after how many seconds a hold is sent again.
const againS = 0.15

var errHard = errors.New("stop at once")

// hard reports whether the operator does not want to wait for a stand.
func (d *drawing) hard() bool {
	switch d.op.Wish() {
	case StopHard:
		return true
	case Stop:
		d.wantsStop = true
	}
	return false
}

// resume goes on after a hold or a pause.
func (d *drawing) resume(ctx context.Context) error {
	l := d.l
	var err error
	if l.mode, err = l.mode.next(resumes); err != nil {
		return err
	}
	// Somebody may have thought for long, and nobody has heard the board
	// meanwhile.
	err = l.board.fresh(ctx, true)
	l.board.polling = l.board.reportS
	if d.count(); err != nil || l.board.trouble != nil {
		return nil // the trouble is looked at next
	}
	if d.atPause {
		d.waiting, d.atPause = nil, false
	}
	l.flow.holding, l.board.movedAt = false, l.now()
	l.flow.since, l.flow.speed = l.now(), 0
	if l.board.last.is(stateHold) || l.board.last.is(stateDoor) {
		if err := l.board.signal(gate.Resume); err != nil {
			return nil
		}
		// Reports that are on their way still speak of the hold.
		l.flow.graceUntil = l.now().Add(2*l.board.roundTrip + duration(pollS))
		// The model begins from rest at the next report.
		l.flow.drained = l.now().Add(duration(l.flow.chainSeconds(nil)))
	}
	return nil
}
