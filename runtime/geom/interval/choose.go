package interval

// Conditions are jets too: 1 where they hold, 0 where they do not, and the
// range of both where neither is sure.
var (
	holds     = Jet{V: Of(1)}
	fails     = Jet{}
	undecided = Jet{V: Interval{0, 1}, D1: Entire(), D2: Entire()}
)

// Less is whether f < g.
func (f Jet) Less(g Jet) Jet {
	switch {
	case f.Partial || g.Partial:
		return undecided
	case f.V.Hi < g.V.Lo:
		return holds
	case f.V.Lo >= g.V.Hi:
		return fails
	}
	return undecided
}

// Equal is whether f = g.
func (f Jet) Equal(g Jet) Jet {
	switch {
	case f.Partial || g.Partial:
		return undecided
	case f.V.IsPoint() && f.V == g.V:
		return holds
	case f.V.Hi < g.V.Lo || g.V.Hi < f.V.Lo:
		return fails
	}
	return undecided
}

// Not is whether the condition f does not hold.
func (f Jet) Not() Jet { return Jet{Of(1).Sub(f.V), f.D1, f.D2, f.Partial} }

// Choose is g where the condition f holds and h elsewhere. Where f is not
// decided it may be either, and may jump from one to the other.
func (f Jet) Choose(g, h Jet) Jet {
	switch {
	case f.V.Lo > 0:
		return g
	case f.V.Hi <= 0:
		return h
	case g == h:
		return g
	}
	return Jet{V: g.V.Hull(h.V), D1: Entire(), D2: Entire(), Partial: g.Partial || h.Partial}
}
