package link_test

import (
	"context"
	"testing"

	"wend/runtime/geom"
	"wend/runtime/link"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// A drawing of 567 moves to its end, the simulated machine's share included.
func BenchmarkDraw567Moves(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		bench := newBench(b, func(p *machine.Profile, s *simulator.Setup) {
			s.Mechanics.StartMM = p.ToMachine(geom.Point{X: 20, Y: 20})
		})
		text, _ := rosette(b, bench.profile)
		if _, err := bench.ready().Draw(context.Background(), link.Job{Text: text}, &script{now: bench.now}); err != nil {
			b.Fatal(err)
		}
	}
}
