package link

import (
	"context"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// SlackUnknown reports whether it is not known where an axis stands in its
// slack, and how far the stylus may then be from where it is taken to stand, in
// mm along each axis.
func (l *Link) SlackUnknown() (mm geom.Point, unknown bool) {
	return l.position.slackUnknown()
}

func (p *position) slackUnknown() (mm geom.Point, unknown bool) {
	gap := p.flanks.gap()
	if gap.X == machine.UnknownGap {
		mm.X = float64(p.profile.X.SlackSteps()) * p.stepMM.X
	}
	if gap.Y == machine.UnknownGap {
		mm.Y = float64(p.profile.Y.SlackSteps()) * p.stepMM.Y
	}
	return mm, mm != geom.Point{}
}

// TakeUp moves the motors by a little more than the slack on each axis of which
// it is not known where it stands in it, inside the area: afterwards that is
// known. The stylus goes along by something between nothing and all of it, so
// the position is assumed, in the middle of that.
func (l *Link) TakeUp(ctx context.Context, op Operator) error {
	if mode := l.Mode(); mode != Connected && mode != Armed {
		return l.refused("take up its slack")
	}
	if err := l.position.known(); err != nil {
		return err
	}
	slack, unknown := l.SlackUnknown()
	if !unknown {
		return nil
	}
	if err := l.restate(ctx); err != nil {
		return err
	}
	if err := l.Doubt(); err != nil {
		return err
	}
	most := l.position.profile.AreaBox().Max
	x, highX := takeUp(l.position.rest.X, slack.X, l.position.stepMM.X, most.X)
	y, highY := takeUp(l.position.rest.Y, slack.Y, l.position.stepMM.Y, most.Y)
	items, err := l.position.through([]geom.Point{{X: x, Y: y}}, l.position.fastest())
	if err != nil {
		return err
	}
	if err := l.travel(ctx, items, op, false); err != nil {
		return err
	}
	known := l.position.flanks.gap()
	at := l.position.profile.AtSteps(l.position.profile.NearestStep(l.position.rest.Sub(geom.Point{X: highX, Y: highY})))
	if l.position.gate.Declare(at.X, at.Y) != nil {
		l.lose("the motors stand at the edge of the area")
		return l.keep(still)
	}
	l.position.stand()
	l.position.flanks.rest(known)
	if err := l.state(ctx); err != nil {
		return err
	}
	return l.keep(still)
}

// takeUp is where a motor goes to take up its slack, away from an edge that is
// near, and by how much its count is too high afterwards, on average.
func takeUp(at, slack, step, most float64) (to, high float64) {
	way := slack + 2*step
	switch {
	case slack == 0:
		return at, 0
	case at+way > most:
		way = -way
	}
	// Where it was not known it counted as if nothing of it was left; so on either
	// flank the stylus is taken to be half of it farther right and up than it is
	// on average.
	return at + way, slack / 2
}
