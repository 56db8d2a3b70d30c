package preview

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/xml"
	"image"
	"image/draw"
	"image/gif"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

func TestSVGIsTrueToScaleAndDescribedInWords(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Title: `Fish & "chips" <2>`,
		Points: points(10, 20, 10.0004, 20, 40.5, 20.25, 40.5, 99.9995, 0, 0)}
	var b bytes.Buffer
	require.NoError(t, SVG(&b, pic, 42))
	var doc struct {
		XMLName  xml.Name `xml:"http://www.w3.org/2000/svg svg"`
		Width    string   `xml:"width,attr"`
		Height   string   `xml:"height,attr"`
		ViewBox  string   `xml:"viewBox,attr"`
		Title    string   `xml:"title"`
		Desc     string   `xml:"desc"`
		Metadata string   `xml:"metadata"`
		Path     []struct {
			D     string `xml:"d,attr"`
			Width string `xml:"stroke-width,attr"`
		} `xml:"path"`
	}
	require.NoError(t, xml.Unmarshal(b.Bytes(), &doc))
	require.Equal(t, []string{"150mm", "110mm", "-5000 -5000 150000 110000"}, []string{doc.Width, doc.Height, doc.ViewBox})
	require.Equal(t, pic.Title, doc.Title)
	require.Equal(t, "seed 42", doc.Metadata)
	require.Equal(t, "One continuous line, 218.1 mm long. It begins at (10, 20) and ends at (0, 0). "+
		"It lies between 0.0 and 40.5 mm across and between 0.0 and 100.0 mm up. "+
		"The page is 140 mm wide and 100 mm high, with a margin of 5 mm; (0, 0) is its lower left.", doc.Desc)
	require.Len(t, doc.Path, 1)
	require.Equal(t, "500", doc.Path[0].Width)
	require.Equal(t, "M10000 80000l30500-250 0-79750-40500 100000", doc.Path[0].D)
}

func TestSVGStepsAddUpToEveryVertex(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: circle(20_000, 70, 50, 49)}
	var b bytes.Buffer
	require.NoError(t, SVG(&b, pic, 1))
	d := regexp.MustCompile(` d="M([^"]*)"`).FindStringSubmatch(b.String())[1]
	numbers := regexp.MustCompile(`-?\d+`).FindAllString(d, -1)
	require.Len(t, numbers, 2*len(pic.Points))
	x, y := 0, 0
	for i, p := range pic.Points {
		dx, _ := strconv.Atoi(numbers[2*i])
		dy, _ := strconv.Atoi(numbers[2*i+1])
		x, y = x+dx, y+dy
		require.InDelta(t, p.X*1000, x, 0.5001)
		require.InDelta(t, 100_000-p.Y*1000, y, 0.5001)
	}
}

func TestSVGOfADotOrOfNothingIsStillADocument(t *testing.T) {
	for want, line := range map[string][]geom.Point{`d="M20000 90000h0"`: points(20, 10), "No line is drawn": nil} {
		var b bytes.Buffer
		require.NoError(t, SVG(&b, Picture{Page: deskPage, LineWidthMM: 0.5, Points: line}, 1))
		require.Contains(t, b.String(), want)
		require.NoError(t, xml.Unmarshal(b.Bytes(), new(struct{})))
	}
}

func TestCSVGivesEveryVertexAndWhereItWasWritten(t *testing.T) {
	file := source.New("drawing.wend", "reach 1, 2\n  ahead 3\n")
	places := []plan.Place{{Span: source.Span{File: file, Start: 0, End: 10}}, {Span: source.Span{File: file, Start: 13, End: 20}}, {}}
	pic := Picture{Points: points(0, -0.00000049, 1, 2, 1.5, -2.25, 100.1234567, 1e-6), Place: []uint32{0, 1, 2}, Places: places}
	var b bytes.Buffer
	require.NoError(t, CSV(&b, pic))
	require.Equal(t, "x_mm,y_mm,line,column\r\n0,0,1,1\r\n1,2,1,1\r\n1.5,-2.25,2,3\r\n100.123457,0.000001,,\r\n", b.String())
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 5)
}

func TestGIFGrowsInFramesThatHoldOnlyWhatChanged(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: points(10, 10, 130, 10, 130, 90, 10, 90, 10, 12)}
	var b bytes.Buffer
	require.NoError(t, GIF(context.Background(), &b, pic, Growth{PixelsPerMM: 4, Frames: 20, Seconds: 4, HoldSeconds: 2}))
	g, err := gif.DecodeAll(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	require.Len(t, g.Image, 20)
	require.Equal(t, -1, g.LoopCount)
	sum := 0
	for i, frame := range g.Image {
		require.LessOrEqual(t, len(frame.Palette), 256)
		if i < 19 {
			sum += g.Delay[i]
			require.GreaterOrEqual(t, g.Delay[i], 2)
		}
	}
	require.Equal(t, 400, sum)
	require.Equal(t, 200, g.Delay[19])

	l, err := pic.arrange(4, 0, Options{})
	require.NoError(t, err)
	screen := image.NewRGBA(g.Image[0].Rect)
	black := func() (n int) {
		for y := l.page.Min.Y; y < l.page.Max.Y; y++ {
			for x := l.page.Min.X; x < l.page.Max.X; x++ {
				if tone(screen, x, y) == graphite {
					n++
				}
			}
		}
		return n
	}
	grown := 0
	for i, frame := range g.Image {
		draw.Draw(screen, frame.Rect, frame, frame.Rect.Min, draw.Over)
		if n := black(); i > 0 {
			// Each frame adds a nineteenth of 398 mm: 84 px of line 2 px wide.
			require.InDelta(t, 2*84, n-grown, 12, "frame %d", i)
			grown = n
		}
	}
	still := render(t, pic, Options{PixelsPerMM: 4})
	require.Equal(t, still.Bounds(), screen.Bounds())
	for y := range int(l.foot - 2*l.em) { // down to the legend, which says where the stylus is
		for x := range screen.Rect.Dx() {
			a, b := tone(still, x, y), tone(screen, x, y)
			if math.Abs(float64(a>>8&0xFF)-float64(b>>8&0xFF)) > 8 {
				require.Equal(t, a, b, "the last frame is the picture, at %d, %d", x, y)
			}
		}
	}
}

func TestGIFKeepsItsBounds(t *testing.T) {
	pic := Picture{Page: deskPage, LineWidthMM: 0.5, Points: circle(100, 70, 50, 40)}
	var b bytes.Buffer
	require.NoError(t, GIF(context.Background(), &b, pic, Growth{PixelsPerMM: 1, Frames: 10_000, Seconds: 0.01, HoldSeconds: 0.01, Loop: true}))
	g, err := gif.DecodeAll(&b)
	require.NoError(t, err)
	require.Len(t, g.Image, mostFrames)
	require.Equal(t, 0, g.LoopCount)
	sum := 0
	for _, d := range g.Delay {
		sum += d
	}
	require.GreaterOrEqual(t, sum, 200, "it starts again less than once in 2 seconds")
	require.ErrorContains(t, GIF(context.Background(), &b, pic, Growth{PixelsPerMM: 20}), "fewer pixels per mm")
	b.Reset()
	for _, line := range [][]geom.Point{nil, points(3, 3)} {
		pic.Points = line
		require.NoError(t, GIF(context.Background(), &b, pic, Growth{}))
		g, err = gif.DecodeAll(&b)
		require.NoError(t, err)
		require.Len(t, g.Image, 1)
	}
}

func TestTerminalPicturesShowTheLine(t *testing.T) {
	// A square of 8 × 8 mm on a page of its size fills 4 × 2 letters of 2 × 4 dots.
	pic := Picture{Page: Page{WidthMM: 8, HeightMM: 8}, LineWidthMM: 0.5, Points: points(0, 0, 8, 0, 8, 8, 0, 8, 0, 0)}
	require.Equal(t, []string{"⡏⠉⠉⢹", "⣇⣀⣀⣸"}, braille(pic, pic.Page.Box(), 4, 2))
	require.Equal(t, []string{":'':", ":..:"}, asciiDots(pic, pic.Page.Box(), 4, 2))
	// y points up.
	pic.Points = points(0, 0, 8, 8)
	require.Equal(t, []string{"  ⡠⠊", "⡠⠊  "}, braille(pic, pic.Page.Box(), 4, 2))
	require.Nil(t, braille(pic, pic.Page.Box(), 0, 5))
	require.Nil(t, asciiDots(pic, pic.Page.Box(), 5, -1))
}

func TestASheetHasAFrameAndAnArrowWhereTheStylusStands(t *testing.T) {
	pic := Picture{Page: Page{WidthMM: 16, HeightMM: 16}, LineWidthMM: 0.5, Points: points(0, 0, 8, 0)}
	room := Terminal{Columns: 10, Rows: 6}
	require.Equal(t, []string{
		"┌────────┐",
		"│        │",
		"│        │",
		"│        │",
		"│⣀⣀⣀⣀→   │",
		"└────────┘",
	}, room.Sheet(pic, geom.Point{X: 8}, 359))
	room.ASCII = true
	require.Equal(t, []string{
		"+--------+",
		"|        |",
		"|        |",
		"|        |",
		"|....^   |",
		"+--------+",
	}, room.Sheet(pic, geom.Point{X: 8}, 90))
	// Without empty rows the line is as large as there is room, and the edge of a
	// page that goes on is broken.
	room.Trimmed = true
	require.Equal(t, []string{
		"+........+",
		"|''''<   |",
		"+--------+",
	}, room.Sheet(pic, geom.Point{X: 8}, 180))
	pic.Points = points(8, 16, 8, 0)
	require.Len(t, room.Sheet(pic, geom.Point{}, 0), 6)
	pic.Points = points(0, 16, 8, 16)
	require.Equal(t, []string{
		"+--------+",
		"|''''>   |",
		"+........+",
	}, room.Sheet(pic, geom.Point{X: 8, Y: 16}, 0))
	room = Terminal{Columns: 18, Rows: 6, ASCII: true, Trimmed: true}
	pic.Points = points(4, 6, 12, 6, 12, 10)
	require.Equal(t, []string{
		"+................+",
		"|            ^   |",
		"|    ........:   |",
		"+................+",
	}, room.Sheet(pic, geom.Point{X: 12, Y: 10}, 90))
	require.Nil(t, Terminal{Columns: 9, Rows: 40}.Sheet(pic, geom.Point{}, 0))
}

func TestTerminalPicturesKeepTheShapeOfThePage(t *testing.T) {
	for _, room := range [][2]int{{80, 24}, {200, 60}, {10, 50}, {1, 1}, {37, 11}} {
		for _, page := range []Page{deskPage, {100, 140, 5}, {30, 300, 0}} {
			pic := Picture{Page: page, LineWidthMM: 0.5, Points: points(0, 0, page.WidthMM, page.HeightMM)}
			for _, lines := range [][]string{braille(pic, pic.Page.Box(), room[0], room[1]), asciiDots(pic, pic.Page.Box(), room[0], room[1])} {
				require.NotEmpty(t, lines)
				require.LessOrEqual(t, len(lines), room[1])
				width := utf8.RuneCountInString(lines[0])
				require.LessOrEqual(t, width, room[0])
				for _, line := range lines {
					require.Equal(t, width, utf8.RuneCountInString(line))
				}
				require.True(t, width == room[0] || len(lines) == room[1], "it is as large as there is room")
				// A letter is 1 wide and 2 high; rounding up takes less than one each way.
				shape := page.WidthMM / page.HeightMM
				require.Less(t, float64(width-1)/float64(2*len(lines)), shape)
				require.Greater(t, float64(width)/float64(2*(len(lines)-1))*1.0001, shape)
				column, row, ok := letterAt(page.Box(), room[0], room[1], geom.Point{X: page.WidthMM, Y: page.HeightMM})
				require.True(t, ok)
				require.Equal(t, 0, row)
				require.NotEqual(t, ' ', []rune(lines[row])[column])
			}
		}
	}
	_, _, ok := letterAt(deskPage.Box(), 80, 24, geom.Point{X: 141, Y: 0})
	require.False(t, ok)
	require.True(t, strings.TrimSpace(strings.Join(braille(Picture{Page: deskPage, LineWidthMM: 1}, deskPage.Box(), 8, 4), "")) == "")
}
