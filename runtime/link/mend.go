package link

import (
	"context"
	"fmt"
	"time"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// mend looks at a trouble: the motors are held, and the board is asked.
func (d *drawing) mend(ctx context.Context) error {
	l := d.l
	t := *l.trouble
	if !t.mends() {
		return d.halted(ctx, t.fault(l))
	}
	if d.mendedAt == d.moves {
		d.inARow++
	} else {
		d.inARow, d.mendedAt = 1, d.moves
	}
	if d.inARow > mostMended {
		return d.stop(ctx, t.fault(l))
	}
	l.forgetTrouble()
	heldBefore := l.mode == Held
	// Reports on the way down are compared later, where two agree.
	l.comparing = false
	err := d.stand(ctx)
	l.comparing = true
	if err != nil {
		return d.halted(ctx, err)
	}
	l.forgetTrouble()
	at := l.where(&l.last)
	switch where, mm := d.reconcile(at, &t); where {
	case onTheLine:
		if err := d.rejoin(ctx, at); err != nil {
			return d.halted(ctx, err)
		}
		d.mended++
		d.op.Mended(t.fault(l))
		l.forgetTrouble()
		return nil
	case besideTheLine:
		if err := d.rejoin(ctx, at); err != nil {
			return d.halted(ctx, err)
		}
		why := t.fault(l)
		why.Hint = fmt.Sprintf("a piece of the line was cut short, by at most %.2f mm; resume draws it now, stop keeps the position", mm)
		if !heldBefore {
			if l.mode, err = l.mode.next(holds); err != nil {
				return err
			}
		}
		if !d.op.Holds("", why, d.place()) {
			return d.stop(ctx, why)
		}
		return nil
	default:
		off := trouble{kind: troubleOff, mm: mm}
		if t.kind == troubleOff {
			off = t
		}
		return d.halted(ctx, off.fault(l))
	}
}

// whereabouts is where a board stands after a trouble.
type whereabouts int

const (
	elsewhere whereabouts = iota
	onTheLine
	besideTheLine // on the shortcut that a refused line leaves
)

// reconcile finds the standing motors on the moves in flight, and drops those
// that are drawn.
func (d *drawing) reconcile(at geom.Point, t *trouble) (whereabouts, float64) {
	l := d.l
	before := len(l.flight)
	defer func() { d.count(before) }()
	// A line that was refused, or that nobody took, is not drawn, and moves
	// after it lead from where the line before it ended.
	missing := len(l.flight)
	if t.kind == troubleError && t.from != nil {
		for i := range l.flight {
			if l.flight[i].index == t.from.index {
				missing = i
			}
		}
	}
	if len(l.flight) == 0 {
		if mm := at.Distance(l.rest); mm > l.stillMM() {
			return elsewhere, mm
		}
		return onTheLine, 0
	}
	if l.last.is(stateIdle) {
		// The queue is empty: the motors stand at the end of a move, and what
		// was taken after it would have been drawn.
		for j := min(missing, len(l.flight)) - 1; j >= -1; j-- {
			end := l.flight[0].from
			if j >= 0 {
				end = l.flight[j].to
			}
			if at.Distance(end) <= l.stillMM() {
				l.draw(j + 1)
				l.along = 0
				return onTheLine, 0
			}
			if j >= 0 && l.flight[j].acked && l.flight[j].stretch.length > 0 {
				break
			}
		}
	} else {
		for i := range min(missing+1, len(l.flight)) {
			m := &l.flight[i]
			if i == missing {
				break
			}
			along := at.Sub(m.from).Dot(m.stretch.direction)
			if away := toSegment(at, m.from, m.to); away <= l.pathMM() && !(i == 0 && along < l.along-2*l.pathMM()) {
				// Just past a corner the next move is nearer; to take it for the one
				// before would forget the corner's last step in the slack.
				if i+1 < min(missing, len(l.flight)) {
					if next := &l.flight[i+1]; toSegment(at, next.from, next.to) < away {
						continue
					}
				}
				l.draw(i)
				l.along = max(0, along)
				return onTheLine, 0
			}
		}
	}
	if missing < len(l.flight) {
		// The shortcut past the refused line, and what comes after it.
		from := l.flight[missing].from
		for i := missing + 1; i < len(l.flight); i++ {
			to := l.flight[i].to
			if toSegment(at, from, to) <= l.pathMM() {
				cut := toSegment(l.flight[missing].to, l.flight[missing].from, at)
				for k := missing; k < i; k++ {
					cut = max(cut, toSegment(l.flight[k].to, l.flight[missing].from, at))
				}
				l.draw(missing)
				l.along = 0
				return besideTheLine, cut
			}
			from = to
		}
	}
	mm := at.Distance(l.rest)
	for i := range l.flight {
		mm = min(mm, toSegment(at, l.flight[i].from, l.flight[i].to))
	}
	return elsewhere, mm
}

// rejoin resets the standing board and gives it the line again from where it
// stands.
func (d *drawing) rejoin(ctx context.Context, at geom.Point) error {
	l := d.l
	l.comparing = false
	defer func() { l.comparing = true }()
	again := make([]entry, 0, len(l.flight)+len(d.ahead))
	for i := range l.flight {
		again = append(again, l.flight[i].entry)
	}
	l.flight = l.flight[:0]
	d.ahead = append(again, d.ahead...)
	l.flanks.move(l.stepsOf(at.Sub(l.rest)))
	l.rest, l.along = at, 0
	boardAt := l.last.at
	if err := l.reset(ctx); err != nil {
		return err
	}
	// What follows was made by the gate already, for a way from anywhere on the
	// line before it; only the statement of the place is new.
	program := *l.gate
	if err := l.gate.Rejoin(at.X, at.Y); err != nil {
		return err
	}
	err := l.state(ctx)
	x, y := l.gate.At()
	*l.gate = program
	if err != nil {
		return err
	}
	l.rest = geom.Point{X: x, Y: y}
	if l.last.machine && l.last.at.Distance(boardAt) > l.stillMM() {
		return &diag.Fault{Code: "board-forgot"}
	}
	l.since, l.speed = l.now(), 0
	l.polling, l.unanswered = l.pollS(), time.Time{}
	l.holding, l.movedAt = false, l.now()
	return nil
}
