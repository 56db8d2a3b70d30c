// Command measure times the window in a real browser: from the keystroke to the
// picture on the canvas at 100, 10,000 and 100,000 pieces, the first picture
// after opening, the bytes of a picture on the socket, frames while 100,000
// pieces play, and memory after 1,000 edits.
//
//	go -C cmd/wend/window/web/browser run ./measure -wend WEND
//
// The figures are of the machine that it runs on; tests never compare them.
package main

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/chromedp/chromedp"
)

// spiral draws so many pieces; the number to be changed stands in its second line.
const spiral = `begin page.center
let size = 40
loop i in 1..%d {
  reach page.center + polar(1 + size * i / %d, 360 * 40 * i / %d)
}
`

func main() {
	wend := flag.String("wend", "wend", "the command that opens the window")
	keys := flag.Int("keys", 60, "keystrokes timed at each size")
	edits := flag.Int("edits", 1000, "edits before memory is looked at")
	flag.Parse()
	if err := run(*wend, *keys, *edits); err != nil {
		fmt.Fprintln(os.Stderr, "measure:", err)
		os.Exit(1)
	}
}

func run(wend string, keys, edits int) error {
	folder, err := os.MkdirTemp("", "measure")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("enable-precise-memory-info", true), chromedp.Flag("js-flags", "--expose-gc"),
		chromedp.UserDataDir(filepath.Join(folder, "browser")))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	for _, n := range []int{100, 10_000, 100_000} {
		if err := size(ctx, wend, folder, n, keys, edits); err != nil {
			return fmt.Errorf("%d pieces: %w", n, err)
		}
	}
	return nil
}

func size(ctx context.Context, wend, folder string, n, keys, edits int) error {
	file := filepath.Join(folder, fmt.Sprintf("spiral-%d.wend", n))
	if err := os.WriteFile(file, fmt.Appendf(nil, spiral, n, n, n), 0o644); err != nil {
		return err
	}
	open := exec.Command(wend, "open", file, "--no-browser")
	out, err := open.StdoutPipe()
	if err != nil {
		return err
	}
	if err := open.Start(); err != nil {
		return err
	}
	defer func() { _ = open.Process.Signal(os.Interrupt); _ = open.Wait() }()
	address, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		return err
	}
	ctx, leave := chromedp.NewContext(ctx)
	defer leave()
	begun := time.Now()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800), chromedp.Navigate(strings.TrimSpace(address))); err != nil {
		return err
	}
	for end := time.Now().Add(30 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		shown, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`document.getElementById("block")?.hidden === false`))
		if err == nil && shown {
			break
		}
		if time.Now().After(end) {
			return fmt.Errorf("nothing was drawn within 30 s")
		}
	}
	first := time.Since(begun)
	// The page was loaded with no cache; its own clock leaves out the browser's start.
	loaded, err := chromedp.Run(ctx, chromedp.Evaluate[float64](`performance.now()`))
	if err != nil {
		return err
	}
	pairs, err := chromedp.Run(ctx, chromedp.Evaluate[[][2]float64](fmt.Sprintf(typing, keys), chromedp.EvalAwaitPromise))
	if err != nil {
		return err
	}
	var times, arrivals []float64
	for _, pair := range pairs {
		times, arrivals = append(times, pair[0]), append(arrivals, pair[1])
	}
	slices.Sort(times)
	slices.Sort(arrivals)
	at := func(part float64) float64 { return times[int(part*float64(len(times)-1))] }
	frames, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](playing, chromedp.EvalAwaitPromise))
	if err != nil {
		return err
	}
	slices.Sort(frames)
	fmt.Printf("%7d pieces: key to picture p50 %.0f ms, p95 %.0f ms (the line is there after %.0f ms, p50); first picture %.0f ms (page's clock %.0f); a picture %d bytes on the socket; playing: %.0f frames/s, slowest frame %.0f ms\n",
		n, at(0.5), at(0.95), arrivals[len(arrivals)/2], first.Seconds()*1000, loaded, 16+8*(n+1)+8*n, 1000/mean(frames), frames[len(frames)-1])
	if n != 10_000 {
		return nil
	}
	before, err := chromedp.Run(ctx, chromedp.Evaluate[float64](heap))
	if err != nil {
		return err
	}
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[[][2]float64](fmt.Sprintf(typing, edits), chromedp.EvalAwaitPromise)); err != nil {
		return err
	}
	after, err := chromedp.Run(ctx, chromedp.Evaluate[float64](heap))
	if err != nil {
		return err
	}
	fmt.Printf("%7d pieces: the page's heap %.1f MB, after %d edits %.1f MB\n", n, before/1e6, edits, after/1e6)
	return nil
}

func mean(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(max(1, len(xs)))
}

const heap = `(globalThis.gc?.(), performance.memory.usedJSHeapSize)`

// typing steps the number of the second line up and down and times each key
// until its picture is on the canvas.
const typing = `(async () => {
  const content = document.getElementById("program").shadowRoot.querySelector(".cm-content");
  content.focus();
  const key = (key, alt) => content.dispatchEvent(new KeyboardEvent("keydown", {key, code: key, altKey: alt, bubbles: true, cancelable: true, composed: true}));
  if (!globalThis.placed) { key("ArrowDown", false); key("End", false); globalThis.placed = true }
  // When the newest line has come over the socket: the rest is the page's own time.
  let arrived = 0;
  const send = WebSocket.prototype.send;
  WebSocket.prototype.send = function (data) {
    if (!this.timed) this.addEventListener("message", (m) => { if (typeof m.data !== "string") arrived = performance.now() });
    this.timed = true;
    return send.call(this, data);
  };
  const times = [];
  for (let i = 0; i < %d; i++) {
    const begun = performance.now();
    const drawn = new Promise(done => addEventListener("wend-picture", () => done(performance.now()), {once: true}));
    key(Math.floor(i / 5) %% 2 ? "ArrowUp" : "ArrowDown", true);
    const end = await drawn;
    times.push([end - begun, arrived - begun]);
    await new Promise(done => setTimeout(done, 20));
  }
  WebSocket.prototype.send = send;
  return times;
})()`

// playing gives the spans between frames of five seconds at 100 times.
const playing = `(async () => {
  const key = (code) => document.getElementById("sheet").dispatchEvent(new KeyboardEvent("keydown", {key: code, code, altKey: true, bubbles: true, cancelable: true}));
  key("KeyX"); key("KeyX"); key("KeyP");
  const spans = [];
  let last = await new Promise(requestAnimationFrame);
  const begun = last;
  while (last - begun < 5000 && (spans.length < 3 || document.getElementById("sentence").textContent !== "Stands.")) {
    const now = await new Promise(requestAnimationFrame);
    spans.push(now - last);
    last = now;
  }
  if (document.getElementById("sentence").textContent !== "Stands.") key("KeyP");
  return spans;
})()`
