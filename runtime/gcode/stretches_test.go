package gcode

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	property "pgregory.net/rapid" // rapid is a kind of motion here

	"wend/lang/source"
)

func TestAFileReadInStretchesSaysTheSameAsInOne(t *testing.T) {
	written := property.SampledFrom([]string{
		"G21 G90 G94 G17", "G92 X5 Y5", "G1 X10.5 F300", "Y20", "G0 X1 Y1", "G2 X9 Y1 I4 J0", "G91", "G90", "(a remark)", "",
		"G1 X5 X6", "G1 X", "G38.2 X1", "M3", "I1", "%", " % ", "M0 (MSG,go on)", "a\rb", "G93", "M2", "/G1 X3",
	})
	property.Check(t, func(t *property.T) {
		stretches := property.SliceOf(property.SliceOf(written)).Draw(t, "stretches")
		end := property.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end")
		var whole strings.Builder
		texts := make([]string, len(stretches))
		for i, lines := range stretches {
			for _, text := range lines {
				texts[i] += text + end
			}
			whole.WriteString(texts[i])
		}
		file := source.New("a.gcode", whole.String())
		read := func(texts ...string) (motions []Motion, reading Reading, said []string) {
			r := newReader(Settings{}, func(m *Motion) {
				motion := *m
				motion.Arc = nil
				motions = append(motions, motion)
			}, func() *source.File { return file })
			for _, text := range texts {
				r.lines([]byte(text))
			}
			reading, diagnostics := r.done()
			for _, d := range diagnostics {
				said = append(said, string(d.Code)+" "+file.Text[d.Span.Start:d.Span.End]+" "+d.Message)
			}
			return motions, reading, said
		}
		motions, reading, said := read(whole.String())
		inStretches, readingInStretches, saidInStretches := read(texts...)
		require.Equal(t, motions, inStretches)
		require.Equal(t, reading, readingInStretches)
		require.Equal(t, said, saidInStretches)
	})
}

func TestStretchesAreWholeLinesAndTogetherTheText(t *testing.T) {
	row := strings.Repeat("x", 99) + "\n"
	for _, text := range []string{
		"", "M2", "M2\n", strings.Repeat(row, 5000), strings.Repeat(row, 5000) + "M2", strings.Repeat("\n", 3*stretchBytes),
		strings.Repeat("x", 3*stretchBytes), strings.Repeat("x", 3*stretchBytes) + "\nM2\n",
	} {
		var together []byte
		for stretch := range stretches([]byte(text)) {
			together = append(together, stretch...)
			require.True(t, len(together) == len(text) || bytes.HasSuffix(stretch, []byte("\n")))
		}
		require.Equal(t, text, string(together))
	}
}
