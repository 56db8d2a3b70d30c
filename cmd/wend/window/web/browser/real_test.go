package browser

import (
	"bufio"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// sources is the folder of the module that the page belongs to.
const sources = "../../../../.."

func in(t *testing.T, folder, name string, arguments ...string) {
	t.Helper()
	command := exec.Command(name, arguments...)
	command.Dir = folder
	out, err := command.CombinedOutput()
	require.NoError(t, err, string(out))
}

var built = flag.String("wend", "", "a wend to open windows with; without it, one is built")

// wend is the command itself.
func wend(t *testing.T) string {
	t.Helper()
	if *built != "" {
		return *built
	}
	*built = filepath.Join(folder, "wend")
	in(t, sources, "go", "build", "-o", *built, "./cmd/wend")
	return *built
}

// pinwheel is a program of several statements, a figure and a loop.
const pinwheel = `# A pinwheel.
figure vane(size) {
  ahead size
  turn 135
  arc size / sqrt(2), 90
  turn 135
}

begin page.center
loop 9 {
  vane 45
  turn 360 / 9
}
`

// open runs `wend open` on a folder, as it is built from these sources, and gives
// the address that it prints.
func open(t *testing.T, arguments ...string) string {
	t.Helper()
	run := exec.Command(wend(t), append([]string{"open", "--no-browser"}, arguments...)...)
	run.Env = append(os.Environ(), "XDG_STATE_HOME="+t.TempDir(), "XDG_CONFIG_HOME="+t.TempDir())
	stdout, err := run.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, run.Start())
	t.Cleanup(func() {
		run.Process.Signal(os.Interrupt) //nolint:errcheck // it may have ended
		require.NoError(t, run.Wait())
	})
	address, err := bufio.NewReader(stdout).ReadString('\n')
	require.NoError(t, err)
	return strings.TrimSpace(address)
}

func opensReally(t *testing.T, files map[string]string) (string, *tab) {
	t.Helper()
	where := t.TempDir()
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(where, name), []byte(text), 0o644))
	}
	b := browse(t, open(t, where), 1280, 800)
	b.until(`document.getElementById("block")?.textContent.includes(" mm")`)
	return where, b
}

func TestWendItselfDrawsAndTells(t *testing.T) {
	where, b := opensReally(t, map[string]string{"pinwheel.wend": pinwheel})
	b.until(`document.getElementById("told").textContent.length > 40`)
	b.shoot("real-pinwheel")
	b.accessible("a pinwheel")

	// The call in the loop lights up what it drew.
	for range 10 {
		b.press("ArrowDown", 0)
	}
	b.press("End", 0)
	b.shoot("real-call")

	// An error is said and mended by the edit that wend offers.
	b.press("Enter", 0)
	b.types("ahed 10")
	b.until(editor + `.textContent.includes("ahead") && document.getElementById("program").shadowRoot.querySelector(".note button")`)
	b.shoot("real-error")
	b.accessible("an error")
	b.alt("Enter")
	b.until(editor + `.textContent.includes("ahead 10")`)
	b.until(`!document.getElementById("program").shadowRoot.querySelector(".note")`)
	require.Eventually(t, func() bool {
		saved, err := os.ReadFile(filepath.Join(where, "pinwheel.wend"))
		return err == nil && strings.Contains(string(saved), "ahead 10")
	}, waits, tick)

	b.press("KeyZ", kb.ModifierCtrl)
	b.press("KeyZ", kb.ModifierCtrl)
	b.alt("KeyS")
	b.until(`document.querySelector("#card [role=status]")?.textContent.startsWith("Step 1 of")`)
	for range 6 {
		b.press("ArrowRight", 0)
	}
	b.until(`document.querySelector(".values").textContent.includes("45")`)
	b.shoot("real-steps")
	b.press("Escape", 0)
	for _, card := range []struct{ key, holds string }{{"KeyW", "ahead"}, {"KeyO", "pinwheel"}} {
		b.alt(card.key)
		b.until(`document.getElementById("card").querySelectorAll("li").length > 3 && document.getElementById("card").textContent.includes("` + card.holds + `")`)
		b.shoot("real-" + card.key)
		b.accessible(card.key)
		b.press("Escape", 0)
	}
	b.alt("KeyD")
	b.until(`document.getElementById("sentence").textContent.includes("enlarged 10 times")`)
	b.shoot("real-as-drawn")
	b.alt("KeyF")
	b.until(`/Formatted|Nothing to change/.test(document.getElementById("sentence").textContent)`)
}

// The page reads what wend tells of a line: points next to each other and far apart,
// one beyond what 32 bits count, over several messages, and how long it takes.
func TestTheLineIsReadAsItIsTold(t *testing.T) {
	const n = 40_000
	_, b := opensReally(t, map[string]string{"waves.wend": fmt.Sprintf(`begin 0, 0
loop i in 1..%d {
  reach 90 + 80 * sin(i * 7) + i / 4000, 60 + 50 * cos(i * 0.01)
}
reach 600000000, 7.125
reach 5, 5.5
`, n)})
	read := value[[]float64](b, `(() => {
		dispatchEvent(new Event("beforeprint"));
		return document.querySelector("#print svg path").getAttribute("d").slice(1).split("L").flatMap((place) => place.split(" ").map(Number));
	})()`)
	height := value[float64](b, `Number(document.querySelector("#print svg").getAttribute("viewBox").split(" ")[3])`)
	const margin = 5 // of the desk toy's page
	told := [][2]float64{{0, 0}}
	for i := 1; i <= n; i++ {
		sine, _ := math.Sincos(float64(i) * 7 * math.Pi / 180)
		_, cosine := math.Sincos(float64(i) * 0.01 * math.Pi / 180)
		told = append(told, [2]float64{90 + 80*sine + float64(i)/4000, 60 + 50*cosine})
	}
	told = append(told, [2]float64{600000000, 7.125}, [2]float64{5, 5.5})
	require.Len(t, read, 2*len(told))
	for i, p := range told {
		x, y := read[2*i]-margin, height-margin-read[2*i+1]
		// Half a part, half the last digit of the print, and what a float32 holds.
		near := 0.0006 + math.Abs(p[0])/(1<<24)
		require.InDelta(t, p[0], x, near, "point %d", i)
		require.InDelta(t, p[1], y, near, "point %d", i)
	}
	length := value[string](b, `document.getElementById("block").textContent.split(" · ").at(-1)`)
	require.Equal(t, "All of it, "+length, value[string](b, `document.getElementById("time").getAttribute("aria-valuetext")`))
}

func TestTheLineThatLeavesThePageIsShown(t *testing.T) {
	_, b := opensReally(t, map[string]string{"out.wend": "begin 10, 10\nahead 500\n"})
	b.until(`document.getElementById("sentence").className === "is-error"`)
	b.shoot("real-outside")
}

// The pieces of the gallery have their pictures, drawn as they are come to.
func TestTheGalleryIsLookedThrough(t *testing.T) {
	_, b := opensReally(t, map[string]string{"pinwheel.wend": pinwheel})
	b.alt("KeyO")
	b.until(`document.querySelectorAll("#card svg.small").length > 40`)
	require.Equal(t, 0, value[int](b, `document.querySelectorAll("#card svg.small path").length`), "nobody has come to them")
	b.types("gallery")
	b.until(`document.querySelectorAll("#card svg.small path").length > 3`)
	b.shoot("gallery-1280")
	b.accessible("the gallery")
	b.do(chromedp.EmulateViewport(390, 844))
	b.scheme("dark")
	b.press("ArrowDown", 0)
	b.until(`document.activeElement.querySelector("svg.small path")`)
	b.until(`[...document.querySelectorAll("#card .row:has(svg.small)")].filter(r => r.getBoundingClientRect().bottom < 500 && r.offsetParent).every(r => r.querySelector("path"))`)
	b.shoot("gallery-390-dark")
	require.LessOrEqual(t, value[float64](b, "document.documentElement.scrollWidth"), 390.0)
	b.accessible("the gallery, narrow and dark")
	b.press("Enter", 0)
	b.until(`document.title.startsWith("attractor.wend")`)
}

// A file that the program reads is changed elsewhere: the line follows, and so it does
// where that happens just as the window opens.
func TestTheLineFollowsWhatTheProgramReads(t *testing.T) {
	where := t.TempDir()
	part := func(side string) {
		require.NoError(t, os.WriteFile(filepath.Join(where, "z.wend"), []byte("fn side() { return "+side+" }\n"), 0o644))
	}
	part("10")
	require.NoError(t, os.WriteFile(filepath.Join(where, "a.wend"), []byte("use \"z.wend\" as part\nahead part.side()\n"), 0o644))
	b := browse(t, open(t, where), 1280, 800)
	part("20")
	b.until(`document.getElementById("block")?.textContent.includes(" 20 mm")`)
	part("30")
	b.until(`document.getElementById("block").textContent.includes(" 30 mm")`)
	b.until(`document.getElementById("sentence").textContent.startsWith("z.wend has changed")`)
}

func TestEveryFileOfTheGalleryOpens(t *testing.T) {
	_, b := opensReally(t, map[string]string{"a.wend": "ahead 20\n"})
	b.alt("KeyO")
	b.types("fern")
	b.press("Enter", 0)
	b.until(`document.title.startsWith("fern") && document.getElementById("block").textContent.startsWith("fern")`)
	b.until(`parseFloat(document.getElementById("block").textContent.split("·")[1].replaceAll(",", "")) > 500`)
	b.shoot("real-fern")
	b.scheme("dark")
	b.until(`true`)
	b.shoot("real-fern-dark")
	b.alt("KeyL")
	b.until(`document.body.classList.contains("wall")`)
	b.shoot("real-fern-wall")
}

func TestAReloadOfWendItselfLosesNothing(t *testing.T) {
	file := filepath.Join(t.TempDir(), "a.wend")
	require.NoError(t, os.WriteFile(file, []byte("ahead 20\n"), 0o644))
	b := browse(t, open(t, file), 1280, 800)
	b.until(`document.getElementById("block")?.textContent.includes(" mm")`)
	b.types("# kept\r")
	b.do(chromedp.Reload())
	b.until(`document.getElementById("block").textContent.includes("20 mm")`)
	require.Equal(t, "# kept\nahead 20\n", b.program())
	saved, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, "# kept\nahead 20\n", string(saved))
	b.press("KeyZ", kb.ModifierCtrl) // the line's end, then the line
	b.press("KeyZ", kb.ModifierCtrl)
	b.until(`!` + editor + `.textContent.includes("# kept")`)
}

// The page and the process about a machine, the simulated one: drawn, held, gone on
// with, reloaded in the middle, stopped.
func TestAMachineOfWendItselfIsHeldAndStopped(t *testing.T) {
	_, b := opensReally(t, map[string]string{"a.wend": "ahead 120\nturn 90\nahead 60\n"})
	machine := `document.getElementById("machine").textContent`
	offers := func(text string) string {
		return `[...document.querySelectorAll("#machine button")].find(b => b.textContent === "` + text + `" && b.offsetParent)`
	}
	click := func(text string) {
		b.until(offers(text))
		b.do(chromedp.Evaluate[chromedp.Void](offers(text) + `.click()`))
	}
	b.alt("KeyM")
	b.until(`document.getElementById("port")`)
	b.press("Enter", 0)
	click("It stands here")
	b.until(machine + `.includes("marked: confirmed")`)
	click("Draw this sheet")
	for range 4 { // whatever is asked before it moves
		b.until(`document.getElementById("answer") || /It moves|may move/.test(` + machine + `)`)
		if !value[bool](b, `!!document.getElementById("answer")`) {
			break
		}
		word := value[string](b, `document.querySelector("label[for=answer]").textContent.match(/“(.+)”/)?.[1] ?? "there"`)
		b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").focus()`))
		b.types(word + "\r")
		b.until(`!document.getElementById("answer") || !document.getElementById("answer").value`)
	}
	b.until(machine + `.includes("It moves")`)
	b.shoot("real-machine-moves")
	b.press("Escape", 0)
	b.until(machine + `.includes("It is held")`)
	click("Go on")
	b.until(machine + `.includes("It moves")`)

	b.do(chromedp.Reload())
	b.until(machine + `.includes("It is held")`)
	b.until(machine + `.includes("has gone, and the machine holds")`)
	b.shoot("real-machine-reloaded")
	click("Go on") // is refused: the word was typed in the window that has gone
	b.until(`document.getElementById("sentence").textContent.includes("another window")`)
	click("Stop")
	b.until(machine + `.includes("It is stopped") && ` + machine + `.includes("a.wend is not drawn to its end")`)
	b.shoot("real-machine-cut-off")
	b.accessible("a drawing that was cut off")
	b.do(chromedp.EmulateViewport(390, 844))
	b.shoot("real-machine-cut-off-390")
	b.do(chromedp.EmulateViewport(1280, 800))

	// Gone on with after the word, held, and abandoned.
	answer := func(word string) {
		b.until(`document.getElementById("answer")`)
		b.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").focus()`))
		b.types(word + "\r")
	}
	click("Go on with it")
	answer("draw")
	b.until(machine + `.includes("It moves")`)
	b.press("Escape", 0)
	click("Abandon the rest")
	b.until(machine + `.includes("a.wend is dropped") && !` + machine + `.includes("not drawn to its end")`)

	// The mark is pulled, and the stylus walks there after the word.
	at := value[[]float64](b, `(() => {
		const sheet = document.getElementById("sheet"), box = sheet.getBoundingClientRect();
		const side = (name) => parseFloat(sheet.style.getPropertyValue("--paper-" + name));
		const mm = (id) => parseFloat(document.getElementById(id).value);
		const scale = (side("right") - side("left")) / 150; // the desk toy's page and its margins of 5 mm
		return [box.left + side("left") + (mm("place-x") + 5) * scale, box.top + side("bottom") - (mm("place-y") + 5) * scale];
	})()`)
	b.do(chromedp.MouseEvent("mousePressed", at[0], at[1], chromedp.ButtonLeft), chromedp.MouseEvent("mouseMoved", at[0]-60, at[1]-40, chromedp.ButtonLeft),
		chromedp.MouseEvent("mouseReleased", at[0]-60, at[1]-40, chromedp.ButtonLeft))
	b.until(`document.getElementById("sentence").textContent.includes("is it to walk there")`)
	b.shoot("real-machine-pulled")
	b.shoot("real-machine-stopped")
}
