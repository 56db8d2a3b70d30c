package value

import (
	"wend/lang/types"
	"wend/runtime/geom"
)

// Lists are values: changing one variable's list never changes another's. To
// make that cheap, a list knows whether it may be held in more than one place.
// The evaluator marks it (Share) whenever a list that a variable or a list
// holds gets a second holder; a list that is not marked is changed in place, a
// marked one is copied first and the copy is held once. Copying items marks the
// lists among them, since they have two holders then. Marks are never taken
// back, so a mark may be wrong, which costs a copy, but never missing.

// items is the store of a list.
type items struct {
	list []Value
	// whole is what this list and others see parts of; such a list is marked as
	// shared. It is nil while no part was taken.
	whole *whole
	// room reports how much of the array behind list is in use by any list; the
	// one that ends there may grow into the rest, as others do not see it.
	room *int
	// near finds the nearest of the first points of the list; nil until asked for.
	near *geom.Neighbours
}

// whole is an array that several lists see parts of; it is counted once.
type whole struct {
	list  []Value
	epoch uint32 // of the last count (see size.go)
}

// smallPart is how many items are copied rather than seen in place.
const smallPart = 16

// ListPart is the items of the list v from i, from 0, up to, not including, j,
// and how many of them were copied. A large part sees the items where they are;
// one that keeps under a quarter of them is copied, so that it does not hold the
// rest.
func (v Value) ListPart(i, j int) (Value, int) {
	old := v.box.data.(*items)
	if n := j - i; n <= smallPart || 4*n < len(old.list) {
		part := make([]Value, n)
		copy(part, old.list[i:j])
		for _, item := range part {
			item.Share()
		}
		return List(part), n
	}
	if old.whole == nil {
		old.whole = &whole{list: old.list}
	}
	v.box.shared = true
	return Value{box: &box{kind: types.List, shared: true, data: &items{list: old.list[i:j:j], whole: old.whole}}}, 0
}

// Shorten gives the items from i, from 0, up to, not including, j of a list
// that its holder gives up, and reports how many were copied. A list that nobody
// else holds is shortened in place.
func (v Value) Shorten(i, j int) (Value, int) {
	old := v.box.data.(*items)
	if v.box.shared || 4*(j-i) < len(old.list) && len(old.list) > smallPart {
		return v.ListPart(i, j)
	}
	clear(old.list[:i])
	clear(old.list[j:])
	old.list = old.list[i:j]
	old.room, old.near = nil, nil
	return v, 0
}

// List makes a list, which owns items from now on.
func List(list []Value) Value {
	return Value{box: &box{kind: types.List, data: &items{list: list}}}
}

// List is the items of the list that v is; read only.
func (v Value) List() []Value { return v.box.data.(*items).list }

// Share marks v, if it is a list or a record, as held in more than one place.
func (v Value) Share() {
	if v.box != nil && v.box.kind&(types.List|types.Record) != 0 {
		v.box.shared = true
	}
}

// Shared reports whether the list or record v may be held in more than one place.
func (v Value) Shared() bool { return v.box.shared }

// SetItem gives a list like v with item i, from 0, replaced, and reports how many
// items were copied to make it. A list that is not shared is changed in place.
func (v Value) SetItem(i int, x Value) (Value, int) {
	list := v.box.data.(*items)
	if !v.box.shared {
		list.list[i] = x
		list.near = nil
		return v, 0
	}
	changed := make([]Value, len(list.list))
	copy(changed, list.list)
	for _, item := range changed {
		item.Share()
	}
	changed[i] = x
	return List(changed), len(changed)
}

// Append gives the list v + more, and reports how many items were copied to make
// it. With own, v is given up by whoever held it, and is changed in place if
// nobody else holds it.
func (v Value) Append(more []Value, own bool) (Value, int) {
	old := v.box.data.(*items)
	for _, item := range more {
		item.Share()
	}
	if own && !v.box.shared {
		before := cap(old.list)
		old.list = append(old.list, more...)
		if old.room != nil {
			*old.room = len(old.list)
		}
		if cap(old.list) != before {
			old.room = nil
			return v, len(old.list)
		}
		return v, len(more)
	}
	if old.room != nil && *old.room == len(old.list) && cap(old.list)-len(old.list) >= len(more) {
		// Both lists see the same beginning: neither may change it in place.
		v.box.shared = true
		list := append(old.list, more...)
		*old.room = len(list)
		grown := Value{box: &box{kind: types.List, shared: true, data: &items{list: list, room: old.room, near: old.near}}}
		return grown, len(more)
	}
	for _, item := range old.list {
		item.Share()
	}
	size := len(old.list) + len(more)
	list := make([]Value, size, size+size/2+4)
	copy(list, old.list)
	copy(list[len(old.list):], more)
	room := size
	return Value{box: &box{kind: types.List, data: &items{list: list, room: &room}}}, size
}

// Push appends to a list that nobody else holds.
func (v Value) Push(x Value) {
	list := v.box.data.(*items)
	list.list = append(list.list, x)
}

// Neighbours finds the nearest of the points that the list v holds, so far of
// its first ones: whoever asks adds the others. It is kept with the list while
// items are appended.
func (v Value) Neighbours() (near *geom.Neighbours, known int) {
	list := v.box.data.(*items)
	// A list that this one grew out of may have found fewer of the same points.
	if list.near == nil || list.near.Len() > len(list.list) {
		list.near = &geom.Neighbours{}
	}
	return list.near, list.near.Len()
}
