package stdlib

import (
	"slices"

	"wend/lang/types"
	"wend/runtime/value"
)

// chanceWords are the functions of chance. They follow value.Chance, one
// sequence a run, so the order in which a program calls them matters; noise
// alone depends on nothing but the seed and where it is asked for.
func chanceWords() []value.Native {
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name: "random", May: types.Chance,
				Forms: []types.Form{
					gives(),
					gives(number("high")),
					gives(number("low"), number("high")),
				},
				Doc: "A number by chance, each equally likely: from low up to high, from 0 up to high, or from 0 up to 1. For a whole number write `choose(1..6)`.",
				Example: `seed 3
begin 10, 50
loop k in 1..12 {
  reach 10 * k, random(30, 70)
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				low, high := 0.0, 1.0
				switch len(args) {
				case 1:
					high = args[0].Number()
				case 2:
					low, high = args[0].Number(), args[1].Number()
				}
				x := low + float64((high-low)*h.Chance().Float())
				if !finite(x) {
					return value.Nothing, tooLarge("random", high)
				}
				return value.Number(x), nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "choose", May: types.Chance,
				Forms: []types.Form{takes(types.Any, of(types.List, "items"))},
				Doc:   "One item of a list by chance, each equally likely. The list must hold at least one.",
				Example: `seed 5
begin 70, 50
loop 30 {
  face choose([0, 90, 180, 270])
  ahead 5
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				items := args[0].List()
				if len(items) == 0 {
					return value.Nothing, emptyList("choose")
				}
				item := items[h.Chance().Below(len(items))]
				item.Share()
				return item, nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name: "shuffle", May: types.Chance,
				Forms: []types.Form{rearranges(of(types.List, "items"))},
				Doc:   "The items of a list in an order by chance, each order equally likely.",
				Example: `seed 2
begin 10, 50
loop y in shuffle(1..9) {
  shift 10, 0
  reach here.x, y * 10
}
`,
			},
			Func: shuffle,
		},
		noiseWord(),
	}
}

// shuffle is Durstenfeld's, from the last item down: item i changes places with
// one of the items up to it, itself included.
func shuffle(h value.Host, args []value.Value) (value.Value, error) {
	items := args[0].List()
	if err := h.Charge(len(items), len(items)*itemBytes); err != nil {
		return value.Nothing, err
	}
	result := slices.Clone(items)
	for i := len(result) - 1; i > 0; i-- {
		j := h.Chance().Below(i + 1)
		result[i], result[j] = result[j], result[i]
	}
	return ofItems(result), nil
}
