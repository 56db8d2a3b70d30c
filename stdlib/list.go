package stdlib

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// listWords are the functions of lists, and those of lists and texts alike.
func listWords() []value.Native {
	items := of(types.List, "items")
	return append([]value.Native{
		{
			Builtin: &types.Builtin{
				Name:  "map",
				Forms: []types.Form{lists(types.Unknown, items, of(types.Function, "change"))},
				Doc:   "The list of what a function gives for each item of a list.",
				Example: `note map([1, 2, 3], fn(x) = x * x)   # [1, 4, 9]
begin 20, 20
spline map(1..10, fn(k) = (20 + 10 * k, 50 + 30 * sin(60 * k)))
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				result, err := mapItems(h, args[0].List(), args[1])
				return value.List(result), err
			},
		},
		{
			Builtin: &types.Builtin{
				Name:    "keep",
				Forms:   []types.Form{rearranges(items, of(types.Function, "test"))},
				Doc:     "The list of those items for which a function gives true. The function must give true or false for each.",
				Example: "note keep(1..10, fn(x) = mod(x, 3) == 0)   # [3, 6, 9]\n",
			},
			Func: keep,
		},
		{
			Builtin: &types.Builtin{
				Name:    "fold",
				Forms:   []types.Form{takes(types.Any, items, of(types.Any, "start"), of(types.Function, "step"))},
				Doc:     "One value from a list: start, changed by `step(value, item)` for each item in turn. An empty list gives start.",
				Example: "note fold([2, 3, 4], 1, fn(product, x) = product * x)   # 24\n",
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				result := args[1]
				result.Share()
				for _, item := range args[0].List() {
					if err := h.Charge(1, 0); err != nil {
						return value.Nothing, err
					}
					item.Share()
					var err error
					if result, err = h.Call(args[2], result, item); err != nil {
						return value.Nothing, err
					}
				}
				return result, nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name:    "sort",
				Forms:   []types.Form{rearranges(items, optional(of(types.Function, "key")))},
				Doc:     "The list in order: numbers from the smallest up, texts by their characters. With a key, items are ordered by what that function gives for each; those with equal keys stay in the order they were in.",
				Example: "note sort([5, 2, 9])   # [2, 5, 9]\nnote sort([5, 2, 9], fn(x) = -x)   # [9, 5, 2]\n",
			},
			Func: sortItems,
		},
		{
			Builtin: &types.Builtin{
				Name:    "sum",
				Forms:   []types.Form{takes(types.Number|types.Point, items)},
				Doc:     "All numbers of a list, or all points of one, added up from the first to the last. An empty list gives 0.",
				Example: "note sum(1..100)   # 5050\n",
			},
			Func: sum,
		},
		{
			Builtin: &types.Builtin{
				Name:  "zip",
				Forms: []types.Form{lists(types.List, items, of(types.List, "others"))},
				Doc:   "The list of pairs `[item, other]` of two lists of the same length.",
				Example: `note zip([1, 2], ["a", "b"])   # [[1, "a"], [2, "b"]]
`,
			},
			Func: zip,
		},
		{
			Builtin: &types.Builtin{
				Name:    "fill",
				Forms:   []types.Form{lists(types.Unknown, number("count"), of(types.Any, "value"))},
				Doc:     "The list that holds a value so many times. The count is a whole number, 0 or more.",
				Example: "note fill(4, 0)   # [0, 0, 0, 0]\n",
			},
			Func: fill,
		},
		{
			Builtin: &types.Builtin{
				Name: "contains",
				Forms: []types.Form{
					takes(types.Bool, items, of(types.Any, "item")),
					takes(types.Bool, of(types.Text, "text"), of(types.Text, "part")),
				},
				Doc:     "Whether an item is in a list, or a part in a text. Items are compared as `==` does; a part begins and ends between whole characters.",
				Example: "note contains([1, 2, 3], 2)   # true\nnote contains(\"moss\", \"oss\")   # true\n",
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				at, err := find(h, args)
				return value.Bool(at > 0), err
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "find",
				Forms: []types.Form{
					gives(items, of(types.Any, "item")),
					gives(of(types.Text, "text"), of(types.Text, "part")),
				},
				Doc:     "The place of the first item that is equal to one, or of the first character of a part within a text, counted from 1; 0 if there is none.",
				Example: "note find([5, 2, 9], 9)   # 3\nnote find(\"moss\", \"s\")   # 3\nnote find(\"moss\", \"x\")   # 0\n",
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				at, err := find(h, args)
				return value.Number(float64(at)), err
			},
		},
		{
			Builtin: &types.Builtin{
				Name:    "split",
				Forms:   []types.Form{lists(types.Text, of(types.Text, "text"), optional(of(types.Text, "separator")))},
				Doc:     "The parts of a text between the places where a separator stands, as a list. Without a separator, its words; with an empty one, its characters.",
				Example: "note split(\"fern, moss\", \", \")   # [\"fern\", \"moss\"]\nnote split(\"abc\", \"\")   # [\"a\", \"b\", \"c\"]\n",
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				if args[1].Kind() == types.Nothing {
					return splitWords(h, args[0].Text())
				}
				return splitText(h, args[0], args[1].Text())
			},
		},
		groupWord(),
	}, formWords()...)
}

// ofItems makes a list of items that are held elsewhere too.
func ofItems(items []value.Value) value.Value {
	for _, item := range items {
		item.Share()
	}
	return value.List(items)
}

// mapItems calls a function for each item.
func mapItems(h value.Host, items []value.Value, f value.Value) ([]value.Value, error) {
	result := make([]value.Value, 0, min(len(items), 1024))
	for _, item := range items {
		if err := h.Charge(1, itemBytes); err != nil {
			return nil, err
		}
		item.Share()
		y, err := h.Call(f, item)
		if err != nil {
			return nil, err
		}
		y.Share() // the function may hold it too
		result = append(result, y)
	}
	return result, nil
}

func keep(h value.Host, args []value.Value) (value.Value, error) {
	var result []value.Value
	for _, item := range args[0].List() {
		if err := h.Charge(1, itemBytes); err != nil {
			return value.Nothing, err
		}
		item.Share()
		test, err := h.Call(args[1], item)
		if err != nil {
			return value.Nothing, err
		}
		if test.Kind() != types.Bool {
			return value.Nothing, &diag.Fault{Code: "keep-test", Args: diag.Args{"found": test.Kind().String()}}
		}
		if test.Bool() {
			result = append(result, item)
		}
	}
	return ofItems(result), nil
}

func sortItems(h value.Host, args []value.Value) (value.Value, error) {
	items := args[0].List()
	keys := items
	if args[1].Kind() != types.Nothing {
		var err error
		if keys, err = mapItems(h, items, args[1]); err != nil {
			return value.Nothing, err
		}
	}
	if err := h.Charge(len(items)*bits.Len(uint(len(items))), 3*len(items)*itemBytes); err != nil {
		return value.Nothing, err
	}
	if len(items) == 0 {
		return value.List(nil), nil
	}
	kind := keys[0].Kind()
	for i, key := range keys {
		var code diag.Code
		switch {
		case !(types.Number | types.Text).Has(key.Kind()):
			code = "sort-unordered"
		case key.Kind() != kind:
			code = "sort-kinds"
		default:
			continue
		}
		return value.Nothing, &diag.Fault{Code: code, Args: diag.Args{
			"first": kind.String(), "number": i + 1, "found": key.Kind().String(),
		}}
	}
	order := make([]int, len(items))
	for i := range order {
		order[i] = i
	}
	if kind == types.Number {
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(keys[a].Number(), keys[b].Number()) })
	} else {
		texts := make([]string, len(keys))
		for i, key := range keys {
			texts[i] = key.Text()
			if err := h.Charge(len(texts[i]), 0); err != nil {
				return value.Nothing, err
			}
		}
		slices.SortStableFunc(order, func(a, b int) int { return strings.Compare(texts[a], texts[b]) })
	}
	result := make([]value.Value, len(items))
	for i, from := range order {
		result[i] = items[from]
	}
	return ofItems(result), nil
}

func sum(h value.Host, args []value.Value) (value.Value, error) {
	items := args[0].List()
	if err := h.Charge(len(items), 0); err != nil || len(items) == 0 {
		return value.Number(0), err
	}
	if items[0].Kind() == types.Point {
		if err := allOf("sum", types.Point, items); err != nil {
			return value.Nothing, err
		}
		total := geom.Point{}
		for _, item := range items {
			total = total.Add(item.Point())
		}
		return finitePoint("sum", total)
	}
	if err := allOf("sum", types.Number, items); err != nil {
		return value.Nothing, err
	}
	total := 0.0
	for _, item := range items {
		total += item.Number()
	}
	if !finite(total) {
		return value.Nothing, tooLarge("sum", items[0].Number())
	}
	return value.Number(total), nil
}

func zip(h value.Host, args []value.Value) (value.Value, error) {
	a, b := args[0].List(), args[1].List()
	if len(a) != len(b) {
		return value.Nothing, &diag.Fault{Code: "zip-lengths", Args: diag.Args{"first": len(a), "second": len(b)}}
	}
	if err := h.Charge(len(a), 5*len(a)*itemBytes); err != nil {
		return value.Nothing, err
	}
	pairs := make([]value.Value, len(a))
	for i := range a {
		pairs[i] = ofItems([]value.Value{a[i], b[i]})
	}
	return value.List(pairs), nil
}

func fill(h value.Host, args []value.Value) (value.Value, error) {
	count := args[0].Number()
	if count < 0 || count != math.Trunc(count) {
		return value.Nothing, &diag.Fault{Code: "fill-count", Args: diag.Args{"value": show(count)}}
	}
	n := int(min(count, 1<<40)) // far beyond what any limit allows
	if err := h.Charge(n, n*itemBytes); err != nil {
		return value.Nothing, err
	}
	items := make([]value.Value, n)
	for i := range items {
		items[i] = args[1]
	}
	return ofItems(items), nil
}

// find is the place of an item in a list or of a part in a text, from 1; 0 if
// it is nowhere.
func find(h value.Host, args []value.Value) (int, error) {
	if args[0].Kind() == types.Text {
		return findText(h, args[0], args[1].Text())
	}
	for i, item := range args[0].List() {
		if err := h.Charge(1, 0); err != nil {
			return 0, err
		}
		if value.Equal(item, args[1]) {
			return i + 1, nil
		}
	}
	return 0, nil
}
