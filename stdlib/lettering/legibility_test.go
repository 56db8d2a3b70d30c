package lettering

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"wend/runtime/geom"
)

// How far apart two signs look: each stands between two n, with all that joins it,
// is cut out, drawn at the width of the line, blurred, and held against the other
// in the best of a few shifts; also in the same height, since a reader takes a tall
// sign for a small one of that shape. 0 is the same, 1 is nothing in common.
const (
	lookMM  = 10.0 // height of a capital
	inkMM   = 0.5  // width of the line
	cellMM  = 0.5  // of the raster
	blurMM  = 0.6  // standard deviation of the blur
	lookOut = 7.0  // how far beside its middle a sign is cut out, mm
)

// look is a blurred raster of a sign, from below the tails to above the marks.
type look struct {
	w, h int
	ink  []float64
}

func lookAt(t *testing.T, face, sign string, scale float64) look {
	block := setBlock(t, face, "n"+sign+"n", Style{Height: lookMM})
	letters := block.rows[0].letters
	box := geom.EmptyBox()
	for _, l := range letters {
		if l.name == sign {
			box = box.Include(geom.Point{X: (l.x + l.ink.Min.X) * block.scale}).Include(geom.Point{X: (l.x + l.ink.Max.X) * block.scale})
		}
	}
	middle := geom.Point{X: box.Center().X}
	size := func(mm float64) int { return int(math.Round(mm / cellMM)) }
	l := look{w: size(2 * lookOut), h: size(22)}
	l.ink = make([]float64, l.w*l.h)
	points := lineOf(t, block).Points()
	for y := range l.h {
		for x := range l.w {
			at := geom.Point{X: (float64(x)+0.5)*cellMM - lookOut, Y: (float64(y)+0.5)*cellMM - 6}.Times(1 / scale).Add(middle)
			if at.X < box.Min.X-1.2 || at.X > box.Max.X+1.2 {
				continue
			}
			nearest := math.Inf(1)
			for i := 1; i < len(points); i++ {
				nearest = min(nearest, geom.SegmentDistance(points[i-1], points[i], at))
			}
			l.ink[y*l.w+x] = max(0, min(1, (inkMM*max(scale, 1)/2-nearest*scale)/cellMM+0.5))
		}
	}
	return l.blurred()
}

func (l look) blurred() look {
	sigma := blurMM / cellMM
	reach := int(3*sigma) + 1
	pass := func(from []float64, step, count, lines, stride int) []float64 {
		to := make([]float64, len(from))
		for line := range lines {
			for i := range count {
				sum, weight := 0.0, 0.0
				for k := max(0, i-reach); k <= min(count-1, i+reach); k++ {
					w := math.Exp(-float64((i-k)*(i-k)) / (2 * sigma * sigma))
					sum, weight = sum+w*from[line*stride+k*step], weight+w
				}
				to[line*stride+i*step] = sum / weight
			}
		}
		return to
	}
	l.ink = pass(l.ink, 1, l.w, l.h, l.w)
	l.ink = pass(l.ink, l.w, l.h, l.w, 1)
	return l
}

// apart is the squared difference of two looks as a share of both, in the best of
// five shifts to each side.
func (l look) apart(m look) float64 {
	best := math.Inf(1)
	for shift := -2; shift <= 2; shift++ {
		difference, both := 0.0, 0.0
		for y := range l.h {
			for x := range l.w {
				a, b := l.ink[y*l.w+x], 0.0
				if k := x + shift; k >= 0 && k < m.w {
					b = m.ink[y*m.w+k]
				}
				difference, both = difference+(a-b)*(a-b), both+a*a+b*b
			}
		}
		best = min(best, difference/both)
	}
	return best
}

// A sign must not be taken for a letter. The floors are what the faces reach; a
// change that brings a sign nearer to a letter than that fails.
func TestNoSignIsTakenForALetter(t *testing.T) {
	signs := []string{"!", ":", ";", "-", "=", "\"", "'", "?", "·", "+", "°", "~"}
	var letters []string
	for _, r := range "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ" {
		letters = append(letters, string(r))
	}
	for _, face := range faceNames {
		t.Run(face, func(t *testing.T) {
			looks := map[string][2]look{}
			for _, s := range slices.Concat(signs, letters) {
				plain := lookAt(t, face, s, 1)
				tall := plain
				if g := glyph(t, readFaces()[face], s); g.ink.Max.Y < 0.9*Cap && g.ink.Max.Y > 0.4*Cap {
					tall = lookAt(t, face, s, Cap/g.ink.Max.Y)
				}
				looks[s] = [2]look{plain, tall}
			}
			for _, s := range signs {
				best, like := math.Inf(1), ""
				for _, l := range letters {
					d := min(looks[s][0].apart(looks[l][0]), looks[s][1].apart(looks[l][1]))
					if d < best {
						best, like = d, l
					}
				}
				t.Logf("%s is nearest to %s: %.2f", s, like, best)
				if best < 0.12 {
					t.Errorf("%s looks like %s: %.3f", s, like, best)
				}
			}
			var pairs []string
			for i, a := range letters {
				for _, b := range letters[i+1:] {
					if d := looks[a][0].apart(looks[b][0]); d < 0.08 {
						pairs = append(pairs, fmt.Sprintf("%s%s %.2f", a, b, d))
					}
				}
			}
			t.Logf("letters nearer than 0.08: %v", pairs)
		})
	}
}

// On the line that runs along the baseline a plain F is an E. Its foot widens, so
// that it is seen to stand there.
func TestAnFOnTheLineIsNoE(t *testing.T) {
	if d := lookAt(t, "linden", "F", 1).apart(lookAt(t, "linden", "E", 1)); d < 0.16 {
		t.Errorf("F looks like E: %.3f", d)
	}
}
