package stdlib

import (
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/value"
)

// show is a number as messages show it: at most 4 decimals unless that would
// hide it, and a true minus is not needed in a program's own terms.
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
				"name": name, "wanted": kind.Name(), "number": i + 1, "found": item.Kind().String(),
			}}
		}
	}
	return nil
}
