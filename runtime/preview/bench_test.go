package preview

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"math/bits"
	"testing"

	"github.com/fogleman/gg"
	"golang.org/x/image/vector"

	"wend/runtime/geom"
)

// million is a dense figure of n pieces on the desk page.
func million(n int) []geom.Point {
	p := make([]geom.Point, n+1)
	for i := range p {
		a := float64(i) / float64(n) * 2 * math.Pi * 300
		r := 45 * math.Cos(a*1.0137)
		p[i] = geom.Point{X: 70 + 1.4*r*math.Cos(a), Y: 50 + r*math.Sin(a)}
	}
	return p
}

// BenchmarkLine draws the same line at 1.5 px and 5 px on 1400 × 1000 px three
// ways: ours, fogleman/gg (a stroke every 100 pieces) and
// golang.org/x/image/vector (one quadrilateral a piece).
func BenchmarkLine(b *testing.B) {
	const w, h = 1400, 1000
	s := &sheet{scale: 10, origin: spot{0, h}, size: geom.Point{X: 140, Y: 100}, window: image.Rect(0, 0, w, h)}
	for _, n := range []int{100_000, 1_000_000} {
		line := million(n)
		for _, width := range []float64{1.5, 5} {
			b.Run(fmt.Sprintf("preview/%d/%vpx", n, width), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := newLine(s, line, width/10, nil).ink(context.Background(), w, h); err != nil {
						b.Fatal(err)
					}
				}
			})
			b.Run(fmt.Sprintf("gg/%d/%vpx", n, width), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					dc := gg.NewContext(w, h)
					dc.SetLineWidth(width)
					dc.SetColor(color.Black)
					for i, p := range line {
						q := s.spot(p)
						dc.LineTo(q.x, q.y)
						if i%100 == 99 {
							dc.Stroke()
							dc.MoveTo(q.x, q.y)
						}
					}
					dc.Stroke()
				}
			})
			b.Run(fmt.Sprintf("vector/%d/%vpx", n, width), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					r := vector.NewRasterizer(w, h)
					for i := range line[1:] {
						p, q := s.spot(line[i]), s.spot(line[i+1])
						dx, dy := q.x-p.x, q.y-p.y
						k := width / 2 / math.Hypot(dx, dy)
						nx, ny := -dy*k, dx*k
						r.MoveTo(float32(p.x+nx), float32(p.y+ny))
						r.LineTo(float32(q.x+nx), float32(q.y+ny))
						r.LineTo(float32(q.x-nx), float32(q.y-ny))
						r.LineTo(float32(p.x-nx), float32(p.y-ny))
						r.ClosePath()
					}
					mask := image.NewAlpha(image.Rect(0, 0, w, h))
					r.Draw(mask, mask.Bounds(), image.Opaque, image.Point{})
				}
			})
		}
	}
}

// BenchmarkInk draws what is hard on ours in other ways: pieces of a third of a
// pixel that fill an area (a dragon curve), and chords right across the page.
func BenchmarkInk(b *testing.B) {
	dragon := []geom.Point{{X: 70, Y: 50}}
	for i, heading := 1, 0; i <= 1<<20; i++ {
		ways := [...]geom.Point{{X: 0.04}, {Y: 0.04}, {X: -0.04}, {Y: -0.04}}
		dragon = append(dragon, dragon[i-1].Add(ways[heading&3]))
		if heading++; i>>bits.TrailingZeros(uint(i))&2 != 0 {
			heading -= 2
		}
	}
	chords := make([]geom.Point, 2001)
	for i := range chords {
		sine, cosine := math.Sincos(float64(i) * 2.4)
		chords[i] = geom.Point{X: 70 + 65*cosine, Y: 50 + 45*sine}
	}
	const w, h = 1400, 1000
	s := &sheet{scale: 10, origin: spot{0, h}, size: geom.Point{X: 140, Y: 100}, window: image.Rect(0, 0, w, h)}
	for _, c := range []struct {
		name string
		line []geom.Point
	}{{"dragon", dragon}, {"chords", chords}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := newLine(s, c.line, 0.5, nil).ink(context.Background(), w, h); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFormats(b *testing.B) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: million(1_000_000), Title: "A million pieces"}
	ctx := context.Background()
	for _, format := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"PNG", func(w io.Writer) error { return PNG(ctx, w, pic, Options{}) }},
		{"GIF", func(w io.Writer) error { return GIF(ctx, w, pic, Growth{}) }},
		{"SVG", func(w io.Writer) error { return SVG(w, pic, 1) }},
		{"CSV", func(w io.Writer) error { return CSV(w, pic) }},
	} {
		b.Run(format.name, func(b *testing.B) {
			b.ReportAllocs()
			var out bytes.Buffer
			for b.Loop() {
				out.Reset()
				if err := format.write(&out); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(out.Len())/1e6, "MB")
		})
	}
	b.Run("Braille", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			braille(pic, pic.Page.Box(), 120, 40)
		}
	})
}
