package svg

import (
	"math"
	"strings"

	"wend/runtime/geom"
)

// property is a property of style that decides what is drawn and where.
type property int

const (
	ofDisplay property = iota
	ofVisibility
	ofOpacity
	ofFill
	ofFillOpacity
	ofFillRule
	ofStroke
	ofStrokeWidth
	ofStrokeOpacity
	ofDashArray
	ofDashOffset
	ofClipPath
	ofClipRule
	ofMask
	ofFilter
	ofMarker
	ofMarkerStart
	ofMarkerMid
	ofMarkerEnd
	ofOverflow
	ofFontSize
	ofTransform
	ofTransformOrigin
	ofTransformBox
	ofPosX
	ofPosY
	ofCenterX
	ofCenterY
	ofRadius
	ofRadiusX
	ofRadiusY
	ofWidth
	ofHeight
	ofPathData
	ofStopColor
	ofStopOpacity
	propertyCount
)

var propertyNames = [propertyCount]string{
	"display", "visibility", "opacity", "fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity",
	"stroke-dasharray", "stroke-dashoffset", "clip-path", "clip-rule", "mask", "filter", "marker", "marker-start", "marker-mid",
	"marker-end", "overflow", "font-size", "transform", "transform-origin", "transform-box",
	"x", "y", "cx", "cy", "r", "rx", "ry", "width", "height", "d",
	"stop-color", "stop-opacity",
}

var propertyNamed = func() map[string]property {
	named := map[string]property{}
	for p, name := range propertyNames {
		named[name] = property(p)
	}
	return named
}()

// declared is what is said of an element itself, by property; "" where nothing is.
type declared [propertyCount]string

// declare finds what is said of an element: by its attributes, by the rules of
// the sheet, and by its own style, where later ones count more (CSS Cascade 4,
// section 6.1).
func (d *Document) declare(e *element, said *declared) {
	*said = declared{}
	own := ""
	for i := range e.attributes {
		switch a := &e.attributes[i]; a.name {
		case "style":
			own = a.value
		case "marker": // a property alone
		case "gradientTransform", "patternTransform":
		default:
			if p, known := propertyNamed[a.name]; known {
				said[p] = strings.TrimSpace(a.value)
			}
		}
	}
	rules := d.sheet.matching(e)
	if len(rules) == 0 && own == "" {
		return
	}
	apply := func(list []declaration, important bool) {
		for i := range list {
			if x := &list[i]; x.important == important {
				said[x.property] = x.value
				if x.property == ofMarker {
					said[ofMarkerStart], said[ofMarkerMid], said[ofMarkerEnd] = x.value, x.value, x.value
				}
			}
		}
	}
	styled := declarationsOf(withoutComments(own))
	for _, important := range []bool{false, true} {
		for _, r := range rules {
			apply(r.declarations, important)
		}
		apply(styled, important)
	}
}

// paint is what fills or strokes.
type paint struct {
	none   bool
	pale   bool   // white, or nearly
	sheer  bool   // what is behind shines through
	server string // the id of a gradient or pattern
}

// style is what is inherited, in user units.
type style struct {
	hidden        bool // by visibility
	fill, stroke  paint
	strokeWidth   float64
	fillOpacity   float64
	strokeOpacity float64
	evenOdd       bool // the rule of fills
	clipEvenOdd   bool
	dashes        []float64
	dashOffset    float64
	fontSize      float64
	markers       [3]bool // at the start, in the middle, at the end
}

// initialStyle: SVG 2, chapter 13; the size of letters is that of CSS's medium.
func initialStyle() style {
	return style{stroke: paint{none: true}, strokeWidth: 1, fillOpacity: 1, strokeOpacity: 1, fontSize: 16}
}

// inherit changes a style to that of an element within. What is said badly is
// passed over, as CSS has it; those attributes are given to unread.
func (s style) inherit(said *declared, m *measures, unread func(property)) style {
	if text := said[ofFontSize]; text != "" {
		s.fontSize = m.fontSize(text, s.fontSize)
	}
	m.font = s.fontSize
	switch said[ofVisibility] {
	case "visible":
		s.hidden = false
	case "hidden", "collapse":
		s.hidden = true
	}
	s.fill = s.fill.changed(said[ofFill])
	s.stroke = s.stroke.changed(said[ofStroke])
	number := func(p property, x *float64) {
		if text := said[p]; text != "" && text != "inherit" {
			if y, ok := share(text); ok {
				*x = y
			} else {
				unread(p)
			}
		}
	}
	number(ofFillOpacity, &s.fillOpacity)
	number(ofStrokeOpacity, &s.strokeOpacity)
	size := func(p property, x *float64) {
		if text := said[p]; text != "" && text != "inherit" {
			if y, ok := m.length(text, slanted); ok {
				*x = y
			} else {
				unread(p)
			}
		}
	}
	size(ofStrokeWidth, &s.strokeWidth)
	size(ofDashOffset, &s.dashOffset)
	rule := func(p property, evenOdd *bool) {
		switch said[p] {
		case "evenodd":
			*evenOdd = true
		case "nonzero":
			*evenOdd = false
		}
	}
	rule(ofFillRule, &s.evenOdd)
	rule(ofClipRule, &s.clipEvenOdd)
	if text := said[ofDashArray]; text != "" && text != "inherit" {
		dashes, ok := m.dashes(text)
		if ok {
			s.dashes = dashes
		} else {
			unread(ofDashArray)
		}
	}
	for i, p := range []property{ofMarkerStart, ofMarkerMid, ofMarkerEnd} {
		if text := said[p]; text != "" && text != "inherit" {
			s.markers[i] = text != "none"
		}
	}
	return s
}

// changed is a paint after a declaration.
func (p paint) changed(text string) paint {
	switch lower := strings.ToLower(text); {
	case lower == "", lower == "inherit":
		return p
	case lower == "none", lower == "transparent":
		return paint{none: true}
	case strings.HasPrefix(lower, "url("):
		id, rest := reference(text)
		rest = strings.TrimSpace(rest)
		return paint{none: rest == "none", server: id}
	}
	darkest, alpha := colour(text)
	return paint{none: alpha == 0, pale: darkest >= paleFrom, sheer: alpha < opaque}
}

// reference reads `url(#name)` and gives what follows it. It is "" for a
// reference to another file.
func reference(text string) (id, rest string) {
	end := strings.IndexByte(text, ')')
	if len(text) < len("url(") || !strings.EqualFold(text[:4], "url(") || end < 0 {
		return "", text
	}
	inner := strings.Trim(strings.TrimSpace(text[4:end]), `"'`)
	id, _ = strings.CutPrefix(inner, "#")
	if id == inner {
		id = ""
	}
	return id, text[end+1:]
}

// share reads a number or a part in percent of 1.
func share(text string) (float64, bool) {
	s := scanner{text: text}
	x, ok := s.number()
	if s.next('%') {
		x /= 100
	}
	return x, ok && s.done()
}

// fontSize reads a size of letters (CSS Fonts 4, section 2.5).
func (m *measures) fontSize(text string, around float64) float64 {
	of := measures{width: around, height: around, font: around, root: m.root}
	if strings.HasSuffix(text, "%") {
		if x, ok := of.length(text, across); ok && x >= 0 {
			return x
		}
		return around
	}
	if x, ok := of.length(text, across); ok && x >= 0 {
		return x
	}
	scale := map[string]float64{
		"xx-small": 0.6, "x-small": 0.75, "small": 8.0 / 9, "medium": 1, "large": 1.2, "x-large": 1.5, "xx-large": 2, "xxx-large": 3,
	}
	switch k, named := scale[text]; {
	case named:
		return float64(16 * k)
	case text == "larger":
		return float64(around * 1.2)
	case text == "smaller":
		return around / 1.2
	}
	return around
}

// dashes reads stroke-dasharray: nil for a line without gaps (SVG 2, section
// 13.5.6).
func (m *measures) dashes(text string) ([]float64, bool) {
	if text == "none" {
		return nil, true
	}
	var list []float64
	sum := 0.0
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r < 0x80 && isBlank(byte(r)) }) {
		x, ok := m.length(word, slanted)
		if !ok || x < 0 {
			return nil, false
		}
		list = append(list, x)
		sum += x
	}
	if len(list)%2 == 1 {
		list = append(list, list...)
	}
	if sum == 0 {
		return nil, true
	}
	return list, true
}

// span is the largest stretch of a map: how many mm a user unit comes to.
func span(a geom.Affine) float64 {
	// The larger singular value: (|z1| + |z2|) of the map as two complex numbers.
	turn := geom.Point{X: (a.XX + a.YY) / 2, Y: (a.YX - a.XY) / 2}
	flip := geom.Point{X: (a.XX - a.YY) / 2, Y: (a.YX + a.XY) / 2}
	return turn.Length() + flip.Length()
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
