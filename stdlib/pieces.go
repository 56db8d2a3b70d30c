package stdlib

import (
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// pieceWords are the functions that take paths apart into points, make paths of
// points, and ask where paths meet.
func pieceWords() []value.Native {
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name:  "points",
				Forms: []types.Form{lists(types.Point, of(types.Path, "line"))},
				Doc:   "The points of a path between which it goes straight, first to last, in its own frame. A curve has as many as the drawing tolerance asks for; `resample` spaces them evenly.",
				Example: `let ring = resample(curve t in 0..360 = polar(40, t), 25)
begin page.center
loop p in points(ring) {
  branch { reach page.center + p }
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				return pointList(h, args[0].Path().Points)
			},
		},
		{
			Builtin: &types.Builtin{
				Name:  "polyline",
				Forms: []types.Form{takes(types.Path, of(types.List, "points"))},
				Doc:   "The path that goes straight from point to point of a list of two or more.",
				Example: `let zigzag = polyline((0..10).map(fn(k) = (10 * k, 25 * mod(k, 2))))
begin 20, 30
draw zigzag at (20, 30)
note zigzag.bounds.width   # 100
`,
			},
			Func: polyline,
		},
		{
			Builtin: &types.Builtin{
				Name:  "crossings",
				Forms: []types.Form{lists(types.Point, of(types.Path, "line"), of(types.Path, "other"))},
				Doc:   "The points that a path has in common with another, in the order in which the first comes to them: where they cross or touch, and the two ends of each stretch along which they run together.",
				Example: `let wave = curve t in 0..360 = (t / 3, 30 * sin(2 * t))
let slope = polyline([(0, -20), (120, 20)])
begin 10, 50
draw wave at (10, 50)
draw slope at (10, 50)
note crossings(slope, wave).length   # 3
`,
			},
			Func: crossings,
		},
		{
			Builtin: &types.Builtin{
				Name:  "resample",
				Forms: []types.Form{sameKind(line(), length("step"))},
				Doc:   "The path, or each of a list of paths, through points of it that are evenly spaced along it, both ends among them: as far apart as a step in mm allows, and no farther. Between them it goes straight.",
				Example: `let ring = curve t in 0..360 = polar(45, t)
begin page.center + ring.start
loop step in [1, 40, 60, 80] {
  draw resample(ring, step) at page.center
}
`,
			},
			Func: resample,
		},
		{
			Builtin: &types.Builtin{
				Name:  "smooth",
				Forms: []types.Form{sameKind(line(), length("amount"))},
				Doc: "The path, or each of a list of paths, with every point replaced by the mean of the path over so many mm before and behind it, along it: a moving average. Corners are rounded by parabolas that begin that far from them; what is straight farther off stays where it is, and so do the ends of an open path, beyond which it is taken to go on turned about them by half a turn. " +
					"A closed path stays closed. The amount counts as a quarter of the path at most. Twice is smoother still.",
				Example: `let steps = polyline([(0, 0), (30, 0), (30, 40), (60, 40), (60, 10), (100, 10), (100, 70)])
begin 20, 15
loop amount in [0, 5, 10, 20] {
  draw smooth(steps, amount) at (20, 15)
  reverse(smooth(steps, amount))
}
`,
			},
			Func: smooth,
		},
		contoursWord(),
	}
}

// pointList makes a list of points.
func pointList(h value.Host, points []geom.Point) (value.Value, error) {
	if err := h.Charge(len(points), len(points)*(itemBytes+boxBytes)); err != nil {
		return value.Nothing, err
	}
	items := make([]value.Value, len(points))
	for i, p := range points {
		items[i] = value.Point(p)
	}
	return value.List(items), nil
}

func polyline(h value.Host, args []value.Value) (value.Value, error) {
	points, err := pointsOf(h, "polyline", args[0])
	if err != nil {
		return value.Nothing, err
	}
	return value.OfPath(&value.Path{Points: points}), nil
}

// pointsOf reads the points that a word makes a path of: two or more.
func pointsOf(h value.Host, name string, v value.Value) ([]geom.Point, error) {
	items := v.List()
	if err := allOf(name, types.Point, items); err != nil {
		return nil, err
	}
	if len(items) < 2 {
		return nil, &diag.Fault{Code: "few-points", Args: diag.Args{"name": name, "count": len(items)}}
	}
	if err := h.Charge(len(items), len(items)*pointBytes+pathBytes); err != nil {
		return nil, err
	}
	points := make([]geom.Point, len(items))
	for i, item := range items {
		points[i] = item.Point()
	}
	return points, withinReach(name, points)
}

func crossings(h value.Host, args []value.Value) (value.Value, error) {
	spots, err := geom.Crossings(args[0].Path().Measured(), args[1].Path().Runs(), func(work int) error { return h.Charge(work, 0) })
	if err != nil {
		return value.Nothing, err
	}
	points := make([]geom.Point, len(spots))
	for i, s := range spots {
		points[i] = s.Point
	}
	return pointList(h, points)
}

// stepOf is a step in mm, which must be above 0.
func stepOf(name string, v value.Value) (float64, error) {
	if step := v.Number(); step > 0 {
		return step, nil
	}
	return 0, &diag.Fault{Code: "step-size", Args: diag.Args{"name": name, "value": show(v.Number())}}
}

// mostSpots is more points than any limit allows.
const mostSpots = 1 << 30

func resample(h value.Host, args []value.Value) (value.Value, error) {
	step, err := stepOf("resample", args[1])
	if err != nil {
		return value.Nothing, err
	}
	paths, err := pathsOf(h, "resample", args[0])
	if err != nil {
		return value.Nothing, err
	}
	result := make([]*value.Path, len(paths))
	for i, p := range paths {
		count := int(min(p.Measured().Length()/step+2, mostSpots))
		if err := h.Charge(count, count*pointBytes); err != nil {
			return value.Nothing, err
		}
		points, ok := p.Measured().Resampled(step, mostSpots)
		if !ok {
			return value.Nothing, &diag.Fault{Code: "step-size", Args: diag.Args{"name": "resample", "value": show(step)}}
		}
		result[i] = &value.Path{Points: points, Turn: p.Turn}
	}
	return likeOf(args[0], result), nil
}

func smooth(h value.Host, args []value.Value) (value.Value, error) {
	amount := args[1].Number()
	if amount < 0 {
		return value.Nothing, &diag.Fault{Code: "smooth-amount", Args: diag.Args{"value": show(amount)}}
	}
	paths, err := pathsOf(h, "smooth", args[0])
	if err != nil {
		return value.Nothing, err
	}
	result := make([]*value.Path, len(paths))
	for i, p := range paths {
		points := geom.Smooth(p.Points, amount, h.ToleranceMM())
		if err := h.Charge(smoothWork*len(p.Points)+len(points), len(points)*pointBytes); err != nil {
			return value.Nothing, err
		}
		result[i] = &value.Path{Points: points, Turn: p.Turn}
	}
	return likeOf(args[0], result), nil
}

// smoothWork is the operations that a point of a path to be smoothed costs.
const smoothWork = 10
