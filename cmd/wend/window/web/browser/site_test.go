package browser

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// exported is the address of an exported site, which is made once.
func exported(t *testing.T) string {
	t.Helper()
	site := filepath.Join(folder, "site")
	if _, err := os.Stat(site); err != nil {
		in(t, sources, wend(t), "open", "--export", site)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(site)))
	t.Cleanup(server.Close)
	return server.URL
}

func TestAnExportedSiteDrawsWithoutAProcess(t *testing.T) {
	b := browse(t, exported(t), 1280, 800)
	b.until(`document.getElementById("block").textContent.includes(" mm")`)
	b.shoot("site")
	b.press("KeyA", kb.ModifierCtrl)
	b.types("ahead 50\r")
	b.until(`document.getElementById("block").textContent.includes("50 mm")`)
	require.Contains(t, b.program(), "ahead 50")

	// A million is refused with the reason, and what is there stays.
	b.press("KeyA", kb.ModifierCtrl)
	b.types("begin page.center\rloop i in 1..1000000 {\rreach page.center + polar(i / 25000, i)\r}")
	b.until(`/more than 500.000 points/.test(document.getElementById("sentence").textContent)`)
	require.Equal(t, "50 mm", value[string](b, `document.getElementById("block").textContent.match(/\d+ mm/)[0]`))
	b.press("KeyA", kb.ModifierCtrl)
	b.types("ahead 60")
	b.until(`document.getElementById("block").textContent.includes("60 mm")`)
}

// Who comes for the first time sees a drawing before the engine is there, and may
// write already; what was written is drawn by the engine.
func TestASiteShowsItsDrawingBeforeItsEngineIsThere(t *testing.T) {
	exported(t)
	engine := make(chan struct{})
	server := httptest.NewServer(held(engine, filepath.Join(folder, "site")))
	t.Cleanup(server.Close)
	b := browse(t, server.URL, 1280, 800)
	b.until(inked("ink"))
	b.until(`document.getElementById("block").textContent.includes(" mm") && ` + editor + `.querySelector(".is-word")`)
	b.accessible("a site without its engine")
	b.press("KeyA", kb.ModifierCtrl)
	b.types("ahead 50\r")
	require.NotContains(t, value[string](b, `document.getElementById("block").textContent`), "50 mm")
	close(engine)
	b.until(`document.getElementById("block").textContent.includes("50 mm")`)
	// It is opened again as it was left, and asked about.
	b.do(chromedp.Reload())
	b.until(`document.getElementById("block").textContent.includes("50 mm")`)
	require.Contains(t, b.program(), "ahead 50")
	b.alt("KeyS")
	b.until(`document.querySelector("#card [role=status]")?.textContent === "Step 1 of 1"`)
}

// A new program begins as in the window, also before the engine is there, and the
// sheet has nothing of the program before.
func TestANewProgramOfASiteBeginsWithASmallOne(t *testing.T) {
	exported(t)
	engine := make(chan struct{})
	server := httptest.NewServer(held(engine, filepath.Join(folder, "site")))
	t.Cleanup(server.Close)
	b := browse(t, server.URL, 1280, 800)
	b.until(inked("ink") + ` && ` + editor)
	b.alt("KeyO")
	b.until(`document.querySelector("#card svg.small")`)
	b.types("fern")
	b.until(`document.querySelector("#card li:not([hidden]) svg.small path")`)
	b.press("Escape", 0)
	b.alt("KeyN")
	b.until(`document.getElementById("asked")`)
	b.press("KeyA", kb.ModifierCtrl)
	b.types("mine\r")
	b.until(`document.title.startsWith("mine.wend")`)
	require.Equal(t, "# Six sides, and a turn after each.\nbegin page.center\nloop 6 {\n  ahead 25\n  turn 60\n}\n", b.program())
	b.until(`document.getElementById("block").textContent === "mine.wend" && !` + inked("ink"))
	require.Equal(t, "Nothing is drawn yet.", value[string](b, `document.getElementById("told").textContent`))
	b.shoot("site-new-without-engine")
	close(engine)
	b.until(`document.getElementById("block").textContent.includes("150 mm") && ` + inked("ink"))
	b.shoot("site-new")
}

// Who comes back to a program of their own sees it before the engine is there, coloured
// and with its picture; and if that is of an earlier text, it is told so.
func TestWhoComesBackSeesTheirPictureAtOnce(t *testing.T) {
	exported(t)
	engine := make(chan struct{})
	close(engine)
	var gate atomic.Pointer[chan struct{}]
	gate.Store(&engine)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		held(*gate.Load(), filepath.Join(folder, "site")).ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	holds := func() func() {
		engine := make(chan struct{})
		gate.Store(&engine)
		return func() { close(engine) }
	}
	b := browse(t, server.URL, 1280, 800)
	b.until(inked("ink") + ` && ` + editor)
	b.alt("KeyN")
	b.until(`document.getElementById("asked")`)
	b.press("KeyA", kb.ModifierCtrl)
	b.types("mine\r")
	b.until(`document.title.startsWith("mine.wend")`)
	b.rewrite("ahead 50\n")
	b.until(`document.getElementById("block").textContent.includes("50 mm")`)
	b.until(`(opening => {
		opening.onupgradeneeded = () => opening.transaction.abort(); // the page makes it
		opening.onsuccess = () => opening.result.transaction("pictures").objectStore("pictures").get("mine.wend").onsuccess = found => {
			globalThis.kept = found.target.result?.text;
			opening.result.close();
		};
		return globalThis.kept === "ahead 50\n";
	})(indexedDB.open("wend"))`)

	release := holds()
	b = browse(t, server.URL, 1280, 800)
	b.until(`document.getElementById("block").textContent.startsWith("mine.wend · 50 mm") && ` + inked("ink"))
	b.until(editor + `.querySelector(".is-word")?.textContent === "ahead"`)
	require.Equal(t, "ahead 50\n", b.program())
	require.NotContains(t, value[string](b, `document.getElementById("block").textContent`), "before")
	b.shoot("site-back")
	b.types("ahead 10\r")
	release()
	b.until(`document.getElementById("block").textContent.includes("60 mm")`)

	// Another text than the one that the picture is of.
	release = holds()
	b.do(chromedp.Navigate("about:blank"))
	b = browse(t, server.URL+"/notices.txt", 1280, 800)
	b.do(chromedp.Evaluate[chromedp.Void](`localStorage.setItem("wend:mine.wend", "ahead 70\n")`))
	b = browse(t, server.URL, 1280, 800)
	b.until(`/^mine.wend · [56]0 mm .* · from before the last change$/.test(document.getElementById("block").textContent) && ` + inked("ink"))
	require.Equal(t, "ahead 70\n", b.program())
	require.Contains(t, value[string](b, `document.getElementById("told").textContent`), "from before the last change")
	b.shoot("site-back-changed")
	b.accessible("a picture from before")
	release()
	b.until(`document.getElementById("block").textContent.startsWith("mine.wend · 70 mm")`)
	require.NotContains(t, value[string](b, `document.getElementById("block").textContent`), "before")
}

// A first drawing that came cut short, or is another file, is as if there were none.
func TestASiteOpensWithoutItsFirstDrawing(t *testing.T) {
	exported(t)
	site := filepath.Join(folder, "site")
	whole, err := os.ReadFile(filepath.Join(site, "first.bin"))
	require.NoError(t, err)
	for name, first := range map[string][]byte{"cut short": whole[:len(whole)/2], "a page": []byte("<!doctype html><p>There is no such file.</p>")} {
		t.Run(name, func(t *testing.T) {
			files := http.FileServer(http.Dir(site))
			server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if r.URL.Path == "/first.bin" {
					w.Write(first) //nolint:errcheck // the browser has gone
					return
				}
				files.ServeHTTP(w, r)
			}))
			t.Cleanup(server.Close)
			b := browse(t, server.URL, 1280, 800)
			b.until(`document.body.textContent.includes("no program yet. Choose a piece or a lesson")`)
		})
	}
}

// held serves a site whose engine waits.
func held(until <-chan struct{}, site string) http.Handler {
	files := http.FileServer(http.Dir(site))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/engine.bin" {
			select {
			case <-until:
			case <-r.Context().Done():
				return
			}
		}
		files.ServeHTTP(w, r)
	})
}

// A lesson that a teacher hands out by its address, learned with the pointer alone in
// a site without a process; what is done stays in the browser.
func TestALessonOfASiteIsLearnedByThePointer(t *testing.T) {
	address := exported(t)
	b := browse(t, address+"/#lesson-1", 1280, 800)
	button := func(text string) string {
		return `[...document.querySelectorAll("#lesson button")].find(b => b.textContent.startsWith("` + text + `"))`
	}
	click := func(element string) {
		t.Helper()
		b.until(element)
		b.do(chromedp.Evaluate[chromedp.Void](element + `.scrollIntoView({block: "center"})`))
		at := value[[]float64](b, `(r => [r.left + r.width / 2, r.top + r.height / 2])(`+element+`.getBoundingClientRect())`)
		b.do(chromedp.MouseClickXY(at[0], at[1]))
	}
	b.until(button("To the right, and then up"))
	require.False(t, value[bool](b, inked("ink")))
	click(button("To the right, and then up"))
	b.until(`document.getElementById("spoken").textContent.startsWith("So it is.") && ` + inked("ink"))
	click(button("1.3"))
	b.until(inked("sketch"))
	order := `[...document.querySelectorAll("#lesson .mixed li")].map(l => l.querySelector("code")?.textContent ?? "--").join("; ")`

	// The third row is pulled above the first; the second is moved by its buttons.
	row := func(n int) []float64 {
		return value[[]float64](b, fmt.Sprintf(`(r => [r.left + 12, r.top + r.height / 2])(document.querySelectorAll("#lesson .take")[%d].getBoundingClientRect())`, n))
	}
	from, to := row(2), row(0)
	b.do(chromedp.DragAndDropXY(from[0], from[1], to[0], to[1]-6, 10))
	b.until(order + ` === "begin 30, 30; ahead 12; turn -90; ahead 20; turn 90; ahead 20; --"`)
	b.until(`document.getElementById("spoken").textContent === "begin 30, 30: row 1 of 6."`)
	down := func(row string, n int) {
		t.Helper()
		for range n {
			click(`document.querySelector('#lesson [aria-label="Move ` + row + ` down"]')`)
		}
	}
	down("ahead 12", 3)
	down("turn -90", 3)
	b.until(order + ` === "begin 30, 30; ahead 20; turn 90; ahead 12; turn -90; ahead 20; --"`)
	click(button("Make these rows"))
	b.until(editor + `.textContent === "begin 30, 30ahead 20turn 90ahead 12turn -90ahead 20"`)
	// One that is left out is no longer in the program.
	down("turn -90", 2)
	b.until(editor + `.textContent === "begin 30, 30ahead 20turn 90ahead 12ahead 20"`)
	b.shoot("lesson-left-out")
	click(button("Check"))
	b.until(lessonText + `.includes("Not yet.")`)
	b.rewrite("begin 30, 30\nloop 3 {\nahead 20\nturn 90\nahead 12\nturn -90\n}\n")
	b.until(`document.getElementById("block").textContent.includes("96 mm")`)
	click(button("Check"))
	b.until(lessonText + `.includes("✓ Solved")`)
	b.until(`document.getElementById("part-2").textContent.includes("✓")`)
	b.shoot("lesson-site")

	// It is there after a reload, and so is the program; nothing is guessed twice.
	b.do(chromedp.Reload())
	b.until(`document.getElementById("part-2")?.textContent.includes("✓")`)
	b.until(lessonText + `.includes("1.1  A line of 80 mm")`)
	require.Contains(t, b.program(), "loop 3 {")

	// A store that takes nothing is said, and what is done counts while it is open.
	b.do(chromedp.Evaluate[chromedp.Void](`Storage.prototype.setItem = () => { throw new Error("full") }`))
	b.rewrite("begin 30, 40\nahead 80\n")
	b.until(`document.getElementById("block").textContent.includes("80 mm")`)
	b.alt("KeyC")
	b.until(`document.getElementById("sentence").textContent.includes("forgotten when it is closed")`)
	b.until(`document.getElementById("part-0").textContent.includes("✓")`)
}
