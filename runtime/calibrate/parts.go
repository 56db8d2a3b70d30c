package calibrate

import (
	"context"
	"fmt"
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// area creeps to the marks of the four edges and takes what lies between.
func (s *Session) area(ctx context.Context) error {
	// The profile's figure may be wrong either way; the operator sees each move.
	const beyondMM = 20
	if err := s.declare(ctx, s.at, s.profile.AreaBox().Grow(beyondMM)); err != nil {
		return err
	}
	var marks [4]float64
	for _, edge := range []Edge{Left, Right, Lower, Upper} {
		a := Axis(edge / 2)
		var err error
		if marks[edge], err = s.creep(ctx, edge); err != nil {
			return err
		}
		if edge == Right || edge == Upper {
			if err := s.centre(ctx, a, marks[edge-1], marks[edge]); err != nil {
				return err
			}
		}
	}
	// The far mark was reached from below and the near one from above, so the
	// motors went farther than the stylus by the slack. Where it is not known
	// yet, a millimetre is taken off: an area too small does no harm.
	size := func(a Axis) float64 {
		slack := s.axis(a).SlackMM
		if slack == 0 {
			slack = 1
		}
		s.taken[a] = slack
		return math.Floor((marks[2*a+1]-marks[2*a]-slack)*10) / 10
	}
	area := &s.profile.Area
	area.WidthMM, area.HeightMM = size(X), size(Y)
	page := s.profile.Page()
	if !(page.Width() > 0 && page.Height() > 0) {
		return &Trouble{fmt.Sprintf("between the marks there are %.1f by %.1f mm: less than twice the margin", area.WidthMM, area.HeightMM)}
	}
	area.StartMM = geom.Point{X: min(area.StartMM.X, page.Max.X), Y: min(area.StartMM.Y, page.Max.Y)}
	s.found(Area, "the area is %.1f by %.1f mm, the page %.1f by %.1f mm", area.WidthMM, area.HeightMM, page.Width(), page.Height())
	// Both axes came to the middle from below: on their upper flanks.
	at := s.middle().Add(geom.Point{X: s.profile.X.SlackMM / 2, Y: s.profile.Y.SlackMM / 2})
	return s.declare(ctx, at, s.profile.AreaBox())
}

// creep brings the stylus to the mark of an edge, as the operator says how far
// it is, and gives where the motor stands at the mark. It ends on the flank
// that points to the edge. Each answer must fit with the one before and the
// motion between them: one that does not is asked for again, since the next
// motion would lead by it.
func (s *Session) creep(ctx context.Context, edge Edge) (float64, error) {
	a, towards := Axis(edge/2), 1.0
	if edge == Left || edge == Lower {
		towards = -1
	}
	const most = 40
	// A wrong first reading must not lead far.
	stride, longest := 5.0, 40.0
	said, moved, doubted := math.NaN(), 0.0, false
	doubtful, restarted := 0.0, false
	for range most {
		more := "0 if it stands on it, below 0 if it is past it; it creeps there bit by bit"
		if doubted {
			more = fmt.Sprintf("it should be %.1f mm by now, from what was said before; measure once more, below 0 if it is past the mark", said-moved)
		}
		left, err := s.operator.Measure(ctx, Question{
			Part: Area, Ask: fmt.Sprintf("how far is the stylus from the mark of the %s edge?", edge),
			More: more,
			Low:  -30, High: 500, Unit: "mm", Look: Look{Kind: ToMark, Axis: a, Edge: edge},
		})
		if err != nil {
			return 0, err
		}
		// Slack, which is not known yet, may swallow a part of a motion that
		// turns round; the scale may still be off a little.
		const slack = 3.0
		unsure := 2*ReadingMM + 0.1*math.Abs(moved) + slack
		if off := left - (said - moved); math.Abs(off) > unsure {
			switch {
			case doubted && !restarted && math.Abs(left-doubtful) <= 4*ReadingMM:
				// Said twice: it was the one before that was wrong. That is taken
				// once, and from the shortest stride on.
				restarted, stride = true, 5
			case doubted:
				return 0, &Trouble{fmt.Sprintf("%.1f mm to the mark of the %s edge do not fit with the %.1f mm before and a motion of %.1f mm: see that %s runs the right way, that its scale is right, that it has less than 3 mm of slack, and that nothing slips", left, edge, said, moved, a)}
			default:
				doubted, doubtful = true, left
				continue
			}
		}
		said, moved, doubted = left, 0, false
		step := func(mm float64) error {
			moved += mm
			return s.shift(ctx, a, towards*mm)
		}
		switch {
		case math.Abs(left) <= ReadingMM:
			return along(s.at, a) + towards*left, nil
		case left < 0:
			// Back beyond it, so that the mark is reached from inside again.
			if err := step(left - s.lead()); err != nil {
				return 0, err
			}
			left = s.lead()
		case left > 2:
			left = min(0.75*left, stride)
			stride = min(2*stride, longest)
		}
		if err := step(left); err != nil {
			return 0, err
		}
	}
	return 0, &Trouble{fmt.Sprintf("the mark of the %s edge was not reached in %d moves: see that the motor does not slip", edge, most)}
}

// centre brings an axis to the middle between two marks, from below.
func (s *Session) centre(ctx context.Context, a Axis, near, far float64) error {
	// At the near mark the stylus rested on its lower flank; on the upper one
	// the motor is ahead by the slack.
	to := (near+far)/2 + s.axis(a).SlackMM/2
	v := along(s.at, 1-a)
	return s.follow(ctx, creepMMS, on(a, to-s.lead(), v), on(a, to, v))
}

// slack draws a coarse comb and then a fine one, for each axis.
func (s *Session) slack(ctx context.Context) error {
	for _, a := range []Axis{X, Y} {
		if err := s.slackOf(ctx, a); err != nil {
			return err
		}
	}
	return nil
}

const (
	combTeeth   = 21
	coarseMM    = 0.1
	mostSlackMM = 10
)

func (s *Session) slackOf(ctx context.Context, a Axis) error {
	base := 0.0
	var slack float64
	for {
		tooth, c, err := s.readComb(ctx, a, base, coarseMM)
		if err != nil {
			return err
		}
		slack = c.slack(tooth)
		if tooth < combTeeth-1 {
			break
		}
		if base = slack - coarseMM; base > mostSlackMM {
			return &Trouble{fmt.Sprintf("the %s knob has more than %d mm of slack: look for a loose coupling or string first", a, mostSlackMM)}
		}
	}
	// A tooth a step, around what was found.
	finer := s.axis(a).ResolutionMM()
	tooth, c, err := s.readComb(ctx, a, max(0, slack-float64(float64(combTeeth/2)*finer)), finer)
	if err != nil {
		return err
	}
	slack = max(0, c.slack(tooth))
	axis := s.axis(a)
	axis.SlackMM = math.Round(slack*1e4) / 1e4
	s.found(Slack, "%s has %.3f mm of slack, %d steps", a, axis.SlackMM, axis.SlackSteps())
	return s.narrow(ctx, a)
}

// narrow takes off the area what there is more of slack than was known when the
// marks were reached, half on each side.
func (s *Session) narrow(ctx context.Context, a Axis) error {
	more := math.Ceil((s.axis(a).SlackMM-s.taken[a])*10) / 10
	if s.taken[a] == 0 || more <= 0 {
		return nil
	}
	s.taken[a] += more
	if a == X {
		s.profile.Area.WidthMM -= more
	} else {
		s.profile.Area.HeightMM -= more
	}
	s.found(Slack, "the area is %.1f mm smaller along %s for it", more, a)
	return s.declare(ctx, on(a, along(s.at, a)-more/2, along(s.at, 1-a)), s.profile.AreaBox())
}

func (s *Session) readComb(ctx context.Context, a Axis, base, finer float64) (tooth float64, c comb, err error) {
	low, high := s.page(a)
	// Everything in whole steps, so that each tooth means what it says.
	whole := func(mm float64) float64 {
		steps := along(s.profile.Board.StepsPerMM, a)
		return math.Round(mm*steps) / steps
	}
	c = comb{axis: a, teeth: combTeeth, base: whole(base), finer: whole(finer), v: along(s.middle(), 1-a)}
	c.lead = 2 + base + float64(finer*combTeeth)
	c.pitch = whole(min(4, (high-low-float64(3*c.lead))/(combTeeth-1)))
	if c.pitch < finer*4 {
		return 0, c, &Trouble{fmt.Sprintf("the page is too small for a comb along %s", a)}
	}
	c.u = whole((low+high)/2 - float64(c.pitch*(combTeeth-1))/2)
	if err := s.wiped(ctx, Slack, c.begin()); err != nil {
		return 0, c, err
	}
	if err := s.follow(ctx, patternMMS, c.path()...); err != nil {
		return 0, c, err
	}
	first := "the left"
	if a == Y {
		first = "the bottom"
	}
	tooth, err = s.operator.Measure(ctx, Question{
		Part: Slack, Ask: fmt.Sprintf("which tooth of the comb along %s lines up with its partner in the other row?", a),
		More: fmt.Sprintf("count from 0 at %s; with several, say the middle one, such as 7 or 7.5; each tooth farther stands for %.3f mm more slack", first, finer),
		High: combTeeth - 1, Look: Look{Kind: Comb, Axis: a},
	})
	return tooth, c, err
}

// squareness draws rectangles, slack made up for, and has their diagonals
// measured. The first is small: nobody knows yet how far the axes lean.
func (s *Session) squareness(ctx context.Context) error {
	var measured []Diagonals
	lean := 0.0 // by how many mm of x for a mm of y the axes lean
	for _, share := range []float64{0.5, 0.75, 0.85, 0.92} {
		lowX, highX := s.page(X)
		lowY, highY := s.page(Y)
		w, h := float64((highX-lowX)*share), float64((highY-lowY)*share)
		room := s.profile.Area.WidthMM/2 - w/2 - s.profile.X.MarginNeededMM(w)
		if math.Abs(lean)*h/2 > room {
			break
		}
		d, err := s.rectangle(ctx, w, h)
		if err != nil {
			return err
		}
		measured = append(measured, d)
		lean = (float64(d.RisingMM*d.RisingMM) - float64(d.FallingMM*d.FallingMM)) / (4 * w * h)
	}
	degrees, unsure := Angle(measured)
	if degrees < 80 || degrees > 100 {
		return &Trouble{fmt.Sprintf("the axes stand at %.1f degrees, which no frame does: were the right corners measured?", degrees)}
	}
	s.profile.Frame.SquarenessDeg = math.Round(degrees*1000) / 1000
	s.found(Squareness, "the axes stand at %.2f ± %.2f degrees", degrees, unsure)
	return nil
}

func (s *Session) rectangle(ctx context.Context, w, h float64) (Diagonals, error) {
	m := s.middle()
	a := geom.Point{X: m.X - w/2, Y: m.Y - h/2}
	b, c, d := geom.Point{X: a.X + w, Y: a.Y}, geom.Point{X: a.X + w, Y: a.Y + h}, geom.Point{X: a.X, Y: a.Y + h}
	// Both axes come to the first corner from below.
	lead := geom.Point{X: s.lead(), Y: s.lead()}
	corner := flanks(&s.profile, []geom.Point{a})[0]
	if err := s.follow(ctx, patternMMS, corner.Sub(lead)); err != nil {
		return Diagonals{}, err
	}
	if err := s.wiped(ctx, Squareness, corner); err != nil {
		return Diagonals{}, err
	}
	if err := s.follow(ctx, patternMMS, flanks(&s.profile, []geom.Point{a, b, c, d, a})[1:]...); err != nil {
		return Diagonals{}, err
	}
	out := Diagonals{WidthMM: w, HeightMM: h}
	for _, q := range []struct {
		name     string
		from, to int
		into     *float64
	}{{"from the lower left corner to the upper right one", 0, 2, &out.RisingMM}, {"from the lower right corner to the upper left one", 1, 3, &out.FallingMM}} {
		long := math.Sqrt(float64(w*w) + float64(h*h))
		var err error
		*q.into, err = s.operator.Measure(ctx, Question{
			Part: Squareness, Ask: "how long is the diagonal " + q.name + "?",
			More: "as finely as the ruler allows: the difference of the two tells the angle",
			Low:  long * 0.85, High: long * 1.15, Unit: "mm", Look: Look{Kind: Corners, From: q.from, To: q.to},
		})
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

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
		return &Trouble{fmt.Sprintf("steps are lost even at %g mm/s: more motor current, less load, or a lower max_speed_mm_s", before.X.MaxSpeedMMS)}
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
	s.found(Pace, "no steps were lost up to %.1f mm/s and %.0f mm/s²; the profile gets %.1f and %.0f", fastest.X.MaxSpeedMMS, fastest.X.MaxAccelerationMMS2, s.profile.X.MaxSpeedMMS, s.profile.X.MaxAccelerationMMS2)
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

// erasing finds out how many rounds wipe the sheet clean, how long one takes
// and whether it moves the stylus.
func (s *Session) erasing(ctx context.Context) error {
	e := &s.profile.Eraser
	if e.Kind == machine.EraserNone {
		s.found(Erasing, "there is no eraser")
		return nil
	}
	const most = 10
	slowest, clean := 0.0, false
	for round := 1; round <= most && !clean; round++ {
		var seconds float64
		var err error
		if e.Kind == machine.EraserSerial {
			seconds, err = s.eraser.Wipe(ctx)
		} else {
			err = s.operator.Ready(ctx, Question{Part: Erasing, Ask: "wipe the sheet once"})
		}
		if err != nil {
			return err
		}
		slowest = max(slowest, seconds)
		said, err := s.operator.Choose(ctx, Question{
			Part: Erasing, Ask: "is the sheet clean?", Options: []string{"yes", "no"}, Look: Look{Kind: Clean},
		})
		if err != nil {
			return err
		}
		e.Rounds, clean = round, said == 0
	}
	if !clean {
		return &Trouble{fmt.Sprintf("the sheet is not clean after %d rounds", most)}
	}
	stands, err := s.operator.Choose(ctx, Question{
		Part: Erasing, Ask: "does the stylus stand where it stood before?", Options: []string{"yes", "no", "I cannot tell"}, Look: Look{Kind: Stands},
	})
	if err != nil {
		return err
	}
	e.DisturbsStylus = stands != 0
	if stands == 1 {
		if err := s.machine.Lose("the eraser moved the stylus"); err != nil {
			return err
		}
	}
	if e.Kind == machine.EraserSerial {
		// Twice what it took, since a wiping that is late must not look like one that failed.
		e.TimeoutS = max(5, math.Ceil(2*slowest))
	}
	look := "the stylus stays where it is"
	if e.DisturbsStylus {
		look = "the stylus is to be looked at afterwards"
	}
	s.found(Erasing, "rounds until the sheet is clean: %d; %s", e.Rounds, look)
	return nil
}
