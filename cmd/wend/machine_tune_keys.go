package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"wend/cmd/wend/operate"
	"wend/lang/diag"
	"wend/runtime/calibrate"
	"wend/runtime/link"
)

// Approach is that of calibrate.Operator: by arrow keys up to a mark, or, for
// whoever types `t` or has no single keys, by distances.
func (t *tuning) Approach(ctx context.Context, q calibrate.Question, press func(context.Context, float64) error) (left float64, there bool, err error) {
	if t.o.keys == nil || t.typed {
		left, err = t.Measure(ctx, q)
		return left, false, err
	}
	if err := t.look(ctx, q); err != nil {
		return 0, false, err
	}
	if q.More != "" && t.asked {
		t.o.c.say("  %s", q.More)
	}
	t.asked = true
	t.o.c.say("  bring the stylus to the mark of the %s edge by the arrow keys, the last 3 mm or more in one\n"+
		"  direction; + and - change how far, Enter says that it is there. t: type distances instead;\n"+
		"  a: begin the part again, l: leave it, Escape: stop, and say how to go on", q.Look.Edge)
	towards, away := arrows(q.Look.Edge)
	stride := slices.Index(jogStrides[:], 2)
	for {
		mm := jogStrides[stride]
		fmt.Fprintf(t.o.c.stderr, "\r\x1b[K  one key moves %g mm", mm)
		key, err := t.key(ctx)
		if err != nil {
			fmt.Fprintln(t.o.c.stderr)
			return 0, false, err
		}
		by := 0.0
		switch key {
		case towards:
			by = mm
		case away:
			by = -mm
		case '+':
			stride = min(stride+1, len(jogStrides)-1)
		case '-':
			stride = max(stride-1, 0)
		case operate.KeyEnter:
			fmt.Fprintln(t.o.c.stderr)
			return 0, true, nil
		case 't':
			fmt.Fprintln(t.o.c.stderr)
			t.typed = true
			left, err = t.Measure(ctx, q)
			return left, false, err
		case 'a':
			fmt.Fprintln(t.o.c.stderr)
			return 0, false, errAgain
		case 'l':
			fmt.Fprintln(t.o.c.stderr)
			return 0, false, calibrate.ErrLeft
		case operate.KeyEscape, operate.KeyCtrlC:
			fmt.Fprintln(t.o.c.stderr)
			return 0, false, operate.ErrStopped
		case operate.KeyCtrlD:
			fmt.Fprintln(t.o.c.stderr)
			return 0, false, errLeft
		}
		if by == 0 {
			continue
		}
		t.pressing = true
		err = press(ctx, by)
		t.pressing = false
		var fault *diag.Fault
		switch {
		case errors.As(err, &fault) && fault.Code == "gate-refused":
			fmt.Fprint(t.o.c.stderr, "\r\x1b[K")
			t.o.c.say("  the box that no motion leaves ends nearer than that")
		case err != nil:
			return 0, false, err
		}
	}
}

// key waits for the next key, which may have been pressed while something moved.
func (t *tuning) key(ctx context.Context) (operate.Key, error) {
	if len(t.waiting) > 0 {
		key := t.waiting[0]
		t.waiting = t.waiting[1:]
		return key, nil
	}
	waiting, done := t.o.Interruptible(ctx)
	defer done()
	key, err := t.o.keys.Key(waiting)
	switch {
	case err == nil:
		return key, nil
	case errors.Is(context.Cause(waiting), operate.ErrStopped):
		return 0, operate.ErrStopped
	}
	return 0, errLeft
}

// arrows are the keys that lead to an edge and away from it.
func arrows(edge calibrate.Edge) (towards, away operate.Key) {
	switch edge {
	case calibrate.Left:
		return operate.KeyLeft, operate.KeyRight
	case calibrate.Right:
		return operate.KeyRight, operate.KeyLeft
	case calibrate.Lower:
		return operate.KeyDown, operate.KeyUp
	}
	return operate.KeyUp, operate.KeyDown
}

// watched carries out a motion of the calibration while the operator watches. A
// key press is one motion: arrows that are pressed meanwhile are dropped.
func (t *tuning) watched(ctx context.Context, motion func(context.Context, link.Operator) error) error {
	if !t.pressing {
		return t.o.Watched(ctx, "drawn", motion)
	}
	others, err := t.o.Pressed(ctx, motion)
	t.waiting = slices.DeleteFunc(others, operate.Key.Arrow)
	return err
}
