package link

import (
	"context"
	"errors"
	"fmt"
	"time"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
)

// Wish is what an operator asks for while something moves.
type Wish int

// The wishes.
const (
	NoWish   Wish = iota
	Pause         // hold
	GoOn          // resume
	Toggle        // hold, or resume when held
	Stop          // controlled, on the line; the position is kept
	StopHard      // at once; the position is lost
)

// Operator is whoever watches.
type Operator interface {
	// Wish is what was asked for since the last call; it does not wait.
	Wish() Wish
	// Show is called about every fifth of a second.
	Show(Progress)
	// Holds is called when the machine comes to hold, with the reason: the
	// operator's wish (nil), a pause of the program (its message), or a fault.
	// It tells whether somebody will decide; otherwise the drawing stops.
	Holds(message string, why *diag.Fault, at geom.Point) (somebody bool)
	// Mended tells of a fault that left nothing to be seen.
	Mended(why *diag.Fault)
}

// Progress is how far a drawing is.
type Progress struct {
	Mode      Mode
	At        geom.Point // page mm
	DrawnMM   float64
	TotalMM   float64
	SecondsTo float64 // its end, by the speeds that are set
	Part      float64 // 0 … 1, of the time
}

// Job is one drawing.
type Job struct {
	Name  string // of the program, for the journal
	Text  string // instructions
	Sheet int
	// Seconds is the planned time, if it is known better than from the speeds.
	Seconds float64
	// From is nil for a drawing from its beginning, or where one goes on.
	From *Resumption
}

// Resumption is where a drawing goes on.
type Resumption struct {
	Start Place // where the motors stood before the first move
	Drawn int   // moves that surely are drawn
}

// Outcome is how a drawing ended.
type Outcome struct {
	Complete  bool
	Mode      Mode
	Certainty Certainty
	At        geom.Point // page mm; means nothing while the position is lost
	DrawnMM   float64
	Moves     int // drawn
	Mended    int // faults that left nothing to be seen
	// Starved is how often the motors stood for want of moves: the link or this
	// computer was too slow for the speed that was planned.
	Starved int
	// MostFlightS is the most motion, in seconds by the model, that was ahead
	// of the machine at any time.
	MostFlightS float64
}

// most is how many faults of one kind may be mended in a row without the line
// getting on.
const mostMended = 4

// drawing is a run of a link over a text.
type drawing struct {
	l      *Link
	op     Operator
	job    Job
	read   func() (entry, bool, error)
	survey Survey
	total  float64

	ahead  []entry // read, not yet sent
	ended  bool    // of the text
	record *Record
	start  Place

	secondsDone float64
	lastSeconds map[int]float64
	moves       int
	mended      int
	inARow      int
	mendedAt    int
	shown       time.Time
	waiting     *entry // a pause that was reached
}

// Draw sends a drawing. The link must be armed and the position confirmed. It
// returns when the drawing is complete, or stopped; the error says why it did
// not come to its end: a *diag.Fault, a diag.List (a line of the text), or
// ErrStopped.
func (l *Link) Draw(ctx context.Context, job Job, op Operator) (Outcome, error) {
	if l.Mode() != Armed {
		return l.outcome(nil), l.refused("draw")
	}
	if l.certainty != Confirmed {
		l.Disarm()
		return l.outcome(nil), &diag.Fault{Code: "position-unconfirmed", Args: diag.Args{"certainty": l.certainty.String()}}
	}
	// Once more, since anybody may have changed them since connecting.
	if err := l.readSettings(ctx); err != nil {
		l.Disarm()
		return l.outcome(nil), err
	}
	if different := l.Mismatches(); len(different) > 0 {
		l.Disarm()
		return l.outcome(nil), &diag.Fault{Code: "board-settings-differ", Args: diag.Args{"count": len(different)}}
	}
	start, _, _ := l.Where()
	at := start
	if job.From != nil {
		start = job.From.Start
	}
	survey, list := Look(l.profile, l.gateLimits(), job.Name, job.Text, start.Steps)
	if list.Failed() {
		l.Disarm()
		return l.outcome(nil), list
	}
	mm := l.profile.AtSteps(start.Steps)
	if err := l.gate.Declare(mm.X, mm.Y); err != nil {
		return l.outcome(nil), err
	}
	r := &reader{text: job.Text, gate: l.gate}
	d := &drawing{l: l, op: op, job: job, survey: survey, start: start, read: r.next}
	d.total = max(survey.Seconds, 1e-9)
	done := 0
	if job.From != nil {
		done = job.From.Drawn
		for r.moves < done {
			e, more, err := r.next()
			if err != nil || !more {
				return l.outcome(nil), errors.Join(err, &diag.Fault{Code: "resume-differs"})
			}
			d.secondsDone += e.seconds()
		}
		// The gate has the whole area between where it thinks the motors are and
		// where they stand, both in it: what it makes next stays inside.
	}
	d.moves, l.drawnMM, l.mostFlightS, l.starved = done, 0, 0, 0
	var err error
	if l.mode, err = l.mode.next(starts); err != nil {
		return l.outcome(nil), l.refused("draw")
	}
	if l.memory != nil {
		d.record = &Record{
			Name: job.Name, Text: TextFingerprint(job.Text), Profile: l.memory.profile, Sheet: job.Sheet,
			Start: start, Moves: survey.Moves, Drawn: done, MaySend: done, At: at, Stopped: true, Shift: [2]float64{l.shift.X, l.shift.Y},
		}
	}
	err = d.run(ctx)
	return l.outcome(d), err
}

func (e *entry) seconds() float64 {
	if e.Kind == gate.Move {
		return e.Length / e.FeedMMS
	}
	return e.Item.Seconds
}

func (l *Link) gateLimits() gate.Limits { return l.gate.Limits() }

func (l *Link) outcome(d *drawing) Outcome {
	_, at, certainty := l.Where()
	o := Outcome{Mode: l.Mode(), Certainty: certainty, At: at, DrawnMM: l.drawnMM, MostFlightS: l.mostFlightS, Starved: l.starved}
	if d != nil {
		o.Complete, o.Moves, o.Mended = d.ended && d.moves == d.survey.Moves && len(l.flight) == 0 && l.mode == Armed, d.moves, d.mended
	}
	return o
}

// ErrStopped says that the operator stopped a drawing.
var ErrStopped = errors.New("stopped by the operator")

// run takes turns until the drawing has ended.
func (d *drawing) run(ctx context.Context) error {
	l := d.l
	// The record comes first: without it nothing moves.
	if err := d.begin(); err != nil {
		return d.halt(err)
	}
	l.comparing, l.since, l.speed, l.along = true, l.now(), 0, 0
	l.holding, l.movedAt = false, l.now()
	l.flight = l.flight[:0]
	defer func() { l.comparing = false }()
	l.polling, l.unanswered = l.pollS(), time.Time{}
	l.forgetTrouble()
	quiet := context.WithoutCancel(ctx) // a stop is carried out to its end
	for {
		wish := d.op.Wish()
		if ctx.Err() != nil && wish != StopHard {
			wish = Stop
		}
		if err := d.turn(quiet, wish); err != nil {
			if errors.Is(err, errDone) {
				return nil
			}
			return err
		}
	}
}

var errDone = errors.New("done")

// turn is one round of the run.
func (d *drawing) turn(ctx context.Context, wish Wish) error {
	l := d.l
	switch {
	case wish == StopHard:
		return d.stopHard(ctx)
	case wish == Stop:
		return d.stop(ctx, ErrStopped)
	case l.trouble != nil:
		return d.mend(ctx)
	case l.mode == Moving && (wish == Pause || wish == Toggle):
		return d.hold(ctx, "", nil)
	case l.mode == Held:
		if wish == GoOn || wish == Toggle {
			return d.resume(ctx)
		}
	default:
		if err := d.send(); err != nil {
			return d.halted(ctx, err)
		}
		if len(d.ahead) == 0 && d.ended && len(l.flight) == 0 && len(l.pending) == 0 {
			return d.finish(ctx)
		}
		if d.waiting != nil && len(l.flight) == 0 && len(l.pending) == 0 && l.last.is(stateIdle) {
			return d.pause()
		}
		d.watchForStall()
	}
	before := len(l.flight)
	l.more = l.mode == Moving && d.waiting == nil && !(d.ended && len(d.ahead) == 0)
	if err := l.step(); err != nil {
		return nil // the trouble is looked at next
	}
	d.count(before)
	if l.now().Sub(d.shown) >= duration(pollS) {
		d.show()
	}
	return nil
}

func (d *drawing) show() {
	l := d.l
	d.shown = l.now()
	_, at, _ := l.Where()
	if l.last.hasPosition {
		side := l.flanks.side()
		at = StylusAt(l.profile, l.profile.NearestStep(l.where(&l.last)), side)
	}
	part := min(1, d.secondsDone/d.total)
	total := d.total
	if d.job.Seconds > 0 {
		total = d.job.Seconds
	}
	d.op.Show(Progress{Mode: l.mode, At: at, DrawnMM: l.drawnMM + l.along, TotalMM: d.survey.LineMM, SecondsTo: total * (1 - part), Part: part})
}

// count follows what was drawn in a turn.
func (d *drawing) count(before int) {
	l := d.l
	drawn := before - len(l.flight)
	for range drawn {
		d.moves++
	}
	if drawn > 0 {
		d.secondsDone = d.total * float64(d.moves) / float64(max(1, d.survey.Moves))
	}
}

// pollS is how often a moving board is asked: so that reports take at most a
// fifth of a slow wire.
func (l *Link) pollS() float64 {
	const reportBytes = 64
	return max(pollS, 5*reportBytes*10/float64(l.profile.Board.Baud))
}

// send writes what may be written now.
func (d *drawing) send() error {
	l := d.l
	for d.waiting == nil {
		if err := d.fill(1); err != nil {
			return err
		}
		if len(d.ahead) == 0 {
			return nil
		}
		e := d.ahead[0]
		switch e.Kind {
		case gate.Pause:
			d.waiting = &e
			d.ahead = d.ahead[1:]
			return nil
		case gate.End:
			d.ahead, d.ended = nil, true
			return nil
		}
		if !l.fits(e.Line) || !l.mayFly(&e) {
			return nil
		}
		if err := d.intend(e.index); err != nil {
			return err
		}
		d.ahead = d.ahead[1:]
		l.fly(e)
		if err := l.transmit(e.Line, &e); err != nil {
			return nil // the trouble is looked at next
		}
	}
	return nil
}

// fill reads ahead until some entries are there.
func (d *drawing) fill(count int) error {
	for len(d.ahead) < count && !d.ended {
		e, more, err := d.read()
		if err != nil {
			return &diag.Fault{Code: "gate-refused", Args: diag.Args{"word": "a line", "reason": err.Error()}}
		}
		if !more {
			d.ended = true
			return nil
		}
		d.ahead = append(d.ahead, e)
	}
	return nil
}

// begin writes down that the motors are about to turn.
func (d *drawing) begin() error {
	if err := d.l.keep(true); err != nil {
		return err
	}
	if d.record != nil {
		return d.l.memory.record(*d.record)
	}
	return nil
}

// recordS is about how much motion, in seconds, one intent record covers.
const recordS = 1.0

// intend sees to it that the journal speaks of a move before it is sent.
func (d *drawing) intend(index int) error {
	r := d.record
	if r == nil || index <= r.MaySend {
		return nil
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
	r.Drawn, r.MaySend, r.Stopped = d.moves, last, false
	// Sent within the second to come, and drained a second after that; running
	// up and down takes longer than the speeds say.
	r.DrainedBy = d.l.now().Add(duration(2*seconds + 2*inFlightS + 1)).UTC()
	return d.l.memory.record(*r)
}

// watchForStall notices that nothing gets on though something should: lines
// that nobody answers, or a board that stands without having been asked to.
func (d *drawing) watchForStall() {
	l := d.l
	allowed := 1.5
	for i := range l.flight {
		allowed += l.flight[i].stretch.wait
	}
	if len(l.pending)+len(l.flight) == 0 {
		l.movedAt = l.now()
	} else if l.now().Sub(l.movedAt) > duration(allowed) {
		l.raise(trouble{kind: troubleStalled})
	}
}

// pause is reached: all is drawn up to an M0.
func (d *drawing) pause() error {
	l := d.l
	message := d.waiting.message
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

func (d *drawing) place() geom.Point {
	_, at, _ := d.l.Where()
	return at
}

// hold brings the motors to a stand on the line.
func (d *drawing) hold(ctx context.Context, message string, why *diag.Fault) error {
	l := d.l
	if err := d.stand(ctx); err != nil {
		return d.halted(ctx, err)
	}
	if l.trouble != nil {
		return nil
	}
	var err error
	if l.mode, err = l.mode.next(holds); err != nil {
		return err
	}
	d.show()
	if !d.op.Holds(message, why, StylusAt(l.profile, l.profile.NearestStep(l.where(&l.last)), l.flanks.side())) {
		return d.stop(ctx, why)
	}
	return nil
}

// stand holds the motors and waits until two reports agree that they stand.
func (d *drawing) stand(ctx context.Context) error {
	l := d.l
	before := len(l.flight)
	defer func() { d.count(before) }()
	l.holding = true
	for range 3 {
		if err := l.signal(gate.Hold); err != nil {
			return err
		}
		ok, err := l.until(ctx, standstillS, quickPollS, func() bool {
			return l.standing() || l.trouble != nil && !l.trouble.mends() || d.hard()
		})
		switch {
		case err != nil:
			return err
		case l.trouble != nil && !l.trouble.mends():
			return l.trouble.fault(l)
		case ok && l.standing():
			l.polling = l.pollS()
			return nil
		case ok:
			return errHard
		}
	}
	return &diag.Fault{Code: "board-moves"}
}

var errHard = errors.New("stop at once")

func (d *drawing) hard() bool { return d.op.Wish() == StopHard }

// resume goes on after a hold or a pause.
func (d *drawing) resume(ctx context.Context) error {
	l := d.l
	var err error
	if l.mode, err = l.mode.next(resumes); err != nil {
		return err
	}
	d.waiting, l.holding, l.movedAt = nil, false, l.now()
	l.since, l.speed = l.now(), 0
	if l.last.is(stateHold) || l.last.is(stateDoor) {
		if err := l.signal(gate.Resume); err != nil {
			return nil
		}
		// Reports that are on their way still speak of the hold.
		l.graceUntil = l.now().Add(2*l.roundTrip + duration(pollS))
		// The model begins from rest at the next report.
		l.drained = l.now().Add(duration(l.chainSeconds(nil)))
	}
	return nil
}

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
			if toSegment(at, m.from, m.to) <= l.pathMM() && !(i == 0 && along < l.along-2*l.pathMM()) {
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

// finish is reached when everything is drawn.
func (d *drawing) finish(ctx context.Context) error {
	l := d.l
	ok, err := l.until(ctx, answerS, quickPollS, func() bool { return l.standing() || l.trouble != nil })
	if err != nil || l.trouble != nil {
		return nil // the trouble is looked at next
	}
	if !ok || !l.last.is(stateIdle) {
		l.raise(trouble{kind: troubleStalled})
		return nil
	}
	if err := d.settingsStay(ctx); err != nil {
		return d.halted(ctx, err)
	}
	if l.mode, err = l.mode.next(finishes); err != nil {
		return err
	}
	l.armedAt = l.now()
	d.secondsDone = d.total
	d.show()
	err = l.keep(false)
	if l.memory != nil {
		err = errors.Join(err, l.memory.forgetJournal())
	}
	if err != nil {
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
	where, mm := d.reconcile(at, &trouble{kind: troubleStalled})
	if where == elsewhere {
		off := trouble{kind: troubleOff, mm: mm}
		return d.halted(ctx, off.fault(l))
	}
	if err := d.rejoin(ctx, at); err != nil {
		return d.halted(ctx, err)
	}
	if err := d.settingsStay(ctx); err != nil {
		return d.halted(ctx, err)
	}
	l.comparing = false
	mmAt := l.rest
	if err := l.gate.Declare(mmAt.X, mmAt.Y); err != nil {
		return err
	}
	d.ahead = nil
	l.mode, _ = l.mode.next(stops)
	err := l.keep(false)
	if d.record != nil {
		d.record.Drawn, d.record.MaySend, d.record.Stopped = d.moves, d.moves, true
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
		return d.stopHard(ctx)
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
	if len(l.flight) == 0 && l.reports == 0 || l.mode != Moving && l.mode != Held {
		return err
	}
	if d.begun() {
		why := err.Error()
		l.comparing = false
		if l.trouble == nil || l.trouble.kind != troubleGone {
			l.silence()
		}
		l.lose(why)
	}
	l.mode, _ = l.mode.next(alarms)
	l.flight = l.flight[:0]
	return errors.Join(err, l.keep(false))
}

// begun tells whether anything of the drawing may have moved.
func (d *drawing) begun() bool { return d.l.comparing || len(d.l.flight) > 0 || d.moves > 0 }

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
	before := l.greetings
	if l.signal(gate.Reset) != nil {
		return
	}
	l.polling, l.unanswered = 0, time.Time{}
	l.flow.drop()
	end = l.now().Add(duration(resetS))
	for l.now().Before(end) && l.greetings == before {
		if l.step() != nil {
			return
		}
	}
}

// stopHard resets the board while it moves.
func (d *drawing) stopHard(context.Context) error {
	l := d.l
	l.comparing = false
	before := l.greetings
	if l.signal(gate.Reset) == nil {
		end := l.now().Add(duration(resetS))
		l.polling, l.unanswered = 0, time.Time{}
		l.flow.drop()
		for l.now().Before(end) && l.greetings == before && l.step() == nil {
		}
	}
	l.lose("the motors were stopped without braking")
	l.mode, _ = l.mode.next(alarms)
	l.flight = l.flight[:0]
	return errors.Join(ErrStopped, l.keep(false))
}
