package calibrate

import (
	"math"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// lengthRow says that a line that was asked for has some length by the ruler:
// the unknown is by how many times lines come out longer.
func lengthRow(nominalMM, drawnMM float64) row {
	return row{of: [2]float64{nominalMM, 0}, value: drawnMM, sigma: readingSigmaMM}
}

// scaleRow says what is known of that before anything is read: 1, as sure as
// the profile says.
func scaleRow(a *machine.Axis) row {
	return row{of: [2]float64{1, 0}, value: 1, sigma: max(1e-6, a.ScaleUncertainty()/boundSigmas)}
}

// setLine changes the line of one turn of an axis by a ratio, in the way in
// which the profile gives it, with a relative uncertainty.
func setLine(a *machine.Axis, ratio, unsure float64) {
	line := &a.LineMMPerMotorTurn
	if *line == 0 {
		line = &a.LineMMPerKnobTurn
	}
	*line = math.Round(*line*ratio*1e5) / 1e5
	a.LineUncertaintyMM = math.Ceil(*line*unsure*1e4) / 1e4
}

// diagonalRow says how long a diagonal is of a rectangle of w by h mm whose
// sides lie along the axes. By the law of cosines d² = w² + h² ± 2 w h cos θ,
// plus from the lower left to the upper right. The unknowns are the cosine of
// the angle θ between the axes, and 2 w h times the share by which the sides are
// longer than they should be, which moves both diagonals alike.
func diagonalRow(w, h, d, sign float64) row {
	return row{
		of:    [2]float64{sign, 1},
		value: (float64(d*d) - float64(w*w) - float64(h*h)) / (2 * w * h),
		// A reading that is off by e moves the cosine by 2 d e/(2 w h).
		sigma: d * readingSigmaMM / (w * h),
	}
}

// diagonal is how long one is, by the value of its row.
func diagonal(w, h, value float64) float64 {
	return math.Sqrt(max(0, float64(w*w)+float64(h*h)+float64(2*w*h*value)))
}

// sidesRow is what the scales say of the second unknown of diagonalRow, for
// rectangles of this shape: a side that is longer by the share e adds
// (w/h or h/w) e.
func sidesRow(w, h float64, p *machine.Profile) row {
	x, y := w/h*p.X.ScaleUncertainty()/boundSigmas, h/w*p.Y.ScaleUncertainty()/boundSigmas
	return row{of: [2]float64{0, 1}, sigma: max(1e-6, geom.Point{X: x, Y: y}.Length())}
}

// comb is a pair of rows of teeth across an axis, like the scales of a vernier.
// The upper row is drawn while the axis runs up, the lower while it runs down,
// and tooth i of the lower stands back by base + i × finer. Slack pushes the
// rows apart by its whole width, so the tooth that lines up tells it.
type comb struct {
	axis        Axis
	u, v        float64 // the first upper tooth, and the line between the rows
	teeth       int
	pitch       float64
	base, finer float64
	lead        float64
}

const toothMM = 6.0

// begin is where the line of the comb starts.
func (c *comb) begin() geom.Point { return on(c.axis, c.u-c.lead, c.v) }

// path is the line of the comb, for the motors.
func (c *comb) path() []geom.Point {
	var out []geom.Point
	add := func(u, v float64) { out = append(out, on(c.axis, u, v)) }
	last := 0.0
	for i := range c.teeth {
		last = c.u + float64(float64(i)*c.pitch)
		add(last, c.v)
		add(last, c.v+toothMM)
		add(last, c.v)
	}
	add(last+c.lead, c.v)
	for i := c.teeth - 1; i >= 0; i-- {
		u := c.u + float64(float64(i)*c.pitch) - c.slack(float64(i))
		add(u, c.v)
		add(u, c.v-toothMM)
		add(u, c.v)
	}
	return out
}

// slack is what it means that a tooth lines up; one between two counts half.
func (c *comb) slack(tooth float64) float64 { return c.base + float64(tooth*c.finer) }

// flanks makes up for slack: the way of the motors on which the stylus passes
// through places. Both axes rest on their upper flanks at first.
func flanks(p *machine.Profile, stylus []geom.Point) []geom.Point {
	half := geom.Point{X: p.X.SlackMM / 2, Y: p.Y.SlackMM / 2}
	side := geom.Point{X: 1, Y: 1}
	out := make([]geom.Point, 0, 2*len(stylus))
	motor := func(at geom.Point) geom.Point {
		return geom.Point{X: at.X + float64(side.X*half.X), Y: at.Y + float64(side.Y*half.Y)}
	}
	for i, to := range stylus {
		if i > 0 {
			before, way := side, to.Sub(stylus[i-1])
			if way.X != 0 {
				side.X = math.Copysign(1, way.X)
			}
			if way.Y != 0 {
				side.Y = math.Copysign(1, way.Y)
			}
			if side != before {
				out = append(out, motor(stylus[i-1]))
			}
		}
		out = append(out, motor(to))
	}
	return out
}
