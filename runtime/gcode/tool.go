package gcode

import (
	"maps"
	"slices"

	"wend/runtime/geom"
)

// How files lift their tool, or stop what it does, is common practice, no
// source. There are three kinds: material that is fed (E), a height (Z), and a
// tool that is switched: on and off (M3, M4, M5, S0), or between two values of
// S, as a servo that lifts a pen.

// tool is what a reader keeps of the tool.
type tool struct {
	z, zFrom  float64 // mm, after the line and before
	zSaid     bool
	spins     bool // the tool is on
	power     float64
	powerSaid bool
	atRest    bool // the power changed last on a line without motion
	closed    bool // after the last motion the file lifted its tool, or put it away
}

// Lift is what is said of the tool during a motion. What it means for the line
// is known only when the whole file is: see travels.
type Lift struct {
	// Z is the height, in mm: of a rapid motion the higher one of both ends, of
	// any other the lower one.
	Z     float64
	ZSaid bool
	Feeds bool // material: an E stands on the line
	Rapid bool
	// Power is S while the tool is on, 0 while it is off, and unsaidPower where
	// it is on and no S was said.
	Power  float64
	AtRest bool // it changed to that without a motion
}

const unsaidPower = -1

func (t *tool) level() float64 {
	switch {
	case !t.spins, t.powerSaid && t.power <= 0:
		return 0
	case !t.powerSaid:
		return unsaidPower
	}
	return t.power
}

// tools follows what a line says of the tool, and of home.
func (r *reader) tools(b *block) {
	r.zFrom = r.z
	if b.leftOut('Z') {
		r.height(b)
	}
	before := r.level()
	if b.leftOut('S') && b.g[groupOnce] != 40 {
		r.power, r.powerSaid = b.number('S'), true
	}
	switch b.m[groupSpindle] {
	case 3, 4:
		r.spins = true
	case 5:
		r.spins = false
	}
	if after := r.level(); after != before {
		r.atRest = !b.moves()
		r.closed = r.closed || after == 0
	}
	if code := b.g[groupOnce]; code == 280 || code == 300 {
		r.home(b, map[int16]string{280: "G28", 300: "G30"}[code])
	}
}

// height follows Z. What is above the paper and what below is seen from all of
// the file.
func (r *reader) height(b *block) {
	z := float64(b.number('Z') * r.unit)
	switch b.g[groupOnce] {
	case 280, 300, 530:
		r.zSaid = false // some height of the other machine
		r.closed = true
		return
	case -1:
		if !r.absolute {
			z += r.z
		}
	}
	if !r.zSaid {
		r.zFrom = z
	}
	r.closed = r.closed || z > r.z
	r.z, r.zSaid = z, true
}

func (r *reader) lift(b *block) Lift {
	z := min(r.z, r.zFrom)
	if r.moving == rapid {
		z = max(r.z, r.zFrom)
	}
	return Lift{Z: z, ZSaid: r.zSaid, Feeds: b.leftOut('E'), Rapid: r.moving == rapid, Power: r.level(), AtRest: r.atRest}
}

// stretch is one motion of a file with what is said of the tool on it.
type stretch struct {
	first      int // index of the point at which it begins
	start, end int // of its line in the text
	lift       Lift
	loose      bool // where it begins hangs on where the stylus stood before the file
}

// travels reports which motions lead from one part to the next with the tool
// lifted, or switched off. Where material is fed, those are the motions without;
// where there are heights, those that are higher: above 0 where some are not, or
// else above the middle of the highest and the lowest, and rapid ones before a
// height is said; where a tool is switched,
// see switched. A file that says none of it, or the same all along, has none.
// power is what the tool is left with.
func travels(all []stretch, power float64) func(Lift) bool {
	feeds, lowest, highest := false, 0.0, 0.0
	first := true
	for i := range all {
		l := &all[i].lift
		feeds = feeds || l.Feeds
		switch {
		case !l.ZSaid:
		case first:
			lowest, highest, first = l.Z, l.Z, false
		default:
			lowest, highest = min(lowest, l.Z), max(highest, l.Z)
		}
	}
	switch {
	case feeds:
		return func(l Lift) bool { return !l.Feeds }
	case highest > lowest+geom.SamePoint:
		limit := (lowest + highest) / 2
		if lowest <= 0 && highest > 0 {
			limit = 0
		}
		return func(l Lift) bool {
			if !l.ZSaid {
				return l.Rapid
			}
			return l.Z > limit+geom.SamePoint
		}
	}
	return switched(all, power)
}

// uses are the kinds of motion that a file makes with one power.
type uses struct{ rapid, drawn bool }

// switched reports which motions are made with the tool off, or lifted by a
// value of S. Rapid motions lead from one part to the next, so a power under
// which all are rapid lifts, if there is another; then what draws may be the tool
// that is off. Where the power does not say it, as of a beam that goes out by
// itself, rapid motions are travel. And where all are alike, of two powers in
// turn between which the stylus rests, that of the way to the first part lifts.
func switched(all []stretch, power float64) func(Lift) bool {
	on := func(s stretch) bool { return s.lift.Power != 0 }
	from := slices.IndexFunc(all, on)
	if from < 0 {
		return func(Lift) bool { return false }
	}
	to := len(all)
	for !on(all[to-1]) {
		to--
	}
	// Before it is first on and after it is last on, it only comes and goes.
	made := map[float64]uses{}
	changes, rests := 0, true
	for i, s := range all[from:to] {
		u := made[s.lift.Power]
		u.rapid, u.drawn = u.rapid || s.lift.Rapid, u.drawn || !s.lift.Rapid
		made[s.lift.Power] = u
		if i > 0 && all[from+i-1].lift.Power != s.lift.Power {
			changes++
			rests = rests && s.lift.AtRest
		}
	}
	if _, again := made[power]; again && power != all[to-1].lift.Power {
		changes++
	}
	rapids, draws := false, false
	for _, u := range made {
		rapids, draws = rapids || u.rapid, draws || u.drawn
	}
	lifts := map[float64]bool{}
	for level, u := range made {
		if draws && !u.drawn && level != 0 {
			lifts[level] = true
		}
	}
	off, offMade := made[0]
	byPower := offMade || len(lifts) > 0
	lifts[0] = !offMade || off.rapid || len(lifts) == 0
	switch {
	case byPower:
	case rapids && draws:
		return func(l Lift) bool { return l.Power == 0 || l.Rapid }
	case len(made) == 2 && changes > 1 && rests:
		levels := slices.Sorted(maps.Keys(made))
		if (all[from].lift.Power == levels[0]) == (from == 0) {
			lifts[levels[0]] = true
		} else {
			lifts[levels[1]] = true
		}
	}
	return func(l Lift) bool { return lifts[l.Power] }
}
