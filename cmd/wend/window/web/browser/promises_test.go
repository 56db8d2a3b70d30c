package browser

import (
	"context"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	cdp "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

const shadow = `document.getElementById("program").shadowRoot`

func TestAWordIsCompletedExplainedAndRenamed(t *testing.T) {
	_, b := opensReally(t, map[string]string{"a.wend": "let side = 30\nahead side\nturn 90\nahead side\n"})
	for range 4 {
		b.press("ArrowDown", 0)
	}
	b.types("snea")
	b.until(shadow + `.querySelector(".cm-tooltip-autocomplete li")?.textContent.startsWith("sneak")`)
	b.shoot("completion")
	b.accessible("completion")
	// The list takes no keys at first: who types on means the text.
	time.Sleep(150 * time.Millisecond)
	b.press("Enter", 0)
	b.until(editor + `.textContent.endsWith("sneak")`)
	b.until(`!` + shadow + `.querySelector(".cm-tooltip-autocomplete")`)

	// What is pointed at is explained.
	at := value[[]float64](b, `(r => [r.left + r.width / 2, r.top + r.height / 2])([...`+shadow+`.querySelectorAll(".is-word")].find(s => s.textContent === "turn").getBoundingClientRect())`)
	b.do(chromedp.MouseEvent("mouseMoved", at[0]-3, at[1]), chromedp.MouseEvent("mouseMoved", at[0], at[1]))
	b.until(shadow + `.querySelector(".page-of-word")?.textContent.includes("turn")`)
	b.shoot("hover")
	b.accessible("hover")
	b.do(chromedp.MouseEvent("mouseMoved", 300, 700))

	// And a name is another one, wherever it stands.
	b.press("ArrowUp", 0)
	b.press("End", 0)
	b.alt("KeyA")
	b.until(`document.getElementById("asked")?.value === "side"`)
	b.types("edge\r")
	b.until(`document.getElementById("sentence").textContent === "Renamed side to edge."`)
	require.Equal(t, "let edge = 30\nahead edge\nturn 90\nahead edge\nsneak", b.program())
}

// Enter after a number begins a row, however long somebody thinks before it: units
// are offered to whoever asks.
func TestANumberIsLeftAsItIs(t *testing.T) {
	_, b := opensReally(t, map[string]string{"a.wend": "ahead 5\n"})
	b.press("Enter", 0)
	b.press("ArrowUp", 0)
	b.types("ahead 12")
	b.until(`document.getElementById("block").textContent.includes(" 17 mm")`)
	tooltip := `document.getElementById("program").shadowRoot.querySelector(".cm-tooltip-autocomplete")`
	b.until(`!` + tooltip)
	b.press("Space", kb.ModifierCtrl)
	b.until(tooltip + `?.textContent.includes("cm")`)
	b.press("Escape", 0)
	b.until(`!` + tooltip)
	b.types("0")
	b.until(`document.getElementById("block").textContent.includes(" 125 mm")`)
	b.until(`document.getElementById("sentence").textContent.includes("Saved")`) // a rest of half a second
	b.press("Enter", 0)
	require.Equal(t, "ahead 120\n\nahead 5\n", b.program())
}

func TestALetOfANumberHasARuler(t *testing.T) {
	_, b := opensReally(t, map[string]string{"a.wend": "let side = 30  # mm\nloop 4 {\n  ahead side\n  turn 90\n}\n"})
	ruler := shadow + `.querySelector(".let-ruler input")`
	b.until(ruler + `?.value === "30"`)
	b.shoot("ruler")
	b.accessible("ruler")
	b.do(chromedp.Evaluate[chromedp.Void](ruler + `.focus()`))
	for range 3 {
		b.press("ArrowRight", 0)
	}
	b.until(`document.getElementById("block").textContent.includes("132 mm")`)
	require.True(t, strings.HasPrefix(b.program(), "let side = 33  # mm\n"))
	require.True(t, value[bool](b, shadow+`.activeElement === `+ruler), "the ruler stays while it is used")
	at := value[[]float64](b, `(r => [r.left + r.width / 2, r.top + r.height / 2, r.width])(`+ruler+`.getBoundingClientRect())`)
	b.do(chromedp.DragAndDropXY(at[0]+0.05*at[2], at[1], at[0]-0.25*at[2], at[1], 8))
	b.until(`(n => n > 10 && n < 20)(parseInt(` + ruler + `.value))`)
	b.until(editor + `.textContent.startsWith("let side = 1")`)
	b.press("Escape", 0)
	b.until(shadow + `.activeElement.classList.contains("cm-content")`)
	// It is there for the caret's line alone, and not within a block.
	b.press("ArrowDown", 0)
	b.until(`!` + ruler)
}

func TestFilesAreGivenAndPrintedAtTrueSize(t *testing.T) {
	_, b := opensReally(t, map[string]string{"a.wend": "begin 20, 20\nahead 40\nturn 90\nahead 30\n"})
	into := t.TempDir()
	_, err := chromedp.Call(b.ctx, cdp.SetDownloadBehavior, cdp.SetDownloadBehaviorParams{Behavior: "allow", DownloadPath: into})
	require.NoError(t, err)
	for _, kind := range []struct{ words, file, begins string }{
		{"svg", "a.svg", "<?xml"}, {"png", "a.png", "\x89PNG"}, {"instructions", "a.gcode", "("}, {"program itself", "a.wend", "begin 20, 20"},
	} {
		b.alt("KeyE")
		b.until(`document.querySelector("#card input")`)
		b.types(kind.words)
		b.until(`document.querySelectorAll("#card li:not([hidden])").length >= 1`)
		b.press("Enter", 0)
		require.Eventually(t, func() bool {
			content, err := os.ReadFile(filepath.Join(into, kind.file))
			return err == nil && strings.HasPrefix(string(content), kind.begins)
		}, waits, tick, kind.file)
		b.press("Escape", 0)
	}
	printed, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: new(true), PrintBackground: new(true)})
	require.NoError(t, err)
	pdf := string(printed.Data)
	require.Equal(t, 1, strings.Count(pdf, "/MediaBox"), "one page")
	_, box, _ := strings.Cut(pdf, "/MediaBox")
	_, box, _ = strings.Cut(box, "[")
	sides := strings.Fields(strings.SplitN(box, "]", 2)[0])
	paper := value[[]float64](b, `(s => [parseFloat(s.getAttribute("width")), parseFloat(s.getAttribute("height"))])(document.querySelector("#print svg"))`)
	for i, mm := range paper {
		points, err := strconv.ParseFloat(sides[2+i], 64)
		require.NoError(t, err)
		require.InDelta(t, mm+1, points*25.4/72, 0.5, "mm of the page")
	}
}

// Whoever wants less motion sees two pictures a second while the line plays,
// however fast the computer is.
func TestReducedMotionPlaysInFewPictures(t *testing.T) {
	_, b := opened(t)
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-reduced-motion", Value: "reduce"}},
	})
	require.NoError(t, err)
	b.do(chromedp.Evaluate[chromedp.Void](`globalThis.moments = []; new MutationObserver(() => moments.push(parseFloat(document.getElementById("time").getAttribute("aria-valuenow")))).observe(document.getElementById("time"), {attributeFilter: ["aria-valuenow"]})`))
	b.alt("KeyP")
	b.until(`document.getElementById("sentence").textContent === "Stands."`)
	moments := value[[]float64](b, `moments.filter((m, i) => m !== moments[i - 1])`)
	require.Greater(t, len(moments), 1)
	for i := 1; i < len(moments)-1; i++ {
		require.GreaterOrEqual(t, moments[i]-moments[i-1], 0.49, "%v", moments)
	}
}

func TestAllIsThereAtTwiceTheSize(t *testing.T) {
	_, b := opened(t)
	// 1280 by 800 at 200 % has 640 by 400 pixels of the layout.
	b.do(chromedp.EmulateViewport(640, 400, chromedp.EmulateScale(2)))
	for _, card := range []string{"", "F1", "KeyW", "KeyO", "KeyM"} {
		if card != "" {
			b.alt(card)
			b.until(`!document.getElementById("card").hidden || document.getElementById("port")`)
		}
		require.LessOrEqual(t, value[float64](b, "document.documentElement.scrollWidth"), 640.0, card)
		b.shoot("twice-" + card)
		b.accessible("twice the size " + card)
		if card != "" {
			b.press("Escape", 0)
		}
	}
	b.until(`document.getElementById("block").getBoundingClientRect().width > 0`)
}

// Neither the page nor whatever is opened from it tells anybody the key that let
// the browser in.
func TestTheKeyIsToldToNobody(t *testing.T) {
	told := make(chan string, 1)
	other := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/" {
			told <- r.Header.Get("Referer")
		}
	}))
	t.Cleanup(other.Close)
	_, b := opensReally(t, map[string]string{"a.wend": "ahead 20\n"})
	require.Empty(t, value[string](b, "document.referrer"))
	require.Equal(t, "/", value[string](b, "location.pathname"))
	require.NoError(t, chromedp.Do(b.ctx, chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		_, err := chromedp.Run(ctx, chromedp.Evaluate[chromedp.Void](`void (location.href = "`+other.URL+`/")`))
		return err
	})))
	require.Empty(t, <-told)
}
