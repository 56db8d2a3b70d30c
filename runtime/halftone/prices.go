package halftone

import "math"

// prices say what a line costs beside the error of its tones, in squares of ink
// of one cell.
type prices struct {
	bend     float64 // a vertex at which the line turns right back: half of it
	off      float64 // a width of line right across a sure flow
	reversal float64 // a vertex at which an axis turns back
	overlap  float64 // a cell of ink that is laid over ink
	sharp    float64 // a vertex at which the line turns by more than a right angle
}

// of is the price of a stretch of line: of its pieces but the first and the
// last, and of its vertices but the ends.
func (p *prices) of(f *flow, line []point) float64 {
	sum := 0.0
	before := leg(line[0], line[1])
	for i := 1; i < len(line)-1; i++ {
		here := leg(line[i], line[i+1])
		sum += p.turn(before, here)
		if i < len(line)-2 {
			sum += p.piece(f, line[i], here)
		}
		before = here
	}
	return sum
}

// step is a piece of line: its way and its length.
type step struct{ x, y, long float64 }

func leg(p, q point) step {
	x, y := float64(q.x-p.x), float64(q.y-p.y)
	return step{x, y, math.Sqrt(float64(x*x) + float64(y*y))}
}

func (p *prices) turn(a, b step) float64 {
	if a.long == 0 || b.long == 0 {
		return 0
	}
	cos := (float64(a.x*b.x) + float64(a.y*b.y)) / float64(a.long*b.long)
	sum := float64(p.bend * (1 - cos))
	if cos < 0 {
		sum += float64(p.sharp * -cos)
	}
	if float64(a.x*b.x) < 0 {
		sum += p.reversal
	}
	if float64(a.y*b.y) < 0 {
		sum += p.reversal
	}
	return sum
}

func (p *prices) piece(f *flow, from point, s step) float64 {
	x, y := (float64(from.x)+float64(s.x/2))/perWidth, (float64(from.y)+float64(s.y/2))/perWidth
	i := min(max(int(y), 0), f.cos.rows-1)*f.cos.columns + min(max(int(x), 0), f.cos.columns-1)
	c, si := f.cos.at[i], f.sin.at[i]
	sure := math.Sqrt(float64(c*c) + float64(si*si))
	dx, dy := s.x/s.long, s.y/s.long
	along := float64(c*(float64(dx*dx)-float64(dy*dy))) + float64(si*(2*float64(dx*dy)))
	return float64(s.long/perWidth) * float64(p.off*(sure-along)) / 2
}

// usual are the prices of the flagship. They are small beside the error of tones,
// so that the line gives way to it: with ink over ink at five times the price, it
// leaves gaps in the darks. Reversals are what a machine's slack is felt at, and
// stay dear.
var usual = prices{bend: 0.024, off: 0.009, reversal: 0.02, overlap: 0.004, sharp: 0.07}
