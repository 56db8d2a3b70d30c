package stdlib

import "wend/lang/types"

// takes makes the form of a word with a result.
func takes(result types.Kind, params ...types.Param) types.Form {
	return types.Form{Params: params, Result: result}
}

// gives makes the form of a word whose result is a number.
func gives(params ...types.Param) types.Form { return takes(types.Number, params...) }

// lists makes the form of a word whose result is a list of items of some kinds.
func lists(kinds types.Kind, params ...types.Param) types.Form {
	return types.Form{Params: params, Result: types.List, Items: kinds}
}

// rearranges makes the form of a word whose result is a list with items of its
// first argument.
func rearranges(params ...types.Param) types.Form {
	return types.Form{Params: params, Result: types.List, SameKind: true}
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
