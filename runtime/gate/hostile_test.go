package gate_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/gate"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// Run with -hostile 100000 for the whole campaign.
var hostileStreams = flag.Int("hostile", 1000, "how many hostile streams are sent to the simulated machine")

// hostile makes streams that mix sound lines with all that could lead out of
// the area: in all modes and units, with arcs, wrong statements of position,
// commands of boards, bytes that act at once, and noise.
type hostile struct {
	*rand.Rand
	out strings.Builder
}

func (h *hostile) pick(choices ...string) string { return choices[h.IntN(len(choices))] }

func (h *hostile) number(most float64) string {
	switch h.IntN(12) {
	case 0:
		return h.pick("0", "-0", ".", "-", "150", "110", "150.004", "150.006", "-0.004", "-0.006", "1e3", "99999999", "0.0000001", "5.9", "3.94", "- 7", "1 1 0")
	case 1:
		return fmt.Sprintf("%.4f", (h.Float64()*2-1)*most*10)
	case 2, 3, 4:
		return fmt.Sprintf("%.3f", (h.Float64()*2-1)*most)
	}
	return fmt.Sprintf("%.3f", h.Float64()*most)
}

func (h *hostile) stream() []string {
	var lines []string
	for range 3 + h.IntN(12) {
		lines = append(lines, h.line())
	}
	return lines
}

func (h *hostile) line() string {
	h.out.Reset()
	word := func(letter string, most float64) {
		h.out.WriteString(letter + h.number(most) + h.pick("", " ", "", "\t"))
	}
	if h.IntN(3) == 0 {
		h.out.WriteString(h.pick("G20", "G21", "G90", "G91", "G91", "G93", "G94", "G17", "G90G20", "G91 G21", "G94 G90 G21"))
	}
	switch h.IntN(24) {
	case 0:
		return h.pick("$H", "$J=G91X500F3000", "$X", "$100=250", "$3=3", "$C", "$N0=G1X500F3000", "!", "~", "?", "\x18", "\x85", "\x90", "G28", "G10 L2 P1 X5", "G53 G0 X500", "G92.1", "G38.2 X500 F100", "M3 S1000", "G1 X500 F3000 (", "%", "", "(G1 X500)", "; G0 X900", "\u00e9", "G0\x00X5")
	case 1:
		h.out.WriteString("G92")
		word("X", 150)
	case 2:
		h.out.WriteString("G92.3")
		word("Y", 50)
	case 3:
		h.out.WriteString("G4P" + h.pick("0", "0.1", "1", "-1"))
	case 4:
		return h.pick("M0", "M2", "M30", "M00", "M1") + h.pick("", "X500", " F10")
	case 5, 6, 7, 8:
		h.out.WriteString(h.pick("G2", "G3", "g2", "G03"))
		word("X", 150)
		word("Y", 110)
		if h.IntN(3) == 0 {
			word("R", 100)
		} else {
			word("I", 60)
			word("J", 60)
		}
		if h.IntN(3) > 0 {
			word("F", 60_000)
		}
	case 9:
		// A whole circle is an arc whose radii are sure to agree.
		h.out.WriteString(h.pick("G2", "G3"))
		h.out.WriteString("G91X0")
		word("I", 40)
		word("F", 60_000)
	case 10:
		b := make([]byte, h.IntN(30))
		for i := range b {
			b[i] = byte(h.IntN(256))
		}
		return strings.ReplaceAll(string(b), "\n", " ")
	default:
		h.out.WriteString(h.pick("G0", "G1", "G1", "", "G01", "g 1"))
		if h.IntN(5) > 0 {
			word("X", 150)
		}
		if h.IntN(5) > 0 {
			word("Y", 110)
		}
		if h.IntN(3) > 0 {
			word("F", 60_000)
		}
	}
	if h.IntN(40) == 0 {
		h.out.WriteString(h.pick("X500", "Z-5", "G0", "A90", "(ok) Y-500", "N5", "R3", "!", "\x18", "$H", "\rX500", "(\rX500"))
	}
	if h.IntN(12) == 0 {
		h.out.WriteString(h.pick(";", " ; so", ";X500", "; G0 Y-500 !", ";(", "; (open", ";) \x18~", ";%", "; é $H", "; a\rX500"))
	}
	return h.out.String()
}

// wall runs lines on a machine whose walls are the very edges of the area,
// without slack, and counts the contacts. The board's answers are waited for,
// not looked at.
func wall(t testing.TB, start geom.Point, lines []string) int {
	t.Helper()
	m := simulator.New(simulator.Setup{
		Board: simulator.Board{
			RateMMPerMin: [2]float64{60_000, 60_000}, AccelerationMMS2: [2]float64{5000, 5000}, StepRateHz: 1e6, BootS: 0.01,
		},
		Mechanics: simulator.Mechanics{WidthMM: 150, HeightMM: 110, StartMM: start},
	})
	m.Await(1)
	m.Transmit()
	for _, line := range lines {
		if m.Now() > 60 {
			break // some line asks for a crawl: enough of it was seen
		}
		m.Receive([]byte(line + "\n"))
		for waited := 0; waited < 12; waited++ {
			if m.Await(0.25) && strings.Contains(string(m.Transmit()), "\n") {
				break
			}
			if state := m.Look().State; state == "Hold:0" {
				m.Receive([]byte("~"))
			}
		}
	}
	for range 40 {
		if m.Look().Moves == 0 {
			break
		}
		m.Advance(0.25)
	}
	return len(m.Look().Contacts)
}

func TestNoHostileStreamReachesAWall(t *testing.T) {
	var streams, moving, lines, taken, contacts, bypassed int
	for seed := range *hostileStreams {
		h := &hostile{Rand: rand.New(rand.NewPCG(uint64(seed), 7))}
		start := geom.Point{X: float64(h.IntN(15001)) / 100, Y: float64(h.IntN(11001)) / 100}
		stream := h.stream()
		limits := gate.LimitsOf(machine.DeskToy())
		limits.SpeedMMS = [2]float64{1000, 1000}
		g, err := gate.New(limits)
		require.NoError(t, err)
		require.NoError(t, g.Declare(start.X, start.Y))
		var passed []string
		for _, line := range []gate.Line{g.Modes(), g.Place()} {
			passed = append(passed, line.String())
		}
		moves := 0
		for _, line := range stream {
			lines++
			items, err := g.Read(line)
			if err == nil {
				taken++
			}
			for _, item := range items {
				if item.Kind == gate.Move || item.Kind == gate.Dwell {
					passed = append(passed, item.Line.String())
					moves++
				}
			}
		}
		streams++
		if moves > 0 {
			moving++
		}
		if n := wall(t, start, passed); n > 0 {
			contacts += n
			t.Errorf("seed %d: %d contacts from\n%q", seed, n, stream)
		}
		// The same stream without the gate; a tenth is enough to see.
		if seed%10 == 0 && wall(t, start, append([]string{passed[0], passed[1]}, stream...)) > 0 {
			bypassed++
		}
	}
	t.Logf("%d streams: %d contacts; %.0f %% of the streams moved, %.0f %% of their lines were taken; without the gate %.0f %% reach a wall",
		streams, contacts, 100*float64(moving)/float64(streams), 100*float64(taken)/float64(lines), 100*float64(bypassed)/(float64(streams)/10))
	require.Zero(t, contacts)
	require.Greater(t, float64(moving), 0.5*float64(streams), "a gate that lets nothing pass proves nothing")
	require.Greater(t, float64(taken), 0.25*float64(lines))
	// The simulated board takes straight moves alone: arcs, inches and relative
	// moves do no harm there.
	require.Greater(t, float64(bypassed), 0.25*float64(streams)/10, "a mix that is harmless proves nothing")
}

// held keeps to the promises of the package for each line, whatever made it.
func held(t testing.TB, limits gate.Limits, g *gate.Gate, text string) {
	x, y := g.At()
	for _, line := range strings.Split(text, "\n") {
		before := *g
		items, err := g.Read(line)
		if err != nil {
			require.Equal(t, before, *g)
			require.Empty(t, items)
			continue
		}
		for _, item := range items {
			made := item.Line.String()
			require.Less(t, len(made), limits.LineBytes)
			require.Empty(t, strings.Trim(made, "0123456789.-GXYFP"), "%q from %q", made, line)
			switch item.Kind {
			case gate.Dwell:
				require.Regexp(t, `^G4P\d+(\.\d+)?$`, made)
			case gate.Move:
				to := placeOf(t, made)
				require.Equal(t, [2]float64{item.X, item.Y}, to)
				stepX, stepY := math.Round(to[0]*limits.StepsPerMM[0])/limits.StepsPerMM[0], math.Round(to[1]*limits.StepsPerMM[1])/limits.StepsPerMM[1]
				require.True(t, stepX >= limits.Left-1e-9 && stepX <= limits.Right+1e-9 && stepY >= limits.Bottom-1e-9 && stepY <= limits.Top+1e-9, "%q from %q", made, line)
				length := math.Hypot(to[0]-x, to[1]-y)
				require.InDelta(t, length, item.Length, 1e-9)
				// A cut way bends by a step at most, and so does its speed.
				for axis, travel := range [2]float64{to[0] - x, to[1] - y} {
					require.LessOrEqual(t, item.FeedMMS*(math.Abs(travel)-0.02), limits.SpeedMMS[axis]*length*1.0000001+1.0/60*length)
				}
				require.LessOrEqual(t, length, max(item.FeedMMS*0.25*1.02+0.03, 0.05)+0.02)
				x, y = to[0], to[1]
			}
		}
	}
	atX, atY := g.At()
	require.Equal(t, [2]float64{x, y}, [2]float64{atX, atY})
}

func FuzzEveryLineKeepsThePromises(f *testing.F) {
	h := &hostile{Rand: rand.New(rand.NewPCG(1, 1))}
	for range 40 {
		f.Add(strings.Join(h.stream(), "\n"), uint16(h.IntN(15000)), uint16(h.IntN(11000)))
	}
	f.Fuzz(func(t *testing.T, text string, x, y uint16) {
		limits := gate.LimitsOf(machine.DeskToy())
		g, err := gate.New(limits)
		require.NoError(t, err)
		if g.Declare(float64(x)/100, float64(y)/100) != nil {
			_, err := g.To(1, 1, 10)
			require.Error(t, err)
			return
		}
		held(t, limits, g, text)
	})
}

func TestHostileLinesKeepThePromises(t *testing.T) {
	limits := gate.LimitsOf(machine.DeskToy())
	for seed := range 2000 {
		h := &hostile{Rand: rand.New(rand.NewPCG(uint64(seed), 9))}
		g := desk(t, float64(h.IntN(15001))/100, float64(h.IntN(11001))/100)
		held(t, limits, g, strings.Join(h.stream(), "\n"))
	}
}

// With a comment of any content a line means what it means without one.
func TestACommentToTheEndOfTheLineChangesNothing(t *testing.T) {
	for seed := range 2000 {
		h := &hostile{Rand: rand.New(rand.NewPCG(uint64(seed), 11))}
		with, without := desk(t, 75, 55), desk(t, 75, 55)
		for _, line := range h.stream() {
			line, _, _ = strings.Cut(line, ";")
			line = strings.TrimSuffix(line, "\r")
			comment := make([]byte, h.IntN(40))
			for i := range comment {
				comment[i] = byte(h.IntN(256))
				if h.IntN(2) == 0 {
					comment[i] = "G0 X5Y-9;()%!?~$*"[h.IntN(17)]
				}
			}
			commented := line + ";" + strings.NewReplacer("\n", "", "\r", "").Replace(string(comment))
			if open := strings.LastIndexByte(line, '('); open > strings.LastIndexByte(line, ')') || strings.Contains(line, "%") {
				continue // there a ";" is part of another comment, or too much
			}
			want, wantErr := without.Read(line)
			items, err := with.Read(commented)
			require.Equal(t, wantErr, err, "%q", commented)
			require.Equal(t, want, items, "%q", commented)
		}
		require.Equal(t, without, with)
	}
}

// Every file that uses the accepted words soundly passes whole, and the line
// made is the one that an independent reader finds in the file.
func TestEverySoundFilePasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, start := soundFile(t)
		g, err := gate.New(gate.LimitsOf(machine.DeskToy()))
		if err != nil || g.Declare(start.X, start.Y) != nil {
			t.Fatal("no gate")
		}
		var ends []geom.Point
		for _, line := range strings.Split(text, "\n") {
			items, err := g.Read(line)
			if err != nil {
				t.Fatalf("%q refused: %v\n%s", line, err, text)
			}
			for _, item := range items {
				if item.Kind == gate.Move {
					ends = append(ends, geom.Point{X: item.X, Y: item.Y})
				}
			}
		}
		if !g.Ended() {
			t.Fatal("the end was not seen")
		}
		// In order, each motion's end is among the ends of the lines made.
		k := 0
		last := start
		// What is written is the whole step, of 0.01 mm.
		whole := func(p geom.Point) geom.Point {
			return geom.Point{X: math.Round(p.X*100) / 100, Y: math.Round(p.Y*100) / 100}
		}
		_, faults := gcode.Read("sound.gcode", text, gcode.Settings{Start: start}, func(m *gcode.Motion) {
			if m.Arc == nil && whole(m.To) == whole(last) {
				return
			}
			for ; k < len(ends) && ends[k].Distance(m.To) > 0.005*math.Sqrt2+0.0001; k++ {
				if m.Arc != nil && math.Abs(ends[k].Distance(m.Arc.Center)-m.Arc.Radius) > 0.012+0.005*math.Sqrt2 {
					t.Fatalf("(%.3f, %.3f) is not on the arc to (%.3f, %.3f)\n%s", ends[k].X, ends[k].Y, m.To.X, m.To.Y, text)
				}
			}
			if k == len(ends) {
				t.Fatalf("no line leads to (%.3f, %.3f)\n%s", m.To.X, m.To.Y, text)
			}
			k++
			last = m.To
		})
		for _, d := range faults {
			t.Fatalf("the reader says: %s\n%s", d.Message, text)
		}
	})
}

// soundFile draws a file of straight moves and arcs that stays in the area.
func soundFile(t *rapid.T) (text string, start geom.Point) {
	var out strings.Builder
	coordinate := func(label string, most float64) float64 {
		return math.Round(rapid.Float64Range(0, most).Draw(t, label)*1000) / 1000
	}
	at := geom.Point{X: float64(rapid.IntRange(0, 15000).Draw(t, "x0")) / 100, Y: float64(rapid.IntRange(0, 11000).Draw(t, "y0")) / 100}
	start = at
	out.WriteString("G21 G90 G94 G17\n")
	relative, inverse, unit := false, false, 1.0
	feed := func(length float64) string {
		if inverse {
			return fmt.Sprintf("F%.4f", 600/max(length, 0.1))
		}
		return fmt.Sprintf("F%.3f", rapid.Float64Range(1, 4000).Draw(t, "feed")/unit)
	}
	// In inches, six decimals are 25 nanometres.
	format := func(v float64) string {
		if unit != 1 {
			return fmt.Sprintf("%.9f", v/unit)
		}
		return fmt.Sprintf("%.3f", v)
	}
	target := func(to geom.Point) string {
		if relative {
			to = to.Sub(at)
		}
		return "X" + format(to.X) + " Y" + format(to.Y)
	}
	for range rapid.IntRange(1, 25).Draw(t, "lines") {
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0:
			relative = !relative
			out.WriteString(map[bool]string{true: "G91\n", false: "G90\n"}[relative])
		case 1:
			inverse = !inverse
			out.WriteString(map[bool]string{true: "G93\n", false: "G94\n"}[inverse])
		case 2:
			// The international inch (NIST SP 811, 2008, appendix B.6).
			unit = map[bool]float64{true: 25.4, false: 1}[unit == 1]
			out.WriteString(map[bool]string{true: "G21\n", false: "G20\n"}[unit == 1])
		case 3:
			out.WriteString(rapid.SampledFrom([]string{"\n", "(a remark: G1 X900)\n", "G4 P0.25\n", "M0\n", "N12 (nothing)\n", "G17\n", "; a remark: G1 X900 (\n", "N13;\r\n"}).Draw(t, "other"))
		case 4, 5:
			// Half a circle and more, around a place that leaves room for it.
			room := min(at.X, 150-at.X, at.Y, 110-at.Y) / 2
			r := math.Floor(rapid.Float64Range(0, 1).Draw(t, "r")*room*1000) / 1000
			if r < 0.5 {
				continue
			}
			word := rapid.SampledFrom([]string{"G2", "G3"}).Draw(t, "turn")
			kind := rapid.IntRange(0, 2).Draw(t, "arc")
			if kind == 0 && !relative {
				continue // once in inches, where it began is another place by nanometres
			}
			switch kind {
			case 0: // all round
				fmt.Fprintf(&out, "%s %s I%s %s\n", word, target(at), format(r), feed(6*r))
			case 1: // half
				to := geom.Point{X: at.X + 2*r, Y: at.Y}
				fmt.Fprintf(&out, "%s %s I%s J0 %s\n", word, target(to), format(r), feed(3*r))
				at = to
			default: // a quarter, by its radius
				to := geom.Point{X: at.X - r, Y: at.Y + r}
				fmt.Fprintf(&out, "%s %s R%s %s\n", word, target(to), format(r), feed(1.5*r))
				at = to
			}
		default:
			to := geom.Point{X: coordinate("x", 150), Y: coordinate("y", 110)}
			word := rapid.SampledFrom([]string{"G0", "G1"}).Draw(t, "word")
			tail := rapid.SampledFrom([]string{"", "", " ; X900", ";)"}).Draw(t, "tail")
			fmt.Fprintf(&out, "%s %s %s%s\n", word, target(to), feed(to.Distance(at)), tail)
			at = to
		}
	}
	out.WriteString(rapid.SampledFrom([]string{"M2", "M30"}).Draw(t, "end"))
	return out.String(), start
}
