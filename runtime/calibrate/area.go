package calibrate

import (
	"context"
	"fmt"
	"math"
	"slices"

	"wend/runtime/geom"
)

// area comes to the marks of the four edges and takes what lies between.
func (s *Session) area(ctx context.Context) error {
	// The profile's figure may be wrong either way; the operator sees each move.
	const beyondMM = 20
	if err := s.declare(ctx, s.at, s.profile.AreaBox().Grow(beyondMM)); err != nil {
		return err
	}
	var marks [4]mark
	for _, edge := range []Edge{Left, Right, Lower, Upper} {
		a := Axis(edge / 2)
		var err error
		if marks[edge], err = s.approach(ctx, edge); err != nil {
			return err
		}
		if edge == Right || edge == Upper {
			if err := s.centre(ctx, a, marks[edge-1].at, marks[edge].at); err != nil {
				return err
			}
		}
	}
	// The far mark was reached from below and the near one from above, so the
	// motors went farther than the stylus by the slack. Where it is not known
	// yet, a millimetre is taken off: an area too small does no harm.
	var figures []Figure
	size := func(a Axis) float64 {
		slack := s.axis(a).SlackMM
		if slack == 0 {
			slack = 1
		}
		s.taken[a] = slack
		apart := marks[2*a+1].at - marks[2*a].at
		// The slack is between none and twice of what is taken for it.
		bound := math.Sqrt(float64(marks[2*a+1].bound*marks[2*a+1].bound)+float64(marks[2*a].bound*marks[2*a].bound)) + s.axis(a).ScaleUncertainty()*apart
		if s.axis(a).SlackMM == 0 {
			bound += slack
		}
		figures = append(figures, Figure{a.String() + " marks apart", apart - slack, bound, "mm"})
		return math.Floor((apart-slack)*10) / 10
	}
	area := s.profile.Area
	area.WidthMM, area.HeightMM = size(X), size(Y)
	width, height := area.WidthMM-2*area.MarginMM, area.HeightMM-2*area.MarginMM
	if !(width > 0 && height > 0) {
		return &Trouble{Text: fmt.Sprintf("between the marks there are %.1f by %.1f mm: less than twice the margin", area.WidthMM, area.HeightMM)}
	}
	area.StartMM = geom.Point{X: min(area.StartMM.X, width), Y: min(area.StartMM.Y, height)}
	s.profile.Area = area
	// Both axes came to the middle from below: on their upper flanks.
	at := s.middle().Add(geom.Point{X: s.profile.X.SlackMM / 2, Y: s.profile.Y.SlackMM / 2})
	if err := s.declare(ctx, at, s.profile.AreaBox()); err != nil {
		return err
	}
	s.found(Area, figures, "the area is %.1f by %.1f mm (± %.1f and %.1f), the page %.1f by %.1f mm",
		area.WidthMM, area.HeightMM, figures[0].Bound, figures[1].Bound, width, height)
	return nil
}

// mark is where the motor of an axis stands when the stylus is at a mark, and
// how far that may be off, in machine mm.
type mark struct{ at, bound float64 }

// glimpse is where a mark is by one distance that was told: how far along the
// way to it, and a standard deviation of that.
type glimpse struct{ way, sigma float64 }

// told is a distance to a mark and where the motor stood then, along the way.
type told struct{ way, left, sigma float64 }

// markOf is where a mark is, along the way, by all distances that were told:
// left = c - r × way, with a ratio r that is 1 as surely as the scale is known.
func (s *Session) markOf(edge Edge, all []told, way float64) (at, bound float64, err error) {
	rows := []row{{of: [2]float64{0, 1}, value: 1, sigma: scaleRow(s.axis(Axis(edge / 2))).sigma, item: known}}
	for i, t := range all {
		rows = append(rows, row{of: [2]float64{1, way - t.way}, value: t.left, sigma: t.sigma, item: i})
	}
	f := fit(2, rows)
	if ratio := f.unknown[1]; f.odd[0] {
		return 0, 0, &Trouble{From: Scale, Text: fmt.Sprintf("by the distances to the mark of the %s edge, lines along %s are %.2f times as long as the scale says: begin the scale again", edge, Axis(edge/2), ratio)}
	}
	return way + f.unknown[0], f.bound[0], nil
}

const (
	// slackRoomMM is more slack than a toy has: as much of a motion that turns
	// round may not show.
	slackRoomMM = 3.0
	// nearMM is from where on a mark is near enough to be taken from the ruler.
	nearMM = 3.0
	// The first motion by a distance that was told is short, and each may be
	// twice as long as the one before.
	firstStrideMM, longestStrideMM = 5.0, 40.0
	// mostDoubts is how often a distance is asked for again.
	mostDoubts = 4
	// Marks stand at least that far from where the stylus stops.
	shortStrideMM = 2.0
)

// approach brings the stylus to the mark of an edge, or near enough, and gives
// where the motor stands at the mark. The operator moves it by keys, or tells
// distances. It comes on the flank that points to the edge: what is told before
// slack was taken up counts little.
//
// Each distance must fit with the ones before and the motions between them: one
// that does not is asked for again. No motion goes farther than the smallest of
// the last three, so that a wrong one does not lead past the mark.
func (s *Session) approach(ctx context.Context, edge Edge) (mark, error) {
	a, towards := Axis(edge/2), 1.0
	if edge == Left || edge == Lower {
		towards = -1
	}
	way := func() float64 { return towards * along(s.at, a) }
	run := 0.0 // how far it went towards the edge since it last turned round
	press := func(ctx context.Context, mm float64) error {
		if err := s.shift(ctx, a, towards*mm); err != nil {
			return err
		}
		if mm > 0 {
			run = max(run, 0) + mm
		} else {
			run = 0
		}
		return nil
	}
	const most = 40
	const usual = "0 if it stands on it, below 0 if it is past it; it comes nearer bit by bit"
	more, stride, restarted := usual, firstStrideMM, false
	var seen []glimpse
	var all []told
	var doubted []float64 // ways that did not fit, the last ones
	for range most {
		left, there, err := s.operator.Approach(ctx, Question{
			Part: Area, Ask: fmt.Sprintf("how far is the stylus from the mark of the %s edge?", edge), More: more,
			Low: -30, High: 500, Unit: "mm", Look: Look{Kind: ToMark, Axis: a, Edge: edge},
		}, press)
		if err != nil {
			return mark{}, err
		}
		if there {
			if run >= slackRoomMM {
				return mark{along(s.at, a), boundSigmas * readingSigmaMM}, nil
			}
			more = fmt.Sprintf("come to it from inside: go back %g mm or more, then up to the mark again, so that slack is taken up", slackRoomMM)
			continue
		}
		more = usual
		// What the scale may be off by, and slack that is not taken up.
		unsure := max(0.02, s.axis(a).ScaleUncertainty()/boundSigmas)
		now := glimpse{way() + left, math.Sqrt(readingSigmaMM*readingSigmaMM + float64(unsure*left)*float64(unsure*left))}
		if run < slackRoomMM {
			now.sigma += slackRoomMM / tooSigmas
			all = append(all, told{way(), left, readingSigmaMM + slackRoomMM/tooSigmas})
		} else {
			all = append(all, told{way(), left, readingSigmaMM})
		}
		if len(seen) > 0 {
			before := middling(seen)
			if math.Abs(now.way-before.way) > tooSigmas*math.Sqrt(float64(now.sigma*now.sigma)+float64(before.sigma*before.sigma)) {
				same := 1
				for _, d := range doubted {
					if math.Abs(now.way-d) <= doubtMM {
						same++
					}
				}
				switch {
				case same > min(len(seen), mostTries-1) && !restarted:
					// Said again and again: what was said before was wrong. That is taken
					// once, and from a stride on that leads past no wall.
					restarted, stride, seen = true, shortStrideMM, nil
				case len(doubted) == mostDoubts:
					return mark{}, &Trouble{Text: fmt.Sprintf("%.1f mm to the mark of the %s edge do not fit with the %.1f mm that follow from what was said before: see that %s runs the right way, that its scale is right, that it has less than %g mm of slack, and that nothing slips", left, edge, before.way-way(), a, slackRoomMM)}
				default:
					doubted = append(doubted, now.way)
					more = fmt.Sprintf("it should be %.1f mm by now, from what was said before; measure once more, below 0 if it is past the mark", before.way-way())
					continue
				}
			}
		}
		doubted = nil
		seen = append(seen, now)
		close := slices.DeleteFunc(slices.Clone(seen), func(g glimpse) bool { return g.sigma > 2*readingSigmaMM })
		nearest := math.Inf(1)
		for _, g := range seen[max(0, len(seen)-3):] {
			nearest = min(nearest, g.way-way())
		}
		switch {
		case run >= slackRoomMM && nearest <= nearMM && len(close) > 1:
			at, bound, err := s.markOf(edge, all, way())
			return mark{towards * at, bound}, err
		case nearest <= nearMM && run < slackRoomMM:
			// Back, so that the mark is reached from inside.
			if err := press(ctx, nearest-nearMM-s.lead()); err != nil {
				return mark{}, err
			}
			seen = nil
			if err := press(ctx, s.lead()); err != nil {
				return mark{}, err
			}
		case nearest <= nearMM:
			more = "once more, since it counts: this is near enough to take the mark from"
		default:
			if err := press(ctx, min(0.75*nearest, stride)); err != nil {
				return mark{}, err
			}
			stride = min(2*stride, longestStrideMM)
		}
	}
	return mark{}, &Trouble{Text: fmt.Sprintf("the mark of the %s edge was not reached in %d answers: see that the motor does not slip", edge, most)}
}

// middling is the median of what was seen, with the standard deviation of that
// one: one wrong distance among three does not move it.
func middling(seen []glimpse) glimpse {
	in := slices.Clone(seen)
	// The surest ones, where there are several.
	slices.SortFunc(in, func(a, b glimpse) int {
		switch {
		case a.sigma < b.sigma:
			return -1
		case a.sigma > b.sigma:
			return 1
		}
		return 0
	})
	in = in[:min(len(in), 3)]
	slices.SortFunc(in, func(a, b glimpse) int {
		switch {
		case a.way < b.way:
			return -1
		case a.way > b.way:
			return 1
		}
		return 0
	})
	return in[len(in)/2]
}

// centre brings an axis to the middle between two marks, from below.
func (s *Session) centre(ctx context.Context, a Axis, near, far float64) error {
	// At the near mark the stylus rested on its lower flank; on the upper one
	// the motor is ahead by the slack.
	to := (near+far)/2 + s.axis(a).SlackMM/2
	v := along(s.at, 1-a)
	return s.follow(ctx, creepMMS, on(a, to-s.lead(), v), on(a, to, v))
}
