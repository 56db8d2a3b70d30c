package talk_test

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/window/talk"
	"wend/runtime/machine"
)

// nobody is a page that takes everything and keeps nothing.
type nobody struct{ bytes int }

func (n *nobody) Text(message any) {
	data, err := json.Marshal(message)
	if err != nil {
		panic(err)
	}
	n.bytes += len(data)
}
func (n *nobody) Binary(message []byte) { n.bytes += len(message) }

// BenchmarkKey is what the engine does between a keystroke and its picture: a
// spiral of so many pieces whose size is stepped, as the browser's measure does it.
func BenchmarkKey(b *testing.B) {
	for _, n := range []int{100, 10_000, 100_000, 1_000_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			p := &nobody{}
			s := talk.New(engine.Settings{Profile: machine.DeskToy(), Read: nothing}, p)
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				text := fmt.Sprintf("begin page.center\nlet size = %d\nloop i in 1..%d {\n  reach page.center + polar(1 + size * i / %d, 360 * 40 * i / %d)\n}\n", 40-i%5, n, n, n)
				request, _ := json.Marshal(map[string]any{"type": "program", "id": i, "path": "a.wend", "text": text})
				s.Answer(context.Background(), request)
				i++
			}
			b.ReportMetric(float64(p.bytes)/float64(i), "wire-B/op")
		})
	}
}
