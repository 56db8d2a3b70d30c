package svg

import (
	"strings"

	"wend/runtime/geom"
)

// shapes trace the basic shapes and paths. They report the attribute that
// cannot be read, if there is one.
var shapes = map[string]func(t *tracing){
	"path": (*tracing).path, "rect": (*tracing).rect, "circle": (*tracing).circle, "ellipse": (*tracing).ellipse,
	"line": (*tracing).straight, "polyline": (*tracing).polyline, "polygon": (*tracing).polygon,
}

// tracing is a shape on its way to its outline.
type tracing struct {
	*pen
	element  *element
	said     *declared
	measures *measures
	unread   func(attribute string)
	broken   *pathFault // of a path
}

// size reads a length of the shape; what cannot be read counts as left out.
func (t *tracing) size(p property, towards direction) (float64, bool) {
	text := t.said[p]
	if text == "" || text == "auto" {
		return 0, false
	}
	x, ok := t.measures.length(text, towards)
	if !ok {
		t.unread(propertyNames[p])
	}
	return x, ok
}

// attribute reads a length that is no property of style.
func (t *tracing) attribute(name string, towards direction) float64 {
	text := t.element.attribute(name)
	if text == "" {
		return 0
	}
	x, ok := t.measures.length(text, towards)
	if !ok {
		t.unread(name)
		return 0
	}
	return x
}

func (t *tracing) path() {
	data := t.said[ofPathData]
	if data == "none" {
		return
	}
	if inner, ok := strings.CutPrefix(data, "path("); ok { // as a property of style
		data = strings.Trim(strings.TrimSuffix(inner, ")"), "\"' ")
	}
	t.broken = path(t.pen, data)
}

// rect: SVG 2, section 10.2, with its order of lines and arcs.
func (t *tracing) rect() {
	x, _ := t.size(ofPosX, across)
	y, _ := t.size(ofPosY, upward)
	w, _ := t.size(ofWidth, across)
	h, _ := t.size(ofHeight, upward)
	rx, ry := t.radii()
	if !(w > 0) || !(h > 0) {
		return
	}
	rx, ry = min(rx, w/2), min(ry, h/2)
	at := func(dx, dy float64) geom.Point { return geom.Point{X: x + dx, Y: y + dy} }
	corner := func(dx, dy float64) { t.arc(rx, ry, 0, false, true, at(dx, dy)) }
	if rx == 0 || ry == 0 {
		rx, ry = 0, 0
	}
	t.move(at(rx, 0))
	t.line(at(w-rx, 0))
	corner(w, ry)
	t.line(at(w, h-ry))
	corner(w-rx, h)
	t.line(at(rx, h))
	corner(0, h-ry)
	t.line(at(0, ry))
	corner(rx, 0)
	t.close()
}

// radii: one that is not said is as large as the other (SVG 2, section 7.4).
func (t *tracing) radii() (rx, ry float64) {
	rx, okX := t.size(ofRadiusX, across)
	ry, okY := t.size(ofRadiusY, upward)
	switch okX, okY = okX && rx >= 0, okY && ry >= 0; {
	case !okX && !okY:
		return 0, 0
	case !okX:
		return ry, ry
	case !okY:
		return rx, rx
	}
	return rx, ry
}

func (t *tracing) circle() {
	x, _ := t.size(ofCenterX, across)
	y, _ := t.size(ofCenterY, upward)
	if r, _ := t.size(ofRadius, slanted); r > 0 {
		t.pen.ellipse(geom.Point{X: x, Y: y}, r, r)
	}
}

func (t *tracing) ellipse() {
	x, _ := t.size(ofCenterX, across)
	y, _ := t.size(ofCenterY, upward)
	if rx, ry := t.radii(); rx > 0 && ry > 0 {
		t.pen.ellipse(geom.Point{X: x, Y: y}, rx, ry)
	}
}

func (t *tracing) straight() {
	t.move(geom.Point{X: t.attribute("x1", across), Y: t.attribute("y1", upward)})
	t.line(geom.Point{X: t.attribute("x2", across), Y: t.attribute("y2", upward)})
}

// polyline draws the points up to where they cannot be read (SVG 2, section
// 10.6).
func (t *tracing) polyline() {
	v, ok := numbers(t.element.attribute("points"))
	if !ok || len(v)%2 == 1 {
		t.unread("points")
	}
	for i := 0; i+1 < len(v) && !t.full(); i += 2 {
		at := geom.Point{X: v[i], Y: v[i+1]}
		if i == 0 {
			t.move(at)
		} else {
			t.line(at)
		}
	}
}

func (t *tracing) polygon() {
	if t.polyline(); len(t.points) > 0 {
		t.close()
	}
}
