package gcode

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	property "pgregory.net/rapid" // rapid is a kind of motion here

	_ "wend/internal/repeatable"
	"wend/lang/source"
)

// What plain reads it reads as scan, check and execute do, whatever stands before
// it, and it knows a line as writers write them.
func TestAPlainLineIsReadAsAnyOther(t *testing.T) {
	number := property.OneOf(
		property.StringMatching(`-?[0-9]{1,4}(\.[0-9]{0,4})?`),
		property.StringMatching(`[-+]?[0-9]{0,12}\.?[0-9]{0,10}`),
		property.SampledFrom([]string{"0", "-0", "-.5", "7.", ".", "", "-", "1 2", "1.2.3", "--1", "1e3", "999999999", "1000000000", "0.1234567890123456"}),
	)
	word := property.Custom(func(t *property.T) string {
		return property.SampledFrom([]string{" ", " ", " ", "", "  "}).Draw(t, "blank") +
			property.SampledFrom([]string{"X", "Y", "F", "x", "I", "G", "M"}).Draw(t, "letter") + number.Draw(t, "number")
	})
	usual := property.Custom(func(t *property.T) string {
		line := "G1"
		for _, letter := range []string{" X", " Y", " F"} {
			if property.Bool().Draw(t, letter) {
				line += letter + number.Draw(t, "number")
			}
		}
		return line
	})
	rest := property.SampledFrom([]string{
		"", "", "", " (line 7)", "(line 7)", " (a) ", " (a) (b)", " (a", " a)", " (a(b))", " (MSG,here)", " ;end", "\t", " ",
		" (" + strings.Repeat("a", 300) + ")", " (" + strings.Repeat("a", 236) + ")",
	})
	row := property.Custom(func(t *property.T) string {
		switch property.IntRange(0, 9).Draw(t, "form") {
		case 0:
			return property.SampledFrom([]string{
				"G21 G90 G94 G17", "G92 X5 Y5", "G20", "G91", "G90", "G93", "G94", "G0 X1", "G2 X9 Y1 I4 J0", "F100", "M2", "", "(a remark)", "/G1 X1", "N5 G1 X3",
			}).Draw(t, "row")
		case 1:
			return "G1" + strings.Join(property.SliceOfN(word, 0, 4).Draw(t, "words"), "") + rest.Draw(t, "rest")
		}
		return usual.Draw(t, "words") + rest.Draw(t, "rest")
	})
	property.Check(t, func(t *property.T) {
		text := strings.Join(append([]string{"G1 X1 F300"}, property.SliceOf(row).Draw(t, "rows")...), "\n") + "\n"
		file := source.New("a.gcode", text)
		read := func(read func(r *reader)) (motions []Motion, after reader, said []string) {
			r := newReader(Settings{}, func(m *Motion) {
				motion := *m
				motion.Arc = nil
				motions = append(motions, motion)
			}, func() *source.File { return file })
			read(r)
			reading, diagnostics := r.done()
			for _, d := range diagnostics {
				said = append(said, string(d.Code)+" "+file.Text[d.Span.Start:d.Span.End]+" "+d.Message)
			}
			return motions, reader{
				reading: reading, at: r.at, offset: r.offset, feed: r.feed, moving: r.moving, begun: r.begun, elsewhere: r.elsewhere,
			}, said
		}
		motions, after, said := read(func(r *reader) { r.lines([]byte(text)) })
		motionsOfAny, afterAny, saidOfAny := read(func(r *reader) {
			r.text = []byte(text)
			var b block
			for start := 0; start < len(text) && !r.ended; {
				end := start + bytes.IndexByte(r.text[start:], '\n')
				r.line(&b, start, end)
				start = end + 1
			}
		})
		require.Equal(t, motionsOfAny, motions)
		require.Equal(t, afterAny, after)
		require.Equal(t, saidOfAny, said)
	})
	for _, usual := range []string{"G1 X1 Y2 F3\n", "G1 X1.25 F3\n", "G1 Y-.5 F3 (line 7)\n"} {
		r := newReader(Settings{}, func(*Motion) {}, nil)
		r.text = []byte(usual)
		next, ok := r.plain(0)
		require.True(t, ok, usual)
		require.Equal(t, len(usual), next)
	}
}
