package weave

import (
	"context"
	"flag"
	"fmt"
	"os"
	"runtime"
	"testing"
	"text/tabwriter"
	"time"

	"github.com/stretchr/testify/require"
)

var figures = flag.Int("figures", 0, "print a table of time, memory and quality for up to so many strokes")

// With -figures=100000, prints the table as well.
func TestTheStatedCostsOfSampleDrawingsAreAtTheirBounds(t *testing.T) {
	sizes := []int{100}
	for n := 1000; n <= max(*figures, 1000); n *= 10 {
		sizes = append(sizes, n)
	}
	table := tabwriter.NewWriter(os.Stdout, 0, 0, 2, ' ', tabwriter.AlignRight)
	defer table.Flush()
	if *figures > 0 {
		fmt.Fprintln(table, "drawing\tstrokes\tsegments in\tparts\todd\tseconds\tMB allocated\tlink/spanning\tretrace mm\ttotal/bound\t")
	}
	for _, s := range samples {
		for _, n := range sizes {
			strokes := s.strokes(n)
			segments := 0
			for _, stroke := range strokes {
				segments += len(stroke) - 1
			}
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			from := time.Now()
			r, err := Weave(context.Background(), strokes, Options{})
			seconds := time.Since(from).Seconds()
			runtime.ReadMemStats(&after)
			require.NoError(t, err)
			requireSound(t, strokes, Options{}, r)
			bound := r.DrawnMM + r.LinkMM + r.RetraceBoundMM
			require.LessOrEqual(t, totalMM(r), bound*1.01)
			if *figures > 0 {
				ratio := 1.0
				if r.SpanningMM > 0 {
					ratio = r.LinkMM / r.SpanningMM
				}
				fmt.Fprintf(table, "%s\t%d\t%d\t%d\t%d\t%.3f\t%.0f\t%.4f\t%.0f\t%.6f\t\n", s.name, len(strokes), segments, r.Parts, r.Odd,
					seconds, float64(after.TotalAlloc-before.TotalAlloc)/1e6, ratio, r.RetraceMM, totalMM(r)/bound)
			}
		}
	}
}

func BenchmarkWeave(b *testing.B) {
	for _, s := range samples {
		for _, n := range []int{100, 1000, 10_000, 100_000} {
			strokes := s.strokes(n)
			b.Run(fmt.Sprintf("%s/%d", s.name, n), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Weave(context.Background(), strokes, Options{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
