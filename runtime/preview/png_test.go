package preview

import (
	"bytes"
	"context"
	"encoding/binary"
	"flag"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

var update = flag.Bool("update", false, "rewrite the golden files")

var deskPage = Page{WidthMM: 140, HeightMM: 100, MarginMM: 5}

func render(t *testing.T, pic Picture, opts Options) image.Image {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, PNG(context.Background(), &b, pic, opts))
	im, err := png.Decode(&b)
	require.NoError(t, err)
	return im
}

func tone(im image.Image, x, y int) rgb {
	c := color.RGBAModel.Convert(im.At(x, y)).(color.RGBA)
	return rgb(c.R)<<16 | rgb(c.G)<<8 | rgb(c.B)
}

func sample() (Picture, Options) {
	return Picture{
		Page:   Page{WidthMM: 40, HeightMM: 30, MarginMM: 3},
		Points: points(5, 5, 20, 25, 35, 5, 35, 20, 46, 20, 46, 10, 35, 20, 20, 25, 8, 25),
		Place:  []uint32{0, 0, 0, 0, 0, 0, 1, 2}, Places: []plan.Place{{}, {Role: plan.Retrace}, {Role: plan.Link}},
		LineWidthMM: 0.8, Title: "Sample", Text: "seed 3",
	}, Options{PixelsPerMM: 6, MarkAdded: true}
}

func TestPicturesMatchTheirGoldenFilesPixelByPixel(t *testing.T) {
	marked, opts := sample()
	plain := marked
	plain.Points = circle(60, 20, 15, 12)
	second := circle(60, 20.3, 15.2, 12)
	var contact bytes.Buffer
	require.NoError(t, ContactSheet(context.Background(), &contact, "Two", []Print{{Picture: plain, Label: "seed 1"}, {Picture: marked, Label: "seed 2"}}))
	sheet, err := png.Decode(&contact)
	require.NoError(t, err)
	for name, im := range map[string]image.Image{
		"marked":  render(t, marked, opts),
		"plain":   render(t, plain, Options{PixelsPerMM: 6}),
		"overlay": render(t, plain, Options{PixelsPerMM: 6, Overlay: &Overlay{Points: second, Name: "as drawn", Under: "as planned"}}),
		"unsure": render(t, plain, Options{PixelsPerMM: 6, Overlay: &Overlay{
			Points: plain.Points[:20], Name: "surely drawn", Under: "planned", Unsure: plain.Points[19:32], UnsureName: "may stand here",
		}}),
		"contact": sheet,
	} {
		path := filepath.Join("testdata", name+".png")
		if *update {
			var b bytes.Buffer
			encoder := png.Encoder{CompressionLevel: png.BestCompression}
			require.NoError(t, encoder.Encode(&b, im))
			require.NoError(t, os.WriteFile(path, b.Bytes(), 0o644))
		}
		file, err := os.Open(path)
		require.NoError(t, err)
		want, err := png.Decode(file)
		file.Close()
		require.NoError(t, err)
		require.Equal(t, want.Bounds(), im.Bounds(), name)
		different := 0
		for y := range im.Bounds().Dy() {
			for x := range im.Bounds().Dx() {
				if tone(want, x, y) != tone(im, x, y) {
					different++
				}
			}
		}
		require.Zero(t, different, "%s: pixels that differ", name)
	}
}

func TestTheLegendListsWhatThePictureHas(t *testing.T) {
	pic, opts := sample()
	pic.Page = deskPage
	for _, c := range []struct {
		place []uint32
		words string
	}{
		{[]uint32{0, 0, 0, 0, 0, 0, 1, 2}, "link, gone over again"},
		{[]uint32{0, 0, 0, 0, 0, 0, 2, 2}, "link"},
		{[]uint32{0, 0, 0, 1, 0, 0, 0, 0}, "gone over again"},
		{[]uint32{0, 0, 0, 0, 0, 0, 0, 0}, ""},
		{nil, ""},
	} {
		pic.Place = c.place
		l, err := pic.arrange(6, 0, opts)
		require.NoError(t, err)
		var words []string
		for _, e := range l.entries[2:] { // after where it begins and ends
			words = append(words, e.text)
		}
		require.Equal(t, c.words, strings.Join(words, ", "))
	}
}

func TestTicksStandAtWholeMillimetres(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: points(10, 10, 20, 20)}
	l, err := pic.arrange(10, 0, Options{})
	require.NoError(t, err)
	im := render(t, pic, Options{PixelsPerMM: 10})
	lengthAt := func(x int) int { // of the tick below the ruler's line in a column, less 1, px
		y := l.window.Max.Y + int(math.Round(rulerGap*l.em)) + 2
		n := 0
		for tone(im, x, y+n) != marginTone {
			n++
		}
		return n
	}
	left := int(l.origin.x)
	for mm := range 141 {
		long := lengthAt(left + 10*mm)
		switch {
		case mm%10 == 0:
			require.Equal(t, 20, long+2, "%d mm", mm)
		case mm%5 == 0:
			require.Equal(t, 14, long+2, "%d mm", mm)
		default:
			require.Equal(t, 8, long+2, "%d mm", mm)
		}
		require.Zero(t, lengthAt(left+10*mm+5), "between %d mm and the next", mm)
	}
	require.Zero(t, lengthAt(left-10), "left of the page")
	require.Zero(t, lengthAt(left+1410), "right of the page")
}

func TestRulersStayReadableAtAnyScale(t *testing.T) {
	for _, scale := range []float64{0.02, 0.1, 0.5, 1, 2, 3, 4, 10, 40} {
		r := divide(scale, smallestText)
		require.GreaterOrEqual(t, float64(r.fine)*scale, 1.5, "scale %v", scale)
		require.Zero(t, r.coarse%r.middle)
		require.Zero(t, r.middle%r.fine)
	}
	require.Equal(t, ruler{1, 5, 10}, divide(10, 22))
}

func TestLineOffThePageIsStripedAndTheRestIsNot(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.6, Points: points(100, 50, 160, 50, 160, 90, 100, 20)}
	l, err := pic.arrange(10, 0, Options{})
	require.NoError(t, err)
	im := render(t, pic, Options{PixelsPerMM: 10})
	along := func(a, b geom.Point) (dark, pale, black int) {
		n := int(a.Distance(b) * 10)
		for i := range n {
			s := between(l.spot(a), l.spot(b), float64(i)/float64(n))
			switch c := tone(im, int(s.x), int(s.y)); {
			case c == vermillion:
				dark++
			case c == graphite:
				black++
			case c>>16 > c&0xFF+20:
				pale++
			}
		}
		return dark, pale, black
	}
	for _, run := range [][]geom.Point{points(142, 50, 159, 50), points(160, 52, 160, 88), points(159, 88.83, 141, 67.83)} {
		dark, pale, black := along(run[0], run[1])
		n := float64(dark + pale + black)
		require.Zero(t, black)
		require.Greater(t, float64(dark)/n, 0.3, "%v", run)
		require.Greater(t, float64(pale)/n, 0.25, "%v", run)
	}
	dark, pale, black := along(geom.Point{X: 105, Y: 50}, geom.Point{X: 120, Y: 50})
	require.Zero(t, dark+pale)
	require.Positive(t, black)
}

func TestLineOnTheEdgeOfThePageIsOnThePage(t *testing.T) {
	hair := geom.SamePoint / 2
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: points(0, 0, 140+hair, 0, 140, 100+hair, -hair, 100, 0, -hair)}
	l, err := pic.arrange(4, 0, Options{})
	require.NoError(t, err)
	planes, err := newLine(&l.sheet, pic.Points, 0.5, nil).ink(context.Background(), l.w, l.h)
	require.NoError(t, err)
	require.Nil(t, planes[outside])
}

func TestMarksNeverCoverTheLine(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: points(68, 50, 72, 50, 72, 53, 69, 49, 70, 55)}
	l, err := pic.arrange(10, 0, Options{})
	require.NoError(t, err)
	a, err := pic.paint(context.Background(), l, Options{})
	require.NoError(t, err)
	im := a.image()
	covered := 0
	for i, v := range a.line[drawn].pix {
		if v == 255 {
			require.Equal(t, graphite.rgba(), im.Palette[im.Pix[i]])
			if a.begin.pix[i] > 0 || a.end.pix[i] > 0 {
				covered++
			}
		}
	}
	require.Positive(t, covered, "the marks do lie under the line")
}

func TestSignalColoursAreThoseOfOkabeAndItoAndStandOut(t *testing.T) {
	// Okabe and Ito, Color Universal Design, 2008.
	require.Equal(t, color.RGBA{213, 94, 0, 255}, vermillion.rgba())
	require.Equal(t, color.RGBA{0, 114, 178, 255}, blue.rgba())
	require.Equal(t, color.RGBA{0, 158, 115, 255}, green.rgba())
	require.Equal(t, color.RGBA{230, 159, 0, 255}, orange.rgba())
	// WCAG 2.2: relative luminance and contrast ratio; 3:1 for graphics
	// (criterion 1.4.11), 4.5:1 for text (1.4.3).
	luminance := func(c rgb) float64 {
		part := func(v rgb) float64 {
			s := float64(v&0xFF) / 255
			if s <= 0.04045 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return 0.2126*part(c>>16) + 0.7152*part(c>>8) + 0.0722*part(c)
	}
	contrast := func(a, b rgb) float64 {
		high, low := luminance(a), luminance(b)
		return (max(high, low) + 0.05) / (min(high, low) + 0.05)
	}
	require.InDelta(t, 5.2, contrast(blue, 0xFFFFFF), 0.05, "the formula, on white")
	for k, ink := range inks() {
		require.GreaterOrEqual(t, contrast(ink.over, ink.colour), 3.0, "ink %d", k)
	}
	for _, c := range []rgb{green, blue, vermillion} {
		require.GreaterOrEqual(t, contrast(marginTone, c), 3.0, "%06x on the margin", c)
	}
	require.GreaterOrEqual(t, contrast(marginTone, mix(marginTone, graphite, unitInk)), 4.5, "the faintest word")
}

// PNG, third edition (W3C 2025), section 11.3.4.3: pHYs has nine bytes: pixels
// per unit along x and y, four bytes each, then 1 for the metre. It stands
// before the first IDAT (section 5.6), and its check sum covers type and data
// (section 5.3). 8 px a mm are 8000 a metre.
func TestPicturesPrintAtTrueSize(t *testing.T) {
	var b bytes.Buffer
	pic, _ := sample()
	require.NoError(t, PNG(context.Background(), &b, pic, Options{PixelsPerMM: 8}))
	at := bytes.Index(b.Bytes(), []byte("pHYs"))
	require.Positive(t, at)
	require.Less(t, at, bytes.Index(b.Bytes(), []byte("IDAT")))
	require.Equal(t, uint32(9), binary.BigEndian.Uint32(b.Bytes()[at-4:]))
	chunk := b.Bytes()[at+4:]
	require.Equal(t, uint32(8000), binary.BigEndian.Uint32(chunk))
	require.Equal(t, uint32(8000), binary.BigEndian.Uint32(chunk[4:]))
	require.Equal(t, byte(1), chunk[8])
	require.Equal(t, crc32.ChecksumIEEE(b.Bytes()[at:at+4+9]), binary.BigEndian.Uint32(chunk[9:]))
}

func TestAPictureNamesWhatItShows(t *testing.T) {
	pic, _ := sample()
	pic.Title, pic.Source = "", "Grüße & <2>.wend"
	var plain, titled, drawn bytes.Buffer
	require.NoError(t, PNG(context.Background(), &titled, pic, Options{}))
	require.NoError(t, SVG(&drawn, pic, 1))
	pic.Source = ""
	require.NoError(t, PNG(context.Background(), &plain, pic, Options{}))
	_, err := png.Decode(bytes.NewReader(titled.Bytes()))
	require.NoError(t, err)
	for _, picture := range [][]byte{titled.Bytes(), drawn.Bytes()} {
		require.True(t, Names(picture, "Grüße & <2>.wend"))
		for _, other := range []string{"", "Grüße", "other.wend", "Grüße & <2>.wend, drawn"} {
			require.False(t, Names(picture, other), other)
		}
	}
	require.False(t, Names(plain.Bytes(), ""))
	require.False(t, Names(nil, "a.wend"))

	pic.Source, pic.Machine = "a.wend", "Wörkshop toy"
	var described bytes.Buffer
	require.NoError(t, PNG(context.Background(), &described, pic, Options{}))
	_, err = png.Decode(bytes.NewReader(described.Bytes()))
	require.NoError(t, err)
	require.Contains(t, described.String(), "Description\x00\x00\x00\x00\x00one line for the machine Wörkshop toy")
	require.True(t, Names(described.Bytes(), "a.wend") && Written(described.Bytes()))
}

func TestTheUsualPictureIsAbout1600PixelsLong(t *testing.T) {
	for _, page := range []Page{deskPage, {40, 30, 2}, {600, 800, 20}, {2000, 100, 0}} {
		b := render(t, Picture{Page: page, LineWidthMM: 0.5, Points: points(1, 1)}, Options{}).Bounds()
		require.InDelta(t, 1600, max(b.Dx(), b.Dy()), 140, "%v", page)
	}
}

func TestPicturesThatCannotBeMadeAreRefusedInWords(t *testing.T) {
	good, _ := sample()
	for name, change := range map[string]func(*Picture, *Options){
		"no width":        func(p *Picture, _ *Options) { p.Page.WidthMM = 0 },
		"not a number":    func(p *Picture, _ *Options) { p.Page.HeightMM = math.NaN() },
		"endless page":    func(p *Picture, _ *Options) { p.Page.WidthMM = math.Inf(1) },
		"negative margin": func(p *Picture, _ *Options) { p.Page.MarginMM = -1 },
		"no line width":   func(p *Picture, _ *Options) { p.LineWidthMM = 0 },
		"huge":            func(_ *Picture, o *Options) { o.PixelsPerMM = 1e5 },
		"endless scale":   func(_ *Picture, o *Options) { o.PixelsPerMM = math.Inf(1) },
	} {
		pic, opts := good, Options{}
		change(&pic, &opts)
		require.Error(t, PNG(context.Background(), io.Discard, pic, opts), name)
	}
	stopped, stop := context.WithCancel(context.Background())
	stop()
	require.ErrorIs(t, PNG(stopped, io.Discard, good, Options{}), context.Canceled)
	require.ErrorIs(t, GIF(stopped, io.Discard, good, Growth{}), context.Canceled)
	require.ErrorIs(t, ContactSheet(stopped, io.Discard, "", []Print{{Picture: good, Label: "x"}}), context.Canceled)
	require.Error(t, ContactSheet(context.Background(), io.Discard, "", nil))
}

func TestLongWordsAreCutAndNothingLeavesTheSheet(t *testing.T) {
	pic, _ := sample()
	pic.Page = Page{WidthMM: 8, HeightMM: 90, MarginMM: 1}
	pic.Title, pic.Text = strings.Repeat("long title ", 30), strings.Repeat("long text ", 30)
	im := render(t, pic, Options{MarkAdded: true, Overlay: &Overlay{Name: pic.Title, Under: pic.Text}})
	b := im.Bounds()
	for y := range b.Dy() {
		require.Equal(t, marginTone, tone(im, b.Dx()-1, y))
		require.Equal(t, marginTone, tone(im, 0, y))
	}
}

func TestAnyCoordinatesMakeAPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-200, 200),
			rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, 140, 100, 1e300, 5e-324}))
		pic := Picture{Page: deskPage, LineWidthMM: rapid.Float64Range(0.001, 30).Draw(t, "width")}
		for range rapid.IntRange(0, 8).Draw(t, "vertices") {
			pic.Points = append(pic.Points, geom.Point{X: number.Draw(t, "x"), Y: number.Draw(t, "y")})
		}
		ctx := context.Background()
		require.NoError(t, PNG(ctx, io.Discard, pic, Options{PixelsPerMM: 1, MarkAdded: true, Overlay: &Overlay{Points: pic.Points}}))
		require.NoError(t, GIF(ctx, io.Discard, pic, Growth{PixelsPerMM: 1, Frames: 5}))
		require.NoError(t, SVG(io.Discard, pic, 1))
		require.NoError(t, CSV(io.Discard, pic))
		require.NoError(t, ContactSheet(ctx, io.Discard, "", []Print{{Picture: pic, Label: "x"}}))
		braille(pic, pic.Page.Box(), 20, 10)
		Terminal{Columns: 22, Rows: 12, ASCII: true, Trimmed: true}.Sheet(pic, geom.Point{}, 0)
	})
}

// Of a line that lies far off the page as a whole, something is seen all the same;
// one that is lost in the distance does not shrink the page to nothing.
func TestALineFarOffIsInThePicture(t *testing.T) {
	page := Page{WidthMM: 40, HeightMM: 30, MarginMM: 3}
	far := []geom.Point{{X: 200, Y: 100}, {X: 210, Y: 110}}
	view := Picture{Page: page, LineWidthMM: 0.5, Points: far}.view(nil)
	require.True(t, view.Contains(far[0]) && view.Contains(far[1]))
	lost := []geom.Point{{X: 200_000, Y: 100}, {X: 200_010, Y: 110}}
	view = Picture{Page: page, LineWidthMM: 0.5, Points: lost}.view(nil)
	require.Less(t, view.Width(), 2*page.area().Width())
}

// Line off the page is hatched whichever way it runs: on its middle there are
// both bands and what is between them, also along either slant.
func TestNoLineRunsAlongItsHatching(t *testing.T) {
	for degrees := 0; degrees < 180; degrees += 3 {
		sin, cos := math.Sincos(float64(degrees) * math.Pi / 180)
		pic := Picture{Page: Page{WidthMM: 40, HeightMM: 30, MarginMM: 3}, LineWidthMM: 0.5}
		way := geom.Point{X: 5 * cos, Y: 5 * sin}
		middle := geom.Point{X: 48, Y: 15}
		pic.Points = []geom.Point{middle.Sub(way), middle.Add(way)}
		l, err := pic.arrange(8, 0, Options{})
		require.NoError(t, err)
		im := render(t, pic, Options{PixelsPerMM: 8})
		full, pale := 0, 0
		for share := 0.1; share < 0.9; share += 0.005 {
			s := l.spot(pic.Points[0].Mix(pic.Points[1], share))
			switch c := tone(im, int(s.x), int(s.y)); {
			case c == vermillion:
				full++
			case c&0xFF > 0x60:
				pale++
			}
		}
		require.Greater(t, full, 20, "%d degrees", degrees)
		require.Greater(t, pale, 20, "%d degrees", degrees)
	}
}

// A bare picture is as long as was said, and has nothing but paper and line.
func TestABarePictureIsLineOnPaper(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: circle(60, 70, 50, 40), Title: "Not seen"}
	for _, length := range []int{64, 901, 3000} {
		im := render(t, pic, Options{Bare: true, Length: length})
		require.Equal(t, length, max(im.Bounds().Dx(), im.Bounds().Dy()))
		area := deskPage.area()
		require.InDelta(t, area.Height()/area.Width(), float64(im.Bounds().Dy())/float64(im.Bounds().Dx()), 0.01)
		scale := float64(length) / area.Width()
		inked := 0.0
		for y := range im.Bounds().Dy() {
			for x := range im.Bounds().Dx() {
				c := tone(im, x, y)
				darkness := float64(paperTone&0xFF-c&0xFF) / float64(paperTone&0xFF-graphite&0xFF)
				inked += darkness
				at := geom.Point{X: (float64(x)+0.5)/scale + area.Min.X, Y: area.Max.Y - (float64(y)+0.5)/scale}
				if d := math.Abs(at.Distance(geom.Point{X: 70, Y: 50}) - 40); d > 0.5+1.5/scale {
					require.Equal(t, paperTone, c, "at %d, %d", x, y)
				}
			}
		}
		width := max(faintest, 0.5*scale)
		require.InEpsilon(t, 2*math.Pi*40*scale*width, inked, 0.05, "length × width of the line, in pixels")
	}
}
