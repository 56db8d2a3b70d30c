package link

import (
	"bytes"
	"context"
	"errors"
	"io"
	"slices"
	"time"

	"wend/runtime/gate"
)

// standing reports whether the last two reports show motors that stand, at one
// place.
func (b *board) standing() bool { return b.still >= 2 }

// standsSince is standing by reports that were asked for from now on: late ones
// speak of motors that stood before the last lines came.
func (b *board) standsSince() func() bool {
	from := b.reports + b.unansweredYet()
	return func() bool { return b.standing() && b.reports >= from+2 }
}

// unansweredYet is how many questions may still be answered.
func (b *board) unansweredYet() int {
	b.asked = slices.DeleteFunc(b.asked, func(at time.Time) bool { return b.now().Sub(at) > duration(answerS) })
	return len(b.asked)
}

// until takes turns until something is so, at most for some seconds; it tells
// whether it is. With polls above 0 the board is asked for its status that
// often, in seconds.
func (b *board) until(ctx context.Context, seconds, polls float64, so func() bool) (bool, error) {
	end := b.now().Add(duration(seconds))
	if b.polling = polls; polls == 0 {
		b.unanswered = time.Time{}
	}
	for !so() {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		if b.now().After(end) {
			return false, nil
		}
		if err := b.step(); err != nil {
			return false, err
		}
	}
	return true, nil
}

func duration(seconds float64) time.Duration { return time.Duration(seconds * float64(time.Second)) }

// step is one turn: ask for the status when it is time, then hear what has
// come.
func (b *board) step() error {
	now := b.now()
	if b.polling > 0 && now.Sub(b.polled) >= duration(b.polling) {
		b.polled = now
		b.asked = append(b.asked, now)
		if b.unanswered.IsZero() {
			b.unanswered = now
		}
		if err := b.signal(gate.Status); err != nil {
			return err
		}
	}
	if !b.unanswered.IsZero() && now.Sub(b.unanswered) > duration(silentS) {
		b.raise(trouble{kind: troubleSilent})
	}
	var chunk [256]byte
	n, err := b.wire.Read(chunk[:])
	b.drainedWire = n == 0
	if err != nil && !(errors.Is(err, io.EOF) && n > 0) {
		return b.gone(err)
	}
	for _, c := range chunk[:n] {
		if c != '\n' {
			if len(b.partial) < longestHeard {
				b.partial = append(b.partial, c)
			}
			continue
		}
		line := string(b.partial)
		b.partial = b.partial[:0]
		b.hear(line)
	}
	return nil
}

// longestHeard bounds what a line from the board may be.
const longestHeard = 512

// gone notes that the port is no more.
func (b *board) gone(err error) error {
	b.raise(trouble{kind: troubleGone, text: err.Error()})
	return b.trouble.fault()
}

// hear takes one line from the board.
func (b *board) hear(line string) {
	h := interpret(line)
	switch h.kind {
	case heardOK:
		taken, ok := b.lines.answered()
		if !ok {
			b.raise(trouble{kind: troubleUnknown, text: line})
		}
		if taken.from != nil {
			b.listener.taken(taken.from.index)
		}
	case heardError:
		b.lines.refusals++
		sent, ok := b.lines.answered()
		if !ok || sent.from != nil {
			b.listener.missing()
		}
		if !ok {
			b.raise(trouble{kind: troubleUnknown, text: line})
			return
		}
		b.raise(trouble{kind: troubleError, number: h.number, text: sent.text, from: sent.from})
	case heardAlarm:
		b.raise(trouble{kind: troubleAlarm, number: h.number})
		b.listener.alarmed("the board stopped with an alarm")
	case heardGreeting:
		b.greetings++
		b.stated = false
		b.raise(trouble{kind: troubleReset})
	case heardReport:
		b.take(h.report)
	case heardSetting:
		b.settings.numbers[h.number] = h.value
	case heardStartUp:
		b.settings.startUp[h.number] = h.text
	case heardStartUpRan:
		b.ran = true
	case heardMessage:
		if mode, ok := bytes.CutPrefix([]byte(h.text), []byte("GC:")); ok {
			b.modes = string(mode)
		}
	case heardUnknown:
		b.raise(trouble{kind: troubleUnknown, text: h.text})
	}
}

// take takes a status report.
func (b *board) take(r report) {
	stands := r.is(stateIdle) || r.state == stateHeld || r.is(stateAlarm)
	if stands && b.reports > 0 && b.last.at == r.at && b.last.machine == r.machine && b.last.state == r.state {
		b.still++
	} else if b.still = 0; stands {
		b.still = 1
	}
	if r.at != b.last.at || r.machine != b.last.machine {
		b.movedAt = b.now()
	}
	b.last = r
	b.mostFree = max(b.mostFree, r.freeBytes)
	b.reports++
	if len(b.asked) > 0 {
		b.asked = append(b.asked[:0], b.asked[1:]...)
	}
	if !b.unanswered.IsZero() {
		b.roundTrip = b.now().Sub(b.unanswered)
	}
	b.unanswered = time.Time{}
	b.listener.reported()
}

// late tells that an answer stays away. A board that is just starting again
// gives none, and has lost its place: what it is sent next it would draw
// elsewhere, so it is sent nothing.
func (b *board) late() bool {
	return !b.unanswered.IsZero() && b.now().Sub(b.unanswered) > 2*b.roundTrip+100*time.Millisecond
}

// fresh waits for a report that answers a question asked from now on: what was
// asked before may be answered by a board as it was before. With offset, one that
// stands where it counts from, as each does that starts anew, must also show its
// offset. It ends early where trouble is raised.
func (b *board) fresh(ctx context.Context, offset bool) error {
	const offsetS = 2.5 // boards show it with every thirtieth report at the latest
	// What came while nobody listened was said before.
	b.drainedWire = false
	if _, err := b.until(ctx, answerS, 0, func() bool { return b.drainedWire }); err != nil {
		return err
	}
	before, stale := b.reports, b.unansweredYet()
	ok, err := b.until(ctx, answerS+offsetS, quickPollS, func() bool {
		if b.reports <= before+stale {
			return b.trouble != nil
		}
		offset = offset && !b.last.hasOffset
		return b.trouble != nil || !offset || !b.last.machine || b.last.at.Length() > b.pitch.stillMM()
	})
	if err == nil && !ok {
		b.raise(trouble{kind: troubleSilent})
	}
	return err
}

// raise notes what went wrong; what weighs most is kept until it is looked at.
func (b *board) raise(t trouble) {
	if b.trouble == nil || t.kind > b.trouble.kind {
		b.trouble = &t
	}
}

func (b *board) forgetTrouble() { b.trouble = nil }
