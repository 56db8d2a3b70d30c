package stdlib

import (
	"wend/lang/types"
	"wend/runtime/value"
)

func nearestWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:  "nearest",
			Forms: []types.Form{gives(of(types.Point, "point"), of(types.List, "points"))},
			Doc:   "The place in a list of points, counted from 1, of the one that is nearest to a point; of several as near, the first. The list must hold at least one. What is worked out for the search is kept with the list, also while points are appended to it, so that asking again is quick.",
			Example: `seed 2
let buds = [page.center]
begin page.center
loop 120 {
  let p = (random(10, 130), random(10, 90))
  let k = nearest(p, buds)
  buds = buds + [mix(buds[k], p, 0.6)]
  sneak buds[k]
  reach buds[-1]
}
`,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			items := args[1].List()
			if len(items) == 0 {
				return value.Nothing, emptyList("nearest")
			}
			near, known := args[1].Neighbours()
			if err := h.Charge(1+len(items)-known, (len(items)-known)*neighbourBytes); err != nil {
				return value.Nothing, err
			}
			if err := allOf("nearest", types.Point, items[known:]); err != nil {
				return value.Nothing, err
			}
			for _, item := range items[known:] {
				near.Add(item.Point())
			}
			return value.Number(float64(near.Nearest(args[0].Point()) + 1)), nil
		},
	}
}

// neighbourBytes is what a point takes among those that are searched.
const neighbourBytes = 24
