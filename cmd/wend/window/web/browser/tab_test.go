package browser

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

var pictures = flag.String("pictures", "", "a folder for screenshots of the states that the tests pass, for people to look at")

// tab is a page in a browser, with a person's hands.
type tab struct {
	t   *testing.T
	ctx context.Context
}

// browser is the one that all tests open their tabs in.
var browser context.Context

// folder is what the tests leave behind, until they end.
var folder string

func TestMain(m *testing.M) {
	flag.Parse()
	var err error
	folder, err = os.MkdirTemp("", "browser")
	if err != nil {
		panic(err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox,
		chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.UserDataDir(folder),
	)
	started, cancelBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	first, cancelTab := chromedp.NewContext(started)
	browser = first
	if err := chromedp.Do(browser); err != nil {
		panic(err)
	}
	code := m.Run()
	_ = chromedp.Cancel(browser) // the browser must be gone before its folder is
	cancelTab()
	cancelBrowser()
	_ = os.RemoveAll(folder)
	os.Exit(code)
}

// browse opens an address in a tab of its own, with nothing kept from before.
func browse(t *testing.T, address string, width, height int64) *tab {
	t.Helper()
	ctx, cancelTab := chromedp.NewContext(browser)
	ctx, cancel := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(func() { cancel(); cancelTab() })
	b := &tab{t, ctx}
	b.do(chromedp.EmulateViewport(width, height), chromedp.Navigate(address))
	return b
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, steps...))
}

// until waits for an expression of the page to become true.
func (b *tab) until(expression string) {
	b.t.Helper()
	// Not one wait inside the page: a page that moves on to another takes it along.
	// Long enough for an engine to start on a machine that does much else.
	for end := time.Now().Add(30 * time.Second); time.Now().Before(end); time.Sleep(15 * time.Millisecond) {
		if is, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool]("!!("+expression+")")); err == nil && is {
			return
		}
	}
	b.shoot("failed-" + strings.ReplaceAll(b.t.Name(), "/", "-"))
	said := value[string](b, `document.getElementById("sentence")?.textContent + " | " + (`+editor+`?.innerText ?? "")`)
	b.t.Fatalf("never true: %s\nthe strip and the program: %s", expression, said)
}

func value[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.t, err, expression)
	return v
}

// types presses the keys of a text. An Enter is one event, so that a page that
// deals with the key gets no character besides, as from a real keyboard.
func (b *tab) types(keys string) {
	b.t.Helper()
	for i, part := range strings.Split(keys, "\r") {
		if i > 0 {
			b.press("Enter", 0)
		}
		if part != "" {
			b.do(chromedp.KeyEvent(part))
		}
	}
}

// codes are the numbers that browsers still want of keys that write nothing.
var codes = map[string]int64{"Enter": 13, "Escape": 27, "Space": 32, "Tab": 9, "ArrowLeft": 37, "ArrowUp": 38, "ArrowRight": 39, "ArrowDown": 40, "Home": 36, "End": 35, "F1": 112, "F8": 119, "PageDown": 34, "PageUp": 33}

// press presses one key by its place on the keyboard: "Escape", or "KeyP".
func (b *tab) press(code string, modifiers kb.Modifier) {
	b.t.Helper()
	key := strings.ToLower(strings.TrimPrefix(code, "Key"))
	number := int64(strings.ToUpper(key)[0])
	if n, ok := codes[code]; ok {
		key, number = code, n
	}
	if code == "Space" {
		key = " "
	}
	p := input.DispatchKeyEventParams{Type: input.DispatchKeyEventTypeRawKeyDown, Key: key, Code: code, Modifiers: int64(modifiers), WindowsVirtualKeyCode: number}
	if code == "Enter" && modifiers == 0 {
		p.Type, p.Text = input.DispatchKeyEventTypeKeyDown, "\r"
	}
	_, err := chromedp.Call(b.ctx, input.DispatchKeyEvent, p)
	require.NoError(b.t, err)
	p.Type, p.Text = input.DispatchKeyEventTypeKeyUp, ""
	_, err = chromedp.Call(b.ctx, input.DispatchKeyEvent, p)
	require.NoError(b.t, err)
}

// alt presses a key together with Alt.
func (b *tab) alt(code string) {
	b.t.Helper()
	b.press(code, kb.ModifierAlt)
}

// shoot takes a picture, if somebody wants them.
func (b *tab) shoot(name string) {
	b.t.Helper()
	if *pictures == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	require.NoError(b.t, os.MkdirAll(*pictures, 0o755))
	require.NoError(b.t, os.WriteFile(filepath.Join(*pictures, name+".png"), png, 0o644))
}

// scheme makes the page light or dark.
func (b *tab) scheme(name string) {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}},
	})
	require.NoError(b.t, err)
}

// accessible holds the page as it stands against axe-core.
func (b *tab) accessible(state string) {
	b.t.Helper()
	source, err := os.ReadFile("../node_modules/axe-core/axe.min.js")
	require.NoError(b.t, err, "npm ci in the folder above installs it")
	b.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Run(ctx, chromedp.Evaluate[chromedp.Void](string(source)+";0"))
		return err
	}))
	found, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](
		`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v => v.id + ": " + v.help + "\n" + v.nodes.map(n => "  " + n.target.join(" ") + " " + n.failureSummary).join("\n")).join("\n"))`,
		chromedp.EvalAwaitPromise))
	require.NoError(b.t, err)
	require.Empty(b.t, found, state)
}

// editor is the program's text in its shadow root.
const editor = `document.getElementById("program")?.shadowRoot?.querySelector(".cm-content")`

// program is the text as it stands.
func (b *tab) program() string {
	b.t.Helper()
	return value[string](b, `[...`+editor+`.querySelectorAll(".cm-line")].map(l => l.textContent).join("\n")`)
}
