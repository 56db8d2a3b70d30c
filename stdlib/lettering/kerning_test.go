package lettering

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
)

// signNames are what a face draws that is set by itself: no marks, no spaces.
func (f *Face) signNames() []string {
	var names []string
	for _, name := range f.drawnNames() {
		if !f.drawn(name).space() && norm.NFD.PropertiesString(name).CCC() == 0 {
			names = append(names, name)
		}
	}
	return names
}

// inkDistance is how far apart lines are, the second ones moved by dx, if less
// than limit; 0 if they meet.
func inkDistance(a, b [][]geom.Point, dx, limit float64) float64 {
	best := limit
	far := func(a, b, c, d float64) bool { return min(a, b)-max(c, d) > best || min(c, d)-max(a, b) > best }
	for _, p := range a {
		for i := 1; i < len(p); i++ {
			for _, q := range b {
				for k := 1; k < len(q); k++ {
					u, v, m, n := p[i-1], p[i], q[k-1].Add(geom.Point{X: dx}), q[k].Add(geom.Point{X: dx})
					if far(u.X, v.X, m.X, n.X) || far(u.Y, v.Y, m.Y, n.Y) {
						continue
					}
					if geom.Meet(u, v, m, n) != geom.Apart {
						return 0
					}
					best = min(best, geom.SegmentDistance(u, v, m), geom.SegmentDistance(u, v, n),
						geom.SegmentDistance(m, n, u), geom.SegmentDistance(m, n, v))
				}
			}
		}
	}
	return best
}

// flats keeps the lines of letters.
type flats map[*Glyph][][]geom.Point

func (f flats) of(g *Glyph) [][]geom.Point {
	if f[g] == nil {
		f[g] = g.flat(coarse)
	}
	return f[g]
}

// wantedClear is what the ink of two neighbours keeps, in units.
func wantedClear(f *Face, a, b *Glyph) float64 {
	wanted := f.clear()
	if f.hangs(a) || f.hangs(b) {
		wanted *= hanging
	}
	return wanted - coarse
}

// ISO 3098-0 asks for two tenths of a capital between the middles of strokes even
// where letters stand closest (with strokes of a tenth: a tenth of white).
func TestTheInkOfEveryPairOfSignsKeepsAClearGap(t *testing.T) {
	eachFace(t, func(t *testing.T, face *Face) {
		require.GreaterOrEqual(t, face.clear(), 20.0)
		lines := flats{}
		names := face.signNames()
		pairs := 0
		for _, first := range names {
			for _, second := range names {
				a, b := face.drawn(first), face.drawn(second)
				if a.joined != nil && b.in != nil {
					a = a.joined
				}
				if a.out != nil && b.in != nil {
					continue // written in one go
				}
				pairs++
				wanted := wantedClear(face, a, b)
				if got := inkDistance(lines.of(a), lines.of(b), face.advance(a, b, 0), wanted); got < wanted {
					t.Errorf("%s%s: %.1f of %.1f", first, second, got, wanted)
				}
			}
		}
		t.Logf("%d pairs", pairs)
	})
}

func TestSignsKeepTheirGapAtEverySizeAndUnderQuotes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		face := readFaces()[rapid.SampledFrom(faceNames).Draw(t, "face")]
		text := strings.Join(rapid.SliceOfN(rapid.SampledFrom(face.signNames()), 2, 7).Draw(t, "text"), "")
		height := rapid.Float64Range(0.5, 200).Draw(t, "height")
		block, err := Set(face, text, Style{Height: height})
		require.NoError(t, err)
		letters := block.rows[0].letters
		for i := range letters {
			for k := i + 1; k < len(letters); k++ {
				a, b := letters[i], letters[k]
				if k == i+1 && (a.out == nil || b.in == nil) || k == i+2 && face.hangs(letters[i+1].Glyph) {
					wanted := wantedClear(face, a.Glyph, b.Glyph)
					got := inkDistance(a.flat(coarse), b.flat(coarse), b.x-a.x, wanted)
					require.GreaterOrEqual(t, got*block.scale, wanted*height/Cap-1e-9, "%s and %s in %q", a.name, b.name, text)
				}
			}
		}
	})
}

func TestLettersAreNeverTiedToEachOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(faceNames).Draw(t, "face")
		text := rapid.StringMatching(`[A-Z0-9]{1,9}( [A-Za-z]{1,9})?`).Draw(t, "text")
		block := setBlock(t, name, text, Style{Height: 10})
		letters, grounded := block.rows[0].letters, block.grounded()[0].letters
		require.Len(t, grounded, len(letters))
		for i, l := range grounded {
			require.Zero(t, l.added, "%d of %q", i, text)
		}
	})
}
