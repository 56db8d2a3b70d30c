package svg

import (
	"strings"

	"wend/lang/diag"
	"wend/runtime/geom"
)

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
	return a.content(e, &said, s)
}

// content draws what an element is or holds.
func (a *artist) content(e *element, said *declared, s state) error {
	trace, isShape := shapes[e.name]
	switch kind, isNoted := noted[e.name]; {
	case isShape:
		return a.shape(e, trace, said, s)
	case e.name == "use":
		return a.use(e, said, s)
	case e.name == "svg" && e != a.root:
		return a.viewport(e, said, s, said[ofWidth], said[ofHeight])
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
	made := a.made
	a.made = 0
	if err := a.options.Charge(20, -made*vertexBytes); err != nil {
		return s, false, err
	}
	a.declare(e, said)
	unread := func(p property) {
		a.notes.addAt("attribute", a.valueSpan(e, propertyNames[p], 0, len(said[p])), "`"+propertyNames[p]+"`")
	}
	if said[ofDisplay] == "none" || !wanted(e) {
		return s, false, nil
	}
	if x, ok := share(said[ofOpacity]); ok {
		if x <= 0 {
			return s, false, nil
		}
		s.opacity = float64(s.opacity * min(x, 1))
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
			s.veiled = true
			a.notes.add(p.thing, e, "a "+p.thing)
		}
	}
	if text := said[ofClipPath]; text != "" && text != "none" && a.measured == nil {
		return a.clipped(e, said, s)
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
