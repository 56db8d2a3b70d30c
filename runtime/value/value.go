// Package value holds what a program can hold while it runs: numbers, bools,
// texts, points, paths, lists, records, boxes, images and functions, with equality and
// printing.
//
// A Value is two words: a pointer that tells the kind and a number, so that
// numbers and bools need no allocation. All values are immutable as far as a
// program can tell; lists are shared until one is changed (see list.go).
package value

import (
	"sync/atomic"

	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Value is one value. The zero Value is the number 0.
type Value struct {
	box *box // nil: a number
	num float64
}

// box is what does not fit into the number beside it.
type box struct {
	kind   types.Kind
	shared bool    // a list or record that is held in more than one place
	epoch  uint32  // of the last count of what is reachable (see size.go)
	y      float64 // of a point; its x is the Value's number
	data   any     // *text, *Path, *items, *Fields, geom.Box, Image, Function
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
	// Roles say what each piece is there for; nil stands for a path that is
	// drawn through and through. Paths made from others may forget it.
	Roles []plan.Role

	measured atomic.Pointer[geom.Measured] // see Measured; nil until first asked for
	runs     atomic.Pointer[geom.Runs]     // see Runs; nil until first asked for
}

// Image is a picture; what it holds is the library's business.
type Image interface {
	// Size is its width and height in pixels.
	Size() (width, height int)
	// Bytes is how much memory it takes.
	Bytes() int
}

// Function is a function value; what it holds is the evaluator's business.
type Function interface {
	// Name is how messages call it: "vane", "a function".
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

// Point makes a point.
func Point(p geom.Point) Value { return Value{box: &box{kind: types.Point, y: p.Y}, num: p.X} }

// OfPath makes a path.
func OfPath(p *Path) Value { return Value{box: &box{kind: types.Path, data: p}} }

// Box makes a box.
func Box(b geom.Box) Value { return Value{box: &box{kind: types.Box, data: b}} }

// OfImage makes an image.
func OfImage(im Image) Value { return Value{box: &box{kind: types.Image, data: im}} }

// OfFunction makes a function value.
func OfFunction(f Function) Value { return Value{box: &box{kind: types.Function, data: f}} }

// Kind is the one kind of the value.
func (v Value) Kind() types.Kind {
	if v.box == nil {
		return types.Number
	}
	return v.box.kind
}

// IsNumber reports whether v is a number.
func (v Value) IsNumber() bool { return v.box == nil }

// Number is the number that v is; for bools 0 or 1.
func (v Value) Number() float64 { return v.num }

// The accessors below panic when v is of another kind: callers have checked.

// Bool is the yes-or-no value that v is.
func (v Value) Bool() bool { return v.num != 0 }

// Point is the point that v is.
func (v Value) Point() geom.Point {
	if v.box.kind != types.Point {
		panic("value: not a point")
	}
	return geom.Point{X: v.num, Y: v.box.y}
}

// Path is the path that v is.
func (v Value) Path() *Path { return v.box.data.(*Path) }

// Box is the box that v is.
func (v Value) Box() geom.Box { return v.box.data.(geom.Box) }

// Image is the image that v is.
func (v Value) Image() Image { return v.box.data.(Image) }

// Function is the function that v is.
func (v Value) Function() Function { return v.box.data.(Function) }
