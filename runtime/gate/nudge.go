package gate

import "math"

// The bounds of a nudge: what may move while nobody knows where the stylus is,
// so that an operator can bring it to a known place.
const (
	NudgeMM      = 0.5 // longest
	NudgeMMS     = 5.0 // fastest
	NudgeTotalMM = 30  // in all, before the operator is asked again
)

// Nudge makes one short, slow motion along the axes while the position is
// lost. The caller has seen a key pressed for this one. The next nudge waits
// until Arrived says that this one is over.
func (g *Gate) Nudge(dx, dy float64) (Item, error) {
	length := distance(point{}, point{dx, dy})
	const rounding = 1e-9
	whole := func(mm, steps float64) float64 { return math.Trunc(float64(mm*steps)+math.Copysign(1e-6, mm)) / steps }
	switch {
	case !g.lost:
		return Item{}, refuse("nudge", "the position is known; jog instead")
	case !(length > 0) || length > NudgeMM+rounding:
		return Item{}, refuse("nudge", "it is at most %g mm", NudgeMM)
	case g.nudgeRunning:
		return Item{}, refuse("nudge", "the one before is still on its way")
	case g.nudged+length > NudgeTotalMM+rounding:
		return Item{}, refuse("nudge", "%d mm were nudged in all; look at the stylus and say so before going on", NudgeTotalMM)
	}
	from := g.at
	// As many whole steps as are not longer than what was asked for.
	to := g.nearest(point{from.x + whole(dx, g.limits.StepsPerMM[0]), from.y + whole(dy, g.limits.StepsPerMM[1])})
	if to == from {
		return Item{}, refuse("nudge", "it is shorter than a step")
	}
	g.at, g.want = to, to
	g.nudged += distance(from, to)
	g.nudgeRunning = true
	return g.lineTo(from, to, min(60*NudgeMMS, g.fastest(from, to))), nil
}

// Arrived says that the stylus stands still.
func (g *Gate) Arrived() { g.nudgeRunning = false }

// AskedAgain says that the operator looked and wants to go on nudging.
func (g *Gate) AskedAgain() { g.nudged = 0 }
