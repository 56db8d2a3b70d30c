package weave

import (
	"math"
	"math/rand/v2"

	"wend/runtime/geom"
)

// sample makes a kind of drawing out of about so many strokes, always the same.
type sample struct {
	name    string
	strokes func(n int) [][]geom.Point
}

// samples are the kinds of drawings that the figures are about. Their scale grows
// with the number of strokes, so that all are about equally dense.
var samples = []sample{
	{"random", randomStrokes},
	{"grid", gridStrokes},
	{"text-like", textStrokes},
	{"hatch-like", hatchStrokes},
}

// randomStrokes are bent strokes of some mm anywhere on the page, of which
// about every other one crosses another.
func randomStrokes(n int) [][]geom.Point {
	rng := rand.New(rand.NewPCG(1, uint64(n)))
	side := 4 * math.Sqrt(float64(n))
	var strokes [][]geom.Point
	for range n {
		p := geom.Point{X: rng.Float64() * side, Y: rng.Float64() * side}
		stroke := []geom.Point{p}
		for range 1 + rng.IntN(4) {
			p = p.Add(geom.Point{X: rng.Float64()*4 - 2, Y: rng.Float64()*4 - 2})
			stroke = append(stroke, p)
		}
		strokes = append(strokes, stroke)
	}
	return strokes
}

// gridStrokes are the sides of square cells, of which every fifth is missing.
func gridStrokes(n int) [][]geom.Point {
	rng := rand.New(rand.NewPCG(2, uint64(n)))
	side := int(math.Sqrt(float64(n) / 1.6))
	var strokes [][]geom.Point
	for y := range side + 1 {
		for x := range side + 1 {
			if x < side && rng.IntN(5) > 0 {
				strokes = append(strokes, points(float64(x), float64(y), float64(x+1), float64(y)))
			}
			if y < side && rng.IntN(5) > 0 {
				strokes = append(strokes, points(float64(x), float64(y), float64(x), float64(y+1)))
			}
		}
	}
	return strokes
}

// textStrokes are letter-like groups in rows: stems, bars that end on them, and
// round strokes of many short segments.
func textStrokes(n int) [][]geom.Point {
	rng := rand.New(rand.NewPCG(3, uint64(n)))
	perRow := int(math.Sqrt(float64(n)/3*2)) + 1
	var strokes [][]geom.Point
	for letter := 0; len(strokes) < n; letter++ {
		x, y := 6*float64(letter%perRow), 12*float64(letter/perRow)
		strokes = append(strokes, points(x, y, x, y+7))
		for _, k := range rng.Perm(4)[:1+rng.IntN(3)] {
			switch h := y + float64(k)*7/3; {
			case rng.IntN(2) == 0:
				strokes = append(strokes, points(x, h, x+3+rng.Float64(), h))
			default:
				bow := []geom.Point{}
				for i := range 25 {
					a := math.Pi * float64(i) / 24
					bow = append(bow, geom.Point{X: x + 2.5*math.Sin(a), Y: h + 1.5 - 1.5*math.Cos(a)})
				}
				strokes = append(strokes, bow)
			}
		}
	}
	return strokes
}

// hatchStrokes are patches of parallel lines, every patch at its own angle, with
// ragged ends.
func hatchStrokes(n int) [][]geom.Point {
	rng := rand.New(rand.NewPCG(4, uint64(n)))
	perRow := int(math.Sqrt(float64(n)/40)) + 1
	var strokes [][]geom.Point
	for patch := 0; len(strokes) < n; patch++ {
		center := geom.Point{X: 40 * float64(patch%perRow), Y: 40 * float64(patch/perRow)}
		a := rng.Float64() * math.Pi
		u := geom.Point{X: math.Cos(a), Y: math.Sin(a)}
		v := geom.Point{X: -u.Y, Y: u.X}
		for i := range 40 {
			h := v.Times(float64(i)*0.6 - 12)
			strokes = append(strokes, []geom.Point{
				center.Add(h).Add(u.Times(-12 - rng.Float64())), center.Add(h).Add(u.Times(12 + rng.Float64())),
			})
		}
	}
	return strokes
}
