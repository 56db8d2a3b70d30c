package svg

import (
	"math"
	"strings"

	"wend/runtime/elementary"
	"wend/runtime/geom"
)

var identity = geom.Scaling(1, 1)

// transform reads a list of transforms, as the attribute and as the CSS
// property has them (CSS Transforms 1, sections 8 and 11). The first of the
// list is the outermost.
func (m measures) transform(text string) (geom.Affine, bool) {
	s := scanner{text: strings.TrimSpace(text)}
	whole := identity
	if s.text == "none" {
		return whole, true
	}
	for !s.done() {
		name := s.word()
		s.blanks()
		if !s.next('(') {
			return identity, false
		}
		end := strings.IndexByte(s.text[s.at:], ')')
		if end < 0 {
			return identity, false
		}
		step, ok := m.transformStep(name, s.text[s.at:s.at+end])
		if !ok {
			return identity, false
		}
		whole = step.Then(whole)
		s.at += end + 1
		s.separator()
	}
	return whole, true
}

// transformStep is one function of a list.
func (m measures) transformStep(name, arguments string) (geom.Affine, bool) {
	a, ok := m.arguments(name, arguments)
	if !ok {
		return identity, false
	}
	v := func(i int, otherwise float64) float64 {
		if i < len(a) {
			return a[i]
		}
		return otherwise
	}
	between := func(least, most int) bool { return least <= len(a) && len(a) <= most }
	switch name {
	case "matrix":
		return geom.Affine{XX: v(0, 0), YX: v(1, 0), XY: v(2, 0), YY: v(3, 0), Shift: geom.Point{X: v(4, 0), Y: v(5, 0)}}, between(6, 6)
	case "translate":
		return geom.Translation(geom.Point{X: v(0, 0), Y: v(1, 0)}), between(1, 2)
	case "translateX":
		return geom.Translation(geom.Point{X: v(0, 0)}), between(1, 1)
	case "translateY":
		return geom.Translation(geom.Point{Y: v(0, 0)}), between(1, 1)
	case "scale":
		return geom.Scaling(v(0, 1), v(1, v(0, 1))), between(1, 2)
	case "scaleX":
		return geom.Scaling(v(0, 1), 1), between(1, 1)
	case "scaleY":
		return geom.Scaling(1, v(0, 1)), between(1, 1)
	case "rotate":
		center := geom.Point{X: v(1, 0), Y: v(2, 0)}
		return about(center, geom.Rotation(v(0, 0))), len(a) == 1 || len(a) == 3
	case "skewX", "skewY", "skew":
		x, y := v(0, 0), v(1, 0)
		if name == "skewY" {
			x, y = 0, x
		}
		tx, okX := elementary.TanDegrees(x)
		ty, okY := elementary.TanDegrees(y)
		return geom.Affine{XX: 1, XY: tx, YX: ty, YY: 1}, okX && okY && (len(a) == 1 || name == "skew" && len(a) == 2)
	}
	return identity, false
}

// about does a transform about a point in place of (0, 0).
func about(p geom.Point, a geom.Affine) geom.Affine {
	return geom.Translation(p.Times(-1)).Then(a).Then(geom.Translation(p))
}

// arguments are numbers, lengths and angles, these in degrees.
func (m measures) arguments(name, text string) ([]float64, bool) {
	s := scanner{text: strings.TrimSpace(text)}
	var list []float64
	for !s.done() {
		from := s.at
		x, ok := s.number()
		if !ok {
			return nil, false
		}
		number := s.at
		unit := s.word()
		if s.next('%') {
			unit = "%"
		}
		switch unit {
		case "", "deg":
		case "rad":
			x = float64(x * 180 / math.Pi)
		case "grad":
			x = float64(x * 0.9)
		case "turn":
			x = float64(x * 360)
		case "%":
			return nil, false // of the box around the shape
		default:
			if x, ok = m.length(s.text[from:s.at], across); !ok || !strings.HasPrefix(name, "translate") {
				return nil, false
			}
		}
		if math.Abs(x) > hugest || s.at == from || number == from {
			return nil, false
		}
		list = append(list, x)
		if s.separator() && s.done() {
			return nil, false
		}
	}
	return list, true
}

// origin reads transform-origin in the box of the viewport, which it refers to
// where nothing else is said (CSS Transforms 1, sections 5 and 6).
func (m measures) origin(text string) (geom.Point, bool) {
	words := strings.Fields(strings.ReplaceAll(text, ",", " "))
	if len(words) == 0 || len(words) > 3 {
		return geom.Point{}, false
	}
	if len(words) == 1 {
		words = append(words, "center")
	}
	if words[0] == "top" || words[0] == "bottom" || words[1] == "left" || words[1] == "right" {
		words[0], words[1] = words[1], words[0]
	}
	at := [2]float64{}
	for i, word := range words[:2] {
		share, named := map[string]string{"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}[word]
		if !named {
			share = word
		}
		x, ok := m.length(share, direction(i))
		if !ok {
			return geom.Point{}, false
		}
		at[i] = x
	}
	return geom.Point{X: at[0], Y: at[1]}, true
}
