package link

import (
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// model is how a board drives a chain of straight moves: each a trapezoid,
// from rest to rest, with corner speeds from the corner deviation. It tells
// how long what was sent will keep the motors busy.
type model struct {
	acceleration geom.Point // mm/s²
	cornerMM     float64
}

func newModel(p *machine.Profile) model {
	return model{
		acceleration: geom.Point{X: p.X.MaxAccelerationMMS2, Y: p.Y.MaxAccelerationMMS2},
		cornerMM:     p.Drawing.CornerDeviationMM,
	}
}

// stretch is a move as the model sees it.
type stretch struct {
	length, speed float64 // mm, mm/s
	direction     geom.Point
	acceleration  float64 // mm/s²
	corner        float64 // v² that the corner before it allows
	wait          float64 // seconds at rest, instead of a way
}

// stretch makes the model's view of a move; before is the direction of the
// move it follows, or (0, 0).
func (m *model) stretch(from, to geom.Point, speed float64, before geom.Point) stretch {
	travel := to.Sub(from)
	length := travel.Length()
	if length == 0 {
		return stretch{direction: before, acceleration: m.acceleration.X, speed: speed}
	}
	s := stretch{length: length, speed: speed, direction: travel.Times(1 / length)}
	s.acceleration = m.along(s.direction)
	if before != (geom.Point{}) {
		s.corner = m.cornerSpeedSquared(before, s.direction)
	}
	return s
}

// along is the acceleration that both axes allow in a direction.
func (m *model) along(d geom.Point) float64 {
	return min(m.acceleration.X/math.Abs(d.X), m.acceleration.Y/math.Abs(d.Y))
}

// cornerSpeedSquared: an arc that touches both legs and passes the corner at a
// distance d has the radius d s/(1-s), with s the sine of half the angle
// between the legs; on it the acceleration is v²/r, towards where the change of
// direction points.
func (m *model) cornerSpeedSquared(in, out geom.Point) float64 {
	half := math.Sqrt(max(0, (1+in.Dot(out))/2))
	turn := out.Sub(in)
	length := turn.Length()
	if half > 1-1e-9 || length == 0 {
		return math.Inf(1)
	}
	return m.along(turn.Times(1/length)) * m.cornerMM * half / (1 - half)
}

// seconds is how long a chain takes that begins at a speed and ends at rest.
// scratch holds v² between moves.
func (m *model) seconds(chain []stretch, speed float64, scratch []float64) (float64, []float64) {
	n := len(chain)
	scratch = append(scratch[:0], make([]float64, n+1)...)
	for i := n - 1; i > 0; i-- {
		slower := min(chain[i-1].speed, chain[i].speed)
		scratch[i] = min(chain[i].corner, slower*slower, scratch[i+1]+2*chain[i].acceleration*chain[i].length)
	}
	total, entry := 0.0, speed*speed
	for i := range chain {
		s := &chain[i]
		if s.length == 0 {
			total += s.wait
			continue
		}
		gain := 2 * s.acceleration * s.length
		exit := min(scratch[i+1], entry+gain)
		entry = min(entry, exit+gain)
		v := max(s.speed, math.Sqrt(entry))
		peak2 := min((gain+entry+exit)/2, v*v)
		v0, v1, peak := math.Sqrt(entry), math.Sqrt(exit), math.Sqrt(peak2)
		ramps := (2*peak2 - entry - exit) / (2 * s.acceleration)
		total += (2*peak-v0-v1)/s.acceleration + max(0, s.length-ramps)/peak
		entry = exit
	}
	return total, scratch
}
