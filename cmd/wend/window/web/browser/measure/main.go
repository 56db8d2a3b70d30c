// Command measure times the window in a real browser, over the socket and, with
// -site, with the engine in a worker: from the keystroke to the picture on the
// canvas at 100 to a million pieces, by its parts; how soon a key gives up a
// picture that is being made; the first picture after opening, frames while the
// line plays, processor time of each key, and memory after many edits.
//
//	go -C cmd/wend/window/web/browser run ./measure -wend WEND
//	WEND open --export SITE; go -C cmd/wend/window/web/browser run ./measure -site SITE
//
// The figures are of the machine that it runs on, and of what else runs there:
// processor time says most where much does. Tests never compare them.
package main

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
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
	var m measure
	flag.StringVar(&m.wend, "wend", "wend", "the command that opens the window")
	flag.StringVar(&m.site, "site", "", "an exported site to measure instead")
	flag.IntVar(&m.keys, "keys", 60, "keystrokes timed at each size")
	sizes := flag.String("pieces", "100,10000,100000,1000000", "the sizes")
	flag.IntVar(&m.edits, "edits", 1000, "edits before memory is looked at")
	flag.IntVar(&m.times, "openings", 0, "how often the window is opened, for the first picture alone")
	flag.Parse()
	for size := range strings.SplitSeq(*sizes, ",") {
		n, err := strconv.Atoi(size)
		if err != nil {
			fmt.Fprintln(os.Stderr, "measure: -pieces wants numbers, such as 100,10000")
			os.Exit(2)
		}
		m.sizes = append(m.sizes, n)
	}
	if err := m.run(); err != nil {
		fmt.Fprintln(os.Stderr, "measure:", err)
		os.Exit(1)
	}
}

type measure struct {
	wend, site  string
	keys, edits int
	times       int
	sizes       []int
	folder      string // for what is written meanwhile
}

func (m *measure) run() error {
	var err error
	if m.folder, err = os.MkdirTemp("", "measure"); err != nil {
		return err
	}
	defer os.RemoveAll(m.folder)
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("enable-precise-memory-info", true), chromedp.Flag("js-flags", "--expose-gc"),
		chromedp.UserDataDir(filepath.Join(m.folder, "browser")))
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	defer stop()
	ctx, leave := chromedp.NewContext(ctx)
	defer leave()
	if err := chromedp.Do(ctx); err != nil {
		return err
	}
	for _, n := range m.sizes {
		if n == 1_000_000 && m.site != "" {
			continue // the worker refuses it
		}
		of := m.size
		if m.times > 0 {
			of = m.openings
		}
		if err := of(ctx, fmt.Sprintf(spiral, n, n, n), n); err != nil {
			return fmt.Errorf("%d pieces: %w", n, err)
		}
	}
	return nil
}

// open gives the address of a page that shows a program, and the process behind it.
func (m *measure) open(text string, n int) (address string, process *os.Process, closed func(), err error) {
	if m.site != "" {
		server := httptest.NewServer(http.FileServer(http.Dir(m.site)))
		return server.URL, nil, server.Close, nil
	}
	file := filepath.Join(m.folder, fmt.Sprintf("spiral-%d.wend", n))
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		return "", nil, nil, err
	}
	open := exec.Command(m.wend, "open", file, "--no-browser")
	out, err := open.StdoutPipe()
	if err != nil {
		return "", nil, nil, err
	}
	if err := open.Start(); err != nil {
		return "", nil, nil, err
	}
	address, err = bufio.NewReader(out).ReadString('\n')
	return strings.TrimSpace(address), open.Process, func() { _ = open.Process.Signal(os.Interrupt); _ = open.Wait() }, err
}

func (m *measure) size(ctx context.Context, text string, n int) error {
	address, process, closed, err := m.open(text, n)
	if err != nil {
		return err
	}
	defer closed()
	ctx, leave := chromedp.NewContext(ctx)
	defer leave()
	begun := time.Now()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800), chromedp.Navigate(address)); err != nil {
		return err
	}
	if err := shown(ctx, `document.getElementById("block")?.hidden === false`); err != nil {
		return err
	}
	first := time.Since(begun)
	if m.site != "" {
		// A program of this browser's own, as if it had been kept there.
		keep := fmt.Sprintf("localStorage.clear(); localStorage.setItem(\"wend:spiral.wend\", decodeURIComponent(%q)); location.reload()", url.PathEscape(text))
		if err := chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](keep)); err != nil {
			return err
		}
		if err := shown(ctx, `document.getElementById("block")?.textContent.startsWith("spiral")`); err != nil {
			return err
		}
	}
	keys := m.keys
	if n == 1_000_000 {
		keys = min(keys, 8)
	}
	browser := chromedp.FromContext(ctx).Browser.Process()
	pageBefore, wendBefore := processorTime(browser), processorTime(process)
	times, err := chromedp.Run(ctx, chromedp.Evaluate[[][]float64](fmt.Sprintf(typing, keys), chromedp.EvalAwaitPromise))
	if err != nil {
		return err
	}
	each := func(after, before time.Duration) float64 {
		return float64((after - before).Milliseconds()) / float64(keys)
	}
	part := func(from, to int) string {
		var spans []float64
		for _, t := range times {
			begin := 0.0
			if from >= 0 {
				begin = t[from]
			}
			spans = append(spans, t[to]-begin)
		}
		slices.Sort(spans)
		at := func(part float64) float64 { return spans[int(part*float64(len(spans)-1)+0.5)] }
		return fmt.Sprintf("%.0f/%.0f", at(0.5), at(0.95))
	}
	fmt.Printf("%7d pieces, ms p50/p95: key to picture %s (to the program sent %s, its messages there %s, all of its line there %s, on the canvas %s); processor time of a key: browser %.0f ms, wend %.0f ms; first picture after opening %.0f ms; %d bytes of line\n",
		n, part(-1, 4), part(-1, 0), part(0, 1), part(1, 3), part(3, 4), each(processorTime(browser), pageBefore), each(processorTime(process), wendBefore), first.Seconds()*1000, int(times[len(times)-1][5]))
	if n == 1_000_000 {
		ms, err := chromedp.Run(ctx, chromedp.Evaluate[float64](givingUp, chromedp.EvalAwaitPromise))
		if err != nil {
			return err
		}
		fmt.Printf("%7d pieces: given up, and the picture of the next program there, after %.0f ms\n", n, ms)
		return nil
	}
	frames, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](playing, chromedp.EvalAwaitPromise))
	if err != nil {
		return err
	}
	slices.Sort(frames)
	fmt.Printf("%7d pieces, playing at 100 times: %.0f frames/s, slowest frame %.0f ms\n", n, 1000/mean(frames), frames[len(frames)-1])
	if n != 10_000 {
		return nil
	}
	before, err := chromedp.Run(ctx, chromedp.Evaluate[float64](heap))
	if err != nil {
		return err
	}
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[[][]float64](fmt.Sprintf(typing, m.edits), chromedp.EvalAwaitPromise)); err != nil {
		return err
	}
	after, err := chromedp.Run(ctx, chromedp.Evaluate[float64](heap))
	if err != nil {
		return err
	}
	fmt.Printf("%7d pieces: the page's heap %.1f MB, after %d edits %.1f MB\n", n, before/1e6, m.edits, after/1e6)
	return nil
}

// shown waits for an expression of the page to become true.
func shown(ctx context.Context, expression string) error {
	for end := time.Now().Add(60 * time.Second); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if is, err := chromedp.Run(ctx, chromedp.Evaluate[bool]("!!("+expression+")")); err == nil && is {
			return nil
		}
	}
	return fmt.Errorf("nothing was drawn within a minute")
}

// processorTime is what a process and those that it started have taken so far, as
// Linux counts it in hundredths of a second; 0 elsewhere, or for none.
func processorTime(process *os.Process) time.Duration {
	if process == nil {
		return 0
	}
	parent, spent := map[int]int{}, map[int]time.Duration{}
	stats, _ := filepath.Glob("/proc/[0-9]*/stat") // the pattern is well formed
	for _, name := range stats {
		text, err := os.ReadFile(name)
		if err != nil {
			continue // it has ended
		}
		// The second field is the name in brackets; proc(5) numbers the others.
		_, rest, _ := strings.Cut(string(text), ") ")
		fields := strings.Fields(rest)
		if len(fields) < 13 {
			continue
		}
		id, _ := strconv.Atoi(filepath.Base(filepath.Dir(name)))
		parent[id], _ = strconv.Atoi(fields[1])
		user, _ := strconv.Atoi(fields[11])
		system, _ := strconv.Atoi(fields[12])
		spent[id] = time.Duration(user+system) * 10 * time.Millisecond
	}
	var sum time.Duration
	for id := range spent {
		for at := id; at > 1; at = parent[at] {
			if at == process.Pid {
				sum += spent[id]
				break
			}
		}
	}
	return sum
}

func mean(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x
	}
	return sum / float64(max(1, len(xs)))
}

const heap = `(globalThis.gc?.(), performance.memory.usedJSHeapSize)`

// typing steps the number of the second line up and down and gives for each key
// the ms after which the program was sent, its messages came, the page was done
// with them, the last of the line came, and the picture was on the canvas; then how
// many bytes the line had.
const typing = `(async () => {
  const content = document.getElementById("program").shadowRoot.querySelector(".cm-content");
  content.focus();
  const key = (key, alt) => content.dispatchEvent(new KeyboardEvent("keydown", {key, code: key, altKey: alt, bubbles: true, cancelable: true, composed: true}));
  if (!globalThis.placed) { key("ArrowDown", false); key("End", false); globalThis.placed = true }
  let sent = 0, came = 0, checked = 0, seen = 0, bytes = 0;
  const put = [];
  for (const [kind, name] of [[WebSocket, "send"], [Worker, "postMessage"]]) {
    const send = kind.prototype[name];
    put.push(() => kind.prototype[name] = send);
    kind.prototype[name] = function (data) {
      if (!this.timed) this.addEventListener("message", (m) => {
        if (m.data instanceof ArrayBuffer) [came, bytes] = [m.timeStamp, bytes + m.data.byteLength];
        else if (typeof m.data === "string" && m.data.startsWith('{"type":"checked"')) [checked, seen] = [m.timeStamp, performance.now()];
      });
      this.timed = true;
      if (data.includes('"type":"program"')) sent = performance.now();
      return send.call(this, data);
    };
  }
  const times = [];
  for (let i = 0; i < %d; i++) {
    bytes = 0;
    const begun = performance.now();
    const drawn = new Promise(done => addEventListener("wend-picture", () => done(performance.now()), {once: true}));
    key(Math.floor(i / 5) %% 2 ? "ArrowUp" : "ArrowDown", true);
    const end = await drawn;
    times.push([sent - begun, checked - begun, seen - begun, came - begun, end - begun, bytes]);
    await new Promise(done => setTimeout(done, 50));
  }
  for (const back of put) back();
  return times;
})()`

// givingUp begins a picture and, a little later, has a short program drawn in its
// place; it gives the ms from there to that one's picture.
const givingUp = `(async () => {
  const content = document.getElementById("program").shadowRoot.querySelector(".cm-content");
  const key = (key, more) => content.dispatchEvent(new KeyboardEvent("keydown", {key, code: key, bubbles: true, cancelable: true, composed: true, ...more}));
  key("ArrowUp", {altKey: true});
  await new Promise(done => setTimeout(done, 150));
  key("a", {ctrlKey: true, code: "KeyA"});
  const begun = performance.now();
  document.execCommand("insertText", false, "ahead 20");
  while (!document.getElementById("block").textContent.includes(" 20 mm")) await new Promise(done => setTimeout(done, 2));
  return performance.now() - begun;
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
