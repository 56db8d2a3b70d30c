//go:build peers

package svg

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// The widths in pixels of pictures to compare with, and of their lines.
const (
	peerPixels = 1000
	peerLine   = 2
)

// Real drawings beside a general-purpose renderer (librsvg), which is told to
// stroke all shapes thinly and to fill none. Nearly all of our line must lie on
// its ink, and nearly all of its ink on our line. What may differ is told by the
// drawings themselves: shapes that are neither filled nor stroked are inked by
// the renderer alone, and open ends that a fill closes are drawn by us alone, as
// are shadows that are scaled down so far that the thin line fades away.
func TestTheStrokesLieWhereARendererDrawsThem(t *testing.T) {
	renderer, err := exec.LookPath("rsvg-convert")
	require.NoError(t, err, "this test wants a renderer: apt-get install librsvg2-bin")
	var onInk, onLine []float64
	for _, name := range realFiles(t) {
		d := readReal(t, name)
		v, known := d.view()
		if !known {
			continue // the renderer chooses a size of its own
		}
		drawing, err := d.Draw(Options{ToleranceMM: 0.02, Largest: pt(140, 100), Charge: free})
		require.NoError(t, err)
		sheet := filepath.Join(t.TempDir(), "thin.css")
		require.NoError(t, os.WriteFile(sheet, []byte(fmt.Sprintf(`path,rect,circle,ellipse,line,polyline,polygon{
			fill:none!important;stroke:#000!important;stroke-opacity:1!important;opacity:1!important;stroke-width:%g!important;
			stroke-dasharray:none!important;filter:none!important;mask:none!important;marker:none!important}
			g,svg,use{opacity:1!important;filter:none!important;mask:none!important} text,image{display:none!important}`,
			peerLine*v.inner.width/peerPixels)), 0o600))
		out, err := exec.Command(renderer, "--stylesheet", sheet, "-w", fmt.Sprint(peerPixels), "-b", "white", name).Output()
		require.NoError(t, err, name)
		picture, err := png.Decode(bytes.NewReader(out))
		require.NoError(t, err)
		ink, line := inkOf(picture), lineOf(drawing.Strokes, v.size, picture.Bounds())
		ours, theirs := covered(line, grown(ink, 3), 1), covered(ink, grown(line, 6), 0.5)
		t.Logf("%-18s %6.2f %% of our line on ink, %6.2f %% of the ink on our line", filepath.Base(name), 100*ours, 100*theirs)
		onInk, onLine = append(onInk, ours), append(onLine, theirs)
		require.Greater(t, ours, 0.85, name)
	}
	require.Greater(t, mean(onInk), 0.98)
	require.Greater(t, mean(onLine), 0.95)
}

func mean(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

// raster is a picture of shares of ink, row by row.
type raster struct {
	wide, high int
	at         []float64
}

func inkOf(m image.Image) raster {
	b := m.Bounds()
	r := raster{b.Dx(), b.Dy(), make([]float64, b.Dx()*b.Dy())}
	for y := range r.high {
		for x := range r.wide {
			grey, _, _, _ := m.At(b.Min.X+x, b.Min.Y+y).RGBA()
			r.at[y*r.wide+x] = 1 - float64(grey)/0xffff
		}
	}
	return r
}

// lineOf marks the pixels that lines go through.
func lineOf(lines [][]geom.Point, size geom.Point, b image.Rectangle) raster {
	r := raster{b.Dx(), b.Dy(), make([]float64, b.Dx()*b.Dy())}
	kx, ky := float64(r.wide)/size.X, float64(r.high)/size.Y
	for _, line := range lines {
		for i := 1; i < len(line); i++ {
			p, q := pt(line[i-1].X*kx, (size.Y-line[i-1].Y)*ky), pt(line[i].X*kx, (size.Y-line[i].Y)*ky)
			steps := math.Ceil(2*p.Distance(q)) + 1
			for s := 0.0; s <= steps; s++ {
				at := p.Mix(q, s/steps)
				x, y := int(at.X), int(at.Y)
				// At the very edge half of the ink is cut away.
				if 0 < x && x < r.wide-1 && 0 < y && y < r.high-1 {
					r.at[y*r.wide+x] = 1
				}
			}
		}
	}
	return r
}

// grown is everything within some pixels of any ink.
func grown(r raster, by int) raster {
	out := raster{r.wide, r.high, make([]float64, len(r.at))}
	for y := range r.high {
		for x := range r.wide {
			if r.at[y*r.wide+x] < 1.0/512 {
				continue
			}
			for v := max(0, y-by); v <= min(r.high-1, y+by); v++ {
				for u := max(0, x-by); u <= min(r.wide-1, x+by); u++ {
					out.at[v*r.wide+u] = 1
				}
			}
		}
	}
	return out
}

// covered is which share of what is dark in one picture is dark in another.
func covered(a, by raster, dark float64) float64 {
	all, hit := 0, 0
	for i, x := range a.at {
		if x >= dark {
			all++
			if by.at[i] > 0 {
				hit++
			}
		}
	}
	return float64(hit) / float64(max(all, 1))
}
