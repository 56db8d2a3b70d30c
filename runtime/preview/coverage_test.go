package preview

import (
	"context"
	"image"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// points pairs up coordinates.
func points(xy ...float64) []geom.Point {
	p := make([]geom.Point, len(xy)/2)
	for i := range p {
		p[i] = geom.Point{X: xy[2*i], Y: xy[2*i+1]}
	}
	return p
}

func circle(n int, x, y, r float64) []geom.Point {
	p := make([]geom.Point, n+1)
	for i := range p {
		a := 2 * math.Pi * float64(i) / float64(n)
		p[i] = geom.Point{X: x + r*math.Cos(a), Y: y + r*math.Sin(a)}
	}
	return p
}

// inked draws a line on a page of 40 × 30 mm at 10 px per mm.
func inked(t *testing.T, width float64, line []geom.Point) *plane {
	t.Helper()
	s := &sheet{scale: 10, origin: spot{0, 300}, size: geom.Point{X: 40, Y: 30}, window: image.Rect(0, 0, 400, 300)}
	planes, err := newLine(s, line, width, nil).ink(context.Background(), 400, 300)
	require.NoError(t, err)
	require.NotNil(t, planes[drawn])
	return planes[drawn]
}

// area is all ink of a plane, in mm² at 10 px per mm.
func area(p *plane) float64 {
	sum := 0
	for _, v := range p.pix {
		sum += int(v)
	}
	return float64(sum) / 255 / 100
}

func TestInkIsLengthTimesWidthLessOverlaps(t *testing.T) {
	grid := func(w float64) ([]geom.Point, float64) {
		// A meander of 10 lines across and one of 7 lines up, in one line.
		var p []geom.Point
		for i := range 10 {
			y := 3 + float64(i)*2
			if i%2 == 0 {
				p = append(p, geom.Point{X: 5, Y: y}, geom.Point{X: 29, Y: y})
			} else {
				p = append(p, geom.Point{X: 29, Y: y}, geom.Point{X: 5, Y: y})
			}
		}
		for i := range 7 {
			x := 5 + float64(i)*4
			if i%2 == 0 {
				p = append(p, geom.Point{X: x, Y: 21}, geom.Point{X: x, Y: 3})
			} else {
				p = append(p, geom.Point{X: x, Y: 3}, geom.Point{X: x, Y: 21})
			}
		}
		// The union of 10 strips of 24 mm and 7 of 18 mm, with square ends, and
		// the round that is missing at its four corners.
		union := 10*24*w + 7*18*w - 70*w*w + 10*w*w + 7*w*w
		return p, union - (4-math.Pi)*w*w/4
	}
	for _, w := range []float64{0.06, 0.08, 0.5, 1.3} {
		p := points(4.03, 5.01, 33.2, 25.7)
		length := p[0].Distance(p[1])
		require.InEpsilon(t, length*w+math.Pi*w*w/4, area(inked(t, w, p)), 0.01, "one line, %v mm wide", w)
		require.InEpsilon(t, 2*math.Pi*12*w, area(inked(t, w, circle(3000, 20, 15, 12))), 0.01, "circle, %v mm wide", w)
		if w >= 0.08 {
			line, want := grid(w)
			require.InEpsilon(t, want, area(inked(t, w, line)), 0.02, "grid, %v mm wide", w)
		}
	}
}

func TestLineGoneOverAgainIsNoDarker(t *testing.T) {
	once := points(3.3, 4.1, 30.7, 22.9, 33, 5)
	back := append(append([]geom.Point{}, once...), once[1], once[0], once[1], once[2])
	require.Equal(t, inked(t, 0.5, once).pix, inked(t, 0.5, back).pix)
}

func TestTheOrderOfDrawingLeavesNoTrace(t *testing.T) {
	line := circle(40, 20, 15, 11.3)
	turned := append(append([]geom.Point{}, line[17:]...), line[1:18]...)
	require.Equal(t, inked(t, 0.7, line).pix, inked(t, 0.7, turned).pix)
}

func TestPixelsDoNotDependOnTheNumberOfWorkers(t *testing.T) {
	line := circle(5*chunk, 20, 15, 13)
	many := inked(t, 0.4, line).pix
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, inked(t, 0.4, line).pix, many)
}

func TestEdgesLieWhereTheyShould(t *testing.T) {
	// 10 px per mm: from y = 150 - 4 to 150 + 4 px, and from x = 100 - 4 px.
	p := inked(t, 0.8, points(10, 15, 30, 15))
	at := func(x, y int) uint8 { return p.pix[y*p.w+x] }
	require.Equal(t, []uint8{0, 255, 255, 0}, []uint8{at(200, 145), at(200, 146), at(200, 153), at(200, 154)})
	require.Equal(t, uint8(0), at(95, 150))
	require.Greater(t, at(96, 150), uint8(200), "the round end")
	// Half a pixel higher, half of two rows is covered.
	p = inked(t, 0.8, points(10, 15.05, 30, 15.05))
	require.Equal(t, []uint8{128, 255, 255, 128}, []uint8{at(200, 145), at(200, 146), at(200, 152), at(200, 153)})
}

func TestCoverageIsTheShareOfThePixelForALineAlongAnAxis(t *testing.T) {
	for _, w := range []float64{0.07, 0.1, 0.13, 0.5, 0.77} {
		for _, y := range []float64{15, 15.02, 15.05, 15.07} {
			p := inked(t, w, points(5, y, 35, y))
			for row := 130; row < 170; row++ {
				top, bottom := 300-10*(y+w/2), 300-10*(y-w/2)
				want := 255 * max(0, min(bottom, float64(row+1))-max(top, float64(row)))
				require.InDelta(t, want, float64(p.pix[row*p.w+200]), 1.01, "width %v, y %v, row %d", w, y, row)
			}
		}
	}
}

func TestTinyPiecesAddUpToTheWholeLine(t *testing.T) {
	coarse, fine := circle(720, 20, 15, 12), circle(400_000, 20, 15, 12)
	a, b := inked(t, 0.5, coarse), inked(t, 0.5, fine)
	worst := 0.0
	for i := range a.pix {
		worst = max(worst, math.Abs(float64(a.pix[i])-float64(b.pix[i])))
	}
	// Thinning moves the line by at most the sagitta of pieces a quarter of a
	// pixel longer: far below a tenth of a pixel.
	require.Less(t, worst, 8.0)
	require.InEpsilon(t, area(a), area(b), 0.001)
}

func TestASinglePointIsADot(t *testing.T) {
	require.InEpsilon(t, math.Pi*0.25, area(inked(t, 1, points(20, 15))), 0.02)
	require.InEpsilon(t, math.Pi*0.25, area(inked(t, 1, points(20, 15, 20.001, 15))), 0.02)
}
