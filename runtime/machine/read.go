//go:build !js

// The engine in a browser has no profile files, and the library for TOML would be
// in it: what that makes when a program starts keeps it there.

package machine

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
)

// Read reads a profile file (TOML 1.0). All its faults are reported at once,
// each at its line and key. The profile is nil where any of them is an error.
func Read(file *source.File) (*Profile, diag.List) {
	r := newReader(file)
	if !r.open() {
		return nil, r.diagnostics
	}
	r.unknownKeys()
	r.take()
	r.completeLine("x")
	r.completeLine("y")
	if !r.diagnostics.Failed() {
		r.consistent()
	}
	if r.diagnostics.Failed() {
		return nil, r.diagnostics.Sorted()
	}
	return r.profile, r.diagnostics.Sorted()
}

func newReader(file *source.File) *reader {
	return &reader{file: file, profile: Blank(), places: map[string]place{}, misspelt: map[string]bool{}}
}

// open takes the file apart; it is false if that cannot be done.
func (r *reader) open() bool {
	text := []byte(r.file.Text)
	if err := toml.Unmarshal(text, &r.values); err != nil {
		r.diagnostics = append(r.diagnostics, r.syntaxFault(err))
		return false
	}
	r.locate(text)
	return true
}

type reader struct {
	file        *source.File
	profile     *Profile
	values      map[string]any
	places      map[string]place // by path, tables too
	order       []string         // paths in order of the file
	misspelt    map[string]bool  // known keys that an unknown one is near
	diagnostics diag.List
}

// place is where a key stands and where its value.
type place struct{ key, value source.Span }

func (r *reader) syntaxFault(err error) diag.Diagnostic {
	span := source.Span{File: r.file}
	var fault *toml.DecodeError
	if errors.As(err, &fault) {
		line, column := fault.Position()
		if line >= 1 && line <= r.file.Lines() {
			text := r.file.Line(line)
			start := r.file.LineStart(line)
			span.Start = start + min(max(column-1, 0), len(text))
			span.End = start + len(text)
		}
	}
	return diag.New("profile-syntax", span, nil)
}

// locate notes where each key and value stands.
func (r *reader) locate(text []byte) {
	var p unstable.Parser
	p.Reset(text)
	table := ""
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			name, span := r.keyOf(e)
			table = name
			if _, seen := r.places[name]; !seen {
				r.note(name, place{span, span})
			}
		case unstable.KeyValue:
			r.locateValue(table, e)
		}
	}
}

func (r *reader) locateValue(table string, e *unstable.Node) {
	name, key := r.keyOf(e)
	path := name
	if table != "" {
		path = table + "." + name
	}
	value := r.spanOf(e.Value())
	if !value.Known() {
		value = key
	}
	r.note(path, place{key, value})
	if e.Value().Kind == unstable.InlineTable {
		for children := e.Value().Children(); children.Next(); {
			r.locateValue(path, children.Node())
		}
	}
}

func (r *reader) note(path string, at place) {
	r.places[path] = at
	r.order = append(r.order, path)
}

func (r *reader) keyOf(e *unstable.Node) (string, source.Span) {
	name, span := "", source.Span{}
	for parts := e.Key(); parts.Next(); {
		part := parts.Node()
		if name != "" {
			name += "."
		}
		name += string(part.Data)
		here := r.spanOf(part)
		if !span.Known() {
			span = here
		} else if here.Known() {
			span = span.To(here)
		}
	}
	if !span.Known() {
		span = source.Span{File: r.file}
	}
	return name, span
}

func (r *reader) spanOf(n *unstable.Node) source.Span {
	switch {
	case n.Raw.Length > 0:
		return source.Span{File: r.file, Start: int(n.Raw.Offset), End: int(n.Raw.Offset + n.Raw.Length)}
	case n.Kind == unstable.Array:
		whole := source.Span{}
		for children := n.Children(); children.Next(); {
			if here := r.spanOf(children.Node()); here.Known() && !whole.Known() {
				whole = here
			} else if here.Known() {
				whole = whole.To(here)
			}
		}
		return whole
	}
	return source.Span{}
}

// mostUnknownKeys are reported: a file with more is no profile.
const mostUnknownKeys = 40

// unknownKeys reports keys and tables that a profile does not have.
func (r *reader) unknownKeys() {
	known := map[string]bool{}
	var all []string
	for i := range keys {
		known[keys[i].path()] = true
		all = append(all, keys[i].path())
	}
	for _, t := range tables {
		known[t] = true
		all = append(all, t)
	}
	var refused []string
next:
	for _, path := range r.order {
		if known[path] {
			continue
		}
		for _, above := range refused {
			if len(path) > len(above) && path[:len(above)+1] == above+"." {
				continue next
			}
		}
		if len(refused) == mostUnknownKeys {
			return
		}
		refused = append(refused, path)
		at := r.places[path].key
		d := diag.New("profile-key-unknown", at, diag.Args{"key": path})
		if near := nearest(path, all); near != "" {
			r.misspelt[near] = true
			if table := tableOf(near); table == tableOf(path) {
				meant := lastPart(near, at.Text())
				d = d.WithHint("did you mean `%s`?", meant).WithEdit(at, meant, false)
			} else {
				d = d.WithHint("did you mean `%s` in the table [%s]?", lastPart(near, ""), table)
			}
		}
		r.diagnostics = append(r.diagnostics, d)
	}
}

// take puts the values of the file into the profile.
func (r *reader) take() {
	lacking := map[string][]string{} // required keys by table
	for i := range keys {
		k := &keys[i]
		value, given := r.lookup(k)
		if !given {
			if k.required && !r.misspelt[k.path()] {
				lacking[k.table] = append(lacking[k.table], k.name)
			}
			continue
		}
		r.set(k, value)
	}
	for _, table := range append([]string{""}, tables...) {
		if names := lacking[table]; len(names) > 0 {
			r.missing(table, names)
		}
	}
}

// lookup is the value of a key. A table that is no table has no keys.
func (r *reader) lookup(k *key) (any, bool) {
	if k.table == "" {
		value, given := r.values[k.name]
		return value, given
	}
	table, given := r.values[k.table].(map[string]any)
	if !given {
		return nil, false
	}
	value, given := table[k.name]
	return value, given
}

// missing reports the required keys that a table does not have.
func (r *reader) missing(table string, names []string) {
	at, given := r.places[table]
	if _, isTable := r.values[table].(map[string]any); given && !isTable {
		r.wrongKind(table, at.value, "a table: ["+table+"] with its keys below")
		return
	}
	span, where, prefix := at.key, "["+table+"]", table+"."
	if !given {
		span = source.Span{File: r.file, Start: len(r.file.Text), End: len(r.file.Text)}
	}
	if table == "" {
		span, where, prefix = source.Span{File: r.file}, "the top of the file", ""
	}
	if table == "x" || table == "y" {
		if !given {
			names = append(names, "line_mm_per_motor_turn")
		}
	}
	more := ""
	if len(names) > 1 {
		more = fmt.Sprintf(" and %d more of %s", len(names)-1, where)
	}
	d := diag.New("profile-key-missing", span, diag.Args{"key": prefix + names[0], "more": more})
	r.diagnostics = append(r.diagnostics, d.WithHint("add to %s: %s", where, strings.Join(names, ", ")))
}

func (r *reader) wrongKind(path string, at source.Span, wanted string) {
	r.diagnostics = append(r.diagnostics, diag.New("profile-kind", at, diag.Args{"key": path, "wanted": wanted}))
}

func (r *reader) wrongValue(path string, at source.Span, why string) {
	r.diagnostics = append(r.diagnostics, diag.New("profile-value", at, diag.Args{"key": path, "why": why}))
}

func (r *reader) set(k *key, value any) {
	at := r.places[k.path()].value
	switch field := k.at(r.profile).(type) {
	case *float64:
		if n, ok := numberOf(value); !ok {
			r.wrongKind(k.path(), at, "a number")
		} else if r.inRange(k, n, at) {
			*field = n
		}
	case *int:
		if n, ok := value.(int64); !ok {
			r.wrongKind(k.path(), at, "a whole number")
		} else if r.inRange(k, float64(n), at) {
			*field = int(n)
		}
	case *bool:
		if v, ok := value.(bool); !ok {
			r.wrongKind(k.path(), at, "true or false")
		} else {
			*field = v
		}
	case *string:
		if v, ok := value.(string); !ok {
			r.wrongKind(k.path(), at, "text in double quotes")
		} else {
			*field = v
			if k.name == "name" && strings.ContainsFunc(v, unicode.IsControl) {
				r.wrongValue(k.path(), at, "a name has no line breaks and no other control characters")
			}
		}
	case *EraserKind:
		v, ok := value.(string)
		if !ok {
			r.wrongKind(k.path(), at, "text in double quotes")
			return
		}
		switch *field = EraserKind(v); *field {
		case EraserOperator, EraserSerial, EraserNone:
		default:
			r.wrongValue(k.path(), at, `it is one of "operator", "serial" and "none"`)
		}
	case *geom.Point:
		list, ok := value.([]any)
		if !ok || len(list) != 2 {
			r.wrongKind(k.path(), at, "a pair of numbers: [x, y]")
			return
		}
		x, okX := numberOf(list[0])
		y, okY := numberOf(list[1])
		if !okX || !okY {
			r.wrongKind(k.path(), at, "a pair of numbers: [x, y]")
		} else if r.inRange(k, x, at) && r.inRange(k, y, at) {
			*field = geom.Point{X: x, Y: y}
		}
	}
}

func numberOf(value any) (float64, bool) {
	switch v := value.(type) {
	case int64:
		return float64(v), true
	case float64:
		return v, true
	}
	return 0, false
}

func (r *reader) inRange(k *key, n float64, at source.Span) bool {
	why := k.refuses(n)
	if why != "" {
		r.wrongValue(k.path(), at, why)
	}
	return why == ""
}

// completeLine: the line of one turn is given either by the motor or by the
// knob with its gears.
func (r *reader) completeLine(table string) {
	if _, isTable := r.values[table].(map[string]any); !isTable {
		return
	}
	_, motor := r.places[table+".line_mm_per_motor_turn"]
	knob, byKnob := r.places[table+".line_mm_per_knob_turn"]
	gear, geared := r.places[table+".gear_ratio"]
	at := r.places[table].key
	switch {
	case r.misspelt[table+".line_mm_per_motor_turn"] || r.misspelt[table+".line_mm_per_knob_turn"] || r.misspelt[table+".gear_ratio"]:
		return
	case motor && byKnob:
		at = knob.key
	case motor && geared:
		at = gear.key
	case motor || byKnob && geared:
		return
	}
	r.diagnostics = append(r.diagnostics, diag.New("profile-line-per-turn", at, diag.Args{"axis": table}))
}

// consistent holds the values against each other.
func (r *reader) consistent() {
	p := r.profile
	at := func(path string) source.Span {
		if place, given := r.places[path]; given {
			return place.value
		}
		return source.Span{File: r.file, Start: len(r.file.Text), End: len(r.file.Text)}
	}
	for _, c := range p.contradictions(func(string) bool { return true }) {
		c.Span = at(c.key)
		r.diagnostics = append(r.diagnostics, c.Diagnostic)
		if c.Code == "profile-page-empty" {
			return
		}
	}
	for _, a := range p.axes() {
		drive := a.axis.StepsPerMM()
		if *a.set == 0 {
			*a.set = drive
		}
		// Boards keep three decimals; beyond that the line would have another
		// size by half a step or more at the far edge.
		if off := math.Abs(*a.set-drive) * a.span; off > max(0.5, 0.0005*a.span) {
			r.diagnostics = append(r.diagnostics, diag.New("profile-steps-differ", at("board.steps_per_mm"), diag.Args{
				"axis": a.name, "board": short(*a.set), "drive": fmt.Sprintf("%.3f", drive),
			}))
		}
	}
	if reached := p.ReachedMM(); !r.diagnostics.Failed() && reached > p.Drawing.ToleranceMM {
		r.diagnostics = append(r.diagnostics, diag.New("profile-tolerance", at("drawing.tolerance_mm"), diag.Args{
			"tolerance": short(p.Drawing.ToleranceMM), "reached": short(math.Ceil(reached*1000) / 1000),
		}))
	}
}
