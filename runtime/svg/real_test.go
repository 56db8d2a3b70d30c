package svg

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/weave"
)

var update = flag.Bool("update", false, "write golden files anew")

// realFiles are drawings by many hands (see testdata/real/SOURCE.md).
func realFiles(t testing.TB) []string {
	files, err := filepath.Glob("testdata/real/*.svg")
	require.NoError(t, err)
	require.Greater(t, len(files), 40)
	return files
}

func readReal(t testing.TB, name string) *Document {
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	d, err := Read(source.New(name, string(text)), free)
	require.NoError(t, err, name)
	return d
}

// What comes of real drawings: how many strokes of which length, where they lie,
// and what is named as not drawn. The numbers were looked at beside pictures of
// a general-purpose renderer; see also the test of the tag peers.
func TestRealDrawingsAreReadAsTheyWere(t *testing.T) {
	var table strings.Builder
	for _, name := range realFiles(t) {
		drawing, err := readReal(t, name).Draw(Options{ToleranceMM: 0.02, Largest: pt(140, 100), Charge: free})
		require.NoError(t, err, name)
		box := geom.EmptyBox()
		for _, s := range drawing.Strokes {
			box = box.Union(geom.Bounds(s))
		}
		fmt.Fprintf(&table, "%-18s %4d strokes %9.1f mm, %.1f to %.1f by %.1f to %.1f", strings.TrimSuffix(filepath.Base(name), ".svg"),
			len(drawing.Strokes), lengthOf(drawing.Strokes), box.Min.X, box.Max.X, box.Min.Y, box.Max.Y)
		for _, n := range drawing.Notes {
			fmt.Fprintf(&table, "; line %d: %s", n.Span.From().Line, n.Error())
		}
		table.WriteByte('\n')
	}
	const golden = "testdata/real.golden"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(table.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), table.String())
}

// Each real drawing as one line on a page of 140 by 100 mm: what is added to be
// seen, as a share of what was drawn, beside what straight links from part to
// part come to at the least (with -v).
func TestRealDrawingsBecomeOneLineWithLittleAdded(t *testing.T) {
	drawnMM, linkMM, leastMM := 0.0, 0.0, 0.0
	for _, name := range realFiles(t) {
		drawing, err := readReal(t, name).Draw(Options{ToleranceMM: 0.02, Largest: pt(140, 100), Charge: free})
		require.NoError(t, err)
		box := geom.EmptyBox()
		for _, s := range drawing.Strokes {
			box = box.Union(geom.Bounds(s))
		}
		onto, ok := geom.FitInto(box, 140, 100)
		require.True(t, ok)
		for i, s := range drawing.Strokes {
			drawing.Strokes[i] = onto.Append(nil, s)
		}
		start := time.Now()
		line, err := weave.Weave(t.Context(), drawing.Strokes, weave.Options{ToleranceMM: 0.25})
		require.NoError(t, err)
		t.Logf("%-22s %4d parts, %7.1f mm drawn, added %5.2f %% (straight links: %5.2f %%), gone over again %5.2f %% (bound %5.2f %%), woven in %.2f s",
			filepath.Base(name), line.Parts, line.DrawnMM, 100*line.LinkMM/line.DrawnMM, 100*line.SpanningMM/line.DrawnMM,
			100*line.RetraceMM/line.DrawnMM, 100*line.RetraceBoundMM/line.DrawnMM, time.Since(start).Seconds())
		require.LessOrEqual(t, line.LinkMM, line.SpanningMM+1e-6, name)
		drawnMM, linkMM, leastMM = drawnMM+line.DrawnMM, linkMM+line.LinkMM, leastMM+line.SpanningMM
	}
	t.Logf("all together: added %.2f %%, straight links %.2f %%", 100*linkMM/drawnMM, 100*leastMM/drawnMM)
	require.Less(t, linkMM/drawnMM, 0.03)
}

func BenchmarkRealDrawings(b *testing.B) {
	for _, name := range []string{"map-finland", "dragonfly", "seahorse"} {
		b.Run(name, func(b *testing.B) {
			text, err := os.ReadFile("testdata/real/" + name + ".svg")
			require.NoError(b, err)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				d, err := Read(source.New(name, string(text)), free)
				require.NoError(b, err)
				_, err = d.Draw(Options{ToleranceMM: 0.02, Largest: pt(140, 100), Charge: free})
				require.NoError(b, err)
			}
		})
	}
}
