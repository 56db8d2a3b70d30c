// Package browser tests the window's page in a real browser, against an engine
// that knows only the description of the messages. It is a module of its own:
// wend's other tests need no browser.
package browser

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

const square = "loop 4 {\n  ahead 40\n  turn 90\n}\n"

func TestAProgramIsSeenWhileItIsWritten(t *testing.T) {
	f := serve(t)
	f.put("square.wend", square)
	b := browse(t, f.server.URL, 1280, 800)
	b.until(`document.getElementById("block").textContent.includes("160 mm")`)
	b.shoot("opened-light-1280")
	b.accessible("opened")
	b.scheme("dark")
	b.until(`true`)
	b.shoot("opened-dark-1280")
	b.accessible("dark")

	// An error keeps the picture, says what is wrong and offers an edit.
	b.types("flyy away\r")
	b.until(editor + `.textContent.includes("No word")`)
	b.until(`document.getElementById("sentence").textContent.includes("last picture")`)
	require.Equal(t, "160", value[string](b, `document.getElementById("block").textContent.match(/(\d+) mm/)[1]`))
	b.shoot("error-dark-1280")
	b.scheme("light")
	b.shoot("error-light-1280")
	b.accessible("with an error")
	b.alt("Enter")
	b.until(`document.getElementById("block").textContent.includes("200 mm")`)
	require.Contains(t, b.program(), "ahead 50\nloop 4")

	// It is saved by itself.
	b.until(`document.getElementById("sentence").textContent.includes("Saved")`)
	require.Equal(t, "ahead 50\n"+square, f.text("square.wend"))
	for _, width := range []int64{390, 700} {
		b.do(chromedp.EmulateViewport(width, 844))
		b.until(`true`)
		b.shoot("saved-light-" + map[int64]string{390: "390", 700: "700"}[width])
		require.LessOrEqual(t, value[float64](b, "document.documentElement.scrollWidth"), float64(width), "it does not scroll sideways")
		b.accessible("narrow")
	}
}
