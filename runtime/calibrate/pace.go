package calibrate

import (
	"context"
	"fmt"
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// The ladder of pace: each rung is faster than the one before, and the profile
// gets a share of the last that lost no steps (common practice, no source).
const (
	rungFactor      = 1.25
	mostRungs       = 16
	paceShare       = 0.7
	fastestMMS2     = 4000.0
	paceCornerCount = 8
	paceCornerMM    = 3.0
)

// pace goes up a ladder of speeds and accelerations, each with straight runs,
// a diagonal and a row of corners, until the stylus does not come back.
func (s *Session) pace(ctx context.Context) error {
	before := s.profile
	good, lost := 0.0, false
	factor := 1.0
	for range mostRungs {
		next := paced(&before, factor)
		if good > 0 && next == s.profile {
			break // the board makes no more steps a second
		}
		s.profile = next
		if err := s.declare(ctx, s.at, s.paceBox()); err != nil {
			return err
		}
		back, err := s.rung(ctx)
		if err != nil {
			return err
		}
		if !back {
			lost = true
			if err := s.machine.Lose("steps were lost in a test of speed"); err != nil {
				return err
			}
			break
		}
		good = factor
		factor *= rungFactor
	}
	if good == 0 {
		return &Trouble{Text: fmt.Sprintf("steps are lost even at %g mm/s: more motor current, less load, or a lower max_speed_mm_s", before.X.MaxSpeedMMS)}
	}
	fastest := paced(&before, good)
	s.profile = before
	share := func(proven, known float64) float64 {
		// Never slower than what was already known to be safe.
		return max(known, math.Floor(proven*paceShare*10)/10)
	}
	for _, a := range []Axis{X, Y} {
		now, proven := s.axis(a), &fastest.X
		if a == Y {
			proven = &fastest.Y
		}
		now.MaxSpeedMMS = share(proven.MaxSpeedMMS, now.MaxSpeedMMS)
		now.MaxAccelerationMMS2 = share(proven.MaxAccelerationMMS2, now.MaxAccelerationMMS2)
	}
	s.found(Pace, nil, "no steps were lost up to %.1f mm/s and %.0f mm/s²; the profile gets %.1f and %.0f", fastest.X.MaxSpeedMMS, fastest.X.MaxAccelerationMMS2, s.profile.X.MaxSpeedMMS, s.profile.X.MaxAccelerationMMS2)
	if !lost {
		return s.declare(ctx, s.at, s.profile.AreaBox())
	}
	// Steps were lost: nobody knows by how many.
	return s.declareMiddle(ctx, "bring the stylus back to the middle of the sheet, by eye: steps were lost, and with them the position")
}

// paced is a profile with its speeds and accelerations made larger, as far as
// the board's step rate allows.
func paced(p *machine.Profile, factor float64) machine.Profile {
	out := *p
	for _, a := range []*machine.Axis{&out.X, &out.Y} {
		a.MaxSpeedMMS = math.Floor(min(a.MaxSpeedMMS*factor, max(a.MaxSpeedMMS, a.LargestSpeedMMS(p.Board.StepRateLimitHz)))*10) / 10
		a.MaxAccelerationMMS2 = math.Floor(min(a.MaxAccelerationMMS2*factor, max(a.MaxAccelerationMMS2, fastestMMS2)))
	}
	return out
}

// paceBox is what a rung may reach: the middle of the sheet.
func (s *Session) paceBox() geom.Box {
	reach := geom.Point{X: s.profile.Page().Width()/3 + s.lead() + 3, Y: s.profile.Page().Height()/3 + s.lead() + 3}
	box := geom.Bounds([]geom.Point{s.at, s.middle().Sub(reach), s.middle().Add(reach)})
	area := s.profile.AreaBox().Grow(-0.5)
	return geom.Box{
		Min: geom.Point{X: max(box.Min.X, area.Min.X), Y: max(box.Min.Y, area.Min.Y)},
		Max: geom.Point{X: min(box.Max.X, area.Max.X), Y: min(box.Max.Y, area.Max.Y)},
	}
}

// rung draws one rung from the middle and back, and asks whether it came back.
func (s *Session) rung(ctx context.Context) (bool, error) {
	m := s.middle()
	first := flanks(&s.profile, []geom.Point{m})[0]
	lead := geom.Point{X: s.lead(), Y: s.lead()}
	if err := s.follow(ctx, patternMMS, first.Sub(lead)); err != nil {
		return false, err
	}
	if err := s.wiped(ctx, Pace, first); err != nil {
		return false, err
	}
	x, y := s.profile.Page().Width()/3, s.profile.Page().Height()/3
	cross := func(at geom.Point) []geom.Point {
		return []geom.Point{at, {X: at.X + 2, Y: at.Y}, {X: at.X - 2, Y: at.Y}, at, {X: at.X, Y: at.Y + 2}, {X: at.X, Y: at.Y - 2}, at}
	}
	run := []geom.Point{m}
	for _, to := range []geom.Point{{X: x}, {X: -x}, {}, {Y: y}, {Y: -y}, {}, {X: x, Y: y}, {X: -x, Y: -y}, {}} {
		run = append(run, m.Add(to))
	}
	for i := range paceCornerCount {
		across := paceCornerMM * float64(i%2)
		run = append(run, m.Add(geom.Point{X: paceCornerMM * float64(i), Y: across}), m.Add(geom.Point{X: paceCornerMM * float64(i), Y: paceCornerMM - across}))
	}
	run = append(run, m)
	if err := s.follow(ctx, creepMMS, flanks(&s.profile, cross(m))[1:]...); err != nil {
		return false, err
	}
	fast, again := flanks(&s.profile, run)[1:], flanks(&s.profile, append(run, cross(m)...))
	if err := s.follow(ctx, math.Inf(1), fast...); err != nil {
		return false, err
	}
	// The second cross starts on the flanks on which the run came back.
	if err := s.follow(ctx, creepMMS, again[1+len(fast):]...); err != nil {
		return false, err
	}
	back, err := s.operator.Choose(ctx, Question{
		Part: Pace, Ask: fmt.Sprintf("at %.0f mm/s and %.0f mm/s²: does the second cross lie on the first?", s.profile.X.MaxSpeedMMS, s.profile.X.MaxAccelerationMMS2),
		More:    "listen too: a motor that growls is at its end",
		Options: []string{"yes", "no"}, Look: Look{Kind: Returned},
	})
	return back == 0, err
}
