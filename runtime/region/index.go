package region

import (
	"cmp"
	"slices"
)

// frame is an upright rectangle of the grid, its edges included.
type frame struct{ minX, minY, maxX, maxY int64 }

func frameOf(a, b node) frame {
	return frame{min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)}
}

func (f frame) union(g frame) frame {
	return frame{min(f.minX, g.minX), min(f.minY, g.minY), max(f.maxX, g.maxX), max(f.maxY, g.maxY)}
}

// near reports whether the segment ab comes nearer than slack, along each axis,
// to the frame.
func (f frame) near(a, b node, slack int64) bool {
	if min(a.x, b.x) > f.maxX+slack || max(a.x, b.x) < f.minX-slack ||
		min(a.y, b.y) > f.maxY+slack || max(a.y, b.y) < f.minY-slack {
		return false
	}
	// All twice as large, so that the middle of the frame is a whole number.
	way := b.sub(a)
	off := way.cross(node{f.minX + f.maxX - 2*a.x, f.minY + f.maxY - 2*a.y})
	reach := max(way.x, -way.x)*(f.maxY-f.minY+2*slack) + max(way.y, -way.y)*(f.maxX-f.minX+2*slack)
	return -reach <= off && off <= reach
}

// index finds frames near a segment. They are kept in the order of a curve that
// fills the plane (G. M. Morton, 1966), in runs, pairs of those, and so on.
type index struct {
	items  []int32 // in the order of the curve
	levels [][]frame
	frames []frame // of each item
}

const indexRun = 4

func newIndex(frames []frame) *index {
	x := &index{items: make([]int32, len(frames)), frames: frames}
	keys := make([]uint64, len(frames))
	for i, f := range frames {
		x.items[i] = int32(i)
		const shift = 1 << (coordinateBits + 3)
		keys[i] = spread(uint64(f.minX+f.maxX+shift)) | spread(uint64(f.minY+f.maxY+shift))<<1
	}
	slices.SortFunc(x.items, func(i, j int32) int {
		if order := cmp.Compare(keys[i], keys[j]); order != 0 {
			return order
		}
		return cmp.Compare(i, j)
	})
	var level []frame
	for i := 0; i < len(x.items); i += indexRun {
		f := frames[x.items[i]]
		for _, j := range x.items[i+1 : min(i+indexRun, len(x.items))] {
			f = f.union(frames[j])
		}
		level = append(level, f)
	}
	for len(level) > 0 {
		x.levels = append(x.levels, level)
		if len(level) == 1 {
			break
		}
		next := make([]frame, 0, (len(level)+1)/2)
		for i := 0; i < len(level); i += 2 {
			f := level[i]
			if i+1 < len(level) {
				f = f.union(level[i+1])
			}
			next = append(next, f)
		}
		level = next
	}
	return x
}

// spread puts a zero between the bits of a number below 2^32.
func spread(v uint64) uint64 {
	v = (v | v<<16) & 0x0000ffff0000ffff
	v = (v | v<<8) & 0x00ff00ff00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f0f0f0f0f
	v = (v | v<<2) & 0x3333333333333333
	return (v | v<<1) & 0x5555555555555555
}

// visit calls each with the items whose frames the segment ab comes near (see
// frame.near).
func (x *index) visit(a, b node, slack int64, each func(item int32)) {
	if len(x.levels) > 0 {
		x.descend(len(x.levels)-1, 0, a, b, slack, each)
	}
}

func (x *index) descend(level, at int, a, b node, slack int64, each func(int32)) {
	if at >= len(x.levels[level]) || !x.levels[level][at].near(a, b, slack) {
		return
	}
	if level > 0 {
		x.descend(level-1, 2*at, a, b, slack, each)
		x.descend(level-1, 2*at+1, a, b, slack, each)
		return
	}
	for _, item := range x.items[at*indexRun : min((at+1)*indexRun, len(x.items))] {
		if x.frames[item].near(a, b, slack) {
			each(item)
		}
	}
}
