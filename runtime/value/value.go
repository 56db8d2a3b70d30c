// Package value holds what a program can hold while it runs: numbers, bools,
// texts, points, paths, lists, boxes, images and functions, with equality and
// printing.
//
// A Value is two words: a pointer that tells the kind and a number, so that
// numbers and bools need no allocation. All values are immutable as far as a
// program can tell; lists are shared until one is changed.
package value

import (
	"wend/lang/types"
	"wend/runtime/geom"
)

// Value is one value. The zero Value is the number 0.
type Value struct {
	box *box // nil: a number
	num float64
}

type box struct {
	kind types.Kind
	data any // string, geom.Point, *Path, []Value, geom.Box, Function
}

var (
	boolBox    = &box{kind: types.Bool}
	nothingBox = &box{kind: types.Nothing}
)

// Nothing is an optional argument that was left out, or the result of a call
// that gives no value.
var Nothing = Value{box: nothingBox}

// Path is a line in its own frame: points in mm, at least one, and how far the
// heading turns from its start to its end, in degrees.
type Path struct {
	Points []geom.Point // not to be changed once the path is made
	Turn   float64
}

// Function is a function value; what it holds is the evaluator's business.
type Function interface {
	// Name is how messages call it: "petal", "a function".
	Name() string
}

// Number makes a number.
func Number(x float64) Value { return Value{num: x} }

// Bool makes a yes-or-no value.
func Bool(b bool) Value {
	v := Value{box: boolBox}
	if b {
		v.num = 1
	}
	return v
}

// Text makes a text.
func Text(s string) Value { return Value{box: &box{types.Text, s}} }

// Point makes a point.
func Point(p geom.Point) Value { return Value{box: &box{types.Point, p}} }

// OfPath makes a path.
func OfPath(p *Path) Value { return Value{box: &box{types.Path, p}} }

// List makes a list, which owns items from now on.
func List(items []Value) Value { return Value{box: &box{types.List, items}} }

// Box makes a box.
func Box(b geom.Box) Value { return Value{box: &box{types.Box, b}} }

// OfFunction makes a function value.
func OfFunction(f Function) Value { return Value{box: &box{types.Function, f}} }

// Kind is the one kind of the value.
func (v Value) Kind() types.Kind {
	if v.box == nil {
		return types.Number
	}
	return v.box.kind
}

// Number is the number that v is; for bools 0 or 1.
func (v Value) Number() float64 { return v.num }

// The accessors below panic when v is of another kind: callers have checked.

// Bool is the yes-or-no value that v is.
func (v Value) Bool() bool { return v.num != 0 }

// Text is the text that v is.
func (v Value) Text() string { return v.box.data.(string) }

// Point is the point that v is.
func (v Value) Point() geom.Point { return v.box.data.(geom.Point) }

// Path is the path that v is.
func (v Value) Path() *Path { return v.box.data.(*Path) }

// List is the items of the list that v is; read only.
func (v Value) List() []Value { return v.box.data.([]Value) }

// Box is the box that v is.
func (v Value) Box() geom.Box { return v.box.data.(geom.Box) }

// Function is the function that v is.
func (v Value) Function() Function { return v.box.data.(Function) }
