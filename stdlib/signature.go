package stdlib

import (
	"wend/lang/types"
)

// takes makes the form of a word with a result.
func takes(result types.Kind, params ...types.Param) types.Form {
	return types.Form{Params: params, Result: result}
}

// gives makes the form of a word whose result is a number with a unit.
func gives(unit types.Unit, params ...types.Param) types.Form {
	return types.Form{Params: params, Result: types.Number, Unit: unit}
}

// number, length and angle are parameters for numbers; a plain number goes
// with each of them, a marked one only with its own.
func number(name string) types.Param { return types.Param{Name: name, Kinds: types.Number} }

func length(name string) types.Param {
	return types.Param{Name: name, Kinds: types.Number, Unit: types.Length}
}

func angle(name string) types.Param {
	return types.Param{Name: name, Kinds: types.Number, Unit: types.Angle}
}

func of(kinds types.Kind, name string) types.Param { return types.Param{Name: name, Kinds: kinds} }

// optional makes a parameter that may be left out.
func optional(p types.Param) types.Param {
	p.Optional = true
	return p
}

// rest makes a last parameter that takes all further arguments.
func rest(p types.Param) types.Param {
	p.Rest = true
	return p
}
