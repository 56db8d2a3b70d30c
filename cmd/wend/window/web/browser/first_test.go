package browser

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// The sheet is there before the editor and the rest of the page have come, and stays
// as it is when they do.
func TestTheSheetIsDrawnBeforeTheRestOfThePageHasCome(t *testing.T) {
	f := serve(t)
	f.rest = make(chan struct{})
	f.put("square.wend", square)
	b := browse(t, f.server.URL, 1280, 800)
	b.until(inked("ink") + " && " + inked("paper"))
	require.False(t, value[bool](b, "!!("+editor+")"), "the rest has not come")
	require.Equal(t, 2, value[int](b, `document.querySelectorAll("#sheet canvas").length`), "what is empty is not there yet")
	b.shoot("first-picture")
	b.accessible("the sheet alone")
	b.do(chromedp.Evaluate[chromedp.Void](`globalThis.pictures = 0; addEventListener("wend-picture", () => pictures++)`))
	close(f.rest)
	b.until(`document.getElementById("block").textContent.includes("160 mm")`)
	require.Equal(t, square, b.program())
	b.until(editor + `.querySelector(".is-word")`) // what was checked has come too
	require.Equal(t, 0, value[int](b, "pictures"), "it is not drawn a second time")
	require.Nil(t, f.asked("program"), "and not asked for")
	// What is written is drawn, and what was opened is saved under its name.
	b.types("ahead 50\r")
	b.until(`document.getElementById("block").textContent.includes("210 mm")`)
	require.Eventually(t, func() bool { return f.text("square.wend") == "ahead 50\n"+square }, waits, tick)
}

// The picture of a lesson waits for a guess, also before the lesson has come.
func TestNothingIsDrawnOfALessonBeforeItIsThere(t *testing.T) {
	f := serve(t)
	f.rest = make(chan struct{})
	f.put("lesson-3.wend", square)
	b := browse(t, f.server.URL, 1280, 800)
	require.Eventually(t, func() bool { f.mu.Lock(); defer f.mu.Unlock(); return f.conn != nil }, waits, tick)
	b.until(`performance.getEntriesByName(new URL("window.js", document.baseURI).href).length > 0 || performance.now() > 2000`)
	require.Equal(t, 0, value[int](b, `document.querySelectorAll("#sheet canvas").length`))
	close(f.rest)
	b.until(editor)
	b.until(`document.getElementById("told").textContent.includes("guess first")`)
	require.False(t, value[bool](b, inked("ink")))
}
