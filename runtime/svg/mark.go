package svg

import (
	"math"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// shape draws a basic shape or a path.
func (a *artist) shape(e *element, trace func(*tracing), said *declared, s state) error {
	k := span(s.matrix)
	if s.style.hidden || k == 0 {
		return nil
	}
	drawn := a.measured == nil && a.areas == nil
	filled := drawn && a.options.Fills != None && a.visible(e, s.style.fill, s.style.fillOpacity)
	stroked := drawn && a.visible(e, s.style.stroke, s.style.strokeOpacity) && s.style.strokeWidth > 0
	if drawn && !filled && !stroked {
		return nil
	}
	if !finite(k) {
		return a.tooFar(e)
	}
	t := tracing{
		pen:     &pen{tolerance: a.tolerance / k, room: &a.room},
		element: e, said: said, measures: &s.measures, unread: a.unread(e),
	}
	trace(&t)
	outline := t.outline()
	if t.full() {
		return a.tooMany(e)
	}
	if f := t.broken; f != nil {
		span := a.valueSpan(e, "d", f.from, f.to)
		if f.huge {
			return &diag.Fault{Code: "drawing-number", Args: diag.Args{}, Span: span}
		}
		a.notes.addAt("path", span, f.reason)
	}
	switch {
	case a.measured != nil:
		for _, sub := range outline {
			*a.measured = a.measured.Union(geom.Bounds(s.matrix.Append(nil, sub.points)))
		}
		return nil
	case a.areas != nil:
		area, err := a.area(e, outline, s.style.clipEvenOdd, s)
		*a.areas = append(*a.areas, area)
		return err
	}
	if len(outline) > 0 && stroked && e.name != "rect" && e.name != "circle" && e.name != "ellipse" && s.style.markers != [3]bool{} {
		a.notes.add("marker", e, "a marker")
	}
	if filled {
		var err error
		if filled, err = a.fill(e, outline, s); err != nil {
			return err
		}
	}
	for _, sub := range outline {
		if err := a.subpath(e, sub, filled, stroked, s); err != nil {
			return err
		}
	}
	return nil
}

// visible reports whether a paint leaves anything to see, and notes what it
// has beyond a colour.
func (a *artist) visible(e *element, p paint, opacity float64) bool {
	if opacity <= 0 {
		return false
	}
	if p.server == "" {
		return !p.none
	}
	server := a.byID[p.server]
	if server == nil {
		return false
	}
	switch server.name {
	case "linearGradient", "radialGradient", "meshgradient":
		a.notes.add("gradient", e, "a gradient")
	case "pattern", "hatch":
		a.notes.add("pattern", e, "a pattern")
	case "solidcolor", "solidColor":
	default:
		return !p.none
	}
	return true
}

// subpath draws one line of an outline: stroked as it is, or as the closed edge
// of a fill.
func (a *artist) subpath(e *element, sub subpath, filled, stroked bool, s state) error {
	points := sub.points
	solid := filled && hasArea(points)
	if solid && !sub.closed && points[0] != points[len(points)-1] {
		if !stroked {
			points = append(points, points[0])
		} else if err := a.add(e, []geom.Point{points[len(points)-1], points[0]}, false, s); err != nil {
			return err
		}
	}
	switch {
	case !stroked && !solid:
		return nil
	case !stroked || s.style.dashes == nil:
		return a.add(e, points, !stroked, s)
	}
	scale := 1.0
	if text := e.attribute("pathLength"); text != "" {
		if x, ok := s.measures.length(text, slanted); ok && x > 0 {
			scale = geom.Length(points) / x
		}
	}
	dashes := make([]float64, len(s.style.dashes))
	widest := 0.0 // of the gaps
	for i, d := range s.style.dashes {
		dashes[i] = float64(d * scale)
		if i%2 == 1 {
			widest = max(widest, dashes[i])
		}
	}
	if float64(widest*span(s.matrix)) <= a.tolerance {
		if widest > 0 {
			a.notes.add("dashes", e, "`stroke-dasharray`")
		}
		return a.add(e, points, false, s)
	}
	pieces := dashed(points, dashes, float64(s.style.dashOffset*scale), &a.room)
	if a.room < 0 {
		return a.tooMany(e)
	}
	for _, piece := range pieces {
		if err := a.add(e, piece, false, s); err != nil {
			return err
		}
	}
	return nil
}

// hasArea reports whether a line goes around anything.
func hasArea(points []geom.Point) bool {
	if len(points) < 3 {
		return false
	}
	far := points[0]
	for _, p := range points {
		if p.Distance(points[0]) > far.Distance(points[0]) {
			far = p
		}
	}
	for _, p := range points {
		if geom.Orientation(points[0], far, p) != 0 {
			return true
		}
	}
	return false
}

// add puts a line on the sheet, cut to the viewports that it lies in.
func (a *artist) add(e *element, line []geom.Point, fill bool, s state) error {
	if err := a.options.Charge(len(line)/4, len(line)*pointBytes); err != nil {
		return err
	}
	placed, err := a.onSheet(e, line, s)
	if err != nil {
		return err
	}
	return a.addPlaced(e, placed, fill, s)
}

// onSheet maps a line onto the sheet.
func (a *artist) onSheet(e *element, line []geom.Point, s state) ([]geom.Point, error) {
	placed := s.matrix.Append(make([]geom.Point, 0, len(line)), line)
	for _, p := range placed {
		if !(math.Abs(p.X) <= cutMM && math.Abs(p.Y) <= cutMM) {
			return nil, a.tooFar(e)
		}
	}
	return placed, nil
}

// addPlaced puts a line in mm on the sheet.
func (a *artist) addPlaced(e *element, line []geom.Point, fill bool, s state) error {
	lines := [][]geom.Point{line}
	for _, w := range s.windows {
		var kept [][]geom.Point
		for _, line := range lines {
			kept = append(kept, w.lines(line)...)
		}
		lines = kept
	}
	for _, c := range s.clips {
		var err error
		if lines, err = c.cutter.CutAll(lines, true, a.work); err != nil {
			return err
		}
	}
	if len(lines) == 0 && a.outside == nil {
		a.outside = e
	}
	for _, line := range lines {
		for _, p := range line {
			if math.Abs(p.X) > farthestMM || math.Abs(p.Y) > farthestMM {
				return a.tooFar(e)
			}
		}
		if line = geom.WithoutRepeats(line); len(line) > 1 {
			ground := fill && a.sheet != window{} && a.sheet.onEdge(line)
			if ground {
				a.notes.add("background", e, "a background")
			}
			a.strokes = append(a.strokes, stroke{line, ground})
		}
	}
	return nil
}

func (a *artist) tooMany(e *element) error {
	return a.fault("drawing-large", e.start, e.end, diag.Args{"limit": diag.Grouped(mostPoints), "what": "points"})
}

func (a *artist) tooFar(e *element) error {
	return a.fault("drawing-number", e.start, e.end, diag.Args{})
}
