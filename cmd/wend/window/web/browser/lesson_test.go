package browser

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

const lessonText = `document.getElementById("lesson").textContent`

// inked reports whether a canvas of the sheet shows something.
func inked(layer string) string {
	return `[...document.querySelector("#sheet .` + layer + `")?.getContext("2d").getImageData(0, 0, 2000, 2000).data ?? []].some(v => v)`
}

// shown holds a state of a lesson, narrow and dark, against axe-core, sideways
// scrolling, and the least size of what is pressed; and shows it to people at more
// widths and at 200 % zoom.
func (b *tab) shown(name string) {
	b.t.Helper()
	for _, size := range []struct{ width, height int64 }{{1280, 800}, {700, 844}, {640, 400}, {390, 844}} {
		if *pictures == "" && size.width != 390 {
			continue
		}
		b.do(chromedp.EmulateViewport(size.width, size.height))
		b.until(`true`)
		b.shoot(fmt.Sprintf("lesson-%s-%d", name, size.width))
		require.LessOrEqual(b.t, value[float64](b, "document.documentElement.scrollWidth"), float64(size.width), "it does not scroll sideways")
	}
	// On a telephone, sheet, lesson and program are all in sight.
	require.True(b.t, value[bool](b, `["sheet", "lesson", "program"].every(id => (r => r.height >= 150 && r.top >= 0 && r.bottom <= innerHeight)(document.getElementById(id).getBoundingClientRect()))`))
	require.Empty(b.t, value[string](b, `[...document.querySelectorAll("#lesson button, #lesson summary")].filter(e => e.offsetParent && (r => r.width < 24 || r.height < 24)(e.getBoundingClientRect())).map(e => e.outerHTML).join()`), "targets of 24 px")
	b.accessible(name)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.scheme("dark")
	b.until(`true`)
	b.shoot("lesson-" + name + "-dark")
	if *pictures != "" || name == "not-yet" { // the others have the same colours
		b.accessible(name + " dark")
	}
	b.scheme("light")
}

// rewrite puts another text in the place of the program.
func (b *tab) rewrite(text string) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("program").shadowRoot.querySelector(".cm-content").focus()`))
	b.press("KeyA", kb.ModifierCtrl)
	b.types(strings.ReplaceAll(text, "\n", "\r"))
}

// The first lesson from its page to its last task, by the keyboard alone.
func TestALessonIsLearnedByTheKeyboard(t *testing.T) {
	folder := t.TempDir()
	b := browse(t, open(t, "--lesson", "1", folder), 1280, 800)
	// Nothing is drawn, and nothing told of it, before somebody has guessed.
	b.until(lessonText + `.includes("Draw it without a guess")`)
	b.until(`document.getElementById("told").textContent.includes("asks for a guess first")`)
	require.False(t, value[bool](b, inked("ink")))
	require.True(t, value[bool](b, `document.getElementById("block").hidden`))
	require.NotContains(t, value[string](b, lessonText), "Was your guess right?")
	b.shown("guess")
	b.alt("KeyC")
	b.until(`document.getElementById("sentence").textContent.startsWith("First guess")`)
	// Nor is it seen by another way, in this window or in one that follows it.
	b.do(chromedp.Evaluate[chromedp.Void](`globalThis.followed = []; (globalThis.wall = new BroadcastChannel("wend.wall")).onmessage = ({data}) => followed.push(data.type); wall.postMessage({type: "which"})`))
	for _, key := range []string{"KeyD", "KeyV", "KeyB"} {
		b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("sentence").textContent = ""`))
		b.alt(key)
		b.until(`document.getElementById("sentence").textContent.startsWith("First guess")`)
		require.True(t, value[bool](b, `document.getElementById("card").hidden`), key)
		require.Empty(t, value[[]string](b, "followed"), key)
	}

	// What can be saved is the program alone, and nothing is sent to a machine.
	b.alt("KeyE")
	b.until(`document.querySelectorAll("#card .row").length === 1 && document.querySelector("#card .row").textContent === "The program itself"`)
	require.Contains(t, value[string](b, `document.getElementById("card").textContent`), "First guess what the program draws")
	b.shoot("lesson-guess-export")
	b.accessible("saving before a guess")
	b.press("Escape", 0)
	b.alt("KeyM")
	connect := `[...document.querySelectorAll("#machine button")].find(b => b.textContent.startsWith("Connect"))`
	b.until(connect)
	b.do(chromedp.Evaluate[chromedp.Void](connect + `.click()`))
	draw := `[...document.querySelectorAll("#machine button")].find(b => /^Draw/.test(b.textContent))`
	b.until(draw)
	b.do(chromedp.Evaluate[chromedp.Void](draw + `.click()`))
	b.until(`document.getElementById("sentence").textContent.startsWith("First guess")`)
	require.False(t, value[bool](b, inked("glow")))
	for _, text := range []string{"Disconnect", "Close"} {
		button := `[...document.querySelectorAll("#machine button")].find(b => b.textContent === "` + text + `")`
		b.until(button)
		b.do(chromedp.Evaluate[chromedp.Void](button + `.click()`))
	}
	b.until(`document.getElementById("machine").hidden`)

	// A wrong guess is answered in a friendly way, and the line is drawn.
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#lesson button.answer")[1].focus()`))
	b.press("Enter", 0)
	b.until(`document.getElementById("spoken").textContent.startsWith("It is this: To the right, and then up.")`)
	b.until(lessonText + `.includes("Was your guess right?")`)
	b.until(inked("ink"))
	b.until(`followed.includes("shown")`)
	b.until(`document.activeElement.id === "lesson-on"`)
	b.shoot("lesson-page")
	b.press("Enter", 0)
	b.until(`document.activeElement.id === "part-0"`)
	b.until(inked("sketch"))

	// What differs is said as at the terminal, and ringed.
	b.alt("KeyC")
	b.until(lessonText + `.includes("Piece 1 of your line is 50 mm long; in the sketch it is 80 mm. Look at line 3 of your program.")`)
	b.until(lessonText + `.includes("Hint: the number after ahead is the length in mm.")`)
	b.until(`document.getElementById("spoken").textContent.startsWith("1.1, not yet. Piece 1")`)
	b.until(inked("marks"))
	b.shown("not-yet")

	// Hints one at a time, three and no more.
	for i, first := range []string{"You need one line", "One row says", "Leave begin"} {
		b.alt("KeyH")
		b.until(fmt.Sprintf(`document.querySelectorAll("#lesson .hints li").length === %d`, i+1))
		b.until(`document.getElementById("spoken").textContent.includes("` + first + `")`)
	}
	b.alt("KeyH")
	b.until(`document.getElementById("spoken").textContent.startsWith("These are all")`)
	b.shoot("lesson-hints")

	// Solved: kept where the terminal keeps it, and once more goes on.
	since := `document.querySelector("#lesson .since").offsetParent !== null`
	require.False(t, value[bool](b, since))
	b.rewrite("begin 30, 40\nahead 80\n")
	b.until(`document.getElementById("block").textContent.includes("80 mm")`)
	// What was said is of the program before.
	b.until(since + ` && document.getElementById("lesson-line").offsetParent === null`)
	b.shown("changed-since")
	b.alt("KeyC")
	b.until(lessonText + `.includes("✓ Solved")`)
	b.until(`document.getElementById("spoken").textContent.startsWith("1.1 is solved. Next comes 1.2.")`)
	require.False(t, value[bool](b, since))
	b.shown("solved")
	require.Eventually(t, func() bool {
		kept, err := os.ReadFile(filepath.Join(folder, "lessons-done.txt"))
		return err == nil && strings.HasSuffix(string(kept), "\n1.1\n")
	}, waits, tick)
	b.alt("KeyC")
	b.until(lessonText + `.includes("1.2  A large corner")`)
	b.rewrite("begin 30, 40\nahead 60\nturn 90\nahead 40\n")
	b.until(`document.getElementById("block").textContent.includes("100 mm")`)
	b.alt("KeyC")
	b.until(lessonText + `.includes("✓ Solved")`)
	b.alt("KeyC")
	b.until(lessonText + `.includes("1.3  Three stairs")`)

	// The rows: taken, moved, put down; then they are the program, which follows them.
	order := `[...document.querySelectorAll("#lesson .mixed li")].map(l => l.querySelector("code")?.textContent ?? "--").join("; ")`
	require.Equal(t, "ahead 12; turn -90; begin 30, 30; ahead 20; turn 90; ahead 20; --", value[string](b, order))
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("#lesson .take").focus()`))
	move := func(row, by int) {
		for range 8 {
			b.press("ArrowUp", 0)
		}
		for range row {
			b.press("ArrowDown", 0)
		}
		b.press("Space", 0)
		for range max(by, -by) {
			b.press(map[bool]string{true: "ArrowDown", false: "ArrowUp"}[by > 0], 0)
		}
		b.press("Space", 0)
	}
	move(2, -2) // begin
	b.until(order + ` === "begin 30, 30; ahead 12; turn -90; ahead 20; turn 90; ahead 20; --"`)
	b.until(`document.getElementById("spoken").textContent === "Put down: begin 30, 30, row 1 of 6."`)
	b.press("Space", 0)
	b.press("ArrowDown", 0)
	b.shown("mixed")
	b.press("Escape", 0)
	b.until(order + `.startsWith("begin 30, 30; ahead 12")`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("lesson-rows").focus()`))
	b.press("Enter", 0)
	b.until(editor + `.textContent.startsWith("begin 30, 30ahead 12turn -90")`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelectorAll("#lesson .take")[1].focus()`))
	move(1, 2) // ahead 12 after ahead 20
	move(1, 2) // turn -90 after it
	move(3, 1)
	b.until(order + ` === "begin 30, 30; ahead 20; ahead 12; turn 90; turn -90; ahead 20; --"`)
	move(2, 1)
	b.until(order + ` === "begin 30, 30; ahead 20; turn 90; ahead 12; turn -90; ahead 20; --"`)
	b.until(editor + `.textContent === "begin 30, 30ahead 20turn 90ahead 12turn -90ahead 20"`)
	b.rewrite("begin 30, 30\nloop 3 {\nahead 20\nturn 90\nahead 12\nturn -90\n}\n")
	b.until(`document.getElementById("block").textContent.includes("96 mm")`)
	b.alt("KeyC")
	b.until(lessonText + `.includes("All tasks of lesson 1 are done.")`)
	b.shoot("lesson-done")
	b.alt("KeyC")
	b.until(`document.title.startsWith("lesson-2.wend")`)
	b.until(lessonText + `.includes("2. Turning round")`)
	b.alt("KeyO")
	b.until(`document.getElementById("card").textContent.includes("1. One straight line✓ done")`)
	b.shoot("lesson-list")
	b.accessible("the list")
}
