package stdlib_test

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/halftone"
	"wend/stdlib"
)

var updatePicture = flag.Bool("moon", false, "draw the example picture anew")

// moonrise is the light of the example picture, 0..1 from the upper left: a moon
// with its shadow over hills.
func moonrise(x, y float64) float64 {
	light := 0.5 + 0.35*y
	dx, dy := (x-0.5)*1.5, y-0.42
	const radius = 0.3
	if d := math.Hypot(dx, dy) / radius; d < 1 {
		// A sphere that is lit from the left, with a few seas.
		depth := math.Sqrt(1 - d*d)
		light = 0.06 + 0.94*max(0, (-0.75*dx/radius-0.35*dy/radius+0.56*depth))
		for _, sea := range [][3]float64{{-0.1, -0.1, 0.09}, {0.03, -0.02, 0.06}, {-0.08, 0.11, 0.07}, {-0.19, 0.03, 0.04}} {
			if s := math.Hypot(dx-sea[0], dy-sea[1]) / sea[2]; s < 1 {
				light *= 0.72 + 0.28*s*s
			}
		}
	} else if glow := (d - 1) * 5; glow < 3 {
		light += 0.3 * math.Exp(-glow)
	}
	ridge := func(base, high, wave, phase float64) bool {
		return y > base-high*(math.Sin(wave*x+phase)+0.4*math.Sin(2.7*wave*x+2*phase))
	}
	if ridge(0.82, 0.05, 7, 0.5) {
		light = 0.25
	}
	if ridge(0.92, 0.04, 9, 2.1) {
		light = 0.04
	}
	return min(light, 1)
}

// A style that is misspelt is asked about.
func TestAStyleThatIsMisspeltIsAskedAbout(t *testing.T) {
	_, list := drawn(t, "style", "follow halftone(image(\"moon.png\"), style: \"stroks\", width: 20)\n", 0.05)
	require.Len(t, list, 1)
	require.Equal(t, diag.Code("picture-style"), list[0].Code)
	require.Contains(t, list[0].Hint, "`strokes`")
	require.Contains(t, stdlib.StyleFault("level").Hint, "`levels`")
	require.Nil(t, stdlib.StyleFault("outlined"))
}

func TestTheReadmeNamesEveryStyle(t *testing.T) {
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	for _, s := range halftone.Styles() {
		require.Contains(t, string(readme), "| `"+s.Name+"` | "+s.How)
	}
}

func TestTheExamplePictureIsTheOneOfItsFormula(t *testing.T) {
	const width, height, fine = 96, 64, 4
	picture := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			sum := 0.0
			for i := range fine * fine {
				sum += moonrise((float64(x)+(float64(i%fine)+0.5)/fine)/width, (float64(y)+(float64(i/fine)+0.5)/fine)/height)
			}
			light := sum / (fine * fine)
			v := 12.92 * light
			if light > 0.0031308 {
				v = 1.055*math.Pow(light, 1/2.4) - 0.055
			}
			picture.SetGray(x, y, color.Gray{Y: uint8(math.Round(255 * v))})
		}
	}
	const name = "pictures/moon.png"
	if *updatePicture {
		var out bytes.Buffer
		encoder := png.Encoder{CompressionLevel: png.BestCompression}
		require.NoError(t, encoder.Encode(&out, picture))
		require.NoError(t, os.WriteFile(name, out.Bytes(), 0o666))
	}
	text, ok := stdlib.ExampleFile("moon.png")
	require.True(t, ok)
	kept, err := png.Decode(bytes.NewReader([]byte(text)))
	require.NoError(t, err)
	for i, v := range kept.(*image.Gray).Pix {
		require.InDelta(t, picture.Pix[i], v, 1)
	}
}
