package preview

import (
	"bytes"
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/plan"
)

// stretched is the PNG of a picture whose line is inked while it comes in stretches,
// the first and the others of so many pieces, and how many chunks had their ink before.
func stretched(t *testing.T, pic Picture, opts Options, pieces, later int) ([]byte, int) {
	t.Helper()
	line := pic.Points
	first := pic
	first.Points = line[:min(pieces+1, len(line))]
	k := first.Ink(context.Background(), opts)
	for from := pieces; from < len(line)-1; from += later {
		k.Add(line[from:min(from+later+1, len(line))])
	}
	// All is inked here, so that the test is the same every time.
	close(k.stretches)
	k.worker.Wait()
	k.stretches = make(chan []geom.Point)
	l, err := pic.arrange(opts.PixelsPerMM, opts.length(), opts)
	require.NoError(t, err)
	ln := newLine(&l.sheet, line, pic.LineWidthMM, nil)
	k.give(ln, pic.LineWidthMM, l.w, l.h)
	opts.Inked = k
	var png bytes.Buffer
	require.NoError(t, PNG(context.Background(), &png, pic, opts))
	return png.Bytes(), ln.inked
}

func TestAPictureIsTheSameIfItsLineIsInkedWhileItIsDrawn(t *testing.T) {
	curl := func(n int) []geom.Point {
		line := make([]geom.Point, n+1)
		for i := range line {
			r, sine, cosine := 45*float64(i)/float64(n), math.Sin(float64(i)/9), math.Cos(float64(i)/9)
			line[i] = geom.Point{X: 70 + r*cosine, Y: 50 + r*sine}
		}
		return line
	}
	off := curl(5 * chunk)
	off[len(off)-1] = geom.Point{X: 150, Y: 50}
	hole := curl(5 * chunk)
	hole[2*chunk].X, hole[2*chunk+1].Y = math.NaN(), math.NaN()
	rest := slices.Repeat([]geom.Point{{X: 70, Y: 50}}, 2*chunk+1)
	narrow := Page{WidthMM: 3, HeightMM: 100}
	thin := slices.Clone(curl(5 * chunk))
	for i := range thin {
		thin[i].X /= 50
	}
	for _, c := range []struct {
		name          string
		page          Page
		line          []geom.Point
		opts          Options
		pieces, later int // of the first stretch and the others
		inked         int // chunks
	}{
		{"whole chunks", deskPage, curl(4 * chunk), Options{}, 2 * chunk, 2 * chunk, 3},
		{"and some more", deskPage, curl(5*chunk + 77), Options{}, 2 * chunk, 2 * chunk, 5},
		{"one chunk", deskPage, curl(chunk), Options{}, chunk, chunk, 0},
		{"bare, in other pixels", deskPage, curl(5 * chunk), Options{Bare: true, Length: 500}, 2 * chunk, 2 * chunk, 4},
		{"places that are none", deskPage, hole, Options{}, 2 * chunk, 2 * chunk, 4},
		{"a point", deskPage, rest, Options{}, 2 * chunk, 2 * chunk, 1},
		{"wider than its page", narrow, thin, Options{}, chunk, chunk, 0},
		{"in the end off the page", deskPage, off, Options{}, 2 * chunk, 2 * chunk, 0},
		{"no whole chunks later", deskPage, curl(5 * chunk), Options{}, 2 * chunk, chunk + 5, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			pic := Picture{Page: c.page, LineWidthMM: 0.5, Points: c.line, Source: "curl.wend", Machine: "desk"}
			var plain bytes.Buffer
			require.NoError(t, PNG(context.Background(), &plain, pic, c.opts))
			png, chunks := stretched(t, pic, c.opts, c.pieces, c.later)
			require.True(t, bytes.Equal(plain.Bytes(), png))
			require.Equal(t, c.inked, chunks)
		})
	}
}

func TestNothingIsInkedBeforeItIsKnown(t *testing.T) {
	line := slices.Repeat(points(10, 10, 20, 20), chunk)
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Places: []plan.Place{{}}}
	for _, n := range []int{2, chunk, chunk + 2, 2 * chunk} {
		pic.Points = line[:n]
		require.Nil(t, pic.Ink(context.Background(), Options{}), n)
	}
	pic.Points = line[:chunk+1]
	require.Nil(t, pic.Ink(context.Background(), Options{MarkAdded: true}))
	pic.LineWidthMM = 0
	require.Nil(t, pic.Ink(context.Background(), Options{}))
}

func TestInkingEndsWhenItIsStopped(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: slices.Repeat(points(10, 10, 20, 20), chunk+1)[:2*chunk+1]}
	ctx, cancel := context.WithCancel(context.Background())
	k := pic.Ink(ctx, Options{})
	cancel()
	for range 3 * waiting { // nobody waits for room
		k.Add(pic.Points)
	}
	k.Stop()
	k.Stop()
}
