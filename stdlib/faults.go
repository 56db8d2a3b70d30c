package stdlib

import (
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/value"
)

func show(x float64) string { return value.MessageNumber(x) }

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
				"name": name, "wanted": kind.Plural(), "number": i + 1, "found": item.Kind().String(),
			}}
		}
	}
	return nil
}
