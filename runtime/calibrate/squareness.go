package calibrate

import (
	"context"
	"fmt"
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
)

// squareness draws rectangles, slack made up for, and has their diagonals
// measured. The first is small: nobody knows yet how far the axes lean.
func (s *Session) squareness(ctx context.Context) error {
	j := judge{s: s, unknowns: 2}
	lean := 0.0 // by how many mm of x for a mm of y the axes may lean
	for _, share := range []float64{0.5, 0.75, 0.85, 0.92} {
		lowX, highX := s.page(X)
		lowY, highY := s.page(Y)
		w, h := float64((highX-lowX)*share), float64((highY-lowY)*share)
		if len(j.readings) == 0 {
			j.knows(sidesRow(w, h, &s.profile))
		}
		room := s.profile.Area.WidthMM/2 - w/2 - s.profile.X.MarginNeededMM(w)
		if lean*h/2 > room {
			break
		}
		if err := s.rectangle(ctx, &j, w, h); err != nil {
			return err
		}
		f := fit(j.unknowns, j.rows)
		lean = math.Abs(f.unknown[0]) + f.bound[0]
	}
	if len(j.readings) == 0 {
		return &Trouble{Text: "the page is too narrow for a rectangle with room to lean"}
	}
	f, doubts, err := j.verdict()
	if err != nil {
		return err
	}
	degrees, _ := elementary.AcosDegrees(max(-1, min(1, f.unknown[0])))
	if degrees < 80 || degrees > 100 {
		return &Trouble{Text: fmt.Sprintf("the axes stand at %.1f degrees, which no frame does: were the right corners measured?", degrees)}
	}
	unsure := f.bound[0] / math.Sqrt(1-float64(f.unknown[0]*f.unknown[0])) * 180 / math.Pi
	s.profile.Frame.SquarenessDeg = math.Round(degrees*1000) / 1000
	s.found(Squareness, []Figure{{"squareness", s.profile.Frame.SquarenessDeg, unsure, "degrees"}},
		"the axes stand at %.2f ± %.2f degrees, from %d diagonals%s", degrees, unsure, len(j.readings), leftOut(doubts))
	return nil
}

// rectangle draws one and has its two diagonals measured.
func (s *Session) rectangle(ctx context.Context, j *judge, w, h float64) error {
	m := s.middle()
	a := geom.Point{X: m.X - w/2, Y: m.Y - h/2}
	b, c, d := geom.Point{X: a.X + w, Y: a.Y}, geom.Point{X: a.X + w, Y: a.Y + h}, geom.Point{X: a.X, Y: a.Y + h}
	// Both axes come to the first corner from below.
	lead := geom.Point{X: s.lead(), Y: s.lead()}
	corner := flanks(&s.profile, []geom.Point{a})[0]
	if err := s.follow(ctx, patternMMS, corner.Sub(lead)); err != nil {
		return err
	}
	if err := s.wiped(ctx, Squareness, corner); err != nil {
		return err
	}
	if err := s.follow(ctx, patternMMS, flanks(&s.profile, []geom.Point{a, b, c, d, a})[1:]...); err != nil {
		return err
	}
	first := len(j.readings)
	for _, q := range []struct {
		name     string
		from, to int
		sign     float64
	}{{"from the lower left corner to the upper right one", 0, 2, 1}, {"from the lower right corner to the upper left one", 1, 3, -1}} {
		long := math.Sqrt(float64(w*w) + float64(h*h))
		err := j.ask(ctx, reading{
			name: fmt.Sprintf("the diagonal of rectangle %d %s", first/2+1, q.name),
			ask: Question{
				Part: Squareness, Ask: "how long is the diagonal " + q.name + "?",
				More: "as finely as the ruler allows: the difference of the two tells the angle",
				Low:  long * 0.85, High: long * 1.15, Unit: "mm", Look: Look{Kind: Corners, From: q.from, To: q.to},
			},
			row:   func(answer float64) row { return diagonalRow(w, h, answer, q.sign) },
			shows: func(value float64) float64 { return diagonal(w, h, value) },
		}, first)
		if err != nil {
			return err
		}
	}
	return nil
}
