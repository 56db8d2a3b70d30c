package stdlib

import (
	"math"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// Memory that a kept value takes, in bytes: what Charge is told.
const (
	pointBytes = 24 // its coordinates and its place among the path's distances
	pathBytes  = 96
	itemBytes  = 16
	boxBytes   = 32 // of a point or text beside its place in a list
)

// line is the first parameter of functions that take a path or a list of paths.
func line() types.Param { return of(types.Path|types.List, "line") }

// sameKind makes the form of a function that gives a path for a path and a
// list of paths for a list.
func sameKind(params ...types.Param) types.Form {
	return types.Form{Params: params, Result: types.Path | types.List, SameKind: true}
}

// pathsOf are the paths of an argument that is a path or a list of paths, the
// work of going through them once charged.
func pathsOf(h value.Host, name string, v value.Value) ([]*value.Path, error) {
	if v.Kind() == types.Path {
		p := v.Path()
		return []*value.Path{p}, h.Charge(len(p.Points), len(p.Points)*pointBytes+pathBytes)
	}
	items := v.List()
	if err := allOf(name, types.Path, items); err != nil {
		return nil, err
	}
	paths := make([]*value.Path, len(items))
	for i, item := range items {
		paths[i] = item.Path()
		points := len(paths[i].Points)
		if err := h.Charge(points+1, points*pointBytes+pathBytes+itemBytes); err != nil {
			return nil, err
		}
	}
	return paths, nil
}

// likeOf gives paths back in the kind that they came in.
func likeOf(v value.Value, paths []*value.Path) value.Value {
	if v.Kind() == types.Path {
		return value.OfPath(paths[0])
	}
	return pathList(paths)
}

func pathList(paths []*value.Path) value.Value {
	items := make([]value.Value, len(paths))
	for i, p := range paths {
		items[i] = value.OfPath(p)
	}
	return value.List(items)
}

// furthest is how far from (0, 0) a point of a path may be, in mm: a thousand
// kilometres, as far as a stylus may be sent. So lengths and boxes of paths are
// numbers, and the pieces of a line that long can still be counted.
const furthest = 1e9

// withinReach is a fault if a point lies too far away for a path.
func withinReach(name string, points []geom.Point) error {
	for _, p := range points {
		if !(math.Abs(p.X) <= furthest && math.Abs(p.Y) <= furthest) { // NaN too
			return &diag.Fault{Code: "path-too-large", Args: diag.Args{"name": name}}
		}
	}
	return nil
}

// boundsOf is the joint box of paths; empty if there are none.
func boundsOf(paths []*value.Path) geom.Box {
	box := geom.EmptyBox()
	for _, p := range paths {
		box = box.Union(geom.Bounds(p.Points))
	}
	return box
}

// mapped is the argument v, whose paths are given, with every point mapped and
// every turn changed by turn, if that is not nil.
func mapped(name string, v value.Value, paths []*value.Path, by geom.Affine, turn func(float64) float64) (value.Value, error) {
	result := make([]*value.Path, len(paths))
	for i, p := range paths {
		q := &value.Path{Points: by.Append(make([]geom.Point, 0, len(p.Points)), p.Points), Turn: p.Turn, Roles: p.Roles}
		if turn != nil {
			q.Turn = turn(p.Turn)
		}
		if err := withinReach(name, q.Points); err != nil {
			return value.Nothing, err
		}
		result[i] = q
	}
	return likeOf(v, result), nil
}
