package value

import (
	"encoding/binary"
	"io"
	"math"

	"wend/lang/types"
)

// Written is what can write all that it is, for a digest of it.
type Written interface{ WriteContent(w io.Writer) }

// WriteContent writes all that v is, so that values that write the same are
// alike. It is false for one that holds a function, or something else that
// cannot be written.
func (v Value) WriteContent(w io.Writer) bool {
	kind := v.Kind()
	numbers := func(all ...float64) {
		buffer := make([]byte, 0, 8*len(all))
		for _, x := range all {
			buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(x))
		}
		w.Write(buffer) //nolint:errcheck // a digest takes all
	}
	count := func(n int) { numbers(float64(kind), float64(n)) }
	switch kind {
	case types.Number, types.Bool, types.Nothing:
		numbers(float64(kind), v.num)
	case types.Point:
		numbers(float64(kind), v.num, v.box.y)
	case types.Box:
		b := v.Box()
		numbers(float64(kind), b.Min.X, b.Min.Y, b.Max.X, b.Max.Y)
	case types.Text:
		count(len(v.Text()))
		io.WriteString(w, v.Text()) //nolint:errcheck
	case types.Path:
		p := v.Path()
		count(len(p.Points))
		numbers(p.Turn)
		for _, at := range p.Points {
			numbers(at.X, at.Y)
		}
		numbers(float64(len(p.Roles)))
		for _, role := range p.Roles {
			w.Write([]byte{byte(role)}) //nolint:errcheck
		}
	case types.List:
		count(len(v.List()))
		for _, item := range v.List() {
			if !item.WriteContent(w) {
				return false
			}
		}
	case types.Record:
		f := v.Fields()
		count(len(f.values))
		for i, name := range f.Layout.Names() {
			if !Text(name).WriteContent(w) || !f.values[i].WriteContent(w) {
				return false
			}
		}
	case types.Image:
		written, ok := v.Image().(Written)
		if !ok {
			return false
		}
		count(0)
		written.WriteContent(w)
	default:
		return false
	}
	return true
}

// Anew is v in boxes of its own, down to its points: what one run counts and
// marks in it, another does not see.
func (v Value) Anew() Value {
	switch v.Kind() {
	case types.Path:
		p := v.Path()
		return OfPath(&Path{Points: p.Points, Turn: p.Turn, Roles: p.Roles})
	case types.List:
		list := make([]Value, len(v.List()))
		for i, item := range v.List() {
			list[i] = item.Anew()
		}
		return List(list)
	case types.Record:
		f := v.Fields()
		values := make([]Value, len(f.values))
		for i, item := range f.values {
			values[i] = item.Anew()
		}
		made := Record(f.Layout, values)
		made.Fields().File, made.Fields().Line = f.File, f.Line
		return made
	case types.Number, types.Bool, types.Nothing:
		return v
	}
	fresh := *v.box
	fresh.epoch, fresh.shared = 0, false
	return Value{box: &fresh, num: v.num}
}
