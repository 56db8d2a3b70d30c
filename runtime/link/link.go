package link

import (
	"bytes"
	"context"
	"errors"
	"io"
	"time"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Setup is what a link is made of.
type Setup struct {
	// Wire is the open port of the board. Its Read waits some milliseconds for
	// bytes and then gives none, without an error.
	Wire    io.ReadWriter
	Now     func() time.Time
	Profile *machine.Profile
	// Limits are what the gate guards; nil means the whole area.
	Limits *gate.Limits
	// Memory keeps the position; nil for a machine that is new each time. Then
	// At says where such a one stands, if that is known.
	Memory *Memory
	At     *Place
}

// Link is a machine at the other end of a wire.
type Link struct {
	wire    io.ReadWriter
	now     func() time.Time
	profile *machine.Profile
	gate    *gate.Gate
	memory  *Memory
	model   model

	mode      Mode
	armedAt   time.Time
	armedBy   Certainty // how well the position must be known for what is drawn
	certainty Certainty
	why       string // the position is lost
	// provisional: the position is counted by a profile whose directions, scale
	// and area nobody has confirmed. It is good for this session only.
	provisional bool
	flanks      flanks
	rest        geom.Point // machine mm: where the motors stand or last were reported

	// What the board said.
	partial     []byte
	last        report
	reports     int
	drainedWire bool        // the last reading of the wire gave nothing
	asked       []time.Time // when those questions for the status were sent that are not answered yet
	greetings   int
	ran         bool // a start-up line was obeyed
	settings    map[int]float64
	startUp     map[int]string
	modes       string
	trouble     *trouble
	polled      time.Time     // when the last question for the status was sent
	unanswered  time.Time     // when the first one without an answer was; zero: none
	roundTrip   time.Duration // of the last one that was answered
	shift       geom.Point
	keptRunning bool   // opening the port did not reset the board
	counts      bool   // and it counted on since the position was written down
	opening     report // what it said then
	stated      bool   // the board knows modes and position

	flow
}

// Timing, in seconds.
const (
	greetingS   = 4.0 // from opening the port to the greeting, at most
	resetS      = 2.5 // from a reset at rest to the greeting
	answerS     = 2.0 // to a question
	silentS     = 1.5 // a board that says nothing that long is lost
	pollS       = 0.1 // between questions for the status
	quickPollS  = 0.05
	armedIdle   = 5 * time.Minute
	inFlightS   = 1.0 // of motion
	staleS      = 0.6 // a report older than that is no ground for sending more
	standstillS = 4.0 // to a stand after a hold
)

// Connect waits for the board's greeting, reads its settings and states modes
// and position. The link is connected, with what Memory remembers as the
// position. Errors are *diag.Fault or the context's.
func Connect(ctx context.Context, s Setup) (*Link, error) {
	limits := gate.LimitsOf(s.Profile)
	if s.Limits != nil {
		limits = *s.Limits
	}
	g, err := gate.New(limits)
	if err != nil {
		return nil, err
	}
	l := &Link{
		wire: s.Wire, now: s.Now, profile: s.Profile, gate: g, memory: s.Memory, model: newModel(s.Profile),
		flanks: newFlanks(s.Profile), settings: map[int]float64{}, startUp: map[int]string{},
		why: "nobody has said where the stylus is",
	}
	l.flow = newFlow(s.Profile)
	if l.memory != nil {
		at, certainty, why := l.memory.Recall()
		l.why = why
		if certainty == Assumed {
			l.place(at, Assumed)
		}
	}
	if l.memory == nil && s.At != nil {
		l.place(*s.At, Assumed)
	}
	if err := l.greet(ctx); err != nil {
		return nil, err
	}
	l.counts = l.countsOn()
	if l.mode, err = l.mode.next(connects); err != nil {
		return nil, err
	}
	if err := l.unlock(ctx); err != nil {
		return nil, err
	}
	if err := l.readSettings(ctx); err != nil {
		return nil, err
	}
	if l.ran && l.certainty != Lost {
		l.lose("the board obeyed a line of its own after the reset")
	}
	return l, l.state(ctx)
}

// place takes over a known place. It does not touch the board.
func (l *Link) place(at Place, certainty Certainty) {
	mm := l.profile.AtSteps(at.Steps)
	if l.gate.Declare(mm.X, mm.Y) != nil {
		l.why = "the remembered position is not in the area"
		return
	}
	x, y := l.gate.At()
	l.rest, l.certainty, l.why = geom.Point{X: x, Y: y}, certainty, ""
	l.flanks.forget()
	l.flanks.rest(at.Gap)
}

// greet waits for the greeting. A board that keeps running when its port is
// opened is asked where it is, and reset at rest.
func (l *Link) greet(ctx context.Context) error {
	if ok, err := l.until(ctx, greetingS, 0, func() bool { return l.greetings > 0 }); ok || err != nil {
		return err
	}
	l.forgetTrouble() // half a line may have been heard
	heard := l.reports
	ok, err := l.until(ctx, answerS, quickPollS, func() bool { return l.reports > heard })
	if err != nil {
		return err
	}
	if !ok {
		return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": int(greetingS + answerS)}}
	}
	l.keptRunning, l.still = true, 0
	// Where it counts itself to be, with the offset that it still has.
	if ok, err = l.until(ctx, 4*answerS, quickPollS, func() bool {
		return l.standing() && (l.last.hasOffset || !l.last.machine)
	}); err != nil {
		return err
	}
	if ok {
		l.opening = l.last
	}
	ok, err = l.until(ctx, 2*standstillS, pollS, func() bool { return l.standing() })
	if err != nil {
		return err
	}
	if !ok {
		return &diag.Fault{Code: "board-moves"}
	}
	l.forgetTrouble()
	return l.reset(ctx)
}

// unlock has a board take lines that stands in an alarm, as after a stop without
// braking. Whatever it was, nobody knows where the motors are.
func (l *Link) unlock(ctx context.Context) error {
	heard := l.reports
	if _, err := l.until(ctx, answerS, quickPollS, func() bool { return l.reports > heard }); err != nil {
		return err
	}
	l.forgetTrouble()
	if l.reports == heard || !l.last.is(stateAlarm) {
		return nil
	}
	if l.certainty != Lost {
		l.lose("the board stood in an alarm")
	}
	return l.ask(ctx, gate.Unlock)
}

// reset has the board forget queue and modes. Its motors must stand.
func (l *Link) reset(ctx context.Context) error {
	l.flow.drop()
	for range 3 {
		before := l.greetings
		l.forgetTrouble()
		if err := l.signal(gate.Reset); err != nil {
			return err
		}
		ok, err := l.until(ctx, resetS, 0, func() bool { return l.greetings > before || l.trouble != nil })
		if err != nil {
			return err
		}
		if ok && l.greetings > before {
			l.forgetTrouble() // a greeting that was asked for is none
			return nil
		}
	}
	return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": trimmed(3 * resetS)}}
}

// state tells the board modes and position, and makes sure that it understood:
// it is the one thing that a byte changed on the way would spoil for good.
func (l *Link) state(ctx context.Context) error {
	crawls := true
	for try := range 5 {
		l.forgetTrouble()
		before := l.reports
		if _, err := l.until(ctx, answerS, quickPollS, func() bool { return l.reports > before }); err != nil {
			return err
		}
		l.forgetTrouble()
		if l.last.is(stateAlarm) {
			if l.mode == Moving || l.mode == Held {
				return (&trouble{kind: troubleAlarm}).fault(l)
			}
			if l.certainty != Lost {
				l.lose("the board stood in an alarm")
			}
			if err := l.ask(ctx, gate.Unlock); err != nil {
				return err
			}
		}
		l.modes = ""
		ok, err := l.tell(ctx, l.gate.Modes())
		if ok && crawls {
			ok, err = l.tell(ctx, l.gate.Crawl())
			if t := l.trouble; t != nil && t.kind == troubleError && try > 1 {
				crawls, ok = false, true // this board does not take it
				l.forgetTrouble()
			}
		}
		if ok {
			ok, err = l.tell(ctx, gate.ShowModes.Line())
		}
		if ok = ok && modesAreStated(l.modes, crawls); ok {
			ok, err = l.tell(ctx, l.gate.Place())
		}
		if ok {
			ok, err = l.offsetAgrees(ctx)
		}
		if l.stated = ok && err == nil; l.stated || err != nil {
			return err
		}
		if t := l.trouble; t != nil && t.kind == troubleGone {
			return t.fault(l)
		}
		if err := l.reset(ctx); err != nil {
			return err
		}
	}
	return &diag.Fault{Code: "board-confused"}
}

// tell sends a line and waits for its answer; it tells whether that was good.
func (l *Link) tell(ctx context.Context, line gate.Line) (bool, error) {
	if err := l.transmit(line, nil); err != nil {
		return false, err
	}
	ok, err := l.until(ctx, answerS, 0, func() bool { return len(l.pending) == 0 || l.trouble != nil })
	return ok && l.trouble == nil, err
}

// offsetAgrees waits for a report that tells the program's place, or the
// offset of its zero, and holds it against the gate's. Motors that turn now
// follow a statement that was taken for something else: they are stopped.
func (l *Link) offsetAgrees(ctx context.Context) (bool, error) {
	x, y := l.gate.At()
	want := geom.Point{X: x, Y: y}
	seen := 0
	for range 30 {
		before := l.reports
		ok, err := l.until(ctx, answerS, quickPollS, func() bool { return l.reports > before || l.trouble != nil })
		if !ok || err != nil || l.trouble != nil {
			return false, err
		}
		r := &l.last
		switch {
		case r.is(stateRun):
			l.silence()
			return false, &diag.Fault{Code: "board-off-line", Args: diag.Args{"mm": short(l.where(r).Distance(want))}}
		case !r.is(stateIdle):
			seen = 0
			continue
		case !r.machine:
			l.shift = geom.Point{}
			if r.at.Distance(want) > readingMM {
				return false, nil
			}
			seen++
		case r.hasOffset:
			if r.at.Sub(r.offset).Distance(want) > readingMM {
				return false, nil
			}
			l.shift = want.Sub(r.at)
			seen++
		}
		// Twice, since a report may be changed on the way too.
		if seen == 2 {
			l.rest = want
			return true, nil
		}
	}
	return false, nil
}

// readingMM is how far two coordinates of three decimals may be apart that mean
// one place.
const readingMM = 0.0025

// where is what a report means, in machine mm.
func (l *Link) where(r *report) geom.Point {
	if r.machine {
		return r.at.Add(l.shift)
	}
	return r.at
}

// standing tells whether the last two reports show motors that stand, at one
// place.
func (l *Link) standing() bool { return l.still >= 2 }

// until takes turns until something is so, at most for some seconds; it tells
// whether it is. With polls above 0 the board is asked for its status that
// often, in seconds.
func (l *Link) until(ctx context.Context, seconds, polls float64, so func() bool) (bool, error) {
	end := l.now().Add(duration(seconds))
	if l.polling = polls; polls == 0 {
		l.unanswered = time.Time{}
	}
	for !so() {
		if err := ctx.Err(); err != nil {
			return false, err
		}
		if l.now().After(end) {
			return false, nil
		}
		if err := l.step(); err != nil {
			return false, err
		}
	}
	return true, nil
}

func duration(seconds float64) time.Duration { return time.Duration(seconds * float64(time.Second)) }

// step is one turn: ask for the status when it is time, then hear what has
// come.
func (l *Link) step() error {
	now := l.now()
	if l.polling > 0 && now.Sub(l.polled) >= duration(l.polling) {
		l.polled = now
		l.asked = append(l.asked, now)
		if l.unanswered.IsZero() {
			l.unanswered = now
		}
		if err := l.signal(gate.Status); err != nil {
			return err
		}
	}
	if !l.unanswered.IsZero() && now.Sub(l.unanswered) > duration(silentS) {
		l.raise(trouble{kind: troubleSilent})
	}
	var chunk [256]byte
	n, err := l.wire.Read(chunk[:])
	l.drainedWire = n == 0
	if err != nil && !(errors.Is(err, io.EOF) && n > 0) {
		return l.gone(err)
	}
	for _, b := range chunk[:n] {
		if b != '\n' {
			if len(l.partial) < longestHeard {
				l.partial = append(l.partial, b)
			}
			continue
		}
		line := string(l.partial)
		l.partial = l.partial[:0]
		l.hear(line)
	}
	return nil
}

// longestHeard bounds what a line from the board may be.
const longestHeard = 512

// gone notes that the port is no more.
func (l *Link) gone(err error) error {
	l.raise(trouble{kind: troubleGone, text: err.Error()})
	return l.trouble.fault(l)
}

// hear takes one line from the board.
func (l *Link) hear(line string) {
	h := interpret(line)
	switch h.kind {
	case heardOK:
		if !l.answered(false) {
			l.raise(trouble{kind: troubleUnknown, text: line})
		}
	case heardError:
		l.refusals++
		sent, ok := l.oldest()
		if !ok {
			l.raise(trouble{kind: troubleUnknown, text: line})
			return
		}
		l.answered(true)
		l.raise(trouble{kind: troubleError, number: h.number, text: sent.text, from: sent.from})
	case heardAlarm:
		l.raise(trouble{kind: troubleAlarm, number: h.number})
		if l.certainty != Lost && l.mode != Moving && l.mode != Held {
			l.lose("the board stopped with an alarm")
		}
	case heardGreeting:
		l.greetings++
		l.stated = false
		l.raise(trouble{kind: troubleReset})
	case heardReport:
		l.take(h.report)
	case heardSetting:
		l.settings[h.number] = h.value
	case heardStartUp:
		l.startUp[h.number] = h.text
	case heardStartUpRan:
		l.ran = true
	case heardMessage:
		if mode, ok := bytes.CutPrefix([]byte(h.text), []byte("GC:")); ok {
			l.modes = string(mode)
		}
	case heardUnknown:
		l.raise(trouble{kind: troubleUnknown, text: h.text})
	}
}

// take takes a status report.
func (l *Link) take(r report) {
	stands := r.is(stateIdle) || r.state == stateHeld || r.is(stateAlarm)
	if stands && l.reports > 0 && l.last.at == r.at && l.last.machine == r.machine && l.last.state == r.state {
		l.still++
	} else if l.still = 0; stands {
		l.still = 1
	}
	if r.at != l.last.at || r.machine != l.last.machine {
		l.movedAt = l.now()
	}
	l.last = r
	l.reports++
	if len(l.asked) > 0 {
		l.asked = append(l.asked[:0], l.asked[1:]...)
	}
	if !l.unanswered.IsZero() {
		l.roundTrip = l.now().Sub(l.unanswered)
	}
	l.unanswered = time.Time{}
	if l.comparing {
		l.compare()
	}
}

// signal sends a byte that acts at once, beside the stream of lines.
func (l *Link) signal(b gate.Byte) error { return l.write([]byte{b.Value()}) }

// write is the one place where bytes go onto the wire.
func (l *Link) write(b []byte) error {
	for len(b) > 0 {
		n, err := l.wire.Write(b)
		if err != nil {
			return l.gone(err)
		}
		b = b[n:]
	}
	return nil
}

// transmit sends a line that a gate made.
func (l *Link) transmit(line gate.Line, from *entry) error {
	text := line.String()
	if text == "" {
		return nil
	}
	l.sent(text, from)
	return l.write(append([]byte(text), '\n'))
}

// ask sends a question and waits for the end of its answer.
func (l *Link) ask(ctx context.Context, q gate.Question) error { return l.line(ctx, q.Line()) }

func (l *Link) line(ctx context.Context, line gate.Line) error {
	for range 3 {
		l.forgetTrouble()
		l.flow.drop()
		if err := l.transmit(line, nil); err != nil {
			return err
		}
		ok, err := l.until(ctx, answerS, 0, func() bool { return len(l.pending) == 0 || l.trouble != nil })
		switch {
		case err != nil:
			return err
		case ok && l.trouble == nil:
			return nil
		case l.trouble != nil && (l.trouble.kind == troubleGone || l.trouble.kind == troubleAlarm):
			return l.trouble.fault(l)
		}
	}
	if l.trouble != nil {
		return l.trouble.fault(l)
	}
	return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": int(3 * answerS)}}
}
