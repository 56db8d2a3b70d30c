package stdlib

import (
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/value"
)

// show is a number as messages show it: with at most 4 decimals, unless they
// would hide it, and with an exponent if it is very long.
func show(x float64) string {
	s := strconv.FormatFloat(x, 'f', 4, 64)
	s = strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	if s == "0" || s == "-0" || len(s) > 20 {
		return strconv.FormatFloat(x, 'g', 6, 64)
	}
	return s
}

func emptyList(name string) error {
	return &diag.Fault{Code: "empty-list", Args: diag.Args{"name": name}}
}

func tooLarge(name string, x float64) error {
	return &diag.Fault{Code: "result-too-large", Args: diag.Args{"name": name, "value": show(x)}}
}

// allOf checks that all items are of some kind.
func allOf(name string, kind types.Kind, items []value.Value) error {
	for i, item := range items {
		if !kind.Has(item.Kind()) {
			return &diag.Fault{Code: "list-item-kind", Args: diag.Args{
				"name": name, "wanted": kind.Name() + "s", "number": i + 1, "found": item.Kind().String(),
			}}
		}
	}
	return nil
}
