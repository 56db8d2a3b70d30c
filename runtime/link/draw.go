package link

import (
	"context"
	"errors"
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
	// It reports whether somebody will decide; otherwise the drawing stops.
	Holds(message string, why *diag.Fault, at geom.Point) (somebody bool)
	// Mended tells of a fault that left nothing to be seen.
	Mended(why *diag.Fault)
}

// Progress is how far a drawing is.
type Progress struct {
	Mode      Mode
	Certainty Certainty
	At        geom.Point // page mm; means nothing while the position is lost
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
	// Back leads the motors, from where they stand, back to where the line was
	// left, in machine mm.
	Back []geom.Point
	// OffMM is how far a stroke beside the line may be from it, about OffAt.
	OffMM float64
	OffAt geom.Point
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
	// Left is what is known of a drawing that did not come to its end; nil where
	// nothing was sent.
	Left *Record
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

	ahead   []entry // read, not yet sent
	ended   bool    // of the text
	journal *journal
	start   Place

	before    float64 // seconds of what was drawn in an earlier session
	beforeMM  float64
	done      int // moves that were drawn in an earlier session
	moves     int
	offMM     float64    // how far a stroke beside the line may be from it
	offAt     geom.Point // about where, page mm
	mended    int
	inARow    int
	mendedAt  int
	shown     time.Time
	waiting   *entry // a pause that comes next
	atPause   bool   // and was reached
	running   bool   // something may have moved
	brief     bool   // the settings are not read at the end
	unkept    error  // why a refusal could not be written down
	wantsStop bool   // was asked for while the motors came to a stand
}

// Draw sends a drawing. The link must be armed, and the position as well known
// as it was armed by: confirmed, or assumed. It returns when the drawing is
// complete, or stopped; the error says why it did not come to its end: a
// *diag.Fault, a diag.List (a line of the text), or ErrStopped.
func (l *Link) Draw(ctx context.Context, job Job, op Operator) (Outcome, error) {
	if l.Mode() != Armed {
		return l.outcome(nil), l.refused("draw")
	}
	if l.position.certainty < l.armedBy {
		l.Disarm()
		return l.outcome(nil), &diag.Fault{Code: "position-unconfirmed", Args: diag.Args{"certainty": l.position.certainty.String()}}
	}
	if err := l.restate(ctx); err != nil {
		l.Disarm()
		return l.outcome(nil), err
	}
	if err := l.look(ctx, true); err != nil {
		l.Disarm()
		return l.outcome(nil), err
	}
	// Once more, since anybody may have changed them since connecting.
	if err := l.board.readSettings(ctx); err != nil {
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
	survey, list := Look(l.position.profile, l.position.gate.Limits(), job.Name, job.Text, start.Steps)
	if list.Failed() {
		l.Disarm()
		return l.outcome(nil), list
	}
	mm := l.position.profile.AtSteps(start.Steps)
	if err := l.position.gate.Declare(mm.X, mm.Y); err != nil {
		return l.outcome(nil), err
	}
	r := &reader{text: job.Text, gate: l.position.gate}
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
			d.before += e.seconds()
			d.beforeMM += e.Length
		}
		d.offMM, d.offAt = job.From.OffMM, job.From.OffAt
		back, err := l.flow.extras(job.From.Back, l.position.fastest())
		if err != nil {
			return l.outcome(nil), err
		}
		d.ahead = back
		// The gate has the whole area between where it thinks the motors are and
		// where they stand, both in it: what it makes next stays inside.
	}
	d.done, d.moves, l.flow.drawnMoves, l.flow.drawnMM, l.flow.drawnS, l.flow.mostFlightS, l.flow.starved = done, done, 0, 0, 0, 0, 0
	// That took its time too.
	if err := l.look(ctx, false); err != nil {
		l.Disarm()
		l.rejudge()
		return l.outcome(nil), err
	}
	var err error
	if l.mode, err = l.mode.next(starts); err != nil {
		return l.outcome(nil), l.refused("draw")
	}
	d.journal = &journal{memory: l.position.memory, now: l.now, Record: Record{
		Name: job.Name, Text: TextFingerprint(job.Text), Profile: Fingerprint(l.position.profile), Sheet: job.Sheet,
		Start: start, Moves: survey.Moves, Drawn: done, MaySend: done, At: at, Stopped: true, Shift: [2]float64{l.board.shift.X, l.board.shift.Y},
	}}
	err = d.run(ctx)
	return l.outcome(d), err
}

// look hears the board before it is sent anything that moves: between two
// motions nobody listens, and one that was switched off and on has lost its
// place and its modes. The motors have not turned by that, but whoever did it may
// have turned a knob: the position is assumed then.
func (l *Link) look(ctx context.Context, offset bool) error {
	l.flow.clear()
	l.flow.holding, l.flow.comparing = false, true
	defer func() { l.flow.comparing = false }()
	for range 3 {
		l.board.forgetTrouble()
		if err := l.board.fresh(ctx, offset); err != nil {
			return err
		}
		switch t := l.board.trouble; {
		case !l.board.stated, t != nil && t.kind == troubleForgot:
			l.board.stated, l.mode = false, Connected
			return errors.Join(&diag.Fault{Code: "board-restarted"}, l.Doubt())
		case t == nil && l.board.last.is(stateAlarm), t != nil && (t.kind == troubleOff || t.kind == troubleAlarm):
			if t == nil {
				t = &trouble{kind: troubleAlarm}
			}
			why := t.fault()
			l.lose(why.Error())
			l.mode = Connected
			return errors.Join(why, l.keep(still))
		case t != nil && t.kind == troubleGone:
			return t.fault()
		case t == nil:
			return nil
		}
		// Half an answer to something that was asked before: once more.
	}
	return &diag.Fault{Code: "board-silent", Args: diag.Args{"seconds": int(3 * answerS)}}
}

func (e *entry) seconds() float64 {
	if e.Kind == gate.Move {
		return e.Length / e.FeedMMS
	}
	return e.Item.Seconds
}

func (l *Link) outcome(d *drawing) Outcome {
	_, at, certainty := l.Where()
	o := Outcome{Mode: l.Mode(), Certainty: certainty, At: at, DrawnMM: l.flow.drawnMM, MostFlightS: l.flow.mostFlightS, Starved: l.flow.starved}
	if d != nil {
		o.DrawnMM += d.beforeMM
		o.Complete, o.Moves, o.Mended = d.ended && d.moves == d.survey.Moves && len(l.flow.flight) == 0 && l.mode == Armed, d.moves, d.mended
		if !o.Complete && d.journal != nil {
			left := d.journal.Record
			o.Left = &left
		}
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
	d.running = true
	l.flow.comparing, l.flow.since, l.flow.speed, l.flow.along = true, l.now(), 0, 0
	l.flow.holding, l.board.movedAt = false, l.now()
	l.flow.clear()
	defer func() { l.flow.comparing = false }()
	l.board.polling, l.board.unanswered = l.board.reportS, time.Time{}
	l.board.forgetTrouble()
	l.drawing = d
	defer func() { l.drawing = nil }()
	quiet := context.WithoutCancel(ctx) // a stop is carried out to its end
	for {
		wish := d.op.Wish()
		if (ctx.Err() != nil || d.wantsStop) && wish != StopHard {
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
		return d.stopHard()
	case wish == Stop:
		return d.stop(ctx, ErrStopped)
	case l.board.trouble != nil:
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
		if len(d.ahead) == 0 && d.ended && len(l.flow.flight) == 0 && l.board.lines.empty() {
			return d.finish(ctx)
		}
		if d.waiting != nil && len(l.flow.flight) == 0 && l.board.lines.empty() && l.board.last.is(stateIdle) {
			return d.pause()
		}
		d.watchForStall()
	}
	l.flow.more = l.mode == Moving && d.waiting == nil && !(d.ended && len(d.ahead) == 0)
	if err := l.board.step(); err != nil {
		return nil // the trouble is looked at next
	}
	d.count()
	if l.now().Sub(d.shown) >= duration(pollS) {
		d.show()
	}
	return nil
}

func (d *drawing) show() {
	l := d.l
	d.shown = l.now()
	_, at, _ := l.Where()
	if l.board.last.hasPosition {
		at = l.position.stylus(l.board.where())
	}
	part := min(1, (d.before+l.flow.drawnS)/d.total)
	if len(l.flow.flight) == 0 && d.ended && len(d.ahead) == 0 {
		part = 1
	}
	total := d.total
	if d.job.Seconds > 0 {
		total = d.job.Seconds
	}
	d.op.Show(Progress{Mode: l.mode, Certainty: l.position.certainty, At: at, DrawnMM: d.beforeMM + l.flow.drawnMM + l.flow.along, TotalMM: d.survey.LineMM, SecondsTo: total * (1 - part), Part: part})
}

// count follows what was drawn.
func (d *drawing) count() { d.moves = d.done + d.l.flow.drawnMoves }

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
		if !l.board.lines.fits(e.Line) || !l.flow.mayFly(&e) {
			return nil
		}
		if err := d.intend(e.index); err != nil {
			return err
		}
		d.ahead = d.ahead[1:]
		l.flow.fly(e)
		if err := l.board.transmit(e.Line, &e.label); err != nil {
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

// watchForStall notices that nothing gets on though something should: lines
// that nobody answers, or a board that stands without having been asked to.
func (d *drawing) watchForStall() {
	l := d.l
	allowed := 1.5
	for i := range l.flow.flight {
		allowed += l.flow.flight[i].stretch.wait
	}
	if len(l.board.lines.pending)+len(l.flow.flight) == 0 {
		l.board.movedAt = l.now()
	} else if l.now().Sub(l.board.movedAt) > duration(allowed) {
		l.board.raise(trouble{kind: troubleStalled})
	}
}

func (d *drawing) place() geom.Point {
	_, at, _ := d.l.Where()
	return at
}
