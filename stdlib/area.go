package stdlib

import (
	"math"
	"slices"

	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/region"
	"wend/runtime/value"
)

// area is a parameter for a region: a closed path, a box, or a list of them.
func area(name string) types.Param { return of(regionKinds|types.List, name) }

// regionKinds are what is a region by itself.
const regionKinds = types.Path | types.Box

// outlines is a value in which each box, alone or in a list, has become the path
// around it, anticlockwise from its lower left corner.
func outlines(v value.Value) value.Value {
	switch v.Kind() {
	case types.Box:
		b := v.Box()
		corners := []geom.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}, b.Min}
		return value.OfPath(&value.Path{Points: corners})
	case types.List:
		items := v.List()
		if slices.ContainsFunc(items, func(item value.Value) bool { return item.Kind() == types.Box }) {
			items = slices.Clone(items)
			for i := range items {
				if items[i].Kind() == types.Box {
					items[i] = outlines(items[i])
				}
			}
			return value.List(items)
		}
	}
	return v
}

// areaWords are the functions about what closed paths enclose.
func areaWords() []value.Native {
	return []value.Native{
		{
			Builtin: &types.Builtin{
				Name:  "inside",
				Forms: []types.Form{takes(types.Bool, of(types.Point, "point"), area("region"))},
				Doc:   "Whether a point lies in a region: a closed path, a box such as the `page`, or a list of them. What lies within an odd number of them is inside, so a path within another is a hole. The line itself is inside, to a millionth of a mm.",
				Example: `let leaf = curve t in 0..360 = (55 * cos(t) + 70, 30 * sin(2 * t) + 50)
follow leaf
loop x in 20..120 by 5 {
  loop y in 20..80 by 5 {
    if inside((x, y), leaf) {
      sneak x, y
      shift 2, 0
    }
  }
}
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				area, err := regionOf(h, "inside", args[1])
				if err != nil {
					return value.Nothing, err
				}
				return value.Bool(area.Contains(args[0].Point())), nil
			},
		},
		{
			Builtin: &types.Builtin{
				Name:  "clip",
				Forms: []types.Form{lists(types.Path, line(), area("region"))},
				Doc: "What lies inside a region of a path, or of each of a list of paths: a list of paths, in the order in which the line comes to them. " +
					"A piece that runs along the border of the region is inside; a place where the line only touches it is none.",
				Example: `let moon = polyline((0..360 by 3).map(fn(a) = polar(45, a)))
let rays = (0..350 by 10).map(fn(a) = polyline([(30, 20), (30, 20) + polar(99, a)]))
follow weave(clip(rays, moon) + [moon]).move(page.center)
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) { return cutBy(h, "clip", args, true) },
		},
		{
			Builtin: &types.Builtin{
				Name:  "outside",
				Forms: []types.Form{lists(types.Path, line(), area("region"))},
				Doc: "What lies outside a region of a path, or of each of a list of paths: a list of paths, in the order in which the line comes to them. " +
					"The border belongs to the region, so what runs along it is left out. With `clip` it makes up the line.",
				Example: `let boat = polyline([(35, 40), (105, 40), (90, 25), (50, 25), (35, 40)])
let waves = (10..60 by 5).map(fn(y) = curve x in 5..135 = (x, y + 2 * sin(8 * x)))
follow weave(outside(waves, boat) + [boat])
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				return cutBy(h, "outside", args, false)
			},
		},
		combiningWord("union", region.Union,
			"The area that any of several regions holds, as a list of closed paths: anticlockwise around it, clockwise around its holes. A list alone stands for its items, so `union(petals)` makes one area of all petals.",
			`let petals = (0..300 by 60).map(fn(a) = (curve t in 0..360 = polar(18, t)).move(polar(20, a)))
follow weave(union(petals)).move(page.center)
`),
		combiningWord("intersection", region.Intersection,
			"The area that all of several regions hold, as a list of closed paths: anticlockwise around it, clockwise around its holes. A list alone stands for its items.",
			`let disc = curve t in 0..360 = polar(40, t)
let shared = intersection(disc.move(-15, 0), disc.move(15, 0))
follow weave(shared + [disc.move(-15, 0)]).move(page.center)
`),
		combiningWord("difference", region.Difference,
			"What is left of the first region without the others, as a list of closed paths: anticlockwise around it, clockwise around its holes. Of a list alone, it is the first item without the rest.",
			`let disc = curve t in 0..360 = polar(40, t)
let star = polyline((0..5).map(fn(k) = polar(25, 90 + 144 * k)))
follow weave(difference(disc, disc.move(25, 10), star)).move(page.center)
`),
		{
			Builtin: &types.Builtin{
				Name:  "offset",
				Forms: []types.Form{lists(types.Path, area("line"), length("mm"), optional(of(types.Bool, "mitred")))},
				Doc: "A region grown by so many mm on all sides, or shrunk if the number is negative, as a list of closed paths. Corners that open become round; with `mitred: true` they stay corners, up to four times the offset away. " +
					"Of an open path, the line that runs beside it, to its left, or to its right if the number is negative: in several parts or none where the path is bent too much. The closed paths of a list are one region.",
				Example: `let star = polyline((0..10).map(fn(k) = polar(if mod(k, 2) == 0 { 30 } else { 13 }, 90 + 36 * k)))
let rings = (0..12 by 4).map(fn(mm) = weave(offset(star, mm)))
draw weave(rings) at page.center
`,
			},
			Func: offset,
		},
		{
			Builtin: &types.Builtin{
				Name:  "area",
				Forms: []types.Form{gives(area("region"))},
				Doc:   "How large a region is, in mm²: what lies within an odd number of its paths counts.",
				Example: `let fin = polyline([(20, 20), (110, 30), (50, 85), (20, 20)])
let eye = polyline([(50, 40), (60, 40), (60, 50), (50, 50), (50, 40)])
follow weave([fin, eye])
note area([fin, eye])   # 2675
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				mm2, _, _, err := measured(h, "area", args[0])
				return value.Number(mm2), err
			},
		},
		{
			Builtin: &types.Builtin{
				Name:  "centroid",
				Forms: []types.Form{takes(types.Point, area("region"))},
				Doc:   "The point on which a region would balance if it were cut out of cardboard.",
				Example: `let fin = polyline([(20, 20), (110, 30), (50, 85), (20, 20)])
follow fin
sneak centroid(fin)
loop 8 {
  branch { ahead 4 }
  turn 45
}
note centroid(fin)   # (60, 45)
`,
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				_, center, ok, err := measured(h, "centroid", args[0])
				if err == nil && !ok {
					err = &diag.Fault{Code: "region-flat", Args: diag.Args{"name": "centroid"}}
				}
				return value.Point(center), err
			},
		},
		hatchWord(),
		shadeWord(),
		behindWord(),
	}
}

// regionOf is the region that an argument, a path, a box or a list of them, means.
func regionOf(h value.Host, name string, v value.Value) (region.Region, error) {
	v = outlines(v)
	items := itemsOf(v)
	if v.Kind() == types.List {
		if err := allOf(name, types.Path, items); err != nil {
			return nil, err
		}
	}
	if err := h.Charge(1+len(items), 0); err != nil {
		return nil, err
	}
	area := make(region.Region, len(items))
	for i, item := range items {
		p := item.Path()
		last := len(p.Points) - 1
		if gap := p.Points[0].Distance(p.Points[last]); gap > geom.SamePoint {
			which := "the path"
			if v.Kind() == types.List {
				which = "path " + show(float64(i+1)) + " of the list"
			}
			return nil, &diag.Fault{Code: "region-open", Args: diag.Args{"name": name, "which": which, "gap": show(gap)}}
		}
		area[i] = p.Runs()
	}
	return area, nil
}

// workable is the region that an argument means, to make others of or to cut
// by.
func workable(h value.Host, name string, v value.Value) (region.Region, error) {
	r, err := regionOf(h, name, v)
	if err != nil {
		return nil, err
	}
	for _, line := range r {
		if err := withinReach(name, line.Points); err != nil {
			return nil, err
		}
		if err := h.Charge(len(line.Points), len(line.Points)*regionBytes); err != nil {
			return nil, err
		}
	}
	return r, nil
}

const (
	regionSteps = 10  // operations that a step takes
	regionBytes = 160 // working memory of a vertex or an edge
)

// regionWork charges for work on regions.
func regionWork(h value.Host) region.Work {
	return func(steps, made int) error { return h.Charge(steps*regionSteps, made*regionBytes) }
}

// bench is where one region after the other is worked on, the memory of each free
// again before the next.
type bench struct {
	h    value.Host
	made int
}

func (b *bench) work(steps, made int) error {
	b.made += made
	return regionWork(b.h)(steps, made)
}

func (b *bench) clear() error {
	made := b.made
	b.made = 0
	return regionWork(b.h)(0, -made)
}

// regionPaths are the lines of a region as a list of paths.
func regionPaths(h value.Host, r region.Region) (value.Value, error) {
	lines := make([][]geom.Point, len(r))
	for i, line := range r {
		lines[i] = line.Points
	}
	return linePaths(h, lines)
}

// linePaths are lines as a list of paths.
func linePaths(h value.Host, lines [][]geom.Point) (value.Value, error) {
	paths := make([]*value.Path, len(lines))
	for i, line := range lines {
		if err := h.Charge(len(line)+1, len(line)*pointBytes+pathBytes+itemBytes); err != nil {
			return value.Nothing, err
		}
		paths[i] = &value.Path{Points: line}
	}
	return pathList(paths), nil
}

func cutBy(h value.Host, name string, args []value.Value, inside bool) (value.Value, error) {
	paths, err := pathsOf(h, name, args[0])
	if err != nil {
		return value.Nothing, err
	}
	within, err := workable(h, name, args[1])
	if err != nil {
		return value.Nothing, err
	}
	var lines [][]geom.Point
	for _, p := range paths {
		if err := withinReach(name, p.Points); err != nil {
			return value.Nothing, err
		}
		lines = append(lines, p.Points)
	}
	parts, err := region.NewCutter(within).CutAll(lines, inside, regionWork(h))
	if err != nil {
		return value.Nothing, err
	}
	return linePaths(h, parts)
}

func behindWord() value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name: "behind",
			Forms: []types.Form{
				lists(types.Path, of(types.List, "shapes")),
				lists(types.Path, line(), area("regions")),
			},
			Doc: "What can be seen of shapes that stand before one another: a list of paths. The shapes come from front to back, each a path, a box or a list of them that belong together; the closed paths of a shape hide what comes after it (within an odd number of them), the open ones are only drawn. " +
				"`behind(strokes, regions)` is what any of several regions leaves of a path or of a list of paths.",
			Example: `fn hill(x, y, r) = curve t in 0..360 = (x + r * cos(t), y + 0.6 * r * sin(t))
let hills = [hill(40, 30, 30), hill(100, 35, 35), hill(65, 50, 30)]
follow weave(behind(hills))
`,
		},
		Func: behind,
	}
}

func behind(h value.Host, args []value.Value) (value.Value, error) {
	c := &cover{h: h}
	if len(args) == 2 {
		hiding := itemsOf(args[1])
		if err := allOf("behind", regionKinds|types.List, hiding); err != nil {
			return value.Nothing, err
		}
		for _, r := range hiding {
			if err := c.add(r); err != nil {
				return value.Nothing, err
			}
		}
		paths, err := pathsOf(h, "behind", args[0])
		if err != nil {
			return value.Nothing, err
		}
		return c.uncovered(paths)
	}
	shapes := args[0].List()
	if err := allOf("behind", regionKinds|types.List, shapes); err != nil {
		return value.Nothing, err
	}
	var seen []value.Value
	for _, shape := range shapes {
		paths, err := pathsOf(h, "behind", outlines(shape))
		if err != nil {
			return value.Nothing, err
		}
		parts, err := c.uncovered(paths)
		if err != nil {
			return value.Nothing, err
		}
		seen = append(seen, parts.List()...)
		var closed []value.Value
		for _, p := range paths {
			if geom.Closed(p.Points) {
				closed = append(closed, value.OfPath(p))
			}
		}
		if err := c.add(value.List(closed)); err != nil {
			return value.Nothing, err
		}
	}
	return value.List(seen), nil
}

// itemsOf are the items of a list, or the value alone.
func itemsOf(v value.Value) []value.Value {
	if v.Kind() == types.List {
		return v.List()
	}
	return []value.Value{v}
}

// cover is regions that hide what lies behind them.
type cover struct {
	h       value.Host
	cutters []*region.Cutter
	boxes   []geom.Box // of their regions
}

func (c *cover) add(v value.Value) error {
	r, err := workable(c.h, "behind", v)
	if err == nil && len(r) > 0 {
		c.cutters = append(c.cutters, region.NewCutter(r))
		c.boxes = append(c.boxes, r.Bounds())
	}
	return err
}

// uncovered is what is left of paths.
func (c *cover) uncovered(paths []*value.Path) (value.Value, error) {
	var seen [][]geom.Point
	b := &bench{h: c.h}
	for _, p := range paths {
		if err := withinReach("behind", p.Points); err != nil {
			return value.Nothing, err
		}
		if err := b.clear(); err != nil {
			return value.Nothing, err
		}
		left := [][]geom.Point{p.Points}
		box := geom.Bounds(p.Points)
		for i, cutter := range c.cutters {
			if !box.Meets(c.boxes[i]) {
				continue
			}
			var err error
			if left, err = cutter.CutAll(left, false, b.work); err != nil {
				return value.Nothing, err
			}
		}
		seen = append(seen, left...)
	}
	return linePaths(c.h, seen)
}

// combiningWord is a word that makes one region of several.
func combiningWord(name string, combine func([]region.Region, region.Work) (region.Region, error), doc, example string) value.Native {
	return value.Native{
		Builtin: &types.Builtin{
			Name:    name,
			Forms:   []types.Form{lists(types.Path, area("region"), rest(area("others")))},
			Doc:     doc,
			Example: example,
		},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			if len(args) == 1 && args[0].Kind() == types.List {
				args = args[0].List()
				if err := allOf(name, regionKinds|types.List, args); err != nil {
					return value.Nothing, err
				}
			}
			regions := make([]region.Region, len(args))
			for i, arg := range args {
				var err error
				if regions[i], err = workable(h, name, arg); err != nil {
					return value.Nothing, err
				}
			}
			if len(regions) == 0 {
				return value.List(nil), nil
			}
			r, err := combine(regions, regionWork(h))
			if err != nil {
				return value.Nothing, err
			}
			return regionPaths(h, r)
		},
	}
}

func offset(h value.Host, args []value.Value) (value.Value, error) {
	paths, err := pathsOf(h, "offset", outlines(args[0]))
	if err != nil {
		return value.Nothing, err
	}
	mm, corners := args[1].Number(), region.Round
	if said(args[2]) {
		corners = region.Mitred
	}
	if math.Abs(mm) > furthest {
		return value.Nothing, &diag.Fault{Code: "path-too-large", Args: diag.Args{"name": "offset"}}
	}
	var closed region.Region
	var lines [][]geom.Point
	b := &bench{h: h}
	for _, p := range paths {
		if err := withinReach("offset", p.Points); err != nil {
			return value.Nothing, err
		}
		if geom.Closed(p.Points) {
			closed = append(closed, p.Runs())
			continue
		}
		beside, err := region.OffsetLine(p.Points, mm, h.ToleranceMM(), corners, b.work)
		if err == nil {
			err = b.clear()
		}
		if err != nil {
			return value.Nothing, err
		}
		lines = append(lines, beside...)
	}
	grown, err := region.Offset(closed, mm, h.ToleranceMM(), corners, regionWork(h))
	if err != nil {
		return value.Nothing, err
	}
	for i := len(grown) - 1; i >= 0; i-- {
		lines = slices.Insert(lines, 0, grown[i].Points)
	}
	return linePaths(h, lines)
}

func measured(h value.Host, name string, v value.Value) (mm2 float64, center geom.Point, ok bool, err error) {
	r, err := workable(h, name, v)
	if err != nil {
		return 0, geom.Point{}, false, err
	}
	return r.Measure(regionWork(h))
}
