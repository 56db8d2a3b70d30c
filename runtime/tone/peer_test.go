//go:build peers

package tone_test

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// writers has another library (Pillow) write a photo in many ways, and say what
// light it reads in each: means over 12 by 8 cells, rows from the top.
const writers = `
import json, sys, numpy
from PIL import Image, ImageOps
photo, folder = sys.argv[1], sys.argv[2]
grey = Image.open(photo).convert("L").resize((240, 160))
color = Image.merge("RGB", (grey, grey.transpose(Image.Transpose.FLIP_LEFT_RIGHT), grey.point(lambda v: 255 - v)))
clear = color.copy(); clear.putalpha(grey)
ways = [
  ("baseline.jpg", color, dict(quality=95)), ("progressive.jpg", color, dict(quality=95, progressive=True)),
  ("fine.jpg", color, dict(quality=95, subsampling=0)), ("grey.jpg", grey, dict(quality=95)), ("inks.jpg", color.convert("CMYK"), dict(quality=98)),
  ("color.png", color, {}), ("grey.png", grey, {}), ("clear.png", clear, {}), ("palette.png", color.quantize(200), {}), ("bits.png", grey.convert("1"), {}),
  ("whole.webp", color, dict(lossless=True)), ("lossy.webp", color, dict(quality=95)), ("clear.webp", clear, dict(lossless=True, exact=True)),
  ("color.gif", color.quantize(256), {}), ("interlaced.gif", grey, dict(interlace=1)),
]
for turned in range(1, 9):
  exif = Image.Exif(); exif[0x0112] = turned
  for name, how in (("jpg", dict(quality=95)), ("png", {}), ("webp", dict(lossless=True))):
    ways.append(("turned-%d.%s" % (turned, name), color, dict(how, exif=exif)))
answers = {}
for name, image, how in ways:
  image.save(folder + "/" + name, **how)
  back = ImageOps.exif_transpose(Image.open(folder + "/" + name)).convert("RGBA")
  v = numpy.asarray(back).astype(float) / 255
  light = numpy.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)[..., :3] @ [0.2126, 0.7152, 0.0722]
  light = 1 - v[..., 3] * (1 - light)
  rows, columns = light.shape
  across, down = (12, 8) if columns > rows else (8, 12)
  answers[name] = light.reshape(down, rows // down, across, columns // across).mean(axis=(1, 3)).tolist()
print(json.dumps(answers))
`

func TestLightAgreesWithAnotherLibrary(t *testing.T) {
	folder := t.TempDir()
	out, err := exec.Command("/usr/bin/python3", "-c", writers, "../halftone/testdata/chelsea.png", folder).Output()
	require.NoError(t, err)
	var answers map[string][][]float64
	require.NoError(t, json.Unmarshal(out, &answers))
	require.Len(t, answers, 39)
	for name, want := range answers {
		data, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		cells := decode(t, data).Cells(len(want[0]), len(want))
		for y, row := range want {
			for x, light := range row {
				require.InDelta(t, light, cells[(len(want)-1-y)*len(row)+x], 0.01, "%s at %d, %d", name, x, y)
			}
		}
	}
}
