package gcode

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// stylus turns a path of the motors into the path of the stylus behind slack
// and skew. It is written from the model of the machine, not from the
// compensation, so that the one can be held against the other.
type stylus struct {
	slack        geom.Point // mm, whole width
	motor        geom.Point // machine mm
	axes         geom.Point // where the far ends of the axes stand
	cosine, sine float64    // of the angle from the x axis to the y axis
}

// newStylus begins with the stylus at a place and each axis somewhere in its
// slack. Without compensation the file's coordinates are the stylus' own.
func newStylus(p *machine.Profile, compensated bool, at geom.Point, gap machine.Gap) stylus {
	s := stylus{axes: at, cosine: 0, sine: 1}
	if compensated {
		s.slack = geom.Point{X: p.X.SlackMM, Y: p.Y.SlackMM}
		if p.Frame.SquarenessDeg != 90 {
			s.sine, s.cosine = elementary.SinCosDegrees(p.Frame.SquarenessDeg)
			s.axes.Y = at.Y / s.sine
			s.axes.X = at.X - float64(s.axes.Y*s.cosine)
		}
	}
	s.axes = p.AtSteps(p.NearestStep(s.axes))
	s.motor = geom.Point{
		X: s.axes.X + ahead(s.slack.X, gap.X, p.X.SlackSteps()),
		Y: s.axes.Y + ahead(s.slack.Y, gap.Y, p.Y.SlackSteps()),
	}
	return s
}

// ahead is how far, in mm, a motor stands ahead of the middle of its slack when
// so many of its steps are left to the flank of larger coordinates.
func ahead(slack float64, left int32, steps int) float64 {
	if steps == 0 {
		return slack / 2
	}
	return float64(slack * (0.5 - float64(max(left, 0))/float64(steps)))
}

// at is where the stylus is, in machine mm.
func (s *stylus) at() geom.Point {
	return geom.Point{X: s.axes.X + float64(s.axes.Y*s.cosine), Y: float64(s.axes.Y * s.sine)}
}

// play is what an axis does when its motor goes to u: the far end stays where
// it is until the gap of half the slack on either side is used up, then
// follows (play operator; Krasnosel'skii & Pokrovskii, Systems with
// Hysteresis, 1989; from memory).
func play(u, w, slack float64) float64 {
	gap := float64(slack / 2)
	return max(u-gap, min(u+gap, w))
}

// move passes on the way of the stylus while the motors go straight to a
// place: up to three pieces, since each axis may start to follow on the way.
func (s *stylus) move(to geom.Point, point func(geom.Point)) {
	if s.slack == (geom.Point{}) && s.cosine == 0 && s.sine == 1 {
		s.motor, s.axes = to, to
		point(to)
		return
	}
	followed := s.behind(to)
	if followed.X != s.axes.X && followed.Y != s.axes.Y {
		// Otherwise the stylus stays, or goes straight along one axis.
		from := s.motor
		travel := to.Sub(from)
		startX := followsAt(from.X, travel.X, s.axes.X, s.slack.X)
		startY := followsAt(from.Y, travel.Y, s.axes.Y, s.slack.Y)
		for _, t := range [...]float64{min(startX, startY), max(startX, startY)} {
			if at := s.behind(from.Add(travel.Times(t))); t < 1 && at != s.axes {
				s.axes = at
				point(s.at())
			}
		}
	}
	if followed != s.axes {
		s.axes = followed
		point(s.at())
	}
	s.motor = to
}

// behind is where the far ends of the axes stand once their motors have gone
// straight to a place.
func (s *stylus) behind(motor geom.Point) geom.Point {
	return geom.Point{X: play(motor.X, s.axes.X, s.slack.X), Y: play(motor.Y, s.axes.Y, s.slack.Y)}
}

// followsAt is the part of a motor's way, from 0 to 1, at which the far end
// begins to follow; beyond 1 if it does not.
func followsAt(motor, travel, end, slack float64) float64 {
	switch {
	case travel > 0:
		return max(0, (end+float64(slack/2)-motor)/travel)
	case travel < 0:
		return max(0, (end-float64(slack/2)-motor)/travel)
	}
	return math.Inf(1)
}
