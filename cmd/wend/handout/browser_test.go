//go:build peers

package handout_test

import (
	"bytes"
	"context"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/handout"
	"wend/cmd/wend/lesson"
	"wend/lang/source"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// pdf prints a page with Debian's Chromium, and gives the name of the PDF, how many
// pages it has, and holds each to A4 (ISO 216: 210 by 297 mm; a point of PDF is 1/72
// inch by ISO 32000-1, 8.3.2.3).
func pdf(t *testing.T, page []byte) (name string, pages int) {
	t.Helper()
	folder := t.TempDir()
	file := filepath.Join(folder, "page.html")
	name = filepath.Join(folder, "page.pdf")
	require.NoError(t, os.WriteFile(file, page, 0o644))
	out, err := exec.Command("chromium", "--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", "--user-data-dir="+filepath.Join(folder, "profile"),
		"--print-to-pdf="+name, "file://"+file).CombinedOutput()
	require.NoError(t, err, string(out))
	data, err := os.ReadFile(name)
	require.NoError(t, err)
	boxes := regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`).FindAllSubmatch(data, -1)
	for _, box := range boxes {
		for i, mm := range []float64{210, 297} {
			points, err := strconv.ParseFloat(string(box[i+1]), 64)
			require.NoError(t, err)
			require.InDelta(t, mm, points*25.4/72, 0.3)
		}
	}
	return name, len(boxes)
}

func TestABrowserPrintsTheCardOnOneSideAndLessonsOnFew(t *testing.T) {
	var page bytes.Buffer
	require.NoError(t, handout.Card(context.Background(), &page))
	_, pages := pdf(t, page.Bytes())
	require.Equal(t, 1, pages)
	for _, l := range lesson.Lessons()[6:8] { // the longest, and one without sketches
		page.Reset()
		require.NoError(t, handout.Lesson(context.Background(), &page, l, true))
		_, pages := pdf(t, page.Bytes())
		require.LessOrEqual(t, pages, 5, l.Title)
	}
}

// A rectangle of 100 by 60 mm is that large on paper: the PDF is turned into pixels by
// poppler, which shares nothing with the browser, at 10 pixels a mm.
func TestABrowserPrintsADrawingAtTrueSize(t *testing.T) {
	a := lesson.Try(context.Background(), source.New("card.wend", "begin 20, 20\nloop 2 {\n  ahead 100\n  turn 90\n  ahead 60\n  turn 90\n}\n"), engine.Settings{Profile: machine.DeskToy()})
	require.True(t, a.Drawn())
	var page bytes.Buffer
	require.NoError(t, preview.Printed(&page, a.Picture(), ""))
	name, pages := pdf(t, page.Bytes())
	require.Equal(t, 1, pages)
	require.NoError(t, exec.Command("pdftoppm", "-r", "254", "-png", "-singlefile", name, name).Run())
	file, err := os.Open(name + ".png")
	require.NoError(t, err)
	defer file.Close()
	im, err := png.Decode(file)
	require.NoError(t, err)
	// The line is the darkest there is at its height; the page's edge is pale.
	left, right, top, bottom := 1<<30, 0, 1<<30, 0
	for y := 250; y < 1250; y++ { // the area, below the title and above the rule of 50 mm
		for x := range im.Bounds().Dx() {
			if r, _, _, _ := im.At(x, y).RGBA(); r < 0x6000 {
				left, right, top, bottom = min(left, x), max(right, x), min(top, y), max(bottom, y)
			}
		}
	}
	const line = 5 // pixels
	require.InDelta(t, 1000+line, right-left+1, 4)
	require.InDelta(t, 600+line, bottom-top+1, 4)
}
