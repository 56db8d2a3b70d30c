package tty

import (
	"context"
	"io"
	"time"

	"wend/cmd/wend/operate"
)

// escapeWait is how long after an escape byte the rest of a key's sequence may
// come; after that it was the escape key itself.
const escapeWait = 50 * time.Millisecond

// bytesIn is what a terminal sends, byte by byte; closed at its end.
type bytesIn <-chan stroke

func (in bytesIn) Key(ctx context.Context) (operate.Key, error) {
	// What is there already goes before a context that has ended.
	b, ok, err := in.next(ctx, 0)
	if err != nil || !ok {
		return 0, err
	}
	switch {
	case b == 0x1b:
		return in.sequence(ctx)
	case b == '\n':
		return operate.KeyEnter, nil
	case b >= 0x80:
		// Letters beyond ASCII mean nothing where keys are read.
		return operate.KeyOther, nil
	}
	return operate.Key(b), nil
}

// next gives a byte; ok is false if none came in time (0: no limit).
func (in bytesIn) next(ctx context.Context, limit time.Duration) (byte, bool, error) {
	var timeout <-chan time.Time
	if limit > 0 {
		timer := time.NewTimer(limit)
		defer timer.Stop()
		timeout = timer.C
	}
	select {
	case s, open := <-in:
		if !open {
			return 0, false, io.EOF
		}
		return s.b, true, nil
	case <-ctx.Done():
		return 0, false, ctx.Err()
	case <-timeout:
		return 0, false, nil
	}
}

// sequence reads on after an escape byte: ECMA-48 control sequences, and the
// single shift form that some terminals use for arrows.
func (in bytesIn) sequence(ctx context.Context) (operate.Key, error) {
	b, ok, err := in.next(ctx, escapeWait)
	switch {
	case err != nil:
		return 0, err
	case !ok:
		return operate.KeyEscape, nil
	case b != '[' && b != 'O':
		return operate.KeyOther, nil
	}
	plain := true
	for {
		b, ok, err = in.next(ctx, escapeWait)
		if err != nil || !ok {
			return operate.KeyOther, err
		}
		if b >= 0x40 && b <= 0x7e {
			break
		}
		plain = false
	}
	if arrow, known := map[byte]operate.Key{'A': operate.KeyUp, 'B': operate.KeyDown, 'C': operate.KeyRight, 'D': operate.KeyLeft}[b]; known && plain {
		return arrow, nil
	}
	return operate.KeyOther, nil
}

// drain drops what has come already and tells how many bytes that were.
func (in bytesIn) drain() int {
	n := 0
	for {
		select {
		case _, open := <-in:
			if !open {
				return n
			}
			n++
		default:
			return n
		}
	}
}
