package value

import "wend/lang/types"

// Length is how many items a list has, or how many clusters a text.
func (v Value) Length() int {
	if v.box.kind == types.Text {
		return v.textLength()
	}
	return len(v.List())
}

// Item is item i, from 0, of a list, or the cluster there of a text, for a
// second holder.
func (v Value) Item(i int) Value {
	item := v.Look(i)
	item.Share()
	return item
}

// Look is Item for one who does not keep it.
func (v Value) Look(i int) Value {
	if v.box.kind == types.Text {
		return v.textPart(i, i+1)
	}
	return v.List()[i]
}

// Part is the items from i, from 0, up to, not including, j of a list, or that
// part of a text.
func (v Value) Part(i, j int) Value {
	if v.box.kind == types.Text {
		return v.textPart(i, j)
	}
	part, _ := v.ListPart(i, j)
	return part
}

// textPart is a part of a text: in NFC, since the whole is.
func (v Value) textPart(i, j int) Value {
	t := v.box.data.(*text)
	part := t.clusters(i, j)
	return Value{box: &box{kind: types.Text, data: &text{s: part, ascii: t.ascii || isASCII(part)}}}
}

// Equal reports whether two values are exactly the same. Values of different
// kinds are not; functions are equal when they are the same one.
func Equal(a, b Value) bool {
	if a.Kind() != b.Kind() {
		return false
	}
	switch a.Kind() {
	case types.Number, types.Bool:
		return a.num == b.num
	case types.Text:
		return a.Text() == b.Text()
	case types.Point:
		return a.num == b.num && a.box.y == b.box.y
	case types.Path:
		p, q := a.Path(), b.Path()
		if p == q {
			return true
		}
		if p.Turn != q.Turn || len(p.Points) != len(q.Points) {
			return false
		}
		for i := range p.Points {
			if p.Points[i] != q.Points[i] {
				return false
			}
		}
		return true
	case types.List:
		xs, ys := a.List(), b.List()
		if len(xs) != len(ys) {
			return false
		}
		for i := range xs {
			if !Equal(xs[i], ys[i]) {
				return false
			}
		}
		return true
	case types.Record:
		return a.box == b.box || equalFields(a.Fields(), b.Fields())
	case types.Box:
		return a.Box() == b.Box()
	case types.Nothing:
		return true
	}
	return a.box == b.box || a.box.data == b.box.data
}
