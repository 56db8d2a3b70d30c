package halftone

// window gathers what a move changes: the ink of the cells around it.
type window struct {
	left, bottom int32 // its lower left cell
	sums         [windowSide * windowSide]int32
	low, high    int32 // rows that were touched
	cells        []touched
	overlap      int32 // price of the pixels that are covered once more, in sixteenths
}

const windowSide = 24

type touched struct {
	x, y  int32
	share float32
}

func (w *window) open(x, y int32) {
	w.left, w.bottom = x/perWidth-windowSide/2, y/perWidth-windowSide/2
	w.low, w.high = windowSide, -1
	w.overlap = 0
}

// put changes the ink of a pixel by one.
func (w *window) put(row, column, by int32) {
	cy, cx := row/perCell, column/perCell
	wy, wx := &weights[row%perCell], &weights[column%perCell]
	y, x := cy-w.bottom, cx-w.left
	w.low, w.high = min(w.low, y-1), max(w.high, y+1)
	at := y*windowSide + x
	a, b, c := wx[0]*by, wx[1]*by, wx[2]*by
	for j := int32(0); j < 3; j++ {
		if v := wy[j]; v != 0 {
			line := w.sums[at+(j-1)*windowSide-1:]
			line = line[:3:3]
			line[0] += a * v
			line[1] += b * v
			line[2] += c * v
		}
	}
}

// lift takes pieces of line off, and lower lays them; both note what changes.
func (w *window) lift(k *ink, f *field, runs []run) {
	for _, r := range runs {
		dear := f.overlapIn(r.row)
		line := k.counts[int(r.row)*k.columns+int(r.from) : int(r.row)*k.columns+int(r.to)]
		for i := range line {
			line[i]--
			if line[i] == 0 {
				w.put(r.row, r.from+int32(i), -1)
			} else {
				w.overlap -= dear[(int(r.from)+i)/perCell]
			}
		}
	}
}

func (w *window) lower(k *ink, f *field, runs []run) {
	for _, r := range runs {
		dear := f.overlapIn(r.row)
		line := k.counts[int(r.row)*k.columns+int(r.from) : int(r.row)*k.columns+int(r.to)]
		for i := range line {
			if line[i] == 0 {
				w.put(r.row, r.from+int32(i), 1)
			} else {
				w.overlap += dear[(int(r.from)+i)/perCell]
			}
			line[i]++
		}
	}
}

// gather lists the cells that changed, and empties the window.
func (w *window) gather() {
	w.cells = w.cells[:0]
	for y := max(w.low, 0); y <= min(w.high, windowSide-1); y++ {
		line := w.sums[y*windowSide : (y+1)*windowSide]
		for x, sum := range line {
			if sum != 0 {
				w.cells = append(w.cells, touched{w.left + int32(x), w.bottom + y, float32(sum) / perInk})
				line[x] = 0
			}
		}
	}
}

// first is the part of the change of error that the field knows, and second the
// rest, which is never less than nothing.
func (f *field) first(cells []touched) float32 {
	sum := float32(0)
	for _, c := range cells {
		sum += float32(c.share * f.at[(int(c.y)+rim)*f.stride+int(c.x)+rim])
	}
	return 2 * sum
}

func (f *field) second(cells []touched) float32 {
	sum := float32(0)
	own := f.kernel[reach*span+reach]
	for i, c := range cells {
		sum += float32(float32(c.share*c.share) * own)
		part := float32(0)
		for _, d := range cells[:i] {
			dx, dy := c.x-d.x, c.y-d.y
			if dx >= -reach && dx <= reach && dy >= -reach && dy <= reach {
				part += float32(d.share * f.kernel[(dy+reach)*span+dx+reach])
			}
		}
		sum += 2 * float32(part*c.share)
	}
	return sum
}

// change takes a change of ink over into the field.
func (f *field) change(cells []touched) {
	for _, c := range cells {
		for dy := -reach; dy <= reach; dy++ {
			y := int(c.y) + rim + dy
			if y < 0 || (y+1)*f.stride > len(f.at) {
				continue
			}
			at := y*f.stride + int(c.x) + rim - reach
			out := f.at[at : at+span]
			line := f.kernel[(dy+reach)*span : (dy+reach+1)*span]
			for i := range out {
				out[i] += float32(c.share * line[i])
			}
		}
	}
}
