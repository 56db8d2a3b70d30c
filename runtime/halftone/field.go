package halftone

// The eye does not see a line but its blur. The error of a picture is the sum,
// over all cells, of the square of what the blurred ink is off the blurred
// tones. If a move changes the ink by d, the error changes by
//
//	2 Σ d(p) F(p) + Σ d(p) d(q) K(p-q),   F = K * (ink - tones),
//
// where K is the blur applied twice. So the field F is kept up to date, and a
// move is judged from the few cells that it touches. The blur is a mixture of
// two: what is seen from afar, and what is seen near.

const (
	farBlur   = 1.8 // deviation, in line widths: 0.9 mm for a line of 0.5 mm
	nearBlur  = 0.9
	nearShare = 0.3
	reach     = 8 // cells to each side at which K counts
	span      = 2*reach + 1
)

type field struct {
	columns, rows int // of the picture; around it are reach+1 cells of paper
	stride        int
	at            []float32 // F
	target        []float32 // tones, as what share of a cell is ink
	overlap       []int32   // what ink over ink costs, in sixteenths
	kernel        [span * span]float32
}

const rim = reach + 1

func newField(tones *grid) *field {
	f := &field{columns: tones.columns, rows: tones.rows, stride: tones.columns + 2*rim}
	f.at = make([]float32, f.stride*(tones.rows+2*rim))
	f.target = make([]float32, len(f.at))
	f.overlap = make([]int32, len(f.at))
	f.aim(tones)
	const root2 = 1.4142135623730951
	far, near := cut(gaussian(farBlur*root2)), cut(gaussian(nearBlur*root2))
	for y := -reach; y <= reach; y++ {
		for x := -reach; x <= reach; x++ {
			a, b := max(x, -x), max(y, -y)
			k := float64((1-nearShare)*float64(far[a]*far[b])) + float64(nearShare*float64(near[a]*near[b]))
			f.kernel[(y+reach)*span+x+reach] = float32(k)
		}
	}
	return f
}

// aim sets the tones that the line is to have. Where they are light, every
// place at which the line comes too near to itself is seen; where they are as dark
// as they come, pieces have to lie side by side without a gap, and it costs next to
// nothing that their edges do.
func (f *field) aim(tones *grid) {
	for y := range tones.rows {
		for x := range tones.columns {
			tone := tones.at[y*tones.columns+x]
			i := (y+rim)*f.stride + x + rim
			f.target[i] = float32(tone)
			f.overlap[i] = int32(16 + float64(64*float64((1-tone)*(1-tone))) - float64(14*float64(float64(tone*tone)*float64(tone*tone))))
		}
	}
}

// overlapIn are the prices of ink over ink along a row of pixels, cell by cell.
func (f *field) overlapIn(row int32) []int32 {
	return f.overlap[(int(row)/perCell+rim)*f.stride+rim:]
}

// cut makes half a bell curve reach+1 long.
func cut(half []float64) []float64 {
	out := make([]float64, reach+1)
	copy(out, half)
	return out
}

// weights are how the middles of the pixels of a cell lie between the middles of
// the cells: to the cell before, its own and the one after, in eighths.
var weights = [perCell][3]int32{{3, 5, 0}, {1, 7, 0}, {0, 7, 1}, {0, 5, 3}}

// perInk is what a cell that is all ink adds up to.
const perInk = 64 * perCell * perCell

// renew works the field out from the ink anew.
func (f *field) renew(k *ink) {
	off := make([]int32, len(f.at))
	for row := range k.rows {
		wy := weights[row%perCell]
		for column, n := range k.counts[row*k.columns : (row+1)*k.columns] {
			if n == 0 {
				continue
			}
			wx := weights[column%perCell]
			at := (row/perCell+rim)*f.stride + column/perCell + rim
			for j := range 3 {
				for i := range 3 {
					off[at+(j-1)*f.stride+i-1] += wx[i] * wy[j]
				}
			}
		}
	}
	clear(f.at)
	rows := len(f.at) / f.stride
	for y := 1; y < rows-1; y++ {
		for x := 1; x < f.stride-1; x++ {
			i := y*f.stride + x
			d := float32(float32(off[i])/perInk) - f.target[i]
			if d == 0 {
				continue
			}
			for dy := max(-reach, 0-y); dy <= min(reach, rows-1-y); dy++ {
				from, to := max(-reach, 0-x), min(reach, f.stride-1-x)
				out := f.at[(y+dy)*f.stride+x+from : (y+dy)*f.stride+x+to+1]
				line := f.kernel[(dy+reach)*span+reach+from:]
				for k := range out {
					out[k] += float32(d * line[k])
				}
			}
		}
	}
}
