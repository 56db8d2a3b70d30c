package calibrate

import (
	"context"
	"fmt"
	"math"

	"wend/runtime/geom"
)

// lead is the way, in mm, on which a pattern takes up slack before it counts.
func (s *Session) lead() float64 { return 3 + max(s.profile.X.SlackMM, s.profile.Y.SlackMM) }

const tickMM = 6.0

// scale: lines of 5 mm nominal, then doubled, from the middle of the sheet.
func (s *Session) scale(ctx context.Context) error {
	return s.eachAxis(ctx, Scale, s.scaleOf)
}

// firstMM is the first line that is measured: short, since the scale may be
// anything.
const firstMM = 5.0

func (s *Session) scaleOf(ctx context.Context, a Axis) error {
	begin := s.at
	lead := s.lead()
	half := along(s.middle(), a) - s.profile.Area.MarginMM - math.Abs(along(begin, a)-along(s.middle(), a))
	if err := s.declare(ctx, begin, geom.Bounds([]geom.Point{begin}).Grow(firstMM+lead+tickMM)); err != nil {
		return err
	}
	if err := s.operator.Ready(ctx, Question{Part: Scale, Ask: "wipe the sheet; the next pattern begins where the stylus stands now"}); err != nil {
		return err
	}
	u, v := along(begin, a)+lead, along(begin, 1-a)
	if err := s.follow(ctx, creepMMS, tick(a, u, v)...); err != nil {
		return err
	}
	j := judge{s: s, unknowns: 1}
	most := firstMM
	for ; ; most *= 2 {
		if err := s.follow(ctx, creepMMS, tick(a, u+most, v)...); err != nil {
			return err
		}
		if err := j.ask(ctx, doubling(a, len(j.readings)+1, most), 0); err != nil {
			return err
		}
		// The largest that the scale can be, with as much again to spare: as far as
		// the next line may come.
		f := fit(1, j.rows)
		ratio := f.unknown[0] + 2*f.bound[0]
		next := 2*most + lead
		if float64(ratio*next) > half-1 {
			break
		}
		reach := on(a, next+1, firstMM+lead+tickMM)
		if err := s.declare(ctx, s.at, geom.Bounds([]geom.Point{begin.Sub(reach), begin.Add(reach)})); err != nil {
			return err
		}
	}
	// The longest line counts most: a slip in it would hardly show by the others.
	again := doubling(a, len(j.readings), most)
	again.name = "the longest line, measured again"
	again.ask.Ask = fmt.Sprintf("how long is the line along %s from the first tick to the last one, measured anew?", a)
	again.ask.More += "; put another centimetre of the ruler on the first tick, since this line counts most"
	if err := j.ask(ctx, again, 0); err != nil {
		return err
	}
	return s.rescale(ctx, Scale, a, &j, begin)
}

// doubling is the reading of a line from the first tick to another, which is
// the last one while it is new.
func doubling(a Axis, tick int, nominal float64) reading {
	return reading{
		name: fmt.Sprintf("the line of %g mm along %s", nominal, a),
		ask: Question{
			Part: Scale, Ask: fmt.Sprintf("how long is the line along %s from the first tick to tick %d?", a, tick+1),
			More: fmt.Sprintf("it is meant to be %g mm; read it as finely as the ruler allows", nominal),
			Low:  nominal / 5, High: nominal * 5, Unit: "mm", Look: Look{Kind: Ticks, Axis: a, From: 0, To: tick},
		},
		row:   func(answer float64) row { return lengthRow(nominal, answer) },
		shows: same,
	}
}

func same(value float64) float64 { return value }

// tick is the way to a place on an axis and a short stroke across it and back.
func tick(a Axis, u, v float64) []geom.Point {
	return []geom.Point{on(a, u, v), on(a, u, v+tickMM), on(a, u, v)}
}

// rescale puts the ratio of drawn to nominal lengths into the profile and the
// board. The place from which was measured stays where it was.
func (s *Session) rescale(ctx context.Context, part Part, a Axis, j *judge, fixed geom.Point) error {
	f, doubts, err := j.verdict()
	if err != nil {
		return err
	}
	ratio, unsure := f.unknown[0], f.bound[0]/f.unknown[0]
	axis := s.axis(a)
	setLine(axis, ratio, unsure)
	axis.SlackMM = math.Round(axis.SlackMM*ratio*1e4) / 1e4 // as many steps as before
	s.profile.Board.StepsPerMM = geom.Point{X: boardFigure(s.profile.X.StepsPerMM()), Y: boardFigure(s.profile.Y.StepsPerMM())}
	if largest := axis.LargestSpeedMMS(s.profile.Board.StepRateLimitHz); axis.MaxSpeedMMS > largest {
		axis.MaxSpeedMMS = math.Floor(largest)
	}
	now := along(fixed, a) + float64((along(s.at, a)-along(fixed, a))*ratio)
	if s.taken[a] > 0 || s.profile.Calibrated {
		// The marks of the area were counted in the old millimetres, now or in an
		// earlier calibration.
		before := along(s.middle(), a)
		size := &s.profile.Area.WidthMM
		if a == Y {
			size = &s.profile.Area.HeightMM
		}
		*size = math.Floor(*size*ratio*10) / 10
		now += along(s.middle(), a) - before
	}
	if err := s.declare(ctx, on(a, now, along(s.at, 1-a)), s.profile.AreaBox()); err != nil {
		return err
	}
	longest := 0.0
	for _, r := range j.rows {
		if r.item != known {
			longest = max(longest, r.of[0])
		}
	}
	s.found(part, []Figure{{a.String() + " scale", axis.StepsPerMM(), axis.StepsPerMM() * unsure, "steps/mm"}},
		"%s: one motor turn draws %.4g mm ± %.2f %%, %.3f steps a mm, from %d lengths up to %.0f mm%s",
		a, axis.MMPerMotorTurn(), 100*unsure, axis.StepsPerMM(), len(j.readings), longest, leftOut(doubts))
	return s.follow(ctx, creepMMS, s.middle())
}

// boardFigure is a number as boards keep it: with three decimals.
func boardFigure(v float64) float64 { return math.Round(v*1000) / 1000 }

// length: long lines on the whole sheet, both ways, with the uncertainty of
// the scale that follows.
func (s *Session) length(ctx context.Context) error {
	return s.eachAxis(ctx, Length, s.lengthOf)
}

func (s *Session) lengthOf(ctx context.Context, a Axis) error {
	low, high := s.page(a)
	lead := s.lead()
	low, high = low+lead, high-lead
	v := along(s.middle(), 1-a)
	begin := on(a, low-lead, v)
	if err := s.wiped(ctx, Length, begin); err != nil {
		return err
	}
	var path []geom.Point
	// Other lengths in each row, so that the ruler does not err the same way twice.
	shares := [2][]float64{{0, 0.62, 0.81, 1}, {0, 0.57, 0.74, 0.93}}
	for _, share := range shares[0] {
		path = append(path, tick(a, low+float64((high-low)*share), v)...)
	}
	// Back in a row of its own.
	path = append(path, on(a, high+lead, v), on(a, high+lead, v-2*tickMM))
	for _, share := range shares[1] {
		path = append(path, tick(a, high-float64((high-low)*share), v-2*tickMM)...)
	}
	if err := s.follow(ctx, patternMMS, path...); err != nil {
		return err
	}
	j := judge{s: s, unknowns: 1}
	j.knows(scaleRow(s.axis(a)))
	for line, name := range []string{"first row", "second row"} {
		for i := 1; i < len(shares[line]); i++ {
			nominal := float64((high - low) * shares[line][i])
			from := line * len(shares[0])
			err := j.ask(ctx, reading{
				name: fmt.Sprintf("tick %d of the %s along %s", i+1, name, a),
				ask: Question{
					Part: Length, Ask: fmt.Sprintf("%s along %s: how far is it from its first tick to tick %d?", name, a, i+1),
					More: fmt.Sprintf("ticks are counted in the order in which they were drawn; it is meant to be %.1f mm", nominal),
					Low:  nominal * 0.8, High: nominal * 1.2, Unit: "mm", Look: Look{Kind: Ticks, Axis: a, From: from, To: from + i},
				},
				row: func(answer float64) row { return lengthRow(nominal, answer) }, shows: same,
			}, 0)
			if err != nil {
				return err
			}
		}
	}
	return s.rescale(ctx, Length, a, &j, s.middle())
}

// page is the range of the page along an axis, in machine mm.
func (s *Session) page(a Axis) (low, high float64) {
	margin := s.profile.Area.MarginMM
	if a == X {
		return margin, s.profile.Area.WidthMM - margin
	}
	return margin, s.profile.Area.HeightMM - margin
}
