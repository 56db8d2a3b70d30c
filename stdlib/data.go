package stdlib

import (
	"path"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/value"
	"wend/stdlib/dataset"
)

func dataWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:   "data",
			Forms:  []types.Form{takes(types.Any, of(types.Text, "file"))},
			Fields: []string{types.AnyField},
			Doc: "What a file of data holds. A table (`.csv` or `.tsv`) is a list of records, one for each row, named by its header row; a `.json` file is made of records, lists, numbers, texts, true and false. " +
				"The file lies beside the program that names it, or below. What is empty is left out: an empty cell in a column of numbers and a member that is null have no field. A column of anything but numbers is one of texts.",
			Example: `let walk = data("walk.csv")
note walk[1]   # {minute: 0, x: 20, y: 30, place: "gate"}
follow smooth(polyline(walk.map(fn(row) = (row.x, row.y))), 8)
`,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			name := args[0].Text()
			ending := strings.ToLower(path.Ext(name))
			read := dataset.Table
			switch ending {
			case ".csv", ".tsv":
			case ".json":
				read = dataset.JSON
			default:
				return value.Nothing, &diag.Fault{Code: "data-kind", Args: diag.Args{"name": name}}
			}
			file, err := h.Read(name)
			if err != nil {
				return value.Nothing, err
			}
			return read(file, h.Charge)
		},
	}
}

func groupWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:   "group",
			Forms:  []types.Form{lists(types.Record, of(types.List, "items"), of(types.Function, "key"))},
			Fields: []string{"key", "items"},
			Doc:    "The items of a list in groups: a list of records `{key, items}`, one for each different answer that a key gives for the items, in the order in which the answers first come. Answers are compared as `==` does, and items stay in order.",
			Example: `let groups = group(["fern", "moss", "flax", "mint"], fn(word) = word[1])
note groups[1]   # {key: "f", items: ["fern", "flax"]}
note groups.length   # 2
`,
		},
		Func: group,
	}
}

// groupLayout is the layout of all groups.
var groupLayout = value.NewLayout([]string{"key", "items"})

func group(h value.Host, args []value.Value) (value.Value, error) {
	items := args[0].List()
	keys, err := mapItems(h, items, args[1])
	if err != nil {
		return value.Nothing, err
	}
	var answers []value.Value
	var members [][]value.Value
	plain := map[any]int{} // where the group of a number or text is
	for i, item := range items {
		key := keys[i]
		at, known := 0, false
		switch key.Kind() {
		case types.Number:
			at, known = plain[key.Number()]
		case types.Text:
			at, known = plain[key.Text()]
		default:
			for k, other := range answers {
				if err := h.Charge(1, 0); err != nil {
					return value.Nothing, err
				}
				if value.Equal(key, other) {
					at, known = k, true
					break
				}
			}
		}
		if err := h.Charge(1, 2*itemBytes); err != nil {
			return value.Nothing, err
		}
		if !known {
			at = len(answers)
			answers, members = append(answers, key), append(members, nil)
			switch key.Kind() {
			case types.Number:
				plain[key.Number()] = at
			case types.Text:
				plain[key.Text()] = at
			}
		}
		members[at] = append(members[at], item)
	}
	groups := make([]value.Value, len(answers))
	for k, key := range answers {
		groups[k] = value.Record(groupLayout, []value.Value{key, ofItems(members[k])})
	}
	return value.List(groups), h.Charge(len(groups), len(groups)*groupBytes)
}

// groupBytes is what a group takes beside its items.
const groupBytes = 256
