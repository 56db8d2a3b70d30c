package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"wend/cmd/wend/engine"
	"wend/lang/source"
	"wend/runtime/machine"
)

// lines is a program of so many lines, of the kinds that people write.
func lines(n int) string {
	var b strings.Builder
	for i := 0; b.Len() == 0 || strings.Count(b.String(), "\n") < n; i++ {
		fmt.Fprintf(&b, "# Part %d.\nfigure vane_%d(size, step = 2) {\n  let half = size / 2\n  loop i in 1..3 {\n    ahead half + i * step\n    turn 360 / 3\n  }\n}\nfn width_%d(x) = max(x, %d) + sqrt(x^2 + 1)\n", i, i, i, i)
		fmt.Fprintf(&b, "if width_%d(3) > 2 { branch { vane_%d 4, step: 1 } } else { note \"{width_%d(2)} of %d\" }\n", i, i, i, i)
	}
	return b.String()
}

func BenchmarkAssisted(b *testing.B) {
	for _, n := range []int{50, 500, 5000} {
		text := lines(n) + "ahed 3\n"
		settings := engine.Settings{Profile: machine.DeskToy(), Read: flowers}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, list := engine.Assisted(source.New("a.wend", text), nil, nil, settings)
				if len(list) != 1 {
					b.Fatal(list[0])
				}
			}
		})
	}
}
