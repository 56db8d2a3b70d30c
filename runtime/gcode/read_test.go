package gcode_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

func codes(list diag.List) []string {
	var out []string
	for _, d := range list {
		out = append(out, string(d.Code))
	}
	return out
}

// motions reads a text from (0, 0) and keeps what it does.
func motions(text string) ([]gcode.Motion, gcode.Reading, diag.List) {
	var all []gcode.Motion
	reading, diagnostics := gcode.Read("test.gcode", text, gcode.Settings{}, func(m *gcode.Motion) { all = append(all, *m) })
	return all, reading, diagnostics
}

// trace is what is said of anyone's file.
func trace(name, text string, p *machine.Profile) (gcode.Traced, diag.List) {
	return gcode.Trace(name, text, p, gcode.TraceOptions{Start: p.Area.StartMM})
}

// read is for texts without a fault.
func read(t *testing.T, text string) []gcode.Motion {
	t.Helper()
	all, _, diagnostics := motions(text)
	require.Empty(t, diagnostics, text)
	return all
}

func ends(all []gcode.Motion) []geom.Point {
	var out []geom.Point
	for _, m := range all {
		out = append(out, m.To)
	}
	return out
}

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

func TestEachInstructionPageShowsItsFaultAndItsMend(t *testing.T) {
	seen := 0
	for _, page := range diag.Pages() {
		if page.Subject != diag.Instructions {
			continue
		}
		seen++
		t.Run(string(page.Code), func(t *testing.T) {
			_, bad := trace("bad.gcode", page.Bad, machine.DeskToy())
			require.Equal(t, []string{string(page.Code)}, codes(bad))
			_, good := trace("good.gcode", page.Good, machine.DeskToy())
			require.Empty(t, codes(good))
		})
	}
	require.Greater(t, seen, 15)
}

// NISTIR 6556, section 3.3: blanks count nowhere, letters may be small, and
// "g0x +0. 12 34y 7" is "g0 x+0.1234 y7".
func TestBlanksAndCaseCountNowhere(t *testing.T) {
	for _, line := range []string{"g0x +0. 12 34y 7", "g0 x+0.1234 y7", "G0X.1234Y7.", "y7 g 0 x 0.1234", "\tG00 X0.12340 Y+07"} {
		require.Equal(t, []geom.Point{pt(0.1234, 7)}, ends(read(t, line+"\nM2\n")), line)
	}
}

// Section 3.3.6: the order of words on a line has no meaning. Five items in
// all 120 orders.
func TestTheOrderOfWordsOnALineHasNoMeaning(t *testing.T) {
	words := []string{"G1", "X10", "Y20", "F300", "G91"}
	count := 0
	var permute func(k int)
	permute = func(k int) {
		if k == len(words) {
			count++
			all := read(t, "G92 X1 Y1\n"+strings.Join(words, " ")+"\nM2\n")
			require.Equal(t, []geom.Point{pt(11, 21)}, ends(all))
			require.Equal(t, 300.0, all[0].Feed)
			return
		}
		for i := k; i < len(words); i++ {
			words[k], words[i] = words[i], words[k]
			permute(k + 1)
			words[k], words[i] = words[i], words[k]
		}
	}
	permute(0)
	require.Equal(t, 120, count)
}

// Section 3.5.3.1, example "G17 G2 x10 y15 r20"; its centre and angle computed
// by elementary geometry.
func TestAnArcByItsRadius(t *testing.T) {
	all := read(t, "F100\nG17 G2 x10 y15 r20\nM2\n")
	arc := all[0].Arc
	require.InDelta(t, 19.855069, arc.Center.X, 1e-6)
	require.InDelta(t, -2.403379, arc.Center.Y, 1e-6)
	require.InDelta(t, 53.576426, arc.SweepDeg(all[0].From, all[0].To), 1e-6)
	require.False(t, arc.Left)

	long := read(t, "F100\nG17 G2 x10 y15 r-20\nM2\n")[0]
	require.InDelta(t, 360-53.576426, 360-long.Arc.SweepDeg(long.From, long.To)+360-2*53.576426, 1e-5)
	require.InDelta(t, -9.855069, long.Arc.Center.X, 1e-6)
}

// Section 3.5.3.2, example "G17 G2 x10 y16 i3 j4" from (7, 7): centre
// (10, 11), radius 5; angle and length computed.
func TestAnArcByItsCentre(t *testing.T) {
	for _, distances := range []string{"G90", "G91"} {
		line := "G17 G2 x10 y16 i3 j4"
		if distances == "G91" {
			line = "G17 G2 x3 y9 i3 j4"
		}
		all := read(t, "F100\nG0 X7 Y7\n"+distances+"\n"+line+"\nM2\n")
		m := all[1]
		require.Equal(t, pt(10, 11), m.Arc.Center)
		require.InDelta(t, 5, m.Arc.Radius, 1e-12)
		require.InDelta(t, 143.130102, m.Arc.SweepDeg(m.From, m.To), 1e-6)
		require.InDelta(t, 12.490458, m.Arc.Length(m.From, m.To), 1e-6)
	}
}

func TestAnArcWithoutAChangeOfPlaceIsAWholeCircle(t *testing.T) {
	m := read(t, "G0 X5 Y5\nG3 X5 I10 F100\nM2\n")[1]
	require.Equal(t, 360.0, m.Arc.SweepDeg(m.From, m.To))
	require.Equal(t, geom.Box{Min: pt(5, -5), Max: pt(25, 15)}, m.Arc.Bounds(m.From, m.To))
}

func TestAnArcReachesItsFarthestPoints(t *testing.T) {
	for _, c := range []struct {
		line string
		box  geom.Box
	}{
		{"G3 X-10 I-10", geom.Box{Min: pt(-10, 0), Max: pt(10, 10)}}, // start (10, 0), half circle about (0, 0)
		{"G2 X-10 I-10", geom.Box{Min: pt(-10, -10), Max: pt(10, 0)}},
		{"G3 X0 Y10 I-10", geom.Box{Min: pt(0, 0), Max: pt(10, 10)}},
		{"G2 X0 Y10 I-10", geom.Box{Min: pt(-10, -10), Max: pt(10, 10)}},
	} {
		m := read(t, "G0 X10 Y0\nF100 "+c.line+"\nM2\n")[1]
		box := m.Arc.Bounds(m.From, m.To)
		require.InDelta(t, 0, box.Min.Distance(c.box.Min)+box.Max.Distance(c.box.Max), 1e-9, c.line)
		touched := geom.EmptyBox().Include(m.From)
		m.Arc.Chords(m.From, m.To, 1e-7, func(p geom.Point) { touched = touched.Include(p) })
		require.InDelta(t, 0, box.Min.Distance(touched.Min)+box.Max.Distance(touched.Max), 1e-6, c.line)
	}
}

// Section 3.5.18: at X=4, G92 x7 makes the offset -3; then G92 x9 makes it -5;
// both without motion, also under G91. G92.1 cancels and forgets, G92.2
// cancels, G92.3 applies again.
func TestOriginOffsets(t *testing.T) {
	require.Equal(t, []geom.Point{pt(4, 0), pt(5, 0), pt(4, 0), pt(4, 0)},
		ends(read(t, "G0 X4\nG92 x7\nG0 X8\nX7\nG91\nG92 x9\nG90\nX9\nM2\n")))
	require.Equal(t, []geom.Point{pt(4, 0), pt(8, 0), pt(5, 0), pt(8, 0)},
		ends(read(t, "G0 X4\nG92 x7\nG92.2\nX8\nG92.3\nX8\nG92.1\nG92.3\nX8\nM2\n")))
}

func TestG92BeforeAnyMotionSaysWhereTheStylusStands(t *testing.T) {
	_, reading, diagnostics := motions("G92 X20 Y30\nG91 G1 X1 F100\nM2\n")
	require.Empty(t, diagnostics)
	require.True(t, reading.Asserted)
	require.Equal(t, pt(20, 30), reading.Start)
	require.Equal(t, pt(21, 30), reading.End)

	_, reading, _ = motions("G92 X20\nG91 G1 X1 F100\nM2\n")
	require.False(t, reading.Asserted)
}

// The international yard and pound agreement of 1959: an inch is exactly
// 25.4 mm (NIST SP 811, 2008, appendix B.6).
func TestInchesAreTurnedIntoMillimetres(t *testing.T) {
	all := read(t, "G20 G1 X1 Y0.5 F10\nG21 X50.8\nM2\n")
	require.Equal(t, []geom.Point{pt(25.4, 12.7), pt(50.8, 12.7)}, ends(all))
}

// Section 3.5.19: under G93 each motion but G0 has its own F; under G94 the
// last F counts.
func TestInverseTimeNeedsAFeedForEachMotion(t *testing.T) {
	require.Len(t, read(t, "G93 G1 X1 F2\nX2 F2\nG0 X3\nG94 F100\nG1 X4\nX5\nM2\n"), 5)
	for _, text := range []string{"G93 G1 X1 F2\nX2\nM2\n", "G93 G1 X1 F0\nM2\n"} {
		_, _, diagnostics := motions(text)
		require.Equal(t, []string{"instruction-feed-missing"}, codes(diagnostics), text)
		require.Contains(t, diagnostics[0].Hint, "minutes")
	}
}

func TestHowFarAMotionLeavesTheAreaIsNeverSaidToBeNothing(t *testing.T) {
	for text, amount := range map[string]string{"150.002": "0.002 mm", "150.00004": "0.00004 mm", "150.006": "0.01 mm", "163": "13.00 mm"} {
		_, diagnostics := trace("a.gcode", "G92 X5 Y5\nG1 X"+text+" F100\nM2\n", machine.DeskToy())
		i := slices.Index(codes(diagnostics), "instruction-outside-area")
		require.GreaterOrEqual(t, i, 0, text)
		require.Contains(t, diagnostics[i].Message, "by up to "+amount)
	}
}

// What the sections of NISTIR 6556 allow, beside each text. A ";" is common
// practice, no source.
func TestWhatTheStandardAllowsIsRead(t *testing.T) {
	for _, c := range [][2]string{
		{"3.1", "%\nG0 X1\n%\nnot read at all ! !\n"}, // what follows the second % is ignored
		{"3.1", "  %  \nG0 X1\n\t%\n"},
		{"3.1", "M2\n"},
		{"3.1", "m30"},
		{"3.1", "G0 X1\nM2\nX-99999 what is this\n"},
		{"3.3", "\n\n  \nM2"}, // empty lines
		{"3.3", "G0 X1\r\nM2\r\n"},
		{"3.3", "/G0 X1\nM2\n"},                                    // an optional block delete character; the switch is off
		{"3.3.1", "N1 G0 X1\nN1 X2\nN0 X3\n n 9 9 9 9 9 x4\nM2\n"}, // in any order, repeated
		{"3.3.2.1", "G1 X1.00000000000000000000001 F00100.\nM2\n"},
		{"3.3.2.1", "G00.00001 X1\nM2.00001\n"}, // within 0.0001 of a whole number
		{"3.3.2.1", "G0.99999999999 X1 F1\nM2\n"},
		{"3.3.4", "(a comment) G0 (another) X1 (third)\n(MSG, hello)\nM2"},
		{"3.5.4", "G4 P0\nG4 P.5\nM2\n"},
		{"3.5.4", "G4 P99999999\nM2\n"},
		{"3.5.18", "G92.1\nG92.2\nG92.3\nG92 Y1\nM2\n"},
		{"3.6.1", "G21 G90 G94 G17 G0 X1 M0\nM1\nM2\n"}, // M1: the switch is off
		{";", "; a remark (and not a bracket\nG0 X1 ; another ) ; \x01 G0 X9\n N5;\r\n(not ; here) X2\n;\nM2 ; so"},
	} {
		_, _, diagnostics := motions(c[1])
		require.Empty(t, diagnostics, c)
	}
	// 3.6.1: nothing after the end is done.
	require.Empty(t, ends(read(t, "M2\nG0 X1\n")))
}

// What the sections of NISTIR 6556 forbid, beside each line. The numbers 3.3.2.2,
// 3.3.2.3, 3.5.5, 3.5.6, 3.5.9, 3.5.16 and 3.6.2 are from memory.
func TestWhatTheStandardForbidsIsNamed(t *testing.T) {
	for _, c := range []struct{ section, line, code string }{
		{"3.1", "G0 X1\n%", "instruction-percent"},
		{"3.3", "G0 X1 )", "instruction-character"}, // anything not allowed is an error
		{"3.3", "G0 X1 *71", "instruction-character"},
		{"3.3", "G0 X1 *", "instruction-character"},
		{"3.3", "% ; begins", "instruction-character"},
		{"3.3", "\x00\x01", "instruction-character"},
		{"3.3", "$H", "instruction-character"},
		{"3.3", "(" + strings.Repeat("x", 300) + ")", "instruction-line-long"},
		{"3.3", "; " + strings.Repeat("x", 300), "instruction-line-long"},
		{"3.3", "G0 X1\rY1", "instruction-line-ends"},
		{"3.3", "G0 X1 (a\rb)", "instruction-line-ends"},
		{"3.3", "G0 X1 ; a\rG0 X2", "instruction-line-ends"},
		{"3.3", "G0 X1\r\r", "instruction-line-ends"},
		{"3.3.1", "N000009 X1", "instruction-line-number"},
		{"3.3.1", "N-1 X1", "instruction-line-number"},
		{"3.3.1", "N X1", "instruction-line-number"},
		{"3.3.1", "X1 N5", "instruction-line-number"},
		{"3.3.2", "G0 X1e3", "instruction-word-unknown"}, // no E
		{"3.3.2", "G0 X1 E2", "instruction-word-unknown"},
		{"3.3.2", "G0 X1 U2", "instruction-word-unknown"},
		{"3.3.2", "O100", "instruction-word-unknown"},
		{"3.3.2.1", "G0 X", "instruction-number"},
		{"3.3.2.1", "G0 X1.2.3", "instruction-number"},
		{"3.3.2.1", "G0 X--1", "instruction-number"},
		{"3.3.2.1", "G0 X+", "instruction-number"},
		{"3.3.2.1", "G0 X.", "instruction-number"},
		{"3.3.2.1", "G0 X;1", "instruction-number"},
		{"3.3.2.1", "G0 Xé", "instruction-number"},
		{"3.3.2.1", "G0 X" + strings.Repeat("9", 250), "instruction-number"},
		{"3.3.2.1", "G1.5 X1 F1", "instruction-word-unknown"}, // no such word in Table 5
		{"3.3.2.1", "G1.0002 X1 F1", "instruction-word-unknown"},
		{"3.3.2.2", "#1=2", "instruction-unsupported"},
		{"3.3.2.2", "G0 X#1", "instruction-unsupported"},
		{"3.3.2.3", "G0 X[1+2]", "instruction-unsupported"},
		{"3.3.4", "G0 X1 (open", "instruction-comment"},
		{"3.3.4", "G0 X1 (a (b) c)", "instruction-comment"},
		{"3.3.4", "G0 X1 (so ; open", "instruction-comment"},
		{"3.3.5", "G0 G1 X1", "instruction-clash"}, // one modal group
		{"3.3.5", "G90 G91", "instruction-clash"},
		{"3.3.5", "G20 G21", "instruction-clash"},
		{"3.3.5", "M0 M2", "instruction-clash"},
		{"3.3.5", "M0 M3 M6 M7 M48", "instruction-m-words"}, // more than four
		{"3.3.5", "G0 X1 X1", "instruction-word-repeated"},
		{"3.3.5", "G1 F1 F1 X1", "instruction-word-repeated"},
		{"3.4", "G1 G92 X1 F1", "instruction-clash"}, // both use the axis words
		{"3.5", "G5 X1", "instruction-word-unknown"}, // Table 5
		{"3.5", "G-1 X1", "instruction-word-unknown"},
		{"3.5.1", "G0", "instruction-axis-missing"},
		{"3.5.2", "G1 F5", "instruction-axis-missing"},
		{"3.5.2", "G1 X1 F-5", "instruction-number"},
		{"3.5.2", "X1", "instruction-motion-missing"},
		{"3.5.2", "G0 X1 I2", "instruction-word-unused"},
		{"3.5.3", "G2 X1 F1", "instruction-arc"},
		{"3.5.3", "G2 X1 I1 J0 R2 F1", "instruction-arc"},
		{"3.5.3.1", "G2 R2 X0 Y0 F1", "instruction-arc"}, // with R, the end is the beginning
		{"3.5.3.1", "G2 X10 R4 F1", "instruction-arc"},   // too small
		{"3.5.3.2", "G2 X10 I4 F1", "instruction-arc"},   // ends not on one circle
		{"3.5.3.2", "G2 I0 X0 F1", "instruction-arc"},
		{"3.5.3.2", "G2 I5 F1", "instruction-axis-missing"}, // no X, no Y
		{"3.5.4", "G4", "instruction-dwell"},
		{"3.5.4", "G4 P-1", "instruction-dwell"},
		{"3.5.4", "G0 X1 P2", "instruction-word-unused"},
		{"3.5.18", "G92", "instruction-axis-missing"},
		{"3.5.19", "G1 X1", "instruction-feed-missing"},
		{"3.5.19", "G93 G1 X1 F2\nG94 X2", "instruction-feed-missing"}, // a number of the other meaning
		{"3.6", "M99", "instruction-word-unknown"},                     // Table 7
		// What the standard has and a machine of two axes has not.
		{"3.5.5", "G10 L2 P1 X5", "instruction-unsupported"},
		{"3.5.6", "G18", "instruction-unsupported"},
		{"3.5.9", "G28", "instruction-unsupported"},
		{"3.5.2", "G1 X1 Z1 F1", "instruction-unsupported"},
		{"3.6.2", "M3 S100", "instruction-unsupported"},
		{"3.5.16", "G81 X1 Z1 R2", "instruction-unsupported"},
	} {
		_, _, diagnostics := motions(c.line + "\nM2\n")
		require.NotEmpty(t, diagnostics, c)
		require.Equal(t, c.code, string(diagnostics[0].Code), c)
		require.True(t, diagnostics.Failed(), c)
	}
	// 3.1: an end, or a second %.
	for text, code := range map[string]string{"": "instruction-end-missing", "%\nG0 X1\n": "instruction-percent-open"} {
		_, _, diagnostics := motions(text)
		require.Equal(t, []string{code}, codes(diagnostics))
		require.True(t, diagnostics.Failed())
	}
}

// Section 3.5.3.2: the ends may differ by 0.002 mm, or 0.0002 inch, in their
// distance from the centre.
func TestTheEndsOfAnArcMayDifferALittle(t *testing.T) {
	require.Len(t, read(t, "G2 X10.0019 I5 F1\nM2\n"), 1)
	require.Len(t, read(t, "G20 G2 X10.00019 I5 F1\nM2\n"), 1)
	for _, text := range []string{"G2 X10.0021 I5 F1\nM2\n", "G20 G2 X10.00021 I5 F1\nM2\n"} {
		_, _, diagnostics := motions(text)
		require.Equal(t, []string{"instruction-arc"}, codes(diagnostics))
	}
}

func TestAFaultStandsAtItsLineAndColumn(t *testing.T) {
	_, _, diagnostics := motions("G0 X1\r\n  G1 X2 Y3 Q7 F9\r\nG0 X1 X2\r\nM2\r\n")
	require.Equal(t, []string{"instruction-unsupported", "instruction-word-repeated"}, codes(diagnostics))
	require.Equal(t, 2, diagnostics[0].Span.From().Line)
	require.Equal(t, 12, diagnostics[0].Span.From().Column)
	require.Equal(t, 3, diagnostics[1].Span.From().Line)
	require.Equal(t, "X2", diagnostics[1].Span.Text())
}

func TestAWordThisMachineLacksIsNamedOnceAndTheRestStillCounts(t *testing.T) {
	all, _, diagnostics := motions("G21 G40 G49 G80 G91\nG0 X1 Z5\nG0 X1 Z-5\nM2\n")
	require.Equal(t, []string{"instruction-unsupported", "instruction-unsupported", "instruction-unsupported", "instruction-unsupported"}, codes(diagnostics))
	require.Equal(t, []geom.Point{pt(1, 0), pt(2, 0)}, ends(all))
}

// Taken for an end of the line in one place and for a blank in another, it would
// change the motion.
func TestLinesThatEndWithACarriageReturnAloneAreNamedOnce(t *testing.T) {
	_, _, diagnostics := motions(strings.Repeat("G0 X1 ; to the side\rG0 X2\r", 30) + "M2\r")
	require.Equal(t, []string{"instruction-line-ends"}, codes(diagnostics))
	require.Equal(t, 1, diagnostics[0].Span.From().Line)
	require.Equal(t, 20, diagnostics[0].Span.From().Column)
}

func TestReadingAnotherKindOfFileStops(t *testing.T) {
	_, _, diagnostics := motions(strings.Repeat("\x89PNG\n", 10000))
	require.LessOrEqual(t, len(diagnostics), 60)
	require.Equal(t, "instruction-reading-stopped", string(diagnostics[len(diagnostics)-1].Code))
}

func TestCheckHoldsArcsAndRelativeMovesInInchesAgainstTheArea(t *testing.T) {
	p := machine.DeskToy() // 150 by 110 mm
	for text, past := range map[string]string{
		"G92 X140 Y50\nG3 X140 Y70 I0 J10 F100\nM2\n":     "", // bulges to x = 150
		"G92 X140.1 Y50\nG3 X140.1 Y70 I0 J10 F100\nM2\n": "past the right edge",
		"G92 X5 Y5\nG2 X5 Y25 J10 F100\nM2\n":             "past the left edge",
		"G92 X5 Y5\nG20 G91 G1 X5 F10\nX1\nM2\n":          "past the right edge",
		"G92 X5 Y5\nG0 Y-0.1\nM2\n":                       "below the lower edge",
		"G92 X5 Y5\nG1 Y50 F1\nG92 Y0\nG1 Y61\nM2\n":      "above the upper edge",
		"G92 X-1 Y5\nG0 X5\nM2\n":                         "past the left edge",
	} {
		_, diagnostics := trace("a.gcode", text, p)
		if past == "" {
			require.Equal(t, []string{"instruction-at-edge"}, codes(diagnostics), text)
			continue
		}
		i := slices.Index(codes(diagnostics), "instruction-outside-area")
		require.GreaterOrEqual(t, i, 0, text)
		require.Contains(t, diagnostics[i].Message, past)
	}
}

func FuzzReadNeverPanicsAndStaysFinite(f *testing.F) {
	for _, page := range diag.Pages() {
		if page.Subject == diag.Instructions {
			f.Add(page.Bad)
			f.Add(page.Good)
		}
	}
	f.Add("G20 G91 G2 X1 Y1 R1 F1\nG93 G3 X-.5 I-.25 F2\nM30")
	f.Fuzz(func(t *testing.T, text string) {
		at, first := geom.Point{}, true
		reading, diagnostics := gcode.Read("fuzz", text, gcode.Settings{}, func(m *gcode.Motion) {
			if !first {
				require.Equal(t, at, m.From)
			}
			first, at = false, m.To
			require.False(t, m.To.X-m.To.X != 0 || m.To.Y-m.To.Y != 0)
			if m.Arc != nil {
				box := m.Arc.Bounds(m.From, m.To)
				require.True(t, box.Contains(m.From) && box.Contains(m.To))
			}
		})
		if !first {
			require.Equal(t, at, reading.End)
			require.True(t, reading.Box.Contains(reading.End))
		}
		for _, d := range diagnostics {
			require.True(t, d.Span.Known() && 0 <= d.Span.Start && d.Span.Start <= d.Span.End && d.Span.End <= len(text))
		}
		trace("fuzz", text, machine.DeskToy())
	})
}
