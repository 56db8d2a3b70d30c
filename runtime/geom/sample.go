package geom

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"wend/runtime/geom/interval"
)

// JumpError reports that a curve by formula jumps: however short the piece of
// its parameter, its two ends are farther apart than the tolerance.
type JumpError struct {
	T0, T1   float64 // the jump lies between these values of the parameter
	From, To Point   // the curve there
}

// Width is how far the curve jumps, in mm.
func (e *JumpError) Width() float64 { return e.From.Distance(e.To) }

func (e *JumpError) Error() string {
	return fmt.Sprintf("the curve jumps by %.4g mm at %.10g", e.Width(), e.T0)
}

// UndefinedError reports that a curve by formula has a place with no value, such
// as a pole, or too many of which it is not known, between two that have one.
type UndefinedError struct {
	T0, T1 float64 // the place lies between these values of the parameter
}

func (e *UndefinedError) Error() string {
	return fmt.Sprintf("the curve has no value near %.10g", e.T0)
}

// Bound gives what is known of x and y over t0..t1 (t0 < t1), and whether
// anything is.
type Bound func(t0, t1 float64) (x, y interval.Jet, ok bool)

// SampleProven flattens the curve eval(t) for t from a to b, a and b included,
// to pieces of which bound proves that they stay within tolerance mm of the
// curve; b may lie below a. The first point returned is eval(a).
//
// Pieces are taken one after another, each about as long as the proof allows,
// so that few more points are used than any flattening needs. Where neither
// derivative is bounded, the range of the values alone must fit the tolerance.
//
// Errors are those of eval, and *TooManyPointsError, *JumpError and *UndefinedError.
func SampleProven(eval func(t float64) (Point, error), bound Bound, a, b, tolerance float64, maxPoints int) ([]Point, error) {
	deviation := func(t0, t1 float64, p0, p1 Point) (float64, error) {
		x, y, ok := bound(min(t0, t1), max(t0, t1))
		if !ok || x.Partial || y.Partial {
			return math.Inf(1), nil
		}
		return provenDeviation(x, y, t1-t0, p1.Sub(p0)), nil
	}
	outlook := func(t0, step float64) float64 { return pointsAhead(eval, deviation, t0, b, step, tolerance) }
	return sample(eval, deviation, outlook, a, b, math.Abs(b-a), tolerance, maxPoints)
}

// A curve that takes this many points is looked at ahead, in so many places, and
// is not followed any further if it would come to so many times the points allowed.
const (
	outlookAfter  = 1 << 16
	outlookPlaces = 64
	outlookBeyond = 4
)

// pointsAhead judges how many points a curve from t0 to b takes, by how long
// pieces may be in the middle one of many places strewn over it: so neither a
// place with none nor one with very short pieces decides.
func pointsAhead(eval func(t float64) (Point, error), deviation func(t0, t1 float64, p0, p1 Point) (float64, error), t0, b, step, tolerance float64) float64 {
	const longest = 64 // pieces in the place that was reached are so much shorter at most
	left := math.Abs(b - t0)
	pieceAt := func(from float64) float64 {
		begin, err := eval(from)
		for length := min(longest*step, math.Abs(b-from)); err == nil; {
			to := from + math.Copysign(length, b-t0)
			end, fault := eval(to)
			away, unknown := deviation(from, to, begin, end)
			if err = errors.Join(fault, unknown); err == nil && (away <= tolerance || length <= float64(left*finestPiece)) {
				return length
			}
			length = float64(length * shorter(tolerance, away))
		}
		return left // no say
	}
	var lengths [outlookPlaces]float64
	for i := range lengths {
		place := (float64(i) + math.Mod(float64(i)*math.Phi, 1)) / outlookPlaces
		lengths[i] = pieceAt(t0 + float64((b-t0)*place))
	}
	slices.Sort(lengths[:])
	return left / lengths[outlookPlaces/2]
}

// provenDeviation bounds how far a piece of curve leaves its chord. The piece
// spans h of its parameter (negative when that runs downward).
//
// A function with |second derivative| <= M lies within M h²/8 of its chord;
// one with all slopes in a range of width W within W h/4; any within the width
// of its range. Distance point by point, both axes together, holds always.
// Where the curve never turns back along its chord, only the part across the
// chord counts. Where it turns back along neither axis, it stays in the
// rectangle over the chord, however steep it is.
func provenDeviation(x, y interval.Jet, h float64, chord Point) float64 {
	best := hypotenuse(axisDeviation(x, h), axisDeviation(y, h))
	length := chord.Length()
	if length == 0 {
		return best
	}
	if monotone(x.D1) && monotone(y.D1) {
		best = min(best, math.Abs(float64(chord.X*chord.Y))/length)
	}
	ux, uy := interval.Of(chord.X/length), interval.Of(chord.Y/length)
	progress := x.D1.Mul(ux).Add(y.D1.Mul(uy))
	if h < 0 {
		progress = progress.Neg()
	}
	if progress.Lo >= 0 {
		slope := y.D1.Mul(ux).Sub(x.D1.Mul(uy))
		bend := y.D2.Mul(ux).Sub(x.D2.Mul(uy))
		best = min(best, byDerivatives(slope, bend, h))
	}
	return best
}

func axisDeviation(f interval.Jet, h float64) float64 {
	return min(f.V.Width(), byDerivatives(f.D1, f.D2, h))
}

func byDerivatives(slope, bend interval.Interval, h float64) float64 {
	h = math.Abs(h)
	return min(float64(slope.Width()*h)/4, float64(float64(bend.Largest()*h)*h)/8)
}

func monotone(slope interval.Interval) bool { return slope.Lo >= 0 || slope.Hi <= 0 }

func hypotenuse(a, b float64) float64 { return math.Sqrt(float64(a*a) + float64(b*b)) }

// ruleStarts is the number of pieces that SampleByRule begins with at least.
const ruleStarts = 64

// ruleGap is the share of a piece's travel that may lie in one quarter of it.
const ruleGap = 0.8

// Surprise is a place where a curve sampled by rule was found to be off a
// piece that the rule had taken for good.
type Surprise struct {
	T      float64 // the parameter there
	AwayMM float64
}

// probes are where a piece that the rule takes is looked at once more, as
// shares of it: far from its quarters and unlike them.
var probes = [2]float64{math.Phi - 1.5, 2.5 - math.Phi}

// SampleByRule flattens the curve eval(t) for t from a to b like SampleProven,
// for formulas of which nothing but values is known. It proves nothing; the
// rule is this. No piece spans more than 1/64 of the interval. A piece is
// taken when the curve at 1/4, 1/2 and 3/4 of it is within tolerance mm of its
// chord, and either its four quarters are within tolerance mm each or none of
// them makes up more than 4/5 of the way; otherwise a shorter one is tried.
// What is to be taken is looked at in two more places, and is not taken if the
// curve is off there either; the largest such surprise is returned, since
// where one detail was nearly missed, others may have been.
//
// Errors are those of eval, and *TooManyPointsError and *JumpError.
func SampleByRule(eval func(t float64) (Point, error), a, b, tolerance float64, maxPoints int) ([]Point, Surprise, error) {
	var surprise, ahead Surprise
	deviation := func(t0, t1 float64, p0, p1 Point) (float64, error) {
		return ruleDeviation(eval, t0, t1, p0, p1, tolerance, &surprise)
	}
	outlook := func(t0, step float64) float64 {
		return pointsAhead(eval, func(t0, t1 float64, p0, p1 Point) (float64, error) {
			return ruleDeviation(eval, t0, t1, p0, p1, tolerance, &ahead)
		}, t0, b, step, tolerance)
	}
	points, err := sample(eval, deviation, outlook, a, b, math.Abs(b-a)/ruleStarts, tolerance, maxPoints)
	return points, surprise, err
}

// ruleDeviation judges a piece by the rule, and keeps the largest surprise.
func ruleDeviation(eval func(t float64) (Point, error), t0, t1 float64, p0, p1 Point, tolerance float64, surprise *Surprise) (float64, error) {
	worst, way, longest := 0.0, 0.0, 0.0
	last := p0
	for i := 1; i <= 4; i++ {
		q := p1
		if i < 4 {
			var err error
			if q, err = eval(t0 + float64((t1-t0)*(float64(i)/4))); err != nil {
				return 0, err
			}
			worst = max(worst, SegmentDistance(p0, p1, q))
		}
		quarter := last.Distance(q)
		way += quarter
		longest = max(longest, quarter)
		last = q
	}
	if longest > tolerance && longest > float64(ruleGap*way) {
		return max(worst, longest), nil
	}
	if worst > tolerance {
		return worst, nil
	}
	for _, share := range probes {
		t := t0 + float64((t1-t0)*share)
		q, err := eval(t)
		if err != nil {
			return 0, err
		}
		away := SegmentDistance(p0, p1, q)
		if away > max(tolerance, surprise.AwayMM) {
			*surprise = Surprise{t, away}
		}
		worst = max(worst, away)
	}
	return worst, nil
}

// unprovenPieces is how many pieces of the finest kind may stand without a
// proof, such as at the ends of a half circle sqrt(1 - t^2), where rounding
// lets the range of the radicand reach below 0. Each is no longer than the tolerance.
const unprovenPieces = 4096

// finestPiece is the shortest piece tried, as a share of the interval: about
// what separates neighbouring parameter values after a few operations.
const finestPiece = 0x1p-44

// sample walks from a to b by pieces whose deviation is within tolerance, each
// about as long as possible and no wider than widest. outlook judges how many points
// are still to come.
func sample(eval func(float64) (Point, error), deviation func(t0, t1 float64, p0, p1 Point) (float64, error), outlook func(t0, step float64) float64, a, b, widest, tolerance float64, maxPoints int) ([]Point, error) {
	p0, err := eval(a)
	if err != nil {
		return nil, err
	}
	points := []Point{p0}
	finest := float64(math.Abs(b-a) * finestPiece)
	step, unproven := widest, 0
	for t0 := a; t0 != b; {
		step = evenStep(min(step, widest), math.Abs(b-t0))
		t1 := t0 + math.Copysign(step, b-t0)
		switch {
		case step == math.Abs(b-t0):
			t1 = b
		case t1 == t0:
			t1 = math.Nextafter(t0, b)
		}
		p1, err := eval(t1)
		if err != nil {
			return nil, err
		}
		away, err := deviation(t0, t1, p0, p1)
		if err != nil {
			return nil, err
		}
		next := float64(step * longer(tolerance, away))
		if !(away <= tolerance) {
			if step > finest {
				step = float64(step * shorter(tolerance, away))
				continue
			}
			if err := finestVerdict(t0, t1, p0, p1, away, tolerance); err != nil {
				return nil, err
			}
			if unproven++; unproven > unprovenPieces {
				return nil, &UndefinedError{T0: t0, T1: t1}
			}
			next = widest
		}
		if len(points) >= maxPoints {
			needed := float64(float64(len(points)) * math.Abs((b-a)/(t0-a)))
			return nil, &TooManyPointsError{Limit: maxPoints, Needed: needed}
		}
		points = append(points, p1)
		t0, p0, step = t1, p1, next
		if len(points) == outlookAfter {
			if needed := outlook(t0, step); needed > outlookBeyond*float64(maxPoints) {
				return nil, &TooManyPointsError{Limit: maxPoints, Needed: needed}
			}
		}
	}
	return points, nil
}

// finestVerdict judges a piece that cannot be divided further and is not known
// to keep the tolerance. It may stand when its ends are that close.
func finestVerdict(t0, t1 float64, p0, p1 Point, away, tolerance float64) error {
	switch {
	case p0.Distance(p1) <= tolerance:
		return nil
	case math.IsInf(away, 1):
		return &UndefinedError{T0: t0, T1: t1}
	}
	return &JumpError{T0: t0, T1: t1, From: p0, To: p1}
}
