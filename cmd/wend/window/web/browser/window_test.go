// Package browser tests the window's page in a real browser, against an engine
// that knows only the description of the messages. It is a module of its own:
// wend's other tests need no browser.
package browser

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
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
	b.until(`document.getElementById("block").textContent.includes("210 mm")`)
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

func opened(t *testing.T) (*fake, *tab) {
	t.Helper()
	f := serve(t)
	f.put("square.wend", square)
	b := browse(t, f.server.URL, 1280, 800)
	b.until(`document.getElementById("block").textContent.includes("160 mm")`)
	return f, b
}

func TestAMeasureIsPulledOnTheSheet(t *testing.T) {
	_, b := opened(t)
	// The caret into the 40 of `ahead 40`.
	b.press("ArrowDown", 0)
	b.press("End", 0)
	b.until(`!document.getElementById("knob").hidden`)
	b.shoot("measure-length")
	x := value[float64](b, knobX)
	y := value[float64](b, knobY)
	scale := value[float64](b, `(document.getElementById("knob").offsetLeft + 14 - parseFloat(getComputedStyle(document.getElementById("sheet")).getPropertyValue("--paper-left"))) / 45`)
	b.do(chromedp.DragAndDropXY(x, y, x+20*scale, y, 8))
	b.until(editor + `.textContent.includes("ahead 60")`)
	b.until(`document.getElementById("block").textContent.includes("240 mm")`)
	b.accessible("a measure")
	// One step back is the whole pull.
	b.press("KeyZ", kb.ModifierCtrl)
	b.until(editor + `.textContent.includes("ahead 40")`)

	// The same by the keyboard.
	b.alt("ArrowUp")
	b.until(editor + `.textContent.includes("ahead 41")`)
	b.press("ArrowDown", kb.ModifierAlt|kb.ModifierShift)
	b.until(editor + `.textContent.includes("ahead 31")`)
	b.until(`document.getElementById("block").textContent.includes("124 mm")`)

	// A turn draws nothing; its arc stands where it happens.
	b.press("ArrowDown", 0)
	b.press("End", 0)
	b.until(`document.getElementById("knob").getAttribute("aria-label")?.includes("90 degrees") && !document.getElementById("knob").hidden`)
	b.shoot("measure-angle")
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("knob").focus()`))
	b.press("ArrowUp", 0)
	b.until(editor + `.textContent.includes("turn 91")`)
}

const (
	knobX = `(r => r.left + r.width / 2)(document.getElementById("knob").getBoundingClientRect())`
	knobY = `(r => r.top + r.height / 2)(document.getElementById("knob").getBoundingClientRect())`
)

func TestLineAndProgramKnowEachOther(t *testing.T) {
	_, b := opened(t)
	at := value[[]float64](b, `(s => { const p = n => parseFloat(getComputedStyle(s).getPropertyValue(n)); const k = (p("--paper-right") - p("--paper-left")) / 210; return [p("--paper-left") + 5 * k + 20 * k, p("--paper-bottom") - 5 * k] })(document.getElementById("sheet"))`)
	b.do(chromedp.MouseEvent("mouseMoved", at[0], at[1]))
	b.until(`document.getElementById("sentence").textContent.includes("line 2: ahead 40")`)
	b.until(`document.getElementById("program").shadowRoot.querySelector(".is-lit")?.textContent === "ahead 40"`)
	b.shoot("pointed")
	b.do(chromedp.MouseClickXY(at[0], at[1]))
	b.until(`document.activeElement.id === "program"`)
	b.do(chromedp.MouseEvent("mouseMoved", 700, 300))
	b.until(`!document.getElementById("program").shadowRoot.querySelector(".is-lit")`)
	b.shoot("caret-lights-pieces")
}

func TestTheTimeIsPlayedAndPulled(t *testing.T) {
	_, b := opened(t)
	b.alt("KeyX")
	b.until(`document.getElementById("sentence").textContent.includes("10 times")`)
	b.alt("KeyX")
	b.alt("KeyP")
	b.until(`document.getElementById("sentence").textContent === "Stands."`) // it is through
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("time").focus()`))
	b.press("Home", 0)
	b.press("PageUp", 0)
	b.press("PageUp", 0)
	b.until(`document.getElementById("time").getAttribute("aria-valuetext").startsWith("1.6 s · 32 mm · line 2: ahead 40")`)
	// Half of the second piece is drawn: the ink ends at 32 mm, and the rest is faint.
	inked := value[[]float64](b, `(() => {
		const sheet = getComputedStyle(document.getElementById("sheet"));
		const at = (name) => parseFloat(sheet.getPropertyValue(name));
		const k = (at("--paper-right") - at("--paper-left")) / 210;
		const ink = document.querySelector("canvas.ink").getContext("2d");
		const on = (mm) => ink.getImageData(at("--paper-left") + (5 + mm) * k, at("--paper-bottom") - 5 * k, 1, 1).data[3];
		return [on(1), on(31), on(33)];
	})()`)
	require.Greater(t, inked[0], 100.0)
	require.Greater(t, inked[1], 100.0)
	require.Zero(t, inked[2])
	b.shoot("time")
	b.accessible("in the middle of the time")
	b.press("End", 0)
	b.until(`document.getElementById("time").getAttribute("aria-valuetext").startsWith("All of it")`)
}

func TestStepsGoForwardAndBack(t *testing.T) {
	_, b := opened(t)
	b.alt("KeyS")
	b.until(`document.querySelector("#card [role=status]")?.textContent === "Step 1 of 8"`)
	b.press("ArrowRight", 0)
	b.press("ArrowRight", 0)
	b.until(`document.querySelector("#card [role=status]").textContent === "Step 3 of 8"`)
	b.until(`document.querySelector(".values").textContent.includes("pass2")`)
	b.until(`document.getElementById("program").shadowRoot.querySelector(".is-lit")?.textContent === "ahead 40"`)
	b.shoot("steps")
	b.accessible("steps")
	b.press("ArrowLeft", 0)
	b.until(`document.querySelector("#card [role=status]").textContent === "Step 2 of 8"`)
	b.press("Escape", 0)
	b.until(`document.getElementById("card").hidden`)
	b.until(`document.activeElement.id === "program"`) // the keyboard is back where it was
}

func TestCardsAreReachedByOneKey(t *testing.T) {
	f, b := opened(t)
	for _, card := range []struct{ key, name, holds string }{
		{"F1", "keys", "Variations: twelve other seeds"},
		{"KeyW", "words", "Straight on."},
		{"KeyV", "variations", "seed 12"},
		{"KeyO", "files", "A square"},
		{"KeyE", "export", "SVG, a picture of lines"},
		{"KeyN", "new", "Its name"},
		{"KeyR", "rename", "Its new name"},
	} {
		b.alt(card.key)
		b.until(`document.getElementById("card").textContent.includes("` + card.holds + `")`)
		b.until(`document.getElementById("card").contains(document.activeElement)`)
		b.shoot("card-" + card.name)
		b.accessible(card.name)
		for _, width := range []int64{700, 390} {
			b.do(chromedp.EmulateViewport(width, 844))
			b.shoot("card-" + card.name + "-" + map[int64]string{390: "390", 700: "700"}[width])
			require.LessOrEqual(t, value[float64](b, "document.documentElement.scrollWidth"), float64(width), card.name)
		}
		b.do(chromedp.EmulateViewport(1280, 800))
		b.press("Escape", 0)
		b.until(`document.getElementById("card").hidden`)
	}

	// A piece of the gallery has its picture, which is told in its words alone.
	b.alt("KeyO")
	b.until(`document.querySelector("#card svg.small path")?.getBoundingClientRect().width > 10`)
	require.Equal(t, "square A square", value[string](b, `document.querySelector("#card svg.small").closest("button").textContent`))
	require.Equal(t, "true", value[string](b, `document.querySelector("#card svg.small").getAttribute("aria-hidden")`))
	b.press("Escape", 0)

	// A word is found and put in below the caret's line.
	b.alt("KeyW")
	b.until(`document.querySelector("#card input")`)
	require.Equal(t, "ahead Straight on.ahead 30", value[string](b, `document.querySelector("#card .row").textContent`))
	b.types("straight")
	b.until(`document.querySelectorAll("#card li:not([hidden])").length === 1`)
	b.press("Enter", 0)
	b.until(editor + `.textContent.includes("ahead 30")`)
	require.Equal(t, "loop 4 {\nahead 30\n  ahead 40\n  turn 90\n}\n", b.program())

	// A seed is chosen by the arrows.
	b.alt("KeyV")
	b.until(`document.querySelectorAll("#card .seeds button").length === 12`)
	b.press("ArrowRight", 0)
	b.press("Enter", 0)
	b.until(editor + `.textContent.includes("seed 3")`)
	b.press("KeyZ", kb.ModifierCtrl)
	b.until(`!` + editor + `.textContent.includes("seed 3")`)

	// Another file, a piece as a copy, a new one.
	require.Eventually(t, func() bool { return f.text("square.wend") == "loop 4 {\nahead 30\n  ahead 40\n  turn 90\n}\n" }, waits, tick)
	b.alt("KeyO")
	b.types("a square")
	b.press("Enter", 0)
	b.until(`document.title.startsWith("square.wend")`)
	b.alt("KeyN")
	b.until(`document.getElementById("asked")`)
	b.press("KeyA", kb.ModifierCtrl)
	b.types("mine\r")
	b.until(`document.title.startsWith("mine.wend")`)
	b.types("ahead 12")
	b.until(`document.getElementById("block").textContent.includes("12 mm")`)
	b.until(`document.getElementById("sentence").textContent.includes("Saved")`)
	require.Equal(t, "ahead 12", f.text("mine.wend"))
}

// A program that draws nothing is not shown with the drawing of another one.
func TestAnotherProgramBeginsWithABlankSheet(t *testing.T) {
	f := serve(t)
	f.put("square.wend", square)
	f.put("wrong.wend", "flyy away\n")
	b := browse(t, f.server.URL, 1280, 800)
	b.until(`document.getElementById("block").textContent.includes("160 mm")`)
	b.alt("KeyO")
	b.until(`document.getElementById("card").textContent.includes("wrong.wend")`)
	b.types("wrong")
	b.press("Enter", 0)
	b.until(`document.title.startsWith("wrong.wend")`)
	b.until(`document.getElementById("block").textContent === "wrong.wend" && !` + inked("ink"))
	b.until(`document.getElementById("sentence").textContent.includes("No word")`)
	require.NotContains(t, value[string](b, `document.getElementById("sentence").textContent`), "last picture")
	require.Equal(t, "Nothing is drawn yet.", value[string](b, `document.getElementById("told").textContent`))
	b.shoot("nothing-drawn")
	b.accessible("nothing drawn")
	// Its own drawing stays under another name.
	b.alt("Enter")
	b.until(`document.getElementById("block").textContent.includes("50 mm")`)
	b.until(`document.getElementById("sentence").textContent.includes("Saved")`)
	b.alt("KeyR")
	b.until(`document.getElementById("asked")`)
	b.press("KeyA", kb.ModifierCtrl)
	b.types("right\r")
	b.until(`document.getElementById("block").textContent.startsWith("right.wend · 50 mm") && ` + inked("ink"))
}

func TestTwoChangesStandSideBySide(t *testing.T) {
	f, b := opened(t)
	f.put("square.wend", "ahead 11\n")
	b.types("# mine\r")
	b.until(`document.getElementById("card").textContent.includes("changed here and elsewhere")`)
	b.shoot("conflict")
	b.accessible("conflict")
	require.Equal(t, "ahead 11\n", f.text("square.wend"), "nothing is saved before somebody chooses")
	b.press("Enter", 0) // keep yours
	b.until(`document.getElementById("sentence").textContent.includes("Saved")`)
	require.Equal(t, "# mine\n"+square, f.text("square.wend"))

	// A change from outside alone is taken in, and can be undone.
	f.put("square.wend", "ahead 77\n")
	f.say(object{"type": "changed", "path": "square.wend", "text": "ahead 77\n", "version": 4})
	b.until(editor + `.textContent.includes("ahead 77")`)
	b.press("KeyZ", kb.ModifierCtrl)
	b.until(editor + `.textContent.includes("# mine")`)
}

func TestAReloadInTheMiddleLosesNothing(t *testing.T) {
	f, b := opened(t)
	b.types("# kept\r")
	b.do(chromedp.Reload())
	b.until(`document.getElementById("block").textContent.includes("160 mm")`)
	require.Equal(t, "# kept\n"+square, b.program())
	require.Equal(t, "# kept\n"+square, f.text("square.wend"))
}

func TestTheKeyboardAloneGoesEverywhere(t *testing.T) {
	_, b := opened(t)
	b.press("Escape", 0)
	b.press("Tab", 0)
	b.until(`document.activeElement.id === "time"`)
	b.press("Tab", 0)
	b.until(`document.activeElement.id === "keys"`)
	b.shoot("focus-on-keys")
	b.alt("KeyG")
	b.until(`document.activeElement.id === "sheet"`)
	b.shoot("focus-on-sheet")
	b.press("KeyT", 0) // a letter alone counts on the sheet
	b.until(`document.getElementById("spoken").textContent === "One line of 4 pieces."`)
	b.press("KeyL", 0)
	b.until(`document.body.classList.contains("wall")`)
	b.shoot("wall")
	b.accessible("wall")
	b.press("KeyL", 0)
	b.alt("KeyG")
	b.until(`document.activeElement.id === "program"`)
	b.types("ll") // and is a letter in the program
	b.until(editor + `.textContent.startsWith("llloop")`)
}

func TestTextsAreNeverMarkup(t *testing.T) {
	f := serve(t)
	name := "<img src=x onerror=alert(1)>.wend"
	f.put(name, "<b>bold</b>\n")
	b := browse(t, f.server.URL, 1280, 800)
	b.until(`document.title.includes("<img src=x")`)
	b.until(editor + `.textContent.includes("No word")`)
	b.alt("KeyO")
	b.until(`document.getElementById("card").textContent.includes("<img")`)
	require.Zero(t, value[int](b, `document.querySelectorAll("img, b").length + document.getElementById("program").shadowRoot.querySelectorAll("img:not(.cm-widgetBuffer), b").length`))
}

func TestTheMachineIsHeldAndStopped(t *testing.T) {
	f, b := opened(t)
	b.alt("KeyM")
	b.until(`document.getElementById("port")`)
	b.press("Enter", 0)
	b.until(`document.getElementById("sentence").textContent !== ""`)
	require.Eventually(t, func() bool { return f.asked("connect") != nil }, waits, tick)
	state := func(name, certainty string, drawn int) {
		f.say(object{"type": "machine", "state": name, "name": "bench", "certainty": certainty, "at": []float64{30, 20}, "drawn": drawn, "queued": 1, "of": 4, "seconds": 8, "held_by_other": false})
	}
	state("connected", "assumed", 0)
	f.say(object{"type": "say", "text": "Keep fingers away from the knobs.", "kind": "caution", "word": nil})
	b.until(`document.getElementById("machine").textContent.includes("assumed, not confirmed")`)
	b.shoot("machine-connected")
	b.accessible("machine connected")
	state("asking", "confirmed", 0)
	f.say(object{"type": "say", "text": "It draws 160 mm in 8 s.", "kind": "question", "word": "draw"})
	b.until(`document.activeElement.id === "answer"`)
	b.shoot("machine-asking")
	b.accessible("machine asking")
	b.types("draw\r")
	require.Eventually(t, func() bool { return f.asked("answer-person")["text"] == "draw" }, waits, tick)
	state("moving", "confirmed", 1)
	b.until(`document.getElementById("machine").textContent.includes("It moves")`)
	b.shoot("machine-moving")
	b.accessible("machine moving")

	// Escape holds from within the program, a card and the sheet.
	for _, place := range []string{`document.getElementById("program").shadowRoot.querySelector(".cm-content").focus()`, `document.getElementById("sheet").focus()`, `document.getElementById("keys").click()`} {
		f.mu.Lock()
		f.heard = nil
		f.mu.Unlock()
		b.do(chromedp.Evaluate[chromedp.Void](place))
		b.press("Escape", 0)
		require.Eventually(t, func() bool { return f.asked("key")["key"] == "hold" }, waits, tick, place)
	}
	// Stop is covered by nothing, with a card open, at any width.
	for _, width := range []int64{1280, 700, 390} {
		b.do(chromedp.EmulateViewport(width, 844))
		b.shoot("machine-stop-" + map[int64]string{1280: "1280", 700: "700", 390: "390"}[width])
		b.until(`(s => (r => [[.1, .1], [.5, .5], [.9, .9]].every(([x, y]) => document.elementFromPoint(r.left + x * r.width, r.top + y * r.height) === s))(s.getBoundingClientRect()))(document.querySelector(".stop"))`)
	}
	state("held", "confirmed", 2)
	b.until(`document.getElementById("machine").textContent.includes("Go on")`)
	b.do(chromedp.Click(chromedp.CSS(".stop")))
	require.Eventually(t, func() bool { return f.asked("key")["key"] == "stop" }, waits, tick)
}

const (
	waits = 10 * time.Second
	tick  = 10 * time.Millisecond
)

func TestAProgramThatIsTooLongIsSaidAndEndsNothing(t *testing.T) {
	f, b := opened(t)
	f.say(object{"type": "opened", "path": "square.wend", "text": strings.Repeat("# "+strings.Repeat("a", 998)+"\n", 10_000), "version": 7, "history": nil})
	b.until(`document.getElementById("sentence").textContent.includes("longer than 8 MB")`)
	// Nothing was lost, and the way to wend is open.
	b.press("KeyA", kb.ModifierCtrl)
	b.types("ahead 33")
	b.until(`document.getElementById("block").textContent.includes("33 mm")`)
}
