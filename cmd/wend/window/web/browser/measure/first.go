package main

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// openings opens a page so often, each in a tab of its own and, over the socket,
// from a process of its own, and says how soon its first picture came, by its parts.
func (m *measure) openings(ctx context.Context, text string, n int) error {
	var all [][]float64
	for range m.times {
		parts, err := m.opening(ctx, text, n)
		if err != nil {
			return err
		}
		all = append(all, parts)
	}
	middle := func(part int) float64 {
		var spans []float64
		for _, parts := range all {
			spans = append(spans, parts[part])
		}
		slices.Sort(spans)
		return spans[len(spans)/2]
	}
	var firsts []float64
	for _, parts := range all {
		firsts = append(firsts, parts[5])
	}
	slices.Sort(firsts)
	fmt.Printf("%7d pieces: first picture %.0f ms after opening, %.0f at best (its page was begun at %.0f, its program ran at %.0f, the way to the engine was open at %.0f, its line there at %.0f, a picture on the canvas at %.0f); the text to be written in at %.0f: medians of %d\n",
		n, middle(5), firsts[0], middle(0), middle(1), middle(2), middle(3), middle(4), middle(6), m.times)
	return nil
}

// opening gives, in ms after a tab was asked for: its page is begun, the socket or
// the worker is made, it is open, the engine's line is there, a picture is on the
// canvas, the frame of it was made, and the editor is there. In a site the picture
// that came with it is there before the engine.
func (m *measure) opening(ctx context.Context, text string, n int) ([]float64, error) {
	address, _, closed, err := m.open(text, n)
	if err != nil {
		return nil, err
	}
	defer closed()
	ctx, leave := chromedp.NewContext(ctx)
	defer leave()
	begun := time.Now()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800)); err != nil {
		return nil, err
	}
	if _, err := chromedp.Call(ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: watching}); err != nil {
		return nil, err
	}
	if err := chromedp.Do(ctx, chromedp.Navigate(address)); err != nil {
		return nil, err
	}
	// Seldom asked: to answer takes the page's own time.
	for end := time.Now().Add(time.Minute); ; time.Sleep(200 * time.Millisecond) {
		at, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](`globalThis.openingSeen ?? []`))
		if err == nil && len(at) == 7 {
			for i := range at {
				at[i] -= float64(begun.UnixMicro()) / 1000
			}
			return at, nil
		}
		if time.Now().After(end) {
			return nil, fmt.Errorf("nothing was drawn within a minute (%v)", err)
		}
	}
}

// watching notes the moments of opening, in ms since 1970.
const watching = `(() => {
  const now = () => performance.timeOrigin + performance.now();
  let made = 0, open = 0, line = 0, drawn = 0, framed = 0, editor = 0;
  const heard = (data) => { if (data instanceof ArrayBuffer) line ||= now(); };
  globalThis.WebSocket = class extends WebSocket {
    constructor(...given) {
      super(...given);
      made ||= now();
      this.addEventListener("open", () => open ||= now());
      this.addEventListener("message", (m) => heard(m.data));
    }
  };
  globalThis.Worker = class extends Worker {
    constructor(...given) {
      super(...given);
      made ||= now();
      this.addEventListener("message", (m) => { if (m.data?.type === "ready") open ||= now(); heard(m.data); });
    }
  };
  addEventListener("wend-picture", ({detail}) => {
    if (drawn || !detail) return;
    drawn = now();
    requestAnimationFrame(() => { const {port1, port2} = new MessageChannel(); port2.onmessage = () => framed = now(); port1.postMessage(0); });
  });
  const look = () => {
    if (document.getElementById("program")?.shadowRoot?.querySelector(".cm-content")) editor ||= now();
    if (framed && editor && open && line) globalThis.openingSeen = [performance.timeOrigin, made, open, line, drawn, framed, editor];
    else requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})()`
