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
	for _, a := range []Axis{X, Y} {
		if err := s.scaleOf(ctx, a); err != nil {
			return err
		}
	}
	return nil
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
	var readings []Reading
	for nominal := firstMM; ; nominal *= 2 {
		if err := s.follow(ctx, creepMMS, tick(a, u+nominal, v)...); err != nil {
			return err
		}
		drawn, err := s.measured(ctx, a, nominal, readings)
		if err != nil {
			return err
		}
		readings = append(readings, Reading{NominalMM: nominal, DrawnMM: drawn})
		// The largest that the scale can be, by any reading: as far as the next
		// line may come.
		ratio := 0.0
		for _, r := range readings {
			ratio = max(ratio, (r.DrawnMM+ReadingMM)/r.NominalMM)
		}
		next := 2*nominal + lead
		if float64(ratio*next) > half-1 {
			break
		}
		reach := on(a, next+1, firstMM+lead+tickMM)
		if err := s.declare(ctx, s.at, geom.Bounds([]geom.Point{begin.Sub(reach), begin.Add(reach)})); err != nil {
			return err
		}
	}
	return s.rescale(ctx, Scale, a, readings, begin)
}

// measured has the line measured that was meant to be so long. An answer that
// does not fit with the readings before is asked for again: the next line, and
// the box that is guarded, follow from it.
func (s *Session) measured(ctx context.Context, a Axis, nominal float64, before []Reading) (float64, error) {
	more := fmt.Sprintf("it is meant to be %g mm; read it as finely as the ruler allows", nominal)
	for doubted := false; ; doubted = true {
		drawn, err := s.operator.Measure(ctx, Question{
			Part: Scale, Ask: fmt.Sprintf("how long is the line along %s from the first tick to the last one?", a), More: more,
			Low: nominal / 5, High: nominal * 5, Unit: "mm", Look: Look{Kind: Ticks, Axis: a, From: 0, To: len(before) + 1},
		})
		if err != nil || len(before) == 0 {
			return drawn, err
		}
		last := before[len(before)-1]
		expected := last.DrawnMM / last.NominalMM * nominal
		// What a ruler may have been off by in both, and a little for the machine.
		unsure := float64(2*ReadingMM*(nominal/last.NominalMM)) + 2*ReadingMM + 0.02*nominal
		switch {
		case math.Abs(drawn-expected) <= unsure:
			return drawn, nil
		case doubted:
			return 0, &Trouble{fmt.Sprintf("a line along %s of %.1f mm does not fit with the one of %.1f mm before, which should have been half as long: begin the scale again, and see that nothing slips", a, drawn, last.DrawnMM)}
		}
		more = fmt.Sprintf("from the lines before it should be about %.1f mm; measure once more, from the very first tick", expected)
	}
}

// tick is the way to a place on an axis and a short stroke across it and back.
func tick(a Axis, u, v float64) []geom.Point {
	return []geom.Point{on(a, u, v), on(a, u, v+tickMM), on(a, u, v)}
}

// rescale puts the ratio of drawn to nominal lengths into the profile and the
// board. The place from which was measured stays where it was.
func (s *Session) rescale(ctx context.Context, part Part, a Axis, readings []Reading, fixed geom.Point) error {
	ratio, unsure := Ratio(readings)
	axis := s.axis(a)
	SetLine(axis, ratio, unsure)
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
	s.found(part, "%s: one motor turn draws %.4g mm ± %.2f %%, %.3f steps a mm, from %d lengths up to %.0f mm that differ by %.2f %%",
		a, axis.MMPerMotorTurn(), 100*unsure, axis.StepsPerMM(), len(readings), longest(readings), 100*Spread(readings))
	return s.follow(ctx, creepMMS, s.middle())
}

func longest(readings []Reading) float64 {
	most := 0.0
	for _, r := range readings {
		most = max(most, r.NominalMM)
	}
	return most
}

// boardFigure is a number as boards keep it: with three decimals.
func boardFigure(v float64) float64 { return math.Round(v*1000) / 1000 }

// length: long lines on the whole sheet, both ways, with the uncertainty of
// the scale that follows.
func (s *Session) length(ctx context.Context) error {
	for _, a := range []Axis{X, Y} {
		if err := s.lengthOf(ctx, a); err != nil {
			return err
		}
	}
	return nil
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
	var readings []Reading
	for row, name := range []string{"first row", "second row"} {
		for i := 1; i < len(shares[row]); i++ {
			nominal := float64((high - low) * shares[row][i])
			from := row * len(shares[0])
			drawn, err := s.operator.Measure(ctx, Question{
				Part: Length, Ask: fmt.Sprintf("%s along %s: how far is it from its first tick to tick %d?", name, a, i+1),
				More: fmt.Sprintf("ticks are counted in the order in which they were drawn; it is meant to be %.1f mm", nominal),
				Low:  nominal * 0.9, High: nominal * 1.1, Unit: "mm", Look: Look{Kind: Ticks, Axis: a, From: from, To: from + i},
			})
			if err != nil {
				return err
			}
			readings = append(readings, Reading{NominalMM: nominal, DrawnMM: drawn})
		}
	}
	return s.rescale(ctx, Length, a, readings, s.middle())
}

// page is the range of the page along an axis, in machine mm.
func (s *Session) page(a Axis) (low, high float64) {
	margin := s.profile.Area.MarginMM
	if a == X {
		return margin, s.profile.Area.WidthMM - margin
	}
	return margin, s.profile.Area.HeightMM - margin
}
