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

// setFeeds writes the feed of each move: the largest whole number of mm/min
// within its own limit and within what the link can deliver.
func setFeeds(p *machine.Profile, in *machine.Instructions, raw []float32) linkReport {
	step := stepper{scale: p.StepsPerMM()}
	secondsPerLine := LineBytes(p) / p.LinkBytesPerSecond()
	report := linkReport{worst: 1}
	n := len(in.Moves)
	var lengths [linkWindow]float64 // ring of the moves around i
	lengthOf := func(i int) float64 {
		from := in.Start
		if i > 0 {
			from = in.Moves[i-1].To
		}
		return step.travel(from, in.Moves[i].To).Length()
	}
	const half = linkWindow / 2
	for i := range min(half, n) {
		lengths[i] = lengthOf(i)
	}
	feed := uint32(0)
	queued, reserve := 0.0, float64(p.Board.QueueMoves)/2
	for i := range in.Moves {
		if i+half < n {
			lengths[(i+half)%linkWindow] = lengthOf(i + half)
		} else {
			lengths[(i+half)%linkWindow] = 0
		}
		total := 0.0
		for _, l := range lengths {
			total += l
		}
		window := min(i+half, n-1) - max(i-half, 0) + 1
		length := lengths[i%linkWindow]
		speed := float64(raw[i])
		carried := min(speed, total/(float64(window)*secondsPerLine))
		// Within the window too, no more lines may be used up than are queued.
		if least := (1 - queued) * secondsPerLine; length < carried*least {
			carried = length / least
		}
		queued = min(reserve, queued+length/(carried*secondsPerLine)-1)
		if carried < speed {
			report.addedSeconds += length/carried - length/speed
			if factor := speed / carried; factor > report.worst {
				report.worst, report.at = factor, i
			}
			speed = carried
		}
		allowed := speed * 60
		if float64(feed) > allowed || float64(feed) < allowed*(1-feedGrain) {
			feed = uint32(max(1, math.Floor(allowed)))
		}
		in.Moves[i].Feed = feed
	}
	return report
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
