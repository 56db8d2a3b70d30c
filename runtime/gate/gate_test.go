package gate_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/gate"
	"wend/runtime/machine"
)

// desk is the gate of an area of 150 by 110 mm with 100 steps a mm, the motors
// at a place of it.
func desk(t testing.TB, x, y float64) *gate.Gate {
	t.Helper()
	g, err := gate.New(gate.LimitsOf(machine.DeskToy()))
	require.NoError(t, err)
	require.NoError(t, g.Declare(x, y))
	return g
}

// read passes a text through and gives the lines made, and the first refusal.
func read(g *gate.Gate, text string) (lines []string, err error) {
	for _, line := range strings.Split(text, "\n") {
		items, err := g.Read(line)
		if err != nil {
			return lines, err
		}
		for _, item := range items {
			switch item.Kind {
			case gate.Move, gate.Dwell:
				lines = append(lines, item.Line.String())
			case gate.Pause:
				lines = append(lines, "pause")
			case gate.End:
				lines = append(lines, "end")
			}
		}
	}
	return lines, nil
}

func TestWhatPassesIsWrittenAnewInAbsoluteMillimetres(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"absolute", "G21 G90 G1 X11 Y12.05 F600", "G1X11Y12.05F600"},
		{"relative", "G91 G1 X1 Y-1 F600", "G1X11Y9F600"},
		{"inches", "G20 G1 X0.5 Y0.5 F100", "G1X12.7Y12.7F2540"},
		{"relative inches", "G91 G20 G1 X.1 F100", "G1X12.54Y10F2540"},
		{"rapid goes at the machine's speed", "G0 X20", "G1X20Y10F3600"},
		{"a diagonal may be faster than an axis", "G0 X17 Y17", "G1X17Y17F5091"},
		{"no faster than the machine", "G1 X20 F99999", "G1X20Y10F3600"},
		{"the other axis stays", "G1 X20 F60.9\nY20", "G1X10.25Y10F60 … G1X20Y10F60 G1X20Y10.25F60 … G1X20Y20F60"},
		{"long ways come in pieces of a quarter of a second", "G1 X40 F3600", "G1X25Y10F3600 G1X40Y10F3600"},
		{"comments and case", "(x (msg g1 x12) f600 (done)", "refused"},
		{"comments to the end of the line", "; G0 X900\nG1 X12 (so; so) F600;(G0 X13 %!?~\x18\r\n;", "G1X12Y10F600"},
		{"comments between words", "(one) g1 (two!?~) x12 (three) f600", "G1X12Y10F600"},
		{"inverse time", "G93 G1 X12 F600", "G1X12Y10F1200"},
		{"inverse time, slow", "G93 G1 X11 F6", "G1X10.03Y10F6 … G1X11Y10F6"},
		{"no motion, no line", "G1 X10 Y10 F600", ""},
		{"less than a step is kept in mind", "G91 G1 X0.004 F600\nX0.004\nX0.004", "G1X10.01Y10F600"},
		{"wait", "G4 P0.5", "G4P0.5"},
		{"pause and end", "M0\nM2\nthis is not read", "pause end"},
		{"framed by percents", "%\nG1 X11 F600\n%\nthis is not read", "G1X11Y10F600 end"},
		{"a statement of position that is true within a step", "G92 X10.01 Y9.99\nG1 X11 F600", "G1X11Y10F600"},
		{"line number", "N00012 G1 X11 F600", "G1X11Y10F600"},
		{"half circle", "G3 X10 Y20 J5 F3600\nM30", "… end"},
	} {
		t.Run(c.name, func(t *testing.T) {
			lines, err := read(desk(t, 10, 10), c.text)
			if c.want == "refused" {
				require.Error(t, err)
				return
			}
			require.NoError(t, err)
			got := strings.Join(lines, " ")
			pattern := "^" + strings.ReplaceAll(regexp.QuoteMeta(c.want), "…", ".*") + "$"
			require.Regexp(t, pattern, got)
		})
	}
}

func TestWhatIsRefusedIsNamed(t *testing.T) {
	for _, c := range []struct{ text, word string }{
		{"G1 X150.1 F600", "X and Y"},
		{"G1 X-0.1 F600", "X and Y"},
		{"G1 Y110.001 F600", "X and Y"},
		{"G0 X1e3", "E3"},
		{"G91 G0 X-11", "X and Y"},
		{"G20 G0 X6", "X and Y"},
		{"G2 X30 I10 F600", ""}, // its top is at 20
		{"G3 X10 Y10 I-5 J0 F600", ""},
		{"G3 X10 Y10 I-11 J0 F600", "G3"},
		{"G3 X150 Y10 I70 J0 F600", "G3"}, // both ends inside, the way is not
		{"G2 X12 R0.5 F600", "R"},
		{"G2 X12 F600", "G2"},
		{"G2 X10 Y10 R5 F600", "R"},
		{"G2 X12 R5 I1 F600", "R"},
		{"G2 X20.1 Y10 I5 J0.1 F600", "G2"},
		{"G1 X20", "F"},
		{"X20 F600", "X or Y"},
		{"G93 G1 X12", "G93"},
		{"G1 X12 I1 F600", "I, J or R"},
		{"G1 F600", "G1"},
		{"I5", "I, J or R"},
		{"G92 X11", "G92"},
		{"G92", "G92"},
		{"G92 G1 X10", "G92"},
		{"G92 X10 I2", "I, J or R"},
		{"G92.1", "G92.1"},
		{"G4", "G4"},
		{"G4 P-1", "G4"},
		{"G4 P99999", "G4"},
		{"P1 G1 X11 F600", "P"},
		{"G1 G0 X12", "G0"},
		{"G90 G91", "G91"},
		{"M0 M2", "M2"},
		{"X1 X2", "X2"},
		{"F-1", "F-1"},
		{"N1.5 G0 X11", "N1.5"},
		{"N-1", "N-1"},
		{"N000009", "N000009"},
		{"G0 X11 (so ; home", "("},
		{"G0 X;11", "X"},
		{"% ; begins", "%"},
		{"/ G0 X11", `"/"`},
		{"$H", `"$"`},
		{"$J=G91 X1000 F600", `"$"`},
		{"!", `"!"`},
		{"~", `"~"`},
		{"?", `"?"`},
		{"\x18", `"\x18"`},
		{"\x85", `"\x85"`},
		{"G1 X11 F600\r\n\x18", `"\x18"`},
		{"G1 X11 F600\rY12", "line"},
		{"G1 X11 F600 (a\rb)", "line"},
		{"G1 X11 F600 ; a\rG1 X12", "line"},
		{"G1 X11 F600\r\r", "line"},
		{"#1=5", `"#"`},
		{"G0 X[1+2]", "X"},
		{"G0 X", "X"},
		{"G0 X--1", "X"},
		{"G0 X1.2.3", `"."`},
		{"(open", "("},
		{"(nested (twice))", "("},
		{"G1 X11 F600\n%", "%"},
		{"% G0", "%"},
		{strings.Repeat(" ", 300), "line"},
	} {
		t.Run(c.text, func(t *testing.T) {
			g := desk(t, 10, 10)
			before := *g
			lines, err := read(g, c.text)
			if c.word == "" {
				require.NoError(t, err)
				require.NotEmpty(t, lines)
				return
			}
			var refusal *gate.Refusal
			require.ErrorAs(t, err, &refusal)
			require.Equal(t, c.word, refusal.Word, refusal.Reason)
			if !strings.Contains(c.text, "\n") {
				require.Equal(t, before, *g, "a refused line leaves no trace")
			}
		})
	}
}

// The words of NISTIR 6556 (tables 5 and 7; section 3.3.2 for the letters) that
// a machine of two axes with a stylus has no use for: each is refused by name,
// whatever stands beside it.
func TestTheOtherWordsOfTheStandardAreRefusedByName(t *testing.T) {
	words := strings.Fields(`G10 G18 G19 G28 G30 G38.2 G40 G41 G42 G43 G49 G53 G54 G55 G56 G57 G58 G59 G59.1 G59.2 G59.3
		G61 G61.1 G64 G80 G81 G82 G83 G84 G85 G86 G87 G88 G89 G92.1 G92.2 G92.3 G98 G99
		M1 M3 M4 M5 M6 M7 M8 M9 M48 M49 M60 A1 B1 C1 D1 H1 K1 L1 Q1 S1 T1 Z1`)
	require.Len(t, words, 61)
	for _, word := range words {
		for _, text := range []string{word, "G1 X20 Y20 F600 " + word, word + " G0 X11"} {
			_, err := read(desk(t, 10, 10), text)
			var refusal *gate.Refusal
			require.ErrorAs(t, err, &refusal, text)
			require.Equal(t, word, refusal.Word, text)
		}
	}
}

// The worked examples of NISTIR 6556 that use accepted words alone pass, and
// end where the standard says; sections beside them.
func TestTheExamplesOfTheStandardPass(t *testing.T) {
	for _, c := range []struct {
		section, text  string
		x, y, toX, toY float64
	}{
		{"3.3", "g0x +0. 12 34y 7", 0, 0, 0.123, 7},
		{"3.5.3.1", "F100\nG17 G2 x10 y15 r20", 0, 0, 10, 15},
		{"3.5.3.2", "F100\nG0 X7 Y7\nG17 G2 x10 y16 i3 j4", 0, 0, 10, 16},
		{"3.5.3.2, relative", "F100\nG0 X7 Y7\nG91 G17 G2 x3 y9 i3 j4", 0, 0, 10, 16},
		{"3.5.19, half a minute", "G93 G1 X30 F2.0", 10, 0, 30, 0},
		{"3.5.4", "G4 P0.5", 3, 4, 3, 4},
		{"3.5.18, the offset that is none", "G92 x4\nG1 x5 F100", 4, 0, 5, 0},
	} {
		t.Run(c.section, func(t *testing.T) {
			g := desk(t, c.x, c.y)
			_, err := read(g, c.text)
			require.NoError(t, err)
			x, y := g.At()
			// What is written is the whole step, of 0.01 mm.
			require.InDelta(t, c.toX, x, 0.005)
			require.InDelta(t, c.toY, y, 0.005)
		})
	}
	// "G92 x7" at X 4 would move every place that follows by 3 mm.
	_, err := read(desk(t, 4, 0), "G92 x7")
	require.ErrorContains(t, err, "G92")
}

// Section 3.3.6: the order of words on a line has no meaning.
func TestTheOrderOfWordsHasNoMeaning(t *testing.T) {
	words := []string{"G1", "X5", "Y20", "F300", "G91"}
	count := 0
	var permute func(k int)
	permute = func(k int) {
		if k == len(words) {
			count++
			g := desk(t, 1, 1)
			_, err := g.Read(strings.Join(words, " "))
			require.NoError(t, err)
			x, y := g.At()
			require.Equal(t, [2]float64{6, 21}, [2]float64{x, y})
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

func TestAnArcIsCutWithinItsTolerance(t *testing.T) {
	g := desk(t, 40, 50)
	lines, err := read(g, "G3 X40 Y50 I20 J0 F3600")
	require.NoError(t, err)
	require.Greater(t, len(lines), 50)
	last := [2]float64{40, 50}
	for _, line := range lines {
		to := placeOf(t, line)
		middle := [2]float64{(to[0] + last[0]) / 2, (to[1] + last[1]) / 2}
		// Each end is rounded to a whole step of 0.01 mm.
		require.InDelta(t, 20, math.Hypot(middle[0]-60, middle[1]-50), 0.005+0.005*math.Sqrt2)
		last = to
	}
	require.Equal(t, [2]float64{40, 50}, last)
}

func TestOnTheEdgeIsInside(t *testing.T) {
	// The edges fall between steps: what is written is the last step inside.
	limits := gate.LimitsOf(machine.DeskToy())
	limits.Left, limits.Right, limits.Bottom, limits.Top = 0.004, 150.006, 0.0049, 110.005
	g, err := gate.New(limits)
	require.NoError(t, err)
	require.NoError(t, g.Declare(10, 10))
	lines, err := read(g, "G0 X0.004\nX150.006\nY110.005\nY0.0049\nX10")
	require.NoError(t, err)
	for _, line := range lines {
		to := placeOf(t, line)
		x, y := math.Round(to[0]*100)/100, math.Round(to[1]*100)/100
		require.True(t, x >= 0.004 && x <= 150.006 && y >= 0.0049 && y <= 110.005, line)
	}
	_, err = g.Read("G0 X150.0061")
	require.Error(t, err)
}

func TestWhileThePositionIsLostOnlyNudgesPass(t *testing.T) {
	g, err := gate.New(gate.LimitsOf(machine.DeskToy()))
	require.NoError(t, err)
	require.True(t, g.Lost())
	for _, text := range []string{"G0 X1", "G1 X1 F60", "G91 G1 X0.1 F60", "G2 X1 R1 F60", "G92 X0 Y0", "G4 P1"} {
		_, err := read(g, text)
		require.Error(t, err, text)
	}
	_, err = g.To(1, 1, 5)
	require.Error(t, err)

	_, err = g.Nudge(0.4, 0.4)
	require.Error(t, err, "too long")
	_, err = g.Nudge(0, 0)
	require.Error(t, err)
	_, err = g.Nudge(math.NaN(), 0)
	require.Error(t, err)
	item, err := g.Nudge(-0.5, 0)
	require.NoError(t, err)
	require.Equal(t, "G1X-0.5Y0F300", item.Line.String())
	_, err = g.Nudge(0.5, 0)
	require.ErrorContains(t, err, "on its way")
	for range 59 {
		g.Arrived()
		_, err = g.Nudge(0.5, 0)
		require.NoError(t, err)
	}
	g.Arrived()
	_, err = g.Nudge(0.5, 0)
	require.ErrorContains(t, err, "30 mm")
	g.AskedAgain()
	_, err = g.Nudge(0.5, 0)
	require.NoError(t, err)

	require.Error(t, g.Declare(151, 0))
	require.True(t, g.Lost())
	require.NoError(t, g.Declare(20, 20))
	require.False(t, g.Lost())
	_, err = g.Nudge(0.1, 0)
	require.Error(t, err)
	lines, err := read(g, "G0 X21")
	require.NoError(t, err)
	require.Len(t, lines, 1)
}

func TestAProgramGoesOnFromWhereItWasStopped(t *testing.T) {
	g := desk(t, 10, 10)
	_, err := read(g, "G91 G20 G1 X1 F100")
	require.NoError(t, err)
	// The motors stand before the end of that line; what follows is relative to
	// where the program means to be.
	require.NoError(t, g.Rejoin(20, 10))
	_, err = read(g, "Y1")
	require.NoError(t, err)
	x, y := g.At()
	require.Equal(t, [2]float64{35.4, 35.4}, [2]float64{x, y})
}

func TestWithAnyScaleABoardLandsOnTheStepThatIsMeant(t *testing.T) {
	for _, stepsPerMM := range []float64{5, 37.7, 100.53, 333.333, 1279.1, 4000} {
		limits := gate.LimitsOf(machine.DeskToy())
		limits.StepsPerMM = [2]float64{stepsPerMM, stepsPerMM}
		g, err := gate.New(limits)
		require.NoError(t, err)
		base := 7.0
		require.NoError(t, g.Declare(base/stepsPerMM, 1))
		// What the board takes for its place, from the text of G92.
		asserted := placeOf(t, g.Place().String())
		for _, step := range []float64{0, 1, 8, 9, 1000, math.Floor(149 * stepsPerMM)} {
			if step > 149*stepsPerMM {
				continue
			}
			lines, err := read(g, "G0 X"+strconv.FormatFloat(step/stepsPerMM, 'f', 9, 64))
			require.NoError(t, err)
			to := placeOf(t, lines[len(lines)-1])
			off := (to[0]-asserted[0])*stepsPerMM + base - step
			require.Less(t, math.Abs(off), 0.25, "%v steps a mm, step %v", stepsPerMM, step)
		}
	}
}

func TestQuestionsAndSettingsAreAClosedList(t *testing.T) {
	require.Equal(t, byte('?'), gate.Status.Value())
	require.Equal(t, byte('!'), gate.Hold.Value())
	require.Equal(t, byte('~'), gate.Resume.Value())
	require.Equal(t, byte(0x18), gate.Reset.Value())
	require.Equal(t, byte('?'), gate.Byte(200).Value())
	require.Equal(t, "$$", gate.Question(99).Line().String())
	for n := range 200 {
		line, err := gate.Setting(n, 12.3456)
		if err == nil {
			require.Equal(t, fmt.Sprintf("$%d=12.346", n), line.String())
		}
	}
	for _, bad := range []struct {
		n int
		v float64
	}{{0, 1}, {1, 255}, {102, 1}, {100, 0}, {100, -1}, {100, math.NaN()}, {110, math.Inf(1)}, {23, 1}, {27, 1}} {
		_, err := gate.Setting(bad.n, bad.v)
		require.Error(t, err, "$%d=%v", bad.n, bad.v)
	}
	line, err := gate.ClearStartUp(1)
	require.NoError(t, err)
	require.Equal(t, "$N1=", line.String())
	_, err = gate.ClearStartUp(2)
	require.Error(t, err)
}

func TestLimitsThatMakeNoSenseAreRefused(t *testing.T) {
	sound := gate.LimitsOf(machine.DeskToy())
	for name, spoil := range map[string]func(*gate.Limits){
		"no width":         func(l *gate.Limits) { l.Right = l.Left },
		"no speed":         func(l *gate.Limits) { l.SpeedMMS[1] = 0 },
		"no scale":         func(l *gate.Limits) { l.StepsPerMM[0] = math.NaN() },
		"less than a step": func(l *gate.Limits) { l.Left, l.Right = 0.001, 0.009 },
		"short lines":      func(l *gate.Limits) { l.LineBytes = 20 },
	} {
		limits := sound
		spoil(&limits)
		_, err := gate.New(limits)
		require.Error(t, err, name)
	}
}

// placeOf reads a line as plainly as can be.
func placeOf(t testing.TB, line string) [2]float64 {
	t.Helper()
	m := regexp.MustCompile(`^G(?:1|92)X(-?\d+(?:\.\d+)?)Y(-?\d+(?:\.\d+)?)(?:F\d+)?$`).FindStringSubmatch(line)
	require.NotNil(t, m, line)
	x, _ := strconv.ParseFloat(m[1], 64)
	y, _ := strconv.ParseFloat(m[2], 64)
	return [2]float64{x, y}
}

// On a machine of coarse steps a nudge is not longer than what was asked for,
// and what is counted is what was sent.
func TestNudgesOfCoarseStepsAreCountedAsTheyAre(t *testing.T) {
	p := machine.DeskToy()
	p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y = 6.25, 5
	g, err := gate.New(gate.LimitsOf(p))
	require.NoError(t, err)
	_, err = g.Nudge(0.1, 0)
	require.ErrorContains(t, err, "shorter than a step")
	item, err := g.Nudge(0, -0.5)
	require.NoError(t, err)
	require.Equal(t, "G1X0Y-0.4F300", item.Line.String())
	sent := 0.4
	for {
		g.Arrived()
		item, err := g.Nudge(0.5, 0)
		if err != nil {
			require.ErrorContains(t, err, "30 mm")
			break
		}
		sent += item.Length
	}
	require.InDelta(t, 30, sent, 0.5)
	require.LessOrEqual(t, sent, 30.0)
}
