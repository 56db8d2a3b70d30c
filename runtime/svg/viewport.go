package svg

import (
	"strings"

	"wend/runtime/geom"
)

// viewBox reads the attribute; false if there is none that can be used.
func viewBox(text string) (geom.Box, bool) {
	v, ok := numbers(text)
	if !ok || len(v) != 4 {
		return geom.Box{}, false
	}
	return geom.Box{Min: geom.Point{X: v[0], Y: v[1]}, Max: geom.Point{X: v[0] + v[2], Y: v[1] + v[3]}}, true
}

// aspect says how a view box lies in a viewport of other proportions.
type aspect struct {
	x, y    float64 // which share of what is left over is before it
	stretch bool    // to both sizes, whatever the proportions
	slice   bool    // so that the viewport is covered, rather than all is seen
}

// aspectOf reads preserveAspectRatio (SVG 2, section 8.10).
func aspectOf(text string) (aspect, bool) {
	a := aspect{x: 0.5, y: 0.5}
	words := strings.Fields(text)
	if len(words) == 0 {
		return a, true
	}
	if len(words) == 2 {
		a.slice = words[1] == "slice"
		if !a.slice && words[1] != "meet" {
			return a, false
		}
	}
	align := words[0]
	if align == "none" {
		a.stretch = true
		return a, len(words) <= 2
	}
	shares := map[string]float64{"Min": 0, "Mid": 0.5, "Max": 1}
	if len(align) != len("xMidYMid") || align[0] != 'x' || align[4] != 'Y' || len(words) > 2 {
		return a, false
	}
	x, okX := shares[align[1:4]]
	y, okY := shares[align[5:]]
	if !okX || !okY {
		return a, false
	}
	a.x, a.y = x, y
	return a, true
}

// into maps a view box into a viewport (SVG 2, section 8.2, the equivalent
// transform).
func (a aspect) into(box, viewport geom.Box) geom.Affine {
	sx, sy := viewport.Width()/box.Width(), viewport.Height()/box.Height()
	if !a.stretch {
		k := min(sx, sy)
		if a.slice {
			k = max(sx, sy)
		}
		sx, sy = k, k
	}
	x := viewport.Min.X - float64(box.Min.X*sx) + float64((viewport.Width()-float64(box.Width()*sx))*a.x)
	y := viewport.Min.Y - float64(box.Min.Y*sy) + float64((viewport.Height()-float64(box.Height()*sy))*a.y)
	return geom.Affine{XX: sx, YY: sy, Shift: geom.Point{X: x, Y: y}}
}
