package gcode

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// TraceOptions say how somebody's file is to be read.
type TraceOptions struct {
	// Start is where the stylus stands where the file does not say it, in page
	// mm.
	Start geom.Point
	// DrawTravel takes the ways on which the file lifts its tool, or switches it
	// off, for line: on this machine they are.
	DrawTravel bool
}

// Traced is the line that a file means.
type Traced struct {
	Plan *plan.Plan // one sheet; nil if the file has errors
	// Asserted tells that the file itself says, for an axis or both, where the
	// stylus must stand before it, and draws from there.
	Asserted bool
	// TravelMM is the length of the ways between two parts of the drawing that
	// the file did not want drawn.
	TravelMM float64
}

// Trace reads anyone's instruction file and gives the line that it means, in
// page mm, to be lowered anew for a machine: its speeds and whatever it does
// beside drawing are not followed. A file of ours in which slack is made up for
// means the line of the stylus behind that slack, and only the machine that it
// names can say which that is.
//
// The line begins where the file first draws, and ends where it last does: the
// ways there and from there, with the tool lifted or off, are left out.
//
// Every other motion is held against the area of the machine. Where the line runs so
// near to its edge that the slack leaves no room to turn there, it is drawn that
// much farther in, and this is told.
func Trace(name, text string, p *machine.Profile, o TraceOptions) (Traced, diag.List) {
	file := sync.OnceValue(func() *source.File { return source.New(name, text) })
	t := tracer{p: p, text: text, area: p.AreaBox()}
	if made, ok := ownHeading(text); ok && made.compensated {
		if made.machine != nameInHeading(p) {
			return Traced{}, diag.List{diag.New("instruction-other-machine", source.Span{File: file(), Start: 0, End: made.length},
				diag.Args{"name": made.machine, "other": p.Name})}
		}
		t.behind = &made
	}
	start := p.ToMachine(o.Start)
	r := newReader(Settings{Start: start, Anyones: true, Paused: t.pause}, t.move, file)
	r.lines([]byte(text))
	travel := travels(t.stretches, r.level())
	approach, departure := t.trim(travel)
	r.closed = r.closed || departure
	reading, list := r.done()
	list = append(list, t.outside(file())...)
	if reading.Motions == 0 || len(t.points) < 2 {
		if !list.Failed() {
			list = append(list, diag.New("instruction-empty", source.Span{File: file()}, nil))
		}
		return Traced{}, list.Sorted()
	}
	if t.stretches[0].loose && !list.Failed() {
		from := p.ToPage(t.points[0])
		list = append(list, diag.New("instruction-start-unsaid", lineSpan(file(), t.stretches[0].start), diag.Args{
			"x": strconv.FormatFloat(from.X, 'f', 1, 64), "y": strconv.FormatFloat(from.Y, 'f', 1, 64),
		}))
	}
	traced := Traced{Plan: t.plan(file()), Asserted: (r.assertedX || r.assertedY) && !approach}
	traced.Plan.Sheets[0].Begun = approach && t.points[0].Distance(start) > geom.SamePoint
	list = append(list, t.lifted(&traced, travel, o, file())...)
	if list.Failed() {
		traced.Plan = nil
		return traced, list.Sorted()
	}
	if d, inset := t.inset(file()); inset {
		list = append(list, d)
	}
	traced.Plan.Sheets[0].Points = t.onPage()
	traced.Plan.ToleranceMM = p.FlattenToleranceMM()
	return traced, list.Sorted()
}

// tracer collects the line, in machine mm.
type tracer struct {
	p         *machine.Profile
	text      string
	area      geom.Box
	behind    *own // of a file in which slack was made up for
	follow    stylus
	points    []geom.Point
	stretches []stretch
	pauses    []plan.Pause
	paused    []stretch // where in the text each pause stands
	overruns  []overrun
}

func (t *tracer) add(at geom.Point) {
	if n := len(t.points); n == 0 || t.points[n-1].Distance(at) > geom.SamePoint {
		t.points = append(t.points, at)
	}
}

func (t *tracer) move(m *Motion) {
	box := geom.Box{Min: m.To, Max: m.To}
	if m.Arc != nil {
		box = m.Arc.Bounds(m.From, m.To)
	}
	box = box.Include(m.From)
	for i, over := range [4]float64{t.area.Min.X - box.Min.X, box.Max.X - t.area.Max.X, t.area.Min.Y - box.Min.Y, box.Max.Y - t.area.Max.Y} {
		if over > edgeToleranceMM {
			t.overruns = append(t.overruns, overrun{len(t.stretches), m.Start, i, over})
		}
	}
	if len(t.points) == 0 {
		from := m.From
		if t.behind != nil {
			t.follow = newStylus(t.p, true, t.p.ToMachine(t.behind.stylus), machine.Gap{})
			t.follow.motor = m.From
			from = t.follow.at()
		}
		t.add(from)
	}
	first := len(t.points) - 1
	towards := t.add
	if t.behind != nil {
		towards = func(at geom.Point) { t.follow.move(at, t.add) }
	}
	if m.Arc == nil {
		towards(m.To)
	} else {
		m.Arc.Chords(m.From, m.To, t.p.FlattenToleranceMM(), towards)
	}
	if len(t.points)-1 > first {
		t.stretches = append(t.stretches, stretch{first: first, start: m.Start, end: m.End, lift: m.Lift, loose: m.Loose})
	}
}

func (t *tracer) pause(message string, start, end int) {
	t.pauses = append(t.pauses, plan.Pause{Vertex: max(0, len(t.points)-1), Message: message})
	t.paused = append(t.paused, stretch{start: start, end: end})
}

// trim leaves out the motions before the file first draws and after it last
// does, and reports of either kind whether there were any.
func (t *tracer) trim(travel func(Lift) bool) (approach, departure bool) {
	from, to := 0, len(t.stretches)
	for from < to && travel(t.stretches[from].lift) {
		from++
	}
	for to > from && travel(t.stretches[to-1].lift) {
		to--
	}
	if from == to {
		return false, false
	}
	first, last := t.stretches[from].first, len(t.points)-1
	if to < len(t.stretches) {
		last = t.stretches[to].first
	}
	departure = to < len(t.stretches)
	t.points = t.points[first : last+1]
	t.stretches = t.stretches[from:to]
	for i := range t.stretches {
		t.stretches[i].first -= first
	}
	for i := range t.pauses {
		t.pauses[i].Vertex = max(0, min(t.pauses[i].Vertex-first, last-first))
	}
	t.overruns = slices.DeleteFunc(t.overruns, func(o overrun) bool { return o.stretch < from || departure && o.stretch >= to })
	return from > 0, departure
}

// outside says how far the motions lead past each edge of the area.
func (t *tracer) outside(file *source.File) diag.List {
	var list diag.List
	for edge, past := range [4]string{"past the left edge", "past the right edge", "below the lower edge", "above the upper edge"} {
		count, first, most := 0, 0, 0.0
		for _, o := range t.overruns {
			if o.edge != edge {
				continue
			}
			if count++; count == 1 {
				first = o.start
			}
			most = max(most, o.mm)
		}
		if count > 0 {
			list = append(list, diag.New("instruction-outside-area", lineSpan(file, first), diag.Args{
				"past": past, "mm": diag.Millimetres(most), "count": count,
				"width": t.p.Area.WidthMM, "height": t.p.Area.HeightMM,
			}))
		}
	}
	return list
}

// plan is the line with the line of text that each piece comes from.
func (t *tracer) plan(file *source.File) *plan.Plan {
	sheet := &plan.Sheet{Place: make([]uint32, len(t.points)-1), Pauses: t.pauses}
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, len(t.stretches))}
	for i, s := range t.stretches {
		whole.Places[i].Span = source.Span{File: file, Start: s.start, End: s.end}
		last := len(t.points) - 1
		if i+1 < len(t.stretches) {
			last = t.stretches[i+1].first
		}
		for k := s.first; k < last; k++ {
			sheet.Place[k] = uint32(i)
		}
	}
	for i, at := range t.paused {
		sheet.Pauses[i].Span = source.Span{File: file, Start: at.start, End: at.end}
	}
	return whole
}

// lifted finds what the file did not want drawn. Without leave to draw it, that
// is an error.
func (t *tracer) lifted(traced *Traced, travel func(Lift) bool, o TraceOptions, file *source.File) diag.List {
	count, first := 0, -1
	for i, s := range t.stretches {
		if !travel(s.lift) {
			continue
		}
		if count == 0 || !travel(t.stretches[i-1].lift) {
			count++
		}
		if first < 0 {
			first = i
		}
		traced.Plan.Places[i].Role = plan.Link
		last := len(t.points) - 1
		if i+1 < len(t.stretches) {
			last = t.stretches[i+1].first
		}
		for k := s.first; k < last; k++ {
			traced.TravelMM += t.points[k].Distance(t.points[k+1])
		}
	}
	if count == 0 {
		return nil
	}
	code := diag.Code("instruction-travel")
	if o.DrawTravel {
		code = "instruction-travel-drawn"
	}
	return diag.List{diag.New(code, source.Span{File: file, Start: t.stretches[first].start, End: t.stretches[first].end},
		diag.Args{"mm": strconv.FormatFloat(traced.TravelMM, 'f', 1, 64), "times": times(count), "file": typed(file.Name)})}
}

// typed is the name of a file as a person types it in a command.
func typed(name string) string {
	switch {
	case name == "<stdin>":
		return "-"
	case strings.ContainsAny(name, " \t"):
		return `"` + name + `"`
	}
	return name
}

// reach is where the stylus can turn on both flanks of its slack without the
// motors leaving the area.
func (t *tracer) reach() geom.Box {
	s := t.p.StepsPerMM()
	x, y := float64((t.p.X.SlackSteps()+1)/2), float64((t.p.Y.SlackSteps()+1)/2)
	last := t.p.NearestStep(t.area.Max)
	return geom.Box{
		Min: geom.Point{X: x / s.X, Y: y / s.Y},
		Max: geom.Point{X: (float64(last.X) - x) / s.X, Y: (float64(last.Y) - y) / s.Y},
	}
}

// inset moves what is too near to the edge into reach.
func (t *tracer) inset(file *source.File) (diag.Diagnostic, bool) {
	reach, most, farthest := t.reach(), 0.0, -1
	for i, at := range t.points {
		to := geom.Point{X: max(reach.Min.X, min(at.X, reach.Max.X)), Y: max(reach.Min.Y, min(at.Y, reach.Max.Y))}
		if by := to.Distance(at); by > 0 {
			t.points[i] = to
			if by > most {
				most, farthest = by, i
			}
		}
	}
	if most <= edgeToleranceMM {
		return diag.Diagnostic{}, false
	}
	s := t.stretches[0]
	for _, next := range t.stretches {
		if next.first < farthest {
			s = next
		}
	}
	return diag.New("instruction-at-edge", source.Span{File: file, Start: s.start, End: s.end}, diag.Args{"mm": diag.Millimetres(most)}), true
}

func (t *tracer) onPage() []geom.Point {
	points := t.points
	for i, at := range points {
		points[i] = t.p.ToPage(at)
	}
	return points
}

// edgeToleranceMM: on the edge is inside; sums of decimal numbers in binary
// are off by less than this.
const edgeToleranceMM = 1e-6

// overrun is a motion that leads past an edge.
type overrun struct {
	stretch, start int // which motion, and where it stands in the text
	edge           int
	mm             float64
}
