package gcode_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// lineOf is the line of a text without an error, in machine mm, with what is
// told of it.
func lineOf(t *testing.T, text string, o gcode.TraceOptions) ([]geom.Point, gcode.Traced, []string) {
	t.Helper()
	p := machine.DeskToy()
	traced, list := gcode.Trace("t.gcode", text, p, o)
	require.False(t, list.Failed(), "%s: %v", text, list)
	var points []geom.Point
	for _, at := range traced.Plan.Sheets[0].Points {
		points = append(points, p.ToMachine(at))
	}
	return points, traced, codes(list)
}

func near(t *testing.T, want, got []geom.Point, text string) {
	t.Helper()
	require.Len(t, got, len(want), "%s: %v", text, got)
	for i := range want {
		require.InDelta(t, 0, want[i].Distance(got[i]), 1e-9, "%s: %v", text, got)
	}
}

// Each text means the same as the plain one, whatever it was made for. All of
// it is common practice, no source, but where a section of NISTIR 6556 stands
// beside it.
func TestFilesFromElsewhereMeanTheirLine(t *testing.T) {
	square := []geom.Point{pt(10, 10), pt(30, 10), pt(30, 30)}
	for text, told := range map[string]string{
		"G92 X10 Y10\nG1 X30 F600\nY30\nM2\n": "",
		// The end is missing.
		"G92 X10 Y10\nG1 X30 F600\nY30":    "instruction-end-missing",
		"%\nG92 X10 Y10\nG1 X30 F600\nY30": "instruction-percent-open",
		// F alone, and a motion word with F alone, for the lines after.
		"G92 X10 Y10\nF600\nG1\nX30\nY30\nM2\n":   "",
		"G92 X10 Y10\nG1 F600\nX30\nY30\nM2\n":    "",
		"G92 X10 Y10\nG1 X30\nY30\nM2\n":          "",
		"G92 X10 Y10\nG93 G1 X30 F2\nG94 Y30\nM2": "",
		// Preambles that say what holds anyway.
		"G17 G40 G90\nG94 G49 G91.1\nG80 G21 G54\nG98 G64 P0.02\nG92 X10 Y10\nG1 X30 F600\nY30\nM30\n": "",
		"G21 G80 G17\nG61 G49 G90 G0 G40\nG92 X10 Y10\nX30\nY30\nM2\n":                                 "",
		"G43 H1 Z5\nG92 X10 Y10\nG1 X30 F600\nY30\nM2\n":                                               "instruction-unheard",
		// Parts that are not there.
		"G92 X10 Y10\nT1 M6\nS1000 M3\nM8\nG1 X30 F600\nY30\nM5 M9\nM2\n":             "instruction-unheard",
		"M117 half done\nM201 X300 Y300\nM104 S90\nG92 X10 Y10\nG1 X30 F600\nY30\nM2": "instruction-unheard",
		"G92 X10 Y10\nG4 P99999999\nG1 X30 F600\nM1\nG4 S2\nY30\nM2\n":                "instruction-unheard",
		"G28\nG92 X10 Y10\nG0 X10 Y10\nG1 X30 F600\nY30\nG28 X0\nM2\n":                "instruction-unheard",
		"G92 X10 Y10\nG1 X30 F600\nG30\nG0 X30 Y10\nG28\nG1 X30 Y30\nM2\n":            "instruction-unheard",
		// Z and E.
		"G92 X10 Y10 Z0 E0\nG1 X30 Z-1 F600\nG92 E0\nG1 Z-1\nY30\nG53 G0 Z9\nM2\n": "instruction-unheard",
		"G92 X10 Y10\nG1 X30 E2.5 F600\nG1 E1.5\nY30 E4\nM2\n":                     "instruction-unheard",
		"G92 X10 Y10\nG1 X30 F600\nG2 X30 Y30 I0 J10 K0\nM2":                       "arc",
		// Comments, line ends, line numbers, the number of a program.
		"; caf\xe9 (\r(Gr\xf6\xdfe (3 mm) x)\rG92 X10 Y10\rG1 X30 F600 ; \xff\rY30\rM2\r":    "",
		"%\nO1000 (PART)\nN100000 G92 X10 Y10\nN100005 G1 X30 F600\n/N1000010 Y30\n%\n":      "",
		"G92 X10 Y10\n" + "(" + strings.Repeat("x", 300) + ")\nG1 X30 F600\r\nY30\r\nM2\r\n": "",
		// Section 3.5.18.
		"G92 X10 Y10\nG1 X30 F600\nG92 X0 Y0\nY20\nM2":                   "",
		"G92 X10 Y10\nG1 X30 F600\nG92 X0 Y0\nG92.2\nY30\nM2":            "",
		"G92 X10 Y10\nG1 X30 F600\nG92 Y1\nG92.1\nG92.3\nY30\nM2":        "",
		"G92 X10 Y10\nG0.99999999999 X30 F600\nY30\nM2":                  "", // section 3.3.2.1
		"G92 X10 Y10\nG20 G91\nG1 X.787401574803149606 F20\nG21 Y20\nM2": "", // the international inch, 25.4 mm (NIST SP 811, 2008, appendix B.6)
	} {
		points, traced, said := lineOf(t, text, gcode.TraceOptions{})
		if told == "arc" {
			require.Equal(t, pt(30, 30), points[len(points)-1])
			require.Equal(t, []string{}, append([]string{}, said...), text)
			continue
		}
		near(t, square, points, text)
		require.True(t, traced.Asserted, text)
		require.Zero(t, traced.TravelMM)
		require.Equal(t, told, strings.Join(said, " "), text)
	}
}

func TestWhatWouldLeadTheLineAnotherWayIsRefusedByName(t *testing.T) {
	for line, code := range map[string]string{
		"G18":                                "instruction-unsupported", // another plane, section 3.5.6 (the number from memory)
		"G41 D1":                             "instruction-unsupported", // radius compensation, section 3.5.10 (from memory)
		"G55":                                "instruction-unsupported", // other coordinates, section 3.5.13 (from memory)
		"G53 G0 X5":                          "instruction-unsupported",
		"G81 X5 Y5 Z-1 R2":                   "instruction-unsupported", // drilling, section 3.5.16 (from memory)
		"G38.2 Z-5":                          "instruction-unsupported",
		"G10 L2 P1 X5":                       "instruction-unsupported",
		"G1 X20 A90":                         "instruction-unsupported",
		"#1=5":                               "instruction-unsupported",
		"M60":                                "instruction-unsupported",
		"M98 P100":                           "instruction-word-unknown", // to other lines
		"G5 X20 Y5 I1 J1":                    "instruction-word-unknown",
		"G90.1":                              "instruction-word-unknown", // arc centres in absolute coordinates
		"G29":                                "instruction-word-unknown",
		"G1 X1E1":                            "instruction-word-unknown", // ten, or 1?
		"G1 X20 X30":                         "instruction-word-repeated",
		"(open":                              "instruction-comment",
		"(a (b)":                             "instruction-comment",
		"G28\nG91 G1 X5":                     "instruction-place-unknown",
		"G28 X0\nG1 Y20":                     "instruction-place-unknown",
		"G28\nG2 X30 Y20 I5 J5":              "instruction-place-unknown",
		"G2 X30 Y10 I8":                      "instruction-arc",
		"G1 X20 *71":                         "instruction-character",
		"G1 X20 \xe9":                        "instruction-character",
		"G1 Z0\nX20\nZ5\nG0 X30\nZ0\nG1 Y30": "instruction-travel",
	} {
		_, list := trace("t.gcode", "G92 X10 Y10\nF600\n"+line+"\nM2\n", machine.DeskToy())
		require.True(t, list.Failed(), line)
		i := 0
		for list[i].Severity != diag.Error {
			i++
		}
		require.Equal(t, code, string(list[i].Code), line)
		require.GreaterOrEqual(t, list[i].Span.From().Line, 3, line)
	}
}

// Two strokes of 20 mm, 10 mm apart, as machines of several kinds are told to
// make them: the way between is the travel; those to the first and from the last
// are neither drawn nor counted.
func TestTravelIsFoundByWhatTheFileDoesWithItsTool(t *testing.T) {
	for name, text := range map[string]string{
		"above and below 0":    "G0 Z5\nG0 X10 Y20\nG1 Z-1 F60\nG1 X30 F600\nG0 Z5\nG0 Y30\nG1 Z-1\nG1 X10\nG0 Z5\nM2",
		"0 is lifted":          "G0 Z0\nG0 X10 Y20\nG1 Z-1 F60\nG1 X30 F600\nG0 Z0\nG0 Y30\nG1 Z-1\nG1 X10\nG0 Z0\nM2",
		"both above 0":         "G0 Z9\nG0 X10 Y20\nG1 Z2 F60\nG1 X30 F600\nG0 Z9\nG0 Y30\nG1 Z2\nG1 X10\nG0 Z9\nM2",
		"relative heights":     "G91 G0 Z5\nG90 G0 X10 Y20\nG91 G1 Z-6 F60\nG90 G1 X30 F600\nG91 G0 Z6\nG90 G0 Y30\nG91 G1 Z-6\nG90 G1 X10\nM2",
		"no height at first":   "G0 X10 Y20\nG1 Z-1 F60\nG1 X30 F600\nG0 Z5\nG0 Y30\nG1 Z-1\nG1 X10\nG0 Z5\nM2",
		"several depths":       "G0 Z5\nG0 X10 Y20\nG1 Z-1 F60\nG1 X30 F600\nG1 Z-2\nG0 Z5\nG0 Y30\nG1 Z-1\nG1 Z-2\nG1 X10\nG0 Z5\nM2",
		"switched":             "M5\nG0 X10 Y20\nM3 S200\nG1 X30 F600\nM5\nG0 Y30\nM3\nG1 X10\nM5\nM2",
		"power":                "M3 S0\nG0 X10 Y20\nS200\nG1 X30 F600\nS0\nG0 Y30\nG1 X10 S200\nM5\nM2",
		"power with each way":  "M4\nG0 X10 Y20 S0\nG1 X30 F600 S90\nG0 Y30 S0\nG1 X10 S90\nM5\nM2",
		"a servo, rapid":       "M3 S90\nG0 X10 Y20\nM3 S30\nG1 X30 F600\nM3 S90\nG0 Y30\nM3 S30\nG1 X10\nM3 S90\nG0 X0 Y0\nM2",
		"a servo, fed":         "M3 S90\nG4 P1\nG1 X10 Y20 F600\nM3 S30\nG1 X30\nM3 S90\nG1 Y30\nM3 S30\nG1 X10\nM3 S90\nM5\nM2",
		"a servo, up unsaid":   "G1 X10 Y20 F600\nM3 S30\nG1 X30\nM3 S90\nG1 Y30\nM3 S30\nG1 X10\nM3 S90\nG1 X0\nM2",
		"a servo, off is down": "M3 S90\nG0 X10 Y20\nM5\nG1 X30 F600\nM3 S90\nG0 Y30\nM5\nG1 X10\nM3 S90\nG0 X0\nM2",
		"two powers of a beam": "M4 S100\nG0 X10 Y20\nG1 X30 F600\nG0 Y30\nS200\nG1 X10\nM5\nG0 X0\nM2",
		"out in rapid motions": "M4 S100\nG0 X10 Y20\nG1 X30 F600\nG0 Y30\nG1 X10\nM5\nG0 X0\nM2",
		"material":             "G28\nG92 E0\nG1 Z0.3 F900\nG0 X10 Y20\nG1 X30 E2 F600\nG1 E1 F900\nG0 Y30\nG1 X10 E3 F600\nM2",
		"inches":               "G20\nG0 Z0.2\nG0 X0.393700787 Y0.787401575\nG1 Z-.04 F6\nG1 X1.181102362 F60\nG0 Z0.2\nG0 Y1.181102362\nG1 Z-.04\nG1 X0.393700787\nG0 Z0.2\nM2",
	} {
		start := machine.DeskToy().ToPage(pt(10, 10))
		_, list := gcode.Trace("t.gcode", text, machine.DeskToy(), gcode.TraceOptions{Start: start})
		require.True(t, list.Failed(), name)
		points, traced, said := lineOf(t, text, gcode.TraceOptions{Start: start, DrawTravel: true})
		require.InDelta(t, 10, traced.TravelMM, 1e-6, name)
		require.Contains(t, said, "instruction-travel-drawn", name)
		require.NotContains(t, said, "instruction-start-unsaid", name)
		require.False(t, traced.Asserted, name)
		sheet := traced.Plan.Sheets[0]
		require.True(t, sheet.Begun, name)
		for i, want := range []geom.Point{pt(10, 20), pt(30, 20), pt(30, 30), pt(10, 30)} {
			require.InDelta(t, 0, want.Distance(points[i]), 1e-6, "%s, point %d", name, i)
		}
		require.Len(t, points, 4, name)
		for i, role := range []plan.Role{plan.Drawn, plan.Link, plan.Drawn} {
			require.Equal(t, role, traced.Plan.Places[sheet.Place[i]].Role, "%s, piece %d", name, i)
		}
	}
}

func TestAFileThatStaysDownHasNoTravel(t *testing.T) {
	for _, text := range []string{
		"G0 Z-1\nG1 X20 Y20 F600\nX30\nM2",
		"M3 S1000\nG1 X20 Y20 F600\nX30\nM5\nM2",
		"G0 X20 Y20\nG1 X30 F600\nG0 X40\nM2", // a rapid motion alone draws, as the stylus is down
	} {
		_, traced, _ := lineOf(t, text, gcode.TraceOptions{})
		require.Zero(t, traced.TravelMM, text)
	}
}

// Ways that are not drawn are not held against the area either, and a file that
// begins relative to the stylus still says nothing of where that is.
func TestOnlyWhatIsDrawnMustBeInTheArea(t *testing.T) {
	points, traced, said := lineOf(t, "G92 X5 Y5\nG0 Z5\nG0 X-80 Y0\nG0 X10 Y20\nG1 Z-1 F60\nG1 X30 F600\nG0 Z5\nM0\nG0 X300\nM2", gcode.TraceOptions{})
	near(t, []geom.Point{pt(10, 20), pt(30, 20)}, points, "")
	require.Zero(t, traced.TravelMM)
	require.Equal(t, []string{"instruction-unheard"}, said)
	require.Equal(t, 1, traced.Plan.Sheets[0].Pauses[0].Vertex)

	for text, told := range map[string]bool{
		"G91\nG0 Z5\nG0 X10 Y20\nG1 Z-5 F60\nG1 X30\nM2":                        true,
		"G0 Z5\nG0 X10\nG1 Z-5 F60\nG1 X30\nM2":                                 true, // Y is not said
		"G0 Z5\nG0 X10 Y20\nG91 G0 X5 Y5\nG1 Z-5 F60\nG90 G1 X30\nM2":           false,
		"G0 Z5\nG91 G0 X10 Y20\nG90\nG92 X0 Y0\nG0 X10 Y10\nG1 Z-5\nG1 X30\nM2": true, // an origin where the stylus came to
		"G0 Z5\nG0 X10 Y20\nG92 X0 Y0\nG0 X10 Y10\nG1 Z-5\nG1 X30\nM2":          false,
	} {
		_, _, said := lineOf(t, text, gcode.TraceOptions{})
		require.Equal(t, told, slices.Contains(said, "instruction-start-unsaid"), text)
	}
}

// Cut off is a file that ends in its line; one that puts its tool away is whole.
func TestAFileThatPutsItsToolAwayIsComplete(t *testing.T) {
	for text, told := range map[string]bool{
		"G92 X10 Y10\nG1 X30 Z-1\nG0 Z5":                  false,
		"G92 X10 Y10\nM3\nG1 X30\nM5":                     false,
		"G92 X10 Y10\nM3 S200\nG1 X30\nM3 S0":             false,
		"G92 X10 Y10\nG1 X30\nG28 X0\nM84":                false,
		"G92 X10 Y10\nM3\nG1 X30\nM5\nG0 X10":             false,
		"%\nG92 X10 Y10\nM3\nG1 X30\nM5":                  false,
		"G92 X10 Y10\nG1 X30 Z5\nG1 Z-1":                  true,
		"G92 X10 Y10\nM3\nG1 X30\nM5\nG1 X40\nM3\nG1 X20": true,
		"G92 X10 Y10\nG1 X30\nM106 S5":                    true,
	} {
		_, _, said := lineOf(t, text, gcode.TraceOptions{DrawTravel: true})
		require.Equal(t, told, slices.Contains(said, "instruction-end-missing"), text)
	}
}

func TestTheWayOutOfTravelNamesTheFile(t *testing.T) {
	for name, typed := range map[string]string{"a/b.nc": "a/b.nc", "my part.nc": `"my part.nc"`, "<stdin>": "-"} {
		_, list := trace(name, "G92 X10 Y10\nG1 Z0\nX15\nZ5\nG0 X20\nZ0\nG1 Y30\nM2\n", machine.DeskToy())
		i := slices.IndexFunc(list, func(d diag.Diagnostic) bool { return d.Code == "instruction-travel" })
		require.GreaterOrEqual(t, i, 0)
		require.Contains(t, list[i].Hint, "`wend build "+typed+" --draw-travel --mark-added`")
	}
}

func TestWhatWasLeftOutIsToldOnceWithItsCount(t *testing.T) {
	text := "G0 Z5\n" + strings.Repeat("G1 X20 Y20 Z5 E1 F600\nM106 S255\nG1 X30 E2\nM107\n", 40)
	_, list := trace("t.gcode", text, machine.DeskToy())
	require.False(t, list.Failed(), "%v", list)
	require.Equal(t, []string{"instruction-unheard", "instruction-start-unsaid", "instruction-end-missing"}, codes(list))
	require.Equal(t, "left out, since this machine has no part for it: Z (41 times), E (80 times), M106, M107", list[0].Message)
	require.Equal(t, "the stylus never lifts; `wend build` shows what is drawn", list[0].Hint)
	require.Contains(t, list[1].Message, "(0.0, 0.0) is taken")
}

func TestPausesWaitWhereTheyStand(t *testing.T) {
	_, traced, _ := lineOf(t, "M0\nG92 X10 Y10\nG1 X30 F600\nM0 (MSG, turn the page)\nY30 M0\nM2", gcode.TraceOptions{})
	require.Equal(t, []int{0, 1, 2}, []int{
		traced.Plan.Sheets[0].Pauses[0].Vertex, traced.Plan.Sheets[0].Pauses[1].Vertex, traced.Plan.Sheets[0].Pauses[2].Vertex,
	})
	require.Equal(t, "turn the page", traced.Plan.Sheets[0].Pauses[1].Message)
}

// A file of ours in which slack is made up for means the line that it was made
// from, and no other machine can say which.
func TestACompensatedFileMeansTheLineOfItsStylus(t *testing.T) {
	p := machine.DeskToy()
	points := append([]geom.Point{{}, {X: 110, Y: 50}}, circle(geom.Point{X: 70, Y: 50}, 40, 400)[1:]...)
	whole, sheet := sheetOf(points...)
	for _, squareness := range []float64{90, 88.5} {
		skewed := *p
		skewed.Frame.SquarenessDeg = squareness
		_, text := written(t, &skewed, whole, sheet, lower.Options{Compensate: true})
		traced, list := trace("t.gcode", text, &skewed)
		require.Empty(t, codes(list))
		require.True(t, traced.Asserted)
		got := traced.Plan.Sheets[0].Points
		require.InDelta(t, 0, got[0].Distance(points[0]), 0.02)
		for i, at := range got {
			require.Less(t, distanceTo(at, points), 0.04, "point %d of %d", i, len(got))
		}
		for _, at := range points {
			require.Less(t, distanceTo(at, got), 0.04)
		}

		other := skewed
		other.Name = "bench toy"
		_, list = trace("t.gcode", text, &other)
		require.Equal(t, []string{"instruction-other-machine"}, codes(list))
		require.Contains(t, list[0].Message, "made for the machine `desk toy`, not for `bench toy`")
	}
}

// distanceTo is how far a point is from a polyline.
func distanceTo(at geom.Point, line []geom.Point) float64 {
	least := at.Distance(line[0])
	for i := 1; i < len(line); i++ {
		least = min(least, geom.SegmentDistance(line[i-1], line[i], at))
	}
	return least
}

func TestOnlyAFileThatNamesAProgramIsItsOutput(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("testdata", "plain.gcode"))
	require.NoError(t, err)
	require.True(t, gcode.Names(string(text), "Grüße (neu).wend"))
	for _, name := range []string{"Grusse -neu-", "neu.wend", "", "Grüße (neu).wend, sheet 1"} {
		require.False(t, gcode.Names(string(text), name) && name != "Grüße (neu).wend, sheet 1", name)
	}
	require.False(t, gcode.Names("(a note)\n"+string(text), "Grüße (neu).wend"))
}

func FuzzTraceStaysInReach(f *testing.F) {
	for _, page := range diag.Pages() {
		if page.Subject == diag.Instructions {
			f.Add(page.Bad)
			f.Add(page.Good)
		}
	}
	f.Add("M3 S0\nG28 G91 Z0\rG0 X5 Y5 Z5 E1\nM117 hi\nG2 X5 Y9 J2 K1\nM98")
	f.Add("(wend: a, sheet 1 of 1, seed 1)\n(machine: desk toy, built in, for the simulated machine only)\n(5 mm of line, about 1 s)\n(before the first move the stylus must stand at x 1.00 y 2.00 mm of the page)\n(slack compensated: each)\nG92 X5 Y5\nG1 X5.5 F9\nX4\nM2\n")
	p := machine.DeskToy()
	area := p.AreaBox().Grow(1e-6)
	f.Fuzz(func(t *testing.T, text string) {
		for _, draw := range []bool{false, true} {
			traced, list := gcode.Trace("fuzz", text, p, gcode.TraceOptions{DrawTravel: draw})
			require.Equal(t, list.Failed(), traced.Plan == nil, fmt.Sprint(list))
			for _, d := range list {
				require.True(t, d.Span.Known() && 0 <= d.Span.Start && d.Span.Start <= d.Span.End && d.Span.End <= len(text), "%v", d)
			}
			if traced.Plan == nil {
				continue
			}
			sheet := traced.Plan.Sheets[0]
			require.Greater(t, len(sheet.Points), 1)
			require.Len(t, sheet.Place, len(sheet.Points)-1)
			for _, at := range sheet.Points {
				require.True(t, area.Contains(p.ToMachine(at)), "%v", at)
			}
			for _, place := range sheet.Place {
				require.Less(t, int(place), len(traced.Plan.Places))
			}
			for _, pause := range sheet.Pauses {
				require.Less(t, pause.Vertex, len(sheet.Points))
			}
		}
	})
}
