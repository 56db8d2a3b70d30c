package stdlib

import (
	"wend/lang/types"
	"wend/runtime/value"
)

// recordWords are the functions of records.
func recordWords() []value.Native {
	record := of(types.Record, "record")
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name:    "names",
				Forms:   []types.Form{lists(types.Text, record)},
				Doc:     "The names of a record's fields, in order: a list of texts.",
				Example: "let oak = {name: \"oak\", height: 12}\nnote names(oak)   # [\"name\", \"height\"]\nnote oak[names(oak)[2]]   # 12\n",
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				names := args[0].Fields().Layout.Names()
				if err := h.Charge(len(names)/8, 64+64*len(names)); err != nil {
					return value.Nothing, err
				}
				list := make([]value.Value, len(names))
				for i, name := range names {
					list[i] = value.Text(name)
				}
				return value.List(list), nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name:    "has",
				Forms:   []types.Form{takes(types.Bool, record, of(types.Text, "name"))},
				Doc:     "Whether a record has a field of a name.",
				Example: "let ash = {name: \"ash\"}\nnote has(ash, \"height\")   # false\n",
			},
			Func: func(_ value.Host, args []value.Value) (value.Value, error) {
				return value.Bool(args[0].Fields().Layout.Index(args[1].Text()) >= 0), nil
			},
		},
	}
}
