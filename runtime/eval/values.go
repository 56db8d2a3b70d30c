package eval

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// wrongKind ends the run: a value is not of the kind that is needed here.
func (m *machine) wrongKind(in *code.Instr, v value.Value) {
	note := m.program.Notes[in.D]
	m.fail("value-kind", diag.Args{"what": note.What, "wanted": note.Want, "found": v.Kind()})
}

//go:noinline
func (m *machine) unbox(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	switch in.Op {
	case code.UnboxB:
		if v[in.B].Kind() != types.Bool {
			m.wrongKind(in, v[in.B])
		}
		n[in.A] = v[in.B].Number()
	case code.UnboxP:
		if v[in.B].Kind() != types.Point {
			m.wrongKind(in, v[in.B])
		}
		p := v[in.B].Point()
		n[in.A], n[in.A+1] = p.X, p.Y
	case code.Fit:
		fit := &m.program.Fits[in.D]
		m.judgeArguments(fit, v[in.A:int(in.A)+len(fit.Args)])
	}
}

// judgeArguments ends the run if the arguments of a library word fit none of
// its forms. The form that they fit furthest was meant.
func (m *machine) judgeArguments(fit *code.Fitting, args []value.Value) {
	furthest, wanted, param := -1, types.Unknown, ""
	for _, form := range fit.Forms {
		at := misfit(form, args)
		if at < 0 {
			return
		}
		if at > furthest {
			furthest, wanted, param = at, types.Unknown, form.ParamAt(at).Name
		}
		if at == furthest {
			wanted |= form.ParamAt(at).Kinds
		}
	}
	m.halt(diag.New("value-kind", fit.Args[furthest], diag.Args{
		"what": "`" + param + "` of `" + fit.Word + "`", "wanted": wanted, "found": args[furthest].Kind(),
	}))
}

// misfit is the first argument that a form does not take, or -1.
func misfit(form *types.Form, args []value.Value) int {
	for i, arg := range args {
		if arg != value.Nothing && !form.ParamAt(i).Kinds.Has(arg.Kind()) {
			return i
		}
	}
	return -1
}

// variable reads and sets variables that have no register in the frame.
//
//go:noinline
func (m *machine) variable(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	unset := false
	module, slot := &moduleFrame{}, int(in.D&0xffff)
	if in.Op != code.GetSpilled && in.Op != code.SetSpilled {
		module = &m.modules[in.D>>16]
	}
	switch in.Op {
	case code.GlobalN:
		x := m.numbers[module.numBase+slot]
		unset = x != x
		n[in.A] = x
	case code.GlobalP:
		x := m.numbers[module.numBase+slot]
		unset = x != x
		n[in.A], n[in.A+1] = x, m.numbers[module.numBase+slot+1]
	case code.GlobalV:
		v[in.A] = m.values[module.vBase+slot]
		unset = v[in.A] == value.Nothing
	case code.GlobalSpilled:
		v[in.A] = module.spilled[slot]
		unset = v[in.A] == value.Nothing
	case code.GetSpilled:
		v[in.A] = m.ownSpilled()[in.D]
		unset = v[in.A] == value.Nothing
	case code.SetSpilled:
		m.ownSpilled()[in.D] = v[in.A]
	}
	if unset {
		m.fail("used-before-let", diag.Args{"name": m.span().Text()})
	}
}

// prepare begins a loop.
//
//go:noinline
func (m *machine) prepare(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	switch in.Op {
	case code.RangePrep:
		n[in.A+2] = m.rangeCount(n[in.A], n[in.A+1], n[in.A+2])
		n[in.A+3] = -1
	case code.RepeatPrep:
		count := math.Round(n[in.A])
		if count < 0 || math.Abs(n[in.A]-count) > 1e-9*max(1, count) {
			d := diag.New("passes-whole", m.span(), diag.Args{"count": shown(n[in.A])})
			if count < 0 {
				d.Hint = "`max(0, …)` keeps it from going below 0"
			}
			m.halt(d)
		}
		n[in.A] = count
		n[in.A+1] = -1
	case code.IterPrep:
		if k := v[in.A].Kind(); k != types.List && k != types.Text {
			m.fail("loop-values", diag.Args{"found": k})
		}
		n[in.B] = -1
	}
	m.pc = int(in.D)
}

// next takes the item that a loop comes to and goes to its body, if there is one.
//
//go:noinline
func (m *machine) next(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	n[in.B]++
	items, i := v[in.A], int(n[in.B])
	if i >= items.Length() {
		return
	}
	item := items.Look(i)
	if in.Op != code.IterLook {
		item.Share()
	}
	switch in.Op {
	case code.IterN:
		n[in.C] = item.Number()
	case code.IterP:
		p := item.Point()
		n[in.C], n[in.C+1] = p.X, p.Y
	case code.IterV, code.IterLook:
		v[in.C] = item
	}
	if m.fuel--; m.fuel < 0 {
		m.refuel(m.pc, 0)
	}
	m.pc = int(in.D)
}

func (m *machine) rangeCount(from, step, to float64) float64 {
	if step == 0 {
		m.fail("range-step", nil)
	}
	count := value.RangeCount(from, to, step)
	if !(count <= 1<<53) {
		m.fail("range-endless", diag.Args{"from": shown(from), "to": shown(to), "step": shown(step)})
	}
	return count
}

func (m *machine) rangeList(from, step, to float64) value.Value {
	count := m.rangeCount(from, step, to)
	m.keep(boundedBytes(count))
	m.charge(boundedBytes(count) / 64)
	list := make([]value.Value, int(count))
	for i := range list {
		list[i] = value.Number(from + float64(float64(i)*step))
	}
	return value.List(list)
}

// boundedBytes is what a list of so many items takes, or more than any limit.
func boundedBytes(count float64) int {
	return int(min(64+16*count, 1<<50))
}

func (m *machine) listAppend(in *code.Instr, v *[window]value.Value) {
	list, more := v[in.A], v[in.B]
	if list.Kind() != types.List || more.Kind() != types.List {
		v[in.A] = m.arith(list, code.Plus, more)
		return
	}
	items := more.List()
	grown, copied := list.Append(items, true)
	v[in.A] = grown
	m.keep(16 * copied)
	m.charge(copied / 8)
}

// Items.

// place makes an index from 0 of a place from 1 or, from the end, -1.
func (m *machine) placeIn(place float64, length int) int {
	i := int(place)
	if float64(i) != place { // no whole number, or one beyond those of the processor
		if i = int(max(-1e15, min(place, 1e15))); float64(i) != place {
			m.fail("index-whole", diag.Args{"place": shown(place)})
		}
	}
	switch {
	case 1 <= i && i <= length:
		return i - 1
	case -length <= i && i <= -1:
		return length + i
	}
	m.noSuchPlace(place, length)
	return 0
}

func (m *machine) noSuchPlace(place float64, length int) {
	if length == 0 {
		m.fail("index-empty", diag.Args{"place": shown(place)})
	}
	m.fail("index-range", diag.Args{"place": shown(place), "length": length})
}

func (m *machine) hasItems(v value.Value) {
	switch k := v.Kind(); k {
	case types.List, types.Text:
	case types.Record:
		m.fail("field-by-place", diag.Args{"found": types.Number})
	default:
		m.fail("no-items", diag.Args{"found": k})
	}
}

//go:noinline
func (m *machine) index(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	item := m.item(v[in.B], n[in.C])
	if in.Op == code.IndexN {
		n[in.A] = item.Number()
	} else {
		v[in.A] = item
	}
}

func (m *machine) item(v value.Value, place float64) value.Value {
	m.hasItems(v)
	return v.Look(m.placeIn(place, v.Length()))
}

func (m *machine) itemAny(v, place value.Value) value.Value {
	switch place.Kind() {
	case types.Text:
		if v.Kind() == types.Record {
			return m.fieldNamed(v, place.Text(), nil)
		}
	case types.Number:
		return m.item(v, place.Number())
	case types.List: // each of the places
		m.hasItems(v)
		places := place.List()
		m.keep(64 + 16*len(places))
		m.charge(len(places) / 8)
		picked := make([]value.Value, len(places))
		for i, at := range places {
			if at.Kind() != types.Number {
				m.fail("index-kind", diag.Args{"found": at.Kind()})
			}
			picked[i] = v.Item(m.placeIn(at.Number(), v.Length()))
		}
		if v.Kind() == types.Text {
			return m.concat(picked)
		}
		return value.List(picked)
	}
	m.fail("index-kind", diag.Args{"found": place.Kind()})
	return value.Nothing
}

// part is xs[from..to], both ends included.
func (m *machine) part(v value.Value, from, to float64) value.Value {
	first, last := m.partEnds(v, from, to)
	m.keep(64)
	if v.Kind() == types.Text {
		m.keep(last - first)
		m.charge((last - first) / 8)
		return v.Part(first, last)
	}
	part, copied := v.ListPart(first, last)
	m.copied(copied)
	return part
}

// shorten is part for a variable that is given the part of its own list.
func (m *machine) shorten(v value.Value, from, to float64) value.Value {
	if v.Kind() != types.List {
		return m.part(v, from, to)
	}
	first, last := m.partEnds(v, from, to)
	short, copied := v.Shorten(first, last)
	m.copied(copied)
	return short
}

// partEnds are the places, from 0, of the first item of xs[from..to] and of the
// one after the last.
func (m *machine) partEnds(v value.Value, from, to float64) (first, end int) {
	m.hasItems(v)
	length := v.Length()
	at := func(place float64) int { // from 1; may lie outside
		i := int(max(-1e15, min(place, 1e15)))
		if float64(i) != place {
			m.fail("index-whole", diag.Args{"place": shown(place)})
		}
		if i < 0 {
			i += length + 1
		}
		return i
	}
	first, last := at(from), at(to)
	switch {
	case first < 1 || first > length+1:
		m.noSuchPlace(from, length)
	case last < 0 || last > length:
		m.noSuchPlace(to, length)
	}
	return first - 1, max(last, first-1) // nothing, if the range is empty
}

func (m *machine) setItem(list value.Value, places []float64, x value.Value) value.Value {
	if list.Kind() != types.List {
		m.fail("assign-item", diag.Args{"found": list.Kind()})
	}
	i := m.placeIn(places[0], list.Length())
	if len(places) > 1 {
		// A list that cannot be changed in place is copied first, which marks
		// the lists in it.
		inner := list.List()[i]
		if list.Shared() {
			inner.Share()
		}
		x = m.setItem(inner, places[1:], x)
	}
	changed, copied := list.SetItem(i, x)
	m.copied(copied)
	return changed
}

// copied counts what was copied to change a list or record that is held twice.
func (m *machine) copied(values int) {
	if values > 0 {
		m.keep(64 + 16*values)
		m.charge(values / 8)
	}
}

func (m *machine) concat(parts []value.Value) value.Value {
	length := 0
	for _, part := range parts {
		if part.Kind() == types.Text {
			length += len(part.Text())
		}
	}
	m.keep(64 + length) // before it is made, as it may be very long
	m.charge(length / 256)
	var out strings.Builder
	out.Grow(length)
	for _, part := range parts {
		out.WriteString(part.String())
	}
	return value.Text(out.String())
}

// Fields.

// cachedField is where a field of a name was found last.
type cachedField struct {
	layout *value.Layout
	index  int
}

// field is `x.name`, the name being a text of the program.
func (m *machine) field(v value.Value, name int32) value.Value {
	if v.Kind() == types.Record {
		return m.fieldNamed(v, m.program.Texts[name], &m.fields[name])
	}
	return m.measure(v, m.program.Texts[name])
}

// ofRecord reads and sets fields that are named in the program.
//
//go:noinline
func (m *machine) ofRecord(in *code.Instr, n *[window]float64, v *[window]value.Value) {
	switch in.Op {
	case code.Field:
		v[in.A] = m.field(v[in.B], in.D)
	case code.FieldN:
		n[in.A] = m.field(v[in.B], in.D).Number()
	case code.TakeField:
		v[in.A] = m.takeField(v[in.B], in.D)
	case code.Taken:
		if v[in.A] = v[in.C]; v[in.C] == value.Nothing {
			v[in.A] = m.field(v[in.B], in.D)
		}
	case code.TakenN:
		x := v[in.C]
		if x == value.Nothing {
			x = m.field(v[in.B], in.D)
		}
		n[in.A] = x.Number()
	case code.SetField:
		v[in.A] = m.setField(v[in.A], in.D, v[in.B])
	case code.SetOfItem:
		v[in.A] = m.setOfItem(v[in.A], n[in.B], in.D, v[in.C])
	}
}

// takeField is a field of a record for a second holder, or nothing; what is no
// record gets a second holder itself.
func (m *machine) takeField(v value.Value, name int32) value.Value {
	if v.Kind() != types.Record {
		v.Share()
		return value.Nothing
	}
	f, cache := v.Fields(), &m.fields[name]
	if cache.layout != f.Layout {
		i := f.Layout.Index(m.program.Texts[name])
		if i < 0 {
			return value.Nothing
		}
		*cache = cachedField{f.Layout, i}
	}
	x := f.At(cache.index)
	x.Share()
	return x
}

// fieldNamed is a field of a record. With a cache, the name is that of the cache.
func (m *machine) fieldNamed(v value.Value, name string, cache *cachedField) value.Value {
	f := v.Fields()
	if cache != nil && cache.layout == f.Layout {
		return f.At(cache.index)
	}
	i := f.Layout.Index(name)
	if i < 0 {
		m.noField(f, name)
	}
	if cache != nil {
		*cache = cachedField{f.Layout, i}
	}
	return f.At(i)
}

// noField ends the run: a record has no field of that name.
func (m *machine) noField(f *value.Fields, name string) {
	if slices.Contains(f.Layout.LeftOut(), name) {
		m.fail("field-left-out", diag.Args{"name": name, "file": f.File, "line": f.Line})
	}
	d := diag.New("unknown-field", m.span(), diag.Args{"name": name})
	var names, leftOut []string
	for _, known := range f.Layout.Names() {
		names = append(names, diag.OneLine(known))
	}
	for _, known := range f.Layout.LeftOut() {
		leftOut = append(leftOut, diag.OneLine(known))
	}
	const mostListed = 12
	switch near := diag.Nearest(name, append(leftOut, names...), 3); {
	case len(near) > 0:
		d = d.WithHint("did you mean `%s`?", strings.Join(near, "` or `"))
	case len(names) > 0 && len(names) <= mostListed:
		d = d.WithHint("it has `%s`", strings.Join(names, "`, `"))
	}
	if f.Line > 0 {
		d.Message += fmt.Sprintf(" (it was read from line %d of `%s`)", f.Line, f.File)
	}
	m.halt(d)
}

// setField gives a field a value; its name is a text of the program.
func (m *machine) setField(v value.Value, name int32, x value.Value) value.Value {
	cache := &m.fields[name]
	if v.Kind() == types.Record && cache.layout == v.Fields().Layout {
		changed, copied := v.SetField(cache.index, x)
		m.copied(copied)
		return changed
	}
	return m.setAt(v, []value.Value{m.texts[name]}, x)
}

// setAt gives a value to what is found by places in lists and names in records.
// setOfItem gives a field of an item a value; its name is a text of the program.
func (m *machine) setOfItem(list value.Value, place float64, name int32, x value.Value) value.Value {
	if list.Kind() != types.List {
		m.fail("assign-item", diag.Args{"found": list.Kind()})
	}
	i := m.placeIn(place, list.Length())
	item := list.Look(i)
	shared := list.Shared()
	if shared {
		item.Share() // the list is copied, and then both hold it
	}
	changed := m.setField(item, name, x)
	if changed == item && !shared {
		return list
	}
	list, copied := list.SetItem(i, changed)
	m.copied(copied)
	return list
}

func (m *machine) setAt(v value.Value, at []value.Value, x value.Value) value.Value {
	place := at[0]
	switch place.Kind() {
	case types.Number:
		if v.Kind() != types.List {
			m.fail("assign-item", diag.Args{"found": v.Kind()})
		}
		i := m.placeIn(place.Number(), v.Length())
		changed, copied := v.SetItem(i, m.within(v, v.Look(i), at[1:], x))
		m.copied(copied)
		return changed
	case types.Text:
		if v.Kind() != types.Record {
			m.fail("assign-field", diag.Args{"name": place.Text()})
		}
		f := v.Fields()
		i := f.Layout.Index(place.Text())
		if i < 0 {
			m.noField(f, place.Text())
		}
		changed, copied := v.SetField(i, m.within(v, f.At(i), at[1:], x))
		m.copied(copied)
		return changed
	}
	m.fail("index-kind", diag.Args{"found": place.Kind()})
	return value.Nothing
}

// within is x, or what an inner list or record becomes with x put into it.
func (m *machine) within(holder, inner value.Value, at []value.Value, x value.Value) value.Value {
	if len(at) == 0 {
		return x
	}
	if holder.Shared() {
		inner.Share() // the holder is copied, and then both hold it
	}
	return m.setAt(inner, at, x)
}

// measure is `x.name` of what is no record.
func (m *machine) measure(v value.Value, name string) value.Value {
	switch v.Kind() {
	case types.List, types.Text:
		switch {
		case name == "length":
			return value.Number(float64(v.Length()))
		case name == "bounds" && v.Kind() == types.List:
			return value.Box(m.jointBounds(v.List()))
		}
	case types.Point:
		switch name {
		case "x":
			return value.Number(v.Point().X)
		case "y":
			return value.Number(v.Point().Y)
		}
	case types.Path:
		if field, ok := m.pathField(v.Path(), name); ok {
			return field
		}
	case types.Box:
		if field, ok := boxField(v.Box(), name); ok {
			return field
		}
	case types.Image:
		width, height := v.Image().Size()
		switch name {
		case "width":
			return value.Number(float64(width))
		case "height":
			return value.Number(float64(height))
		}
	}
	m.fail("no-measure", diag.Args{"found": v.Kind(), "name": name})
	return value.Nothing
}

func (m *machine) pathField(p *value.Path, name string) (value.Value, bool) {
	first, last := p.Points[0], p.Points[len(p.Points)-1]
	switch name {
	case "length":
		m.charge(len(p.Points) / 8)
		return value.Number(p.Measured().Length()), true
	case "start":
		return value.Point(first), true
	case "end":
		return value.Point(last), true
	case "closed":
		return value.Bool(first.Distance(last) <= geom.SamePoint), true
	case "bounds":
		m.charge(len(p.Points) / 8)
		return value.Box(geom.Bounds(p.Points)), true
	}
	return value.Nothing, false
}

// jointBounds is the box around all paths of a list.
func (m *machine) jointBounds(items []value.Value) geom.Box {
	box := geom.EmptyBox()
	for i, item := range items {
		if item.Kind() != types.Path {
			m.fail("bounds-item", diag.Args{"number": i + 1, "found": item.Kind()})
		}
		m.charge(1 + len(item.Path().Points)/8)
		box = box.Union(geom.Bounds(item.Path().Points))
	}
	if box.Empty() {
		m.fail("bounds-empty", nil)
	}
	return box
}

func boxField(b geom.Box, name string) (value.Value, bool) {
	switch name {
	case "left":
		return value.Number(b.Min.X), true
	case "right":
		return value.Number(b.Max.X), true
	case "bottom":
		return value.Number(b.Min.Y), true
	case "top":
		return value.Number(b.Max.Y), true
	case "width":
		return value.Number(b.Width()), true
	case "height":
		return value.Number(b.Height()), true
	case "center":
		return value.Point(b.Center()), true
	}
	return value.Nothing, false
}
