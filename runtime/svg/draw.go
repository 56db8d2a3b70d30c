package svg

import (
	"math"
	"strings"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// Fills says what becomes of areas that are filled.
type Fills int

const (
	Outline Fills = iota // their outline is drawn
	Hatch                // they are hatched, and only strokes are outlines
	None                 // they are left out
)

// Options say how a drawing is drawn.
type Options struct {
	// ToleranceMM is how far a stroke may be from a curve of the drawing, once
	// the drawing is as large as it may become.
	ToleranceMM float64
	// Largest is the size in mm that the drawing may be enlarged to. It is not
	// enlarged here: its curves are drawn finely enough for it.
	Largest geom.Point
	Fills   Fills
	Charge  Charge
}

// Drawing is what there is to draw.
type Drawing struct {
	Strokes [][]geom.Point // mm, in the order of the file; each of two points or more
	Notes   []*diag.Fault  // what is not drawn as it was meant, as warnings
}

// The limits of what is drawn.
const (
	mostDrawn  = 1_000_000 // elements, those that `use` repeats counted each time
	mostPoints = 2_000_000 // points of all strokes
	farthestMM = 1e6       // from (0, 0)
	cutMM      = 1e10      // of what may be cut off by a viewport: so far, a double still tells edgeMM
	pointBytes = 16
)

// Draw finds the strokes. The error is a *diag.Fault, or that of Charge.
func (d *Document) Draw(o Options) (*Drawing, error) {
	view, known := d.view()
	tolerance := 0.1
	if known {
		tolerance = max(view.size.X, view.size.Y) / coarse
	}
	first, err := d.pass(view, tolerance, o)
	if err != nil {
		return nil, err
	}
	if len(first.strokes) == 0 && first.outside != nil {
		// Editors let people draw beside the page. A viewer would show nothing.
		d.notes.add("outside", first.outside, "the whole drawing")
		view.open = true
		if first, err = d.pass(view, tolerance, o); err != nil {
			return nil, err
		}
	}
	box := geom.EmptyBox()
	for _, s := range first.strokes {
		box = box.Union(geom.Bounds(s.points))
	}
	if box.Empty() {
		return nil, d.empty(first.notes)
	}
	grown := 1.0
	if larger, ok := geom.FitInto(box, o.Largest.X, o.Largest.Y); ok && finite(larger.XX) {
		grown = max(1, larger.XX)
	}
	second, err := d.pass(view, o.ToleranceMM/grown, o)
	if err != nil {
		return nil, err
	}
	drawing := &Drawing{}
	for _, s := range second.strokes {
		drawing.Strokes = append(drawing.Strokes, s.points)
	}
	drawing.Notes = second.notes.faults()
	if !known {
		// Without a size of its own, the drawing is as large as what is in it.
		move := geom.Bounds(drawing.Strokes[0])
		for _, s := range drawing.Strokes {
			move = move.Union(geom.Bounds(s))
		}
		for _, s := range drawing.Strokes {
			for i, p := range s {
				s[i] = p.Sub(move.Min)
			}
		}
	}
	return drawing, nil
}

// coarse is which part of its viewport the first look at a drawing may be off
// by.
const coarse = 200

// empty says why nothing of a drawing can be drawn.
func (d *Document) empty(n notes) error {
	fault := &diag.Fault{Code: "drawing-empty", Args: diag.Args{"name": d.file.Name}, File: d.file.Name}
	var left []string
	for _, note := range n.list {
		if things[note.thing].code == "drawing-left-out" {
			left = append(left, note.what)
		}
	}
	if len(left) > 0 {
		fault.Hint = "left out: " + strings.Join(left, ", ")
	}
	return fault
}

// view is the outermost viewport.
type view struct {
	size   geom.Point // mm; (0, 0) if the drawing does not say it
	open   bool       // what lies outside is drawn, too
	matrix geom.Affine
	inner  measures
}

// view reads what the root says of its size: SVG 2, section 8.2, and where
// there is no page to fill, its view box in px.
func (d *Document) view() (view, bool) {
	var said declared
	d.declare(d.root, &said)
	m := measures{font: 16, root: 16}
	m.font = m.fontSize(said[ofFontSize], 16)
	m.root = m.font
	box, boxed := viewBox(d.root.attribute("viewBox"))
	boxed = boxed && box.Width() > 0 && box.Height() > 0
	size := func(p property, of float64) (float64, bool) {
		if text := said[p]; text != "" && text != "auto" && !strings.HasSuffix(text, "%") {
			if x, ok := m.length(text, across); ok && x > 0 {
				return x, true
			}
		}
		return of, false
	}
	w, okW := size(ofWidth, box.Width())
	h, okH := size(ofHeight, box.Height())
	switch {
	case okW && !okH && boxed:
		h = float64(w * box.Height() / box.Width())
	case okH && !okW && boxed:
		w = float64(h * box.Width() / box.Height())
	case !boxed && !(okW && okH):
		onto := geom.Affine{XX: 1 / unitsPerMM, YY: -1 / unitsPerMM}
		m.width, m.height = 100, 100
		return view{matrix: onto, inner: m}, false
	}
	viewport := geom.Box{Max: geom.Point{X: w, Y: h}}
	inner := identity
	m.width, m.height = w, h
	if boxed {
		ratio, _ := aspectOf(d.root.attribute("preserveAspectRatio"))
		inner = ratio.into(box, viewport)
		m.width, m.height = box.Width(), box.Height()
	}
	mm := geom.Affine{XX: 1 / unitsPerMM, YY: -1 / unitsPerMM, Shift: geom.Point{Y: h / unitsPerMM}}
	return view{size: geom.Point{X: w / unitsPerMM, Y: h / unitsPerMM}, matrix: inner.Then(mm), inner: m}, true
}

// artist goes through the tree and draws.
type artist struct {
	*Document
	options   Options
	tolerance float64 // mm
	notes     notes
	room      int // points that may still be made
	drawn     int // elements
	using     map[*element]bool
	sheet     window
	strokes   []stroke
	outside   *element // the first that does not lie within the viewports, or nil
}

// stroke is a line of the drawing, in mm.
type stroke struct {
	points []geom.Point
	// ground: it is the edge of a fill that has no edge within the viewport.
	ground bool
}

// state is what holds for an element, from those around it.
type state struct {
	style    style
	measures measures
	matrix   geom.Affine // user units to mm
	windows  []window
}

func (d *Document) pass(v view, tolerance float64, o Options) (*artist, error) {
	a := &artist{Document: d, options: o, tolerance: tolerance, room: mostPoints, using: map[*element]bool{}}
	a.notes = notes{file: d.file, list: append([]note(nil), d.notes.list...)}
	s := state{style: initialStyle(), measures: v.inner, matrix: v.matrix}
	if v.size.X > 0 && !v.open {
		a.sheet = windowOf(geom.Box{Max: v.size}, identity)
		s.windows = []window{a.sheet}
	}
	if err := a.element(d.root, s); err != nil {
		return nil, err
	}
	a.withoutGround()
	return a, nil
}

// withoutGround leaves out fills of the whole sheet, if there is more to see.
func (a *artist) withoutGround() {
	var kept []stroke
	for _, s := range a.strokes {
		if !s.ground {
			kept = append(kept, s)
		}
	}
	if len(kept) > 0 {
		a.strokes = kept
	}
}

// groups are the elements that are drawn by what stands in them.
var groups = map[string]bool{"g": true, "a": true, "svg": true, "switch": true}

// silent are the elements that are drawn only where others refer to them, or
// that describe the drawing.
var silent = map[string]bool{
	"defs": true, "symbol": true, "clipPath": true, "mask": true, "marker": true, "pattern": true, "filter": true,
	"linearGradient": true, "radialGradient": true, "meshgradient": true, "hatch": true, "stop": true, "solidcolor": true, "solidColor": true,
	"style": true, "script": true, "title": true, "desc": true, "metadata": true, "view": true, "cursor": true, "color-profile": true,
	"font": true, "font-face": true, "glyph": true, "missing-glyph": true, "link": true,
}

// noted are the elements that have no line.
var noted = map[string]string{
	"text": "text", "flowRoot": "text", "tspan": "text", "textPath": "text", "tref": "text",
	"image": "image", "video": "image", "canvas": "image",
	"foreignObject": "foreign", "iframe": "foreign", "audio": "foreign",
	"animate": "animation", "animateTransform": "animation", "animateMotion": "animation", "animateColor": "animation", "set": "animation",
}

// element draws an element with what stands in it.
func (a *artist) element(e *element, s state) error {
	if silent[e.name] {
		return nil
	}
	var said declared
	s, seen, err := a.enter(e, s, &said)
	if err != nil || !seen {
		return err
	}
	trace, isShape := shapes[e.name]
	switch kind, isNoted := noted[e.name]; {
	case isShape:
		return a.shape(e, trace, &said, s)
	case e.name == "use":
		return a.use(e, &said, s)
	case e.name == "svg" && e != a.root:
		return a.viewport(e, &said, s, said[ofWidth], said[ofHeight])
	case groups[e.name]:
		return a.children(e, s)
	case isNoted:
		if !s.style.hidden {
			a.notes.add(kind, e, "`<"+e.name+">`")
		}
	default:
		a.notes.add("element", e, "`<"+e.name+">`")
	}
	return nil
}

// children draws what stands in a group; of a switch the first that is wanted.
func (a *artist) children(e *element, s state) error {
	for _, child := range e.children {
		if e.name == "switch" {
			_, isShape := shapes[child.name]
			if !isShape && !groups[child.name] && child.name != "use" && noted[child.name] == "" || !wanted(child) {
				continue
			}
			return a.element(child, s)
		}
		if err := a.element(child, s); err != nil {
			return err
		}
	}
	return nil
}

// wanted reports whether the conditions of an element hold (SVG 2, section
// 5.7): no extension is known, and of languages English is taken.
func wanted(e *element) bool {
	for _, a := range e.attributes {
		switch a.name {
		case "requiredExtensions":
			return false
		case "systemLanguage":
			english := false
			for language := range strings.SplitSeq(a.value, ",") {
				language = strings.ToLower(strings.TrimSpace(language))
				english = english || language == "en" || strings.HasPrefix(language, "en-")
			}
			if !english {
				return false
			}
		}
	}
	return true
}

// enter finds what holds within an element; seen is false if nothing of it is.
func (a *artist) enter(e *element, s state, said *declared) (state, bool, error) {
	if a.drawn++; a.drawn > mostDrawn {
		return s, false, a.fault("drawing-large", e.start, e.end, diag.Args{"limit": diag.Grouped(mostDrawn), "what": "elements, those that `use` repeats counted"})
	}
	if err := a.options.Charge(20, 0); err != nil {
		return s, false, err
	}
	a.declare(e, said)
	unread := func(p property) {
		a.notes.addAt("attribute", a.valueSpan(e, propertyNames[p], 0, len(said[p])), "`"+propertyNames[p]+"`")
	}
	if said[ofDisplay] == "none" || !wanted(e) {
		return s, false, nil
	}
	if x, ok := share(said[ofOpacity]); ok && x <= 0 {
		return s, false, nil
	}
	s.style = s.style.inherit(said, &s.measures, unread)
	if text := said[ofTransform]; text != "" {
		own, ok := s.measures.transform(text)
		if !ok {
			unread(ofTransform)
		} else if text := said[ofTransformOrigin]; text != "" {
			at, ok := s.measures.origin(text)
			if !ok || said[ofTransformBox] != "" && said[ofTransformBox] != "view-box" {
				unread(ofTransformOrigin)
			}
			own = about(at, own)
		}
		s.matrix = own.Then(s.matrix)
	}
	for _, p := range []struct {
		property property
		thing    string
	}{{ofMask, "mask"}, {ofFilter, "filter"}} {
		if text := said[p.property]; text != "" && text != "none" && !s.style.hidden {
			a.notes.add(p.thing, e, "a "+p.thing)
		}
	}
	return s, true, nil
}

// use draws an element once more (SVG 2, section 5.5).
func (a *artist) use(e *element, said *declared, s state) error {
	id, ours := strings.CutPrefix(strings.TrimSpace(e.attribute("href")), "#")
	target := a.byID[id]
	if !ours || target == nil {
		a.notes.add("reference", e, "`"+e.attribute("href")+"`")
		return nil
	}
	if a.using[target] {
		return a.fault("drawing-use-loop", e.start, e.end, diag.Args{"name": id})
	}
	a.using[target] = true
	defer delete(a.using, target)
	t := tracing{element: e, said: said, measures: &s.measures, unread: a.unread(e)}
	x, _ := t.size(ofPosX, across)
	y, _ := t.size(ofPosY, upward)
	s.matrix = geom.Translation(geom.Point{X: x, Y: y}).Then(s.matrix)
	if target.name != "symbol" && target.name != "svg" {
		return a.element(target, s)
	}
	var inner declared
	s, seen, err := a.enter(target, s, &inner)
	if err != nil || !seen {
		return err
	}
	size := func(p property) string {
		if said[p] != "" && said[p] != "auto" {
			return said[p]
		}
		return inner[p]
	}
	return a.viewport(target, &inner, s, size(ofWidth), size(ofHeight))
}

func (a *artist) unread(e *element) func(string) {
	return func(name string) {
		a.notes.addAt("attribute", a.valueSpan(e, name, 0, len(e.attribute(name))), "`"+name+"`")
	}
}

// viewport draws what stands in a viewport within another (SVG 2, section 8.3).
func (a *artist) viewport(e *element, said *declared, s state, wide, high string) error {
	t := tracing{element: e, said: said, measures: &s.measures, unread: a.unread(e)}
	x, _ := t.size(ofPosX, across)
	y, _ := t.size(ofPosY, upward)
	w, h := s.measures.width, s.measures.height
	if wide != "" && wide != "auto" {
		w, _ = s.measures.length(wide, across)
	}
	if high != "" && high != "auto" {
		h, _ = s.measures.length(high, upward)
	}
	if !(w > 0) || !(h > 0) {
		return nil
	}
	port := geom.Box{Min: geom.Point{X: x, Y: y}, Max: geom.Point{X: x + w, Y: y + h}}
	if said[ofOverflow] != "visible" && said[ofOverflow] != "auto" {
		s.windows = append(s.windows[:len(s.windows):len(s.windows)], windowOf(port, s.matrix))
	}
	text := e.attribute("viewBox")
	box, ok := viewBox(text)
	switch {
	case ok && (box.Width() <= 0 || box.Height() <= 0):
		return nil
	case ok:
		ratio, okRatio := aspectOf(e.attribute("preserveAspectRatio"))
		if !okRatio {
			t.unread("preserveAspectRatio")
		}
		s.matrix = ratio.into(box, port).Then(s.matrix)
		s.measures.width, s.measures.height = box.Width(), box.Height()
	default:
		if text != "" {
			t.unread("viewBox")
		}
		s.matrix = geom.Translation(port.Min).Then(s.matrix)
		s.measures.width, s.measures.height = w, h
	}
	return a.children(e, s)
}

// shape draws a basic shape or a path.
func (a *artist) shape(e *element, trace func(*tracing), said *declared, s state) error {
	filled := a.visible(e, s.style.fill, s.style.fillOpacity) && a.options.Fills != None
	stroked := a.visible(e, s.style.stroke, s.style.strokeOpacity) && s.style.strokeWidth > 0
	k := span(s.matrix)
	if s.style.hidden || !filled && !stroked || k == 0 {
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
	if len(outline) > 0 && stroked && e.name != "rect" && e.name != "circle" && e.name != "ellipse" && s.style.markers != [3]bool{} {
		a.notes.add("marker", e, "a marker")
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
	for i, d := range s.style.dashes {
		dashes[i] = float64(d * scale)
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
	placed := s.matrix.Append(make([]geom.Point, 0, len(line)), line)
	for _, p := range placed {
		if !(math.Abs(p.X) <= cutMM && math.Abs(p.Y) <= cutMM) {
			return a.tooFar(e)
		}
	}
	lines := [][]geom.Point{placed}
	for _, w := range s.windows {
		var kept [][]geom.Point
		for _, line := range lines {
			kept = append(kept, w.lines(line)...)
		}
		lines = kept
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
