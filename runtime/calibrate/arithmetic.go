package calibrate

import (
	"math"

	"wend/runtime/elementary"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Reading is a line that was asked for and its length by the ruler, in mm.
type Reading struct{ NominalMM, DrawnMM float64 }

// Ratio is by how many times drawn lines are as long as they were meant to be:
// the line through zero that fits best, Σ m L / Σ L². unsure is how far it may
// be off, relatively: each reading by at most half of what the ruler tells
// apart, all to the same side, which is (ReadingMM/2) Σ L / Σ L²; or two
// standard deviations of how the readings really differed (Guide to the
// expression of uncertainty in measurement, JCGM 100:2008, section 4.2; from
// memory), whichever is larger.
func Ratio(readings []Reading) (ratio, unsure float64) {
	var l, ll, ml float64
	for _, r := range readings {
		l += r.NominalMM
		ll += float64(r.NominalMM * r.NominalMM)
		ml += float64(r.NominalMM * r.DrawnMM)
	}
	ratio = ml / ll
	unsure = ReadingMM / 2 * l / ll
	if n := len(readings); n > 1 {
		squares := 0.0
		for _, r := range readings {
			off := r.DrawnMM - float64(ratio*r.NominalMM)
			squares += float64(off * off)
		}
		unsure = max(unsure, 2*math.Sqrt(squares/float64(n-1)/ll))
	}
	return ratio, unsure / ratio
}

// Spread is by how much, at most, the readings differ among themselves: the
// range of drawn ÷ nominal over the ratio. Short lines differ most.
func Spread(readings []Reading) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range readings {
		low, high = min(low, r.DrawnMM/r.NominalMM), max(high, r.DrawnMM/r.NominalMM)
	}
	return (high - low) / ((high + low) / 2)
}

// SetLine changes the line of one turn of an axis by a ratio, in the way in
// which the profile gives it, with a relative uncertainty.
func SetLine(a *machine.Axis, ratio, unsure float64) {
	line := &a.LineMMPerMotorTurn
	if *line == 0 {
		line = &a.LineMMPerKnobTurn
	}
	*line = math.Round(*line*ratio*1e5) / 1e5
	a.LineUncertaintyMM = math.Ceil(*line*unsure*1e4) / 1e4
}

// Diagonals are those of a rectangle whose sides lie along the axes: Rising
// from its lower left to its upper right, Falling from its upper left to its
// lower right.
type Diagonals struct{ WidthMM, HeightMM, RisingMM, FallingMM float64 }

// Angle is the angle from the x axis to the y axis. By the law of cosines the
// squares of the diagonals differ by 4 w h cos θ. Larger rectangles count more:
// each by the square of what a reading error does to it. unsure is how far it
// may be off, in degrees, with all readings off by half of what the ruler tells
// apart.
func Angle(rectangles []Diagonals) (degrees, unsure float64) {
	var sum, roots, weights float64
	for _, r := range rectangles {
		area := 4 * r.WidthMM * r.HeightMM
		cosine := (float64(r.RisingMM*r.RisingMM) - float64(r.FallingMM*r.FallingMM)) / area
		// A reading of a diagonal d that is off by e moves the cosine by 2 d e/(4 w h).
		root := area / (r.RisingMM + r.FallingMM)
		sum += float64(root * root * cosine)
		roots += root
		weights += float64(root * root)
	}
	degrees, _ = elementary.AcosDegrees(max(-1, min(1, sum/weights)))
	return degrees, ReadingMM * roots / weights * 180 / math.Pi
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
