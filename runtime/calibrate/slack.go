package calibrate

import (
	"context"
	"fmt"
	"math"
)

// slack draws a coarse comb and then a fine one, for each axis. Where the profile
// knows the slack, the fine one alone, unless it shows another slack.
func (s *Session) slack(ctx context.Context) error {
	return s.eachAxis(ctx, Slack, s.slackOf)
}

const (
	combTeeth   = 21
	coarseMM    = 0.1
	mostSlackMM = 10
	// alignMM is how well an eye tells that two strokes line up, as a standard
	// deviation (a figure of ours, no source: a tenth of a line's width).
	alignMM = 0.04
)

func (s *Session) slackOf(ctx context.Context, a Axis) error {
	// Two steps a tooth: half a tooth can be told, and the comb reaches far
	// enough beyond what the coarse one may be off by.
	finer := 2 * s.axis(a).ResolutionMM()
	var slack float64
	known := s.axis(a).SlackMM // 0 where it was not looked at yet
	for try := 0; ; try++ {
		coarse := known
		if coarse == 0 {
			var err error
			if coarse, err = s.coarseSlack(ctx, a); err != nil {
				return err
			}
		}
		base := max(0, coarse-float64(float64(combTeeth/2)*finer))
		tooth, c, err := s.readComb(ctx, a, base, finer)
		if err != nil {
			return err
		}
		slack = max(0, c.slack(tooth))
		// The end of a comb may stand for anything beyond it, but for none at all.
		atEnd := tooth == combTeeth-1 || tooth == 0 && base > 0
		if !atEnd && math.Abs(slack-coarse) <= tooSigmas*math.Sqrt2*alignMM+coarseMM/4 {
			break
		}
		if known > 0 {
			// It is another one by now.
			known, try = 0, try-1
			continue
		}
		if try == mostTries-1 {
			return &Trouble{Text: fmt.Sprintf("the two combs along %s do not fit together: %.2f mm of slack by the coarse one, %.2f by the fine one: see that nothing slips", a, coarse, slack)}
		}
	}
	axis := s.axis(a)
	axis.SlackMM = math.Round(slack*1e4) / 1e4
	bound := boundSigmas * math.Sqrt(alignMM*alignMM+float64(finer*finer)/16)
	s.found(Slack, []Figure{{a.String() + " slack", axis.SlackMM, bound, "mm"}},
		"%s has %.2f ± %.2f mm of slack, %d steps", a, axis.SlackMM, bound, axis.SlackSteps())
	return s.narrow(ctx, a)
}

// coarseSlack reads combs of a tenth of a millimetre a tooth until the slack
// lies within one.
func (s *Session) coarseSlack(ctx context.Context, a Axis) (float64, error) {
	for base := 0.0; base <= mostSlackMM; {
		tooth, c, err := s.readComb(ctx, a, base, coarseMM)
		if err != nil {
			return 0, err
		}
		slack := c.slack(tooth)
		if tooth < combTeeth-1 {
			return slack, nil
		}
		base = slack - coarseMM
	}
	return 0, &Trouble{Text: fmt.Sprintf("the %s knob has more than %d mm of slack: look for a loose coupling or string first", a, mostSlackMM)}
}

// narrow takes off the area what there is more of slack than was known when the
// marks were reached, half on each side.
func (s *Session) narrow(ctx context.Context, a Axis) error {
	more := math.Ceil((s.axis(a).SlackMM-s.taken[a])*10) / 10
	if s.taken[a] == 0 || more <= 0 {
		return s.declare(ctx, s.at, s.profile.AreaBox())
	}
	s.taken[a] += more
	if a == X {
		s.profile.Area.WidthMM -= more
	} else {
		s.profile.Area.HeightMM -= more
	}
	s.found(Slack, nil, "the area is %.1f mm smaller along %s for it", more, a)
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
		return 0, c, &Trouble{Text: fmt.Sprintf("the page is too small for a comb along %s", a)}
	}
	c.u = whole((low+high)/2 - float64(c.pitch*(combTeeth-1))/2)
	if err := s.wiped(ctx, Slack, c.begin()); err != nil {
		return 0, c, err
	}
	if err := s.follow(ctx, patternMMS, c.path()...); err != nil {
		return 0, c, err
	}
	ends := [2]string{"the left", "the right"}
	if a == Y {
		ends = [2]string{"the bottom", "the top"}
	}
	ask := Question{
		Part: Slack, Ask: fmt.Sprintf("which tooth of the comb along %s lines up with its partner in the other row?", a),
		More: fmt.Sprintf("count from 0 at %s; with several, say the middle one, such as 7 or 7.5; each tooth farther stands for %.3f mm more slack", ends[0], finer),
		High: combTeeth - 1, Look: Look{Kind: Comb, Axis: a},
	}
	back := ask
	back.Ask = fmt.Sprintf("and which one is that, counted from 0 at %s?", ends[1])
	back.More, back.Look.FarEnd = "a miscount shows by it", true
	// A miscount agrees with nothing: each count is held against all from the
	// other end.
	var there, fromEnd []float64
	for try := 0; ; try++ {
		for _, count := range []struct {
			q    Question
			into *[]float64
		}{{ask, &there}, {back, &fromEnd}} {
			n, err := s.operator.Measure(ctx, count.q)
			if err != nil {
				return 0, c, err
			}
			*count.into = append(*count.into, n)
		}
		for _, n := range there {
			for _, m := range fromEnd {
				// The same tooth, or its neighbour where two look alike.
				if math.Abs(n+m-(combTeeth-1)) <= 1 {
					return (n + combTeeth - 1 - m) / 2, c, nil
				}
			}
		}
		n, m := there[try], fromEnd[try]
		if try == mostTries-1 {
			return 0, c, &Trouble{Text: fmt.Sprintf("tooth %g from %s and tooth %g from %s are not the same one of the comb along %s", n, ends[0], m, ends[1], a)}
		}
		ask.More = fmt.Sprintf("tooth %g from %s and tooth %g from %s are not the same one: there are %d, from 0 to %d; count once more", n, ends[0], m, ends[1], combTeeth, combTeeth-1)
	}
}
