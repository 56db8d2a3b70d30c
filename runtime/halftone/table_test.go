package halftone

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/tone"
	"wend/runtime/tour"
)

var (
	table        = flag.String("table", "", "print the table of styles for these minutes, such as 5,15,30,0 (0: all ink)")
	tableStyles  = flag.String("styles", strings.Join(names(), ","), "styles of the table")
	tablePhotos  = flag.String("photos", "chelsea,coffee", "pictures of the table: photos of testdata, and ramp, rings, checkers, blobs")
	tablePicture = flag.String("pictures", "", "folder for a picture of each line, near and from afar")
	tableWidth   = flag.Float64("widthmm", 120, "width of the pictures, in mm")
)

func names() (all []string) {
	for _, s := range Styles() {
		all = append(all, s.Name)
	}
	return all
}

// drawnIn is how long the desk toy takes for a line.
func drawnIn(ctx context.Context, line []geom.Point) (float64, error) {
	sheet := &plan.Sheet{Begun: true, Points: line, Place: make([]uint32, len(line)-1)}
	whole := &plan.Plan{Sheets: []*plan.Sheet{sheet}, Places: make([]plan.Place, 1)}
	lowered, _, err := lower.Sheet(ctx, machine.DeskToy(), whole, sheet, lower.Options{Compensate: true})
	if err != nil {
		return 0, err
	}
	return lowered.Seconds, nil
}

// fine is how many pixels there are to a line's width where coverage is counted.
const fine = 12

// covered is which pixels lie under a line. One that goes over itself is no
// darker there.
func covered(line []geom.Point, columns, rows int, cellMM float64) *grid {
	g := newGrid(columns*fine, rows*fine)
	const radius = fine / 2
	for i := range len(line) - 1 {
		a, b := line[i].Times(fine/cellMM), line[i+1].Times(fine/cellMM)
		for y := max(int(min(a.Y, b.Y)-radius), 0); y < min(int(max(a.Y, b.Y)+radius)+1, g.rows); y++ {
			for x := max(int(min(a.X, b.X)-radius), 0); x < min(int(max(a.X, b.X)+radius)+1, g.columns); x++ {
				if geom.SegmentDistance(a, b, geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) <= radius {
					g.at[y*g.columns+x] = 1
				}
			}
		}
	}
	return g
}

// shrunk is a grid whose cells are the means of squares.
func shrunk(g *grid, square int) *grid {
	s := newGrid(g.columns/square, g.rows/square)
	for y := range s.rows * square {
		for x := range s.columns * square {
			s.at[y/square*s.columns+x/square] += g.at[y*g.columns+x] / float64(square*square)
		}
	}
	return s
}

// doubled is a grid with four cells for each.
func doubled(g *grid) *grid {
	d := newGrid(2*g.columns, 2*g.rows)
	for y := range d.rows {
		for x := range d.columns {
			d.at[y*d.columns+x] = g.sample((float64(x)+0.5)/2, (float64(y)+0.5)/2)
		}
	}
	return d
}

// score is how like a picture of ink is to its tones, both blurred as an eye
// does: the SSIM (Wang, Bovik, Sheikh and Simoncelli 2004; Gaussian window of
// 1.5 px, range 1) and the mean error of grey. Blurs are in line widths.
func score(ink, tones *grid, blur float64) (ssim, off float64) {
	// Two pixels to a millimetre of a line of half a millimetre.
	a, b := shrunk(ink, 2).blurred(blur, blank), shrunk(tones, 2).blurred(blur, blank)
	for i := range a.at {
		off += math.Abs(a.at[i]-b.at[i]) / float64(len(a.at))
	}
	return structure(a, b), off
}

func structure(a, b *grid) float64 {
	smooth := func(p, q *grid) *grid {
		product := newGrid(p.columns, p.rows)
		for i := range product.at {
			product.at[i] = p.at[i] * q.at[i]
		}
		return product.blurred(1.5, repeated)
	}
	meanA, meanB := a.blurred(1.5, repeated), b.blurred(1.5, repeated)
	aa, bb, ab := smooth(a, a), smooth(b, b), smooth(a, b)
	const c1, c2 = 0.01 * 0.01, 0.03 * 0.03
	sum := 0.0
	for i := range meanA.at {
		x, y := meanA.at[i], meanB.at[i]
		varA, varB, both := aa.at[i]-x*x, bb.at[i]-y*y, ab.at[i]-x*y
		sum += (2*x*y + c1) * (2*both + c2) / ((x*x + y*y + c1) * (varA + varB + c2))
	}
	return sum / float64(len(meanA.at))
}

// diffused is the ceiling: dots of half a line's width where errors are passed on
// (Floyd and Steinberg 1976).
func diffused(tones *grid) *grid {
	left, out := newGrid(tones.columns, tones.rows), newGrid(tones.columns, tones.rows)
	copy(left.at, tones.at)
	pass := func(x, y int, v float64) {
		if x >= 0 && x < left.columns && y < left.rows {
			left.at[y*left.columns+x] += v
		}
	}
	for y := range left.rows {
		for x := range left.columns {
			v := left.at[y*left.columns+x]
			dot := math.Round(min(max(v, 0), 1))
			out.at[y*left.columns+x] = dot
			off := v - dot
			pass(x+1, y, off*7/16)
			pass(x-1, y+1, off*3/16)
			pass(x, y+1, off*5/16)
			pass(x+1, y+1, off*1/16)
		}
	}
	return out
}

// strewn is the floor: a short way through dots strewn by chance, as many as make
// about as long a line.
func strewn(t *testing.T, p *plate, tones *grid, lengthMM float64) []geom.Point {
	c := newChance(5, 5)
	mass := make([]float64, len(tones.at))
	sum := 0.0
	for i, v := range tones.at {
		sum += v * v
		mass[i] = sum
	}
	ink := tones.mean() * float64(len(tones.at)) * p.cellMM * p.cellMM
	n := int(math.Pow(lengthMM/0.78/ink, 2) * sum * p.cellMM * p.cellMM)
	var points []geom.Point
	for range n {
		want, low, high := c.unit()*sum, 0, len(mass)-1
		for low < high {
			if middle := (low + high) / 2; mass[middle] < want {
				low = middle + 1
			} else {
				high = middle
			}
		}
		points = append(points, geom.Point{
			X: (float64(low%tones.columns) + c.unit()) * p.cellMM, Y: (float64(low/tones.columns) + c.unit()) * p.cellMM,
		})
	}
	order, err := tour.Order(t.Context(), points, tour.Options{Kicks: 1})
	require.NoError(t, err)
	line := make([]geom.Point, n)
	for i, k := range order {
		line[i] = points[k]
	}
	return line
}

// reversals counts how often an axis turns back.
func reversals(line []geom.Point) int {
	n := 0
	var x, y float64
	for i := range len(line) - 1 {
		d := line[i+1].Sub(line[i])
		if d.X*x < 0 {
			n++
		}
		if d.Y*y < 0 {
			n++
		}
		if d.X != 0 {
			x = d.X
		}
		if d.Y != 0 {
			y = d.Y
		}
	}
	return n
}

// slackened is where a stylus goes whose machine is not told of its slack.
func slackened(line []geom.Point, slackMM float64) []geom.Point {
	out := make([]geom.Point, len(line))
	at := line[0]
	for i, p := range line {
		at.X = min(max(at.X, p.X-slackMM/2), p.X+slackMM/2)
		at.Y = min(max(at.Y, p.Y-slackMM/2), p.Y+slackMM/2)
		out[i] = at
	}
	return out
}

func pictureNamed(t testing.TB, name string) *tone.Image {
	value := map[string]func(x, y float64) float64{
		"ramp":     func(x, y float64) float64 { return x },
		"rings":    func(x, y float64) float64 { return 0.5 + 0.5*math.Cos(60*math.Hypot(1.5*(x-0.5), y-0.5)) },
		"checkers": func(x, y float64) float64 { return float64((int(12*x) + int(8*y)) % 2) },
		"blobs": func(x, y float64) float64 {
			return 0.5 + 0.25*math.Sin(9*x+4*math.Sin(5*y)) + 0.25*math.Sin(8*y-3*math.Sin(6*x))
		},
	}[name]
	file := filepath.Join("testdata", name+".png")
	if value != nil {
		im := image.NewGray(image.Rect(0, 0, 384, 256))
		for y := range 256 {
			for x := range 384 {
				im.SetGray(x, y, color.Gray{Y: uint8(255 * value((float64(x)+0.5)/384, (float64(y)+0.5)/256))})
			}
		}
		file = filepath.Join(t.TempDir(), name+".png")
		out, err := os.Create(file)
		require.NoError(t, err)
		require.NoError(t, png.Encode(out, im))
		require.NoError(t, out.Close())
	}
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	picture, err := tone.Decode(t.Context(), data)
	require.NoError(t, err)
	return picture
}

const farAway, nearAt = 1.8, 0.74 // 0.9 mm and 0.37 mm of a line of half a millimetre

// TestTable prints how like its picture each style's line is. Each is held
// against tones of as much ink as its own line lays, which is what it was asked
// for.
func TestTable(t *testing.T) {
	if *table == "" {
		return
	}
	fmt.Printf("%-9s %-9s %5s %6s %6s  %-13s %-13s  %-13s %-13s  %-13s %5s %5s\n", "picture", "style", "asked", "min", "metres", "far ssim/off", "near", "floor", "ceiling", "with slack", "rev/m", "meets")
	for _, name := range strings.Split(*tablePhotos, ",") {
		picture := pictureNamed(t, name)
		for _, minutes := range strings.Split(*table, ",") {
			var asked float64
			fmt.Sscan(minutes, &asked)
			for _, style := range strings.Split(*tableStyles, ",") {
				o := Options{WidthMM: *tableWidth, LineWidthMM: 0.5, Contrast: 1, Seed: 1, Style: style, Goal: 60 * asked, Measure: drawnIn}
				if refined, ok := strings.CutSuffix(style, "+"); ok {
					o.Style, o.Refine = refined, true
				}
				result, err := Line(t.Context(), picture, o)
				require.NoError(t, err)
				p := newPlate(picture, o.WidthMM, o.LineWidthMM, o.Contrast)
				seen := func(line []geom.Point) *grid { return shrunk(covered(line, p.columns, p.rows, p.cellMM), fine/2) }
				ink := seen(result.Points)
				tones := doubled(p.tones(min(ink.mean(), p.natural())))
				seconds, err := drawnIn(t.Context(), result.Points)
				require.NoError(t, err)
				long := geom.Length(result.Points)
				pair := func(ink *grid, blur float64) string {
					ssim, off := score(ink, tones, blur)
					return fmt.Sprintf("%.3f/%.3f", ssim, off)
				}
				met := 0
				if !styleNamed(o.Style).crosses {
					met = meetings(result.Points)
				}
				floor := seen(strewn(t, p, p.tones(min(ink.mean(), p.natural())), long))
				fmt.Printf("%-9s %-9s %5s %6.1f %6.2f  %-13s %-13s  %-13s %-13s  %-13s %5.0f %5d\n", name, style, minutes, seconds/60, long/1000,
					pair(ink, farAway), pair(ink, nearAt), pair(floor, farAway), pair(diffused(tones), farAway),
					pair(seen(slackened(result.Points, 0.4)), farAway), float64(reversals(result.Points))/long*1000, met)
				if *tablePicture != "" {
					base := filepath.Join(*tablePicture, name+"-"+style+"-"+minutes)
					writeGrey(t, base+".png", shrunk(covered(result.Points, p.columns, p.rows, p.cellMM), 2), 1)
					writeGrey(t, base+"-far.png", ink.blurred(2*farAway, blank), 2)
				}
			}
		}
	}
}

func writeGrey(t *testing.T, name string, ink *grid, times int) {
	im := image.NewGray(image.Rect(0, 0, ink.columns*times, ink.rows*times))
	for y := range ink.rows * times {
		for x := range ink.columns * times {
			light := min(max(1-ink.at[y/times*ink.columns+x/times], 0), 1)
			im.SetGray(x, ink.rows*times-1-y, color.Gray{Y: uint8(255 * math.Pow(light, 1/2.2))})
		}
	}
	out, err := os.Create(name)
	require.NoError(t, err)
	require.NoError(t, png.Encode(out, im))
	require.NoError(t, out.Close())
}

// meetings counts the pieces of a line that have a point in common with another
// one that is not their neighbour.
func meetings(line []geom.Point) int {
	type cell [2]int
	size := 1.0
	for i := range len(line) - 1 {
		size = max(size, line[i].Distance(line[i+1]))
	}
	cells := map[cell][]int{}
	n := 0
	for i := range len(line) - 1 {
		middle := line[i].Mix(line[i+1], 0.5)
		x, y := int(middle.X/size), int(middle.Y/size)
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				for _, j := range cells[cell{x + dx, y + dy}] {
					if j < i-1 && geom.Meet(line[i], line[i+1], line[j], line[j+1]) != geom.Apart {
						n++
					}
				}
			}
		}
		cells[cell{x, y}] = append(cells[cell{x, y}], i)
	}
	return n
}
