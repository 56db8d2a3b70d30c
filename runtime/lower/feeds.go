package lower

import (
	"fmt"
	"math"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/machine"
)

// feedGrain keeps a feed for the next move too while it is within this share
// of what that move allows: on a curve the limits change a little from move
// to move, and each new feed is bytes on the link.
const feedGrain = 0.02

// linkWindow is the stretch of moves, around each, that the link must be able
// to deliver while it is drawn. It is well inside a board's queue, which
// evens out what is shorter.
const linkWindow = 9

// LineBytes is the length of an instruction line for the machine as a sender
// writes it that states everything, with its line end: G1, both coordinates at
// the far corner of the area, and a feed of four digits.
func LineBytes(p *machine.Profile) float64 {
	digits := func(mm float64) int { return len(fmt.Sprintf("%.0f.", math.Floor(mm))) + p.CoordinateDecimals() }
	return float64(len("G1 X Y F3600\n") + digits(p.Area.WidthMM) + digits(p.Area.HeightMM))
}

// feeder writes the feed of each move, from the first on: the largest whole number
// of mm/min within its limit and within what the link can deliver.
type feeder struct {
	in             *machine.Instructions
	secondsPerLine float64
	lengths        [linkWindow]float64 // ring of the moves around the next
	next           int                 // move
	feed           uint32              // of the one before
	queued         float64             // lines, when the next move begins
	reserve        float64
	report         linkReport
}

const halfWindow = linkWindow / 2

func newFeeder(p *machine.Profile, in *machine.Instructions) *feeder {
	return &feeder{
		in: in, secondsPerLine: LineBytes(p) / p.LinkBytesPerSecond(),
		reserve: float64(p.Board.QueueMoves) / 2, report: linkReport{worst: 1},
	}
}

// set writes the feeds of the moves before one. length gives the length of a move
// in mm; it is asked of each once, in order, halfWindow moves ahead, which must be
// known.
func (f *feeder) set(to int, length func(i int) float64) {
	n := len(f.in.Moves)
	if f.next == 0 {
		for i := range min(halfWindow, n) {
			f.lengths[i] = length(i)
		}
	}
	for ; f.next < to; f.next++ {
		i := f.next
		ahead := 0.0
		if i+halfWindow < n {
			ahead = length(i + halfWindow)
		}
		f.lengths[(i+halfWindow)%linkWindow] = ahead
		total := 0.0
		for k := range f.lengths { // not a copy of them
			total += f.lengths[k]
		}
		window := min(i+halfWindow, n-1) - max(i-halfWindow, 0) + 1
		along := f.lengths[i%linkWindow]
		speed := float64(limit(&f.in.Moves[i]))
		carried := min(speed, total/(float64(window)*f.secondsPerLine))
		// Within the window too, no more lines may be used up than are queued.
		if least := (1 - f.queued) * f.secondsPerLine; along < carried*least {
			carried = along / least
		}
		f.queued = min(f.reserve, f.queued+along/(carried*f.secondsPerLine)-1)
		if carried < speed {
			f.report.addedSeconds += along/carried - along/speed
			if factor := speed / carried; factor > f.report.worst {
				f.report.worst, f.report.at = factor, i
			}
			speed = carried
		}
		allowed := speed * 60
		if float64(f.feed) > allowed || float64(f.feed) < allowed*(1-feedGrain) {
			f.feed = uint32(max(1, math.Floor(allowed)))
		}
		f.in.Moves[i].Feed = f.feed
	}
}

// linkReport tells what the link cost.
type linkReport struct {
	addedSeconds float64 // at most: ramps may hide some of it
	worst        float64 // the largest ratio of the speed planned to the one carried
	at           int     // the move where that is
}

// A slow link is reported from this share of the drawing time, and from this
// many seconds.
const (
	worthSaying        = 0.10
	worthSayingSeconds = 1.0
)

func (r linkReport) diagnose(p *machine.Profile, in *machine.Instructions, seconds float64) (diag.Diagnostic, bool) {
	if r.addedSeconds <= max(worthSaying*seconds, worthSayingSeconds) {
		return diag.Diagnostic{}, false
	}
	baud := fmt.Sprintf("%.0f", math.Ceil(float64(p.Board.Baud)*r.worst/100)*100)
	for _, usual := range []int{9600, 19200, 38400, 57600, 115200, 230400, 250000, 500000, 1000000} {
		if float64(usual) >= float64(p.Board.Baud)*r.worst {
			baud = fmt.Sprint(usual)
			break
		}
	}
	span := source.Span{}
	if place := in.Moves[r.at].Place; int(place) < len(in.Places) {
		span = in.Places[place]
	}
	// Chords grow with the square root of the tolerance.
	tolerance := math.Ceil(p.Drawing.ToleranceMM*r.worst*r.worst*1000) / 1000
	d := diag.New("link-too-slow", span, diag.Args{
		"baud": p.Board.Baud, "lines": int(p.LinkBytesPerSecond() / LineBytes(p)),
		"factor": fmt.Sprintf("%.1f", r.worst),
	})
	return d.WithHint("the line is drawn slower there; for full speed set the link to %s baud, or the tolerance to %g mm", baud, tolerance), true
}
