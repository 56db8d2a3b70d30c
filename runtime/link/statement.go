package link

import (
	"context"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
)

// greet waits for the greeting. A board that keeps running when its port is
// opened is asked where it is, and reset at rest.
func (b *board) greet(ctx context.Context) error {
	if ok, err := b.until(ctx, greetingS, 0, func() bool { return b.greetings > 0 }); ok || err != nil {
		return err
	}
	b.forgetTrouble() // half a line may have been heard
	heard := b.reports
	ok, err := b.until(ctx, answerS, quickPollS, func() bool { return b.reports > heard })
	if err != nil {
		return err
	}
	if !ok {
		return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": int(greetingS + answerS)}}
	}
	b.keptRunning, b.still = true, 0
	// Where it counts itself to be, with the offset that it still has.
	if ok, err = b.until(ctx, 4*answerS, quickPollS, func() bool {
		return b.standing() && (b.last.hasOffset || !b.last.machine)
	}); err != nil {
		return err
	}
	if ok {
		b.opening = b.last
	}
	ok, err = b.until(ctx, 2*standstillS, pollS, func() bool { return b.standing() })
	if err != nil {
		return err
	}
	if !ok {
		return &diag.Fault{Code: "board-moves"}
	}
	b.forgetTrouble()
	return b.reset(ctx)
}

// unlock has a board take lines that stands in an alarm, as after a stop without
// braking. Whatever it was, nobody knows where the motors are.
func (b *board) unlock(ctx context.Context) error {
	heard := b.reports
	if _, err := b.until(ctx, answerS, quickPollS, func() bool { return b.reports > heard }); err != nil {
		return err
	}
	b.forgetTrouble()
	if b.reports == heard || !b.last.is(stateAlarm) {
		return nil
	}
	b.listener.alarmed("the board stood in an alarm")
	return b.ask(ctx, gate.Unlock.Line())
}

// reset has the board forget queue and modes. Its motors must stand.
func (b *board) reset(ctx context.Context) error {
	b.lines.drop()
	for range 3 {
		before := b.greetings
		b.forgetTrouble()
		if err := b.signal(gate.Reset); err != nil {
			return err
		}
		ok, err := b.until(ctx, resetS, 0, func() bool { return b.greetings > before || b.trouble != nil })
		if err != nil {
			return err
		}
		if ok && b.greetings > before {
			b.forgetTrouble() // a greeting that was asked for is none
			return nil
		}
	}
	return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": trimmed(3 * resetS)}}
}

// state tells the board modes and the position that a gate guards, and makes
// sure that it understood: it is the one thing that a byte changed on the way
// would spoil for good.
func (b *board) state(ctx context.Context, g *gate.Gate) error {
	crawls := true
	for try := range 5 {
		b.forgetTrouble()
		before := b.reports
		if _, err := b.until(ctx, answerS, quickPollS, func() bool { return b.reports > before }); err != nil {
			return err
		}
		b.forgetTrouble()
		if b.last.is(stateAlarm) {
			if !b.listener.alarmed("the board stood in an alarm") {
				return (&trouble{kind: troubleAlarm}).fault()
			}
			if err := b.ask(ctx, gate.Unlock.Line()); err != nil {
				return err
			}
		}
		b.modes = ""
		ok, err := b.tell(ctx, g.Modes())
		if ok && crawls {
			ok, err = b.tell(ctx, g.Crawl())
			if t := b.trouble; t != nil && t.kind == troubleError && try > 1 {
				crawls, ok = false, true // this board does not take it
				b.forgetTrouble()
			}
		}
		if ok {
			ok, err = b.tell(ctx, gate.ShowModes.Line())
		}
		if ok = ok && modesAreStated(b.modes, crawls); ok {
			ok, err = b.tell(ctx, g.Place())
		}
		if ok {
			ok, err = b.offsetAgrees(ctx, g)
		}
		if b.stated = ok && err == nil; b.stated || err != nil {
			return err
		}
		if t := b.trouble; t != nil && t.kind == troubleGone {
			return t.fault()
		}
		if err := b.reset(ctx); err != nil {
			return err
		}
	}
	return &diag.Fault{Code: "board-confused"}
}

// offsetAgrees waits for a report that tells the program's place, or the
// offset of its zero, and holds it against the gate's. Motors that turn now
// follow a statement that was taken for something else: they are stopped.
func (b *board) offsetAgrees(ctx context.Context, g *gate.Gate) (bool, error) {
	x, y := g.At()
	want := geom.Point{X: x, Y: y}
	seen := 0
	for range 30 {
		before := b.reports
		ok, err := b.until(ctx, answerS, quickPollS, func() bool { return b.reports > before || b.trouble != nil })
		if !ok || err != nil || b.trouble != nil {
			return false, err
		}
		r := &b.last
		switch {
		case r.is(stateRun):
			b.silence()
			return false, &diag.Fault{Code: "board-off-line", Args: diag.Args{"mm": short(b.where().Distance(want))}}
		case !r.is(stateIdle):
			seen = 0
			continue
		case !r.machine:
			b.shift = geom.Point{}
			if r.at.Distance(want) > readingMM {
				return false, nil
			}
			seen++
		case r.hasOffset:
			if r.at.Sub(r.offset).Distance(want) > readingMM {
				return false, nil
			}
			b.shift = want.Sub(r.at)
			seen++
		}
		// Twice, since a report may be changed on the way too.
		if seen == 2 {
			return true, nil
		}
	}
	return false, nil
}

// where is what the last report means, in machine mm.
func (b *board) where() geom.Point {
	r := &b.last
	if r.machine {
		return r.at.Add(b.shift)
	}
	return r.at
}

// heldOffset reports whether the board, when its port was opened, still had the
// offset that goes with a shift: it went on without a reset since it was told.
func (b *board) heldOffset(shift geom.Point) bool {
	return b.keptRunning && b.opening.machine && b.opening.hasOffset &&
		shift.Length() > readingMM && b.opening.offset.Add(shift).Length() <= readingMM
}
