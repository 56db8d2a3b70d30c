package link

import (
	"math"
	"slices"

	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Stretch is the line of a drawing that did not come to its end, as far as a
// record knows it, in page mm.
type Stretch struct {
	// Drawn is what surely is drawn, from the beginning on.
	Drawn []geom.Point
	// Possible is what may be drawn, from the end of Drawn on: the stylus stands
	// somewhere on it.
	Possible []geom.Point
	// Within, where a line was refused, is an outline, closed: the stylus stands in
	// it, on Possible or beside it on a straight way past what is missing. Otherwise
	// nil.
	Within []geom.Point

	start   Place // of the motors
	drawnMM float64
	before  []geom.Point // ends of the moves that surely are drawn, machine mm
	points  []geom.Point // of those that may have been, from the last sure one on
}

// StretchOf follows a record along the instructions that it is about.
func StretchOf(p *machine.Profile, r *Record, text string) (*Stretch, error) {
	differs := &diag.Fault{Code: "resume-differs", Args: diag.Args{"name": r.Name}}
	if r.Text != TextFingerprint(text) || r.Profile != Fingerprint(p) {
		return nil, differs
	}
	g, err := gate.New(gate.LimitsOf(p))
	if err != nil {
		return nil, err
	}
	last := p.AtSteps(r.Start.Steps)
	if err := g.Declare(last.X, last.Y); err != nil {
		return nil, err
	}
	read := &reader{text: text, gate: g}
	s := &Stretch{start: r.Start, Drawn: []geom.Point{StylusAt(p, r.Start.Steps, r.Start.Gap)}}
	f := newFlanks(p)
	f.rest(r.Start.Gap)
	for read.moves < r.MaySend {
		e, more, err := read.next()
		if err != nil || !more {
			return nil, differs
		}
		if e.Kind != gate.Move && e.Kind != gate.Dwell {
			continue
		}
		if e.index > r.Drawn && len(s.points) == 0 {
			s.mayStandFrom(last)
		}
		if e.Kind == gate.Move {
			to := geom.Point{X: e.X, Y: e.Y}
			f.move(wholeSteps(p, to.Sub(last)))
			last = to
		}
		stylus := StylusAt(p, p.NearestStep(last), f.gap())
		if e.index <= r.Drawn {
			s.before, s.Drawn = append(s.before, last), append(s.Drawn, stylus)
		} else {
			s.points, s.Possible = append(s.points, last), append(s.Possible, stylus)
		}
	}
	if len(s.points) == 0 {
		s.mayStandFrom(last)
	}
	s.drawnMM = geom.Length(s.Drawn)
	if r.Beside() {
		corners := slices.Clone(s.Possible)
		if len(r.Back) > 0 {
			corners = append(corners, StylusAt(p, r.At.Steps, r.At.Gap))
		}
		s.Within = geom.Hull(corners)
	}
	return s, nil
}

func (s *Stretch) mayStandFrom(motors geom.Point) {
	s.points, s.Possible = append(s.points, motors), append(s.Possible, s.Drawn[len(s.Drawn)-1])
}

// Pass is where the line passes near a place at which somebody saw the stylus.
type Pass struct {
	At      geom.Point // on the line, page mm
	OffMM   float64    // from there to the place
	AlongMM float64    // from the beginning of the line
	Way     geom.Point // where the line goes from there

	move   int        // on which it is, counted from the first that may be drawn
	motors geom.Point // machine mm
}

// passesApartMM is within which, along the line, two passes are one: what goes
// on from the one or the other looks the same.
const passesApartMM = 0.3

// Near lists the passes of the possible line within some mm of a place of the
// page, the nearest first among those that are one.
func (s *Stretch) Near(page geom.Point, within float64) []Pass {
	var all []Pass
	add := func(p Pass) {
		if p.OffMM > within {
			return
		}
		if n := len(all); n > 0 && p.AlongMM-all[n-1].AlongMM < passesApartMM {
			if p.OffMM < all[n-1].OffMM {
				all[n-1] = p
			}
			return
		}
		all = append(all, p)
	}
	along := s.drawnMM
	var feet []Pass
	for i := range s.Possible {
		a, b, to := s.Possible[i], s.Possible[i], s.points[i]
		if i+1 < len(s.Possible) {
			b, to = s.Possible[i+1], s.points[i+1]
		}
		ab := b.Sub(a)
		t := 0.0
		if square := ab.Dot(ab); square > 0 {
			t = max(0, min(1, page.Sub(a).Dot(ab)/square))
		}
		on := a.Add(ab.Times(t))
		foot := Pass{At: on, OffMM: page.Distance(on), AlongMM: along + float64(t*ab.Length()), Way: ab, move: i, motors: s.points[i].Mix(to, t)}
		if t == 1 {
			foot.move = i + 1
		}
		feet = append(feet, foot)
		along += ab.Length()
	}
	for k, foot := range feet {
		if (k == 0 || foot.OffMM <= feet[k-1].OffMM) && (k == len(feet)-1 || foot.OffMM <= feet[k+1].OffMM) {
			add(foot)
		}
	}
	return all
}

// hidden is how far the motors may have turned within their slack, in mm, where an
// eye sees the stylus stand at one place: by so much what is drawn from there on
// may be off.
func (s *Stretch) hidden(pass Pass) float64 {
	const oneMM = 0.1 // a stylus that has gone no farther has not moved, to an eye
	lead := pass.motors.Sub(pass.At)
	most := 0.0
	for i, at := range s.Possible {
		if at.Distance(pass.At) <= oneMM {
			most = max(most, s.points[i].Sub(at).Distance(lead))
		}
	}
	return most
}

// Nearest is the pass that is nearest to the place that was said.
func Nearest(passes []Pass) Pass {
	best := passes[0]
	for _, p := range passes[1:] {
		if p.OffMM < best.OffMM {
			best = p
		}
	}
	return best
}

// find gives the move on which the motors are, counted from the first that is
// not sure to be drawn, and the place on it; -1 if they are on none.
func (s *Stretch) find(at geom.Point, within float64) (int, geom.Point) {
	best, on, least := -1, geom.Point{}, math.Inf(1)
	if d := at.Distance(s.points[0]); d <= within {
		best, on, least = 0, s.points[0], d
	}
	for i := 1; i < len(s.points); i++ {
		a, b := s.points[i-1], s.points[i]
		ab := b.Sub(a)
		t := 0.0
		if square := ab.Dot(ab); square > 0 {
			t = max(0, min(1, at.Sub(a).Dot(ab)/square))
		}
		p := a.Add(ab.Times(t))
		if d := at.Distance(p); d <= within && d < least {
			best, on, least = i-1, p, d
			if t == 1 {
				best = i
			}
		}
	}
	return best, on
}

// gap follows the slack from the start to a place on the line.
func (s *Stretch) gap(p *machine.Profile, j int, on geom.Point) machine.Gap {
	f := newFlanks(p)
	f.rest(s.start.Gap)
	last := p.AtSteps(s.start.Steps)
	to := func(at geom.Point) {
		f.move(wholeSteps(p, at.Sub(last)))
		last = at
	}
	for _, at := range s.before {
		to(at)
	}
	for _, at := range s.points[:j+1] {
		to(at)
	}
	to(on)
	return f.gap()
}

func wholeSteps(p *machine.Profile, mm geom.Point) [2]float64 {
	scale := p.StepsPerMM()
	return [2]float64{math.Round(mm.X * scale.X), math.Round(mm.Y * scale.Y)}
}
