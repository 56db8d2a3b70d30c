package simulator_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/simulator"
)

// exchange is what is sent, and what has come back some seconds later; an
// asterisk in the answer stands for anything.
type exchange struct {
	send    string
	seconds float64
	answer  string
}

func fits(pattern, text string) bool {
	parts := strings.Split(pattern, "*")
	if len(parts) == 1 {
		return pattern == text
	}
	if !strings.HasPrefix(text, parts[0]) {
		return false
	}
	text = text[len(parts[0]):]
	for _, part := range parts[1 : len(parts)-1] {
		_, rest, found := strings.Cut(text, part)
		if !found {
			return false
		}
		text = rest
	}
	return strings.HasSuffix(text, parts[len(parts)-1])
}

func TestTheBoardAnswersAsBoardsDo(t *testing.T) {
	const ok = "ok\r\n"
	for name, exchanges := range map[string][]exchange{
		"lines are acknowledged in order": {
			{"G21 G90\nG1 X1 F600\nG9\n(a comment)\n\nG0 X0\n", 0, ok + ok + "error:20\r\n" + ok + ok + ok},
		},
		"a status tells state, place, free room and speed": {
			{"?", 0, "<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0|WCO:0.000,0.000,0.000>\r\n"},
			{"?", 0, "<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0|Ov:100,100,100>\r\n"},
			{"G1 X10 Y5 F600\n", 0, ok},
			{"?", 0.5, "<Run|MPos:0.000,0.000,0.000|Bf:14,128|FS:*,0>\r\n"},
			{"?", 0, "<Run|MPos:4.*|Bf:14,128|FS:600,0>\r\n"},
			{"", 2, ""},
			{"?", 0, "<Idle|MPos:10.000,5.000,0.000|Bf:15,128|FS:0,0>\r\n"},
		},
		"single bytes act within lines and comments": {
			{"G1 (he?re) X1?0 F600\n", 0, "<Idle*>\r\n<Idle*>\r\n" + ok},
			{"G4 P0\x85.5\xa0\xff\n", 0.4, ""},
			{"", 0.2, ""},
			{"", 1.2, ok},
		},
		"hold and resume": {
			{"G1 X20 F600\n", 0.5, ok},
			{"!?", 0.2, "<Hold:1|*"},
			{"?", 0, "<Hold:0|*"},
			{"G1 X0\n", 5, ok},
			{"~?", 10, "<Run|*"},
			{"?", 0, "<Idle|MPos:0.000,*"},
			{"!?~?", 0, "<Hold:0|*<Idle|*"},
		},
		"a reset in motion is alarm 3 and locks": {
			{"G1 X20 F600\n", 1, ok},
			{"\x18", 0, "ALARM:3\r\n\r\nBench board [$ says more]\r\n"},
			{"G1 X0\n$G\n?", 0, "error:9\r\nerror:9\r\n<Alarm|*"},
			{"\x18", 0, "\r\nBench board [$ says more]\r\n"},
			{"?$X\n", 0, "<Alarm|*>\r\n*ok\r\n"},
			{"?", 0, "<Idle|*>\r\n"},
			{"G1 X0 F600\n", 0, ok},
		},
		"a reset at rest is none": {
			{"G1 X20 F600\n", 5, ok},
			{"\x18?", 0, "\r\nBench board [$ says more]\r\n<Idle|MPos:20.000,0.000,0.000|*"},
			{"G1 X20 F600\n", 0.5, ok},
			{"G1 X30\n!", 2, ok},
			{"\x18?", 0, "\r\nBench board [$ says more]\r\n<Idle|MPos:20.*"},
		},
		"offsets and modes are lost at reset": {
			{"G92 X5 Y7\nG91 G20 G93\n$G\n$#\n", 0, ok + ok + "[GC:G0 G54 G17 G20 G91 G93 *\r\nok\r\n[G54:*[G92:-5.000,-7.000,0.000]\r\nok\r\n"},
			{"?", 0, "<*WCO:-5.000,-7.000,0.000>\r\n"},
			{"\x18$G\n?", 0, "*[GC:G0 G54 G17 G21 G90 G94 *"},
			{"$#\n", 0, "*[G92:0.000,0.000,0.000]\r\nok\r\n"},
		},
		"settings are listed, written and kept": {
			{"$$\n", 0, "$0=8\r\n$1=255\r\n$3=0\r\n$10=3\r\n$11=0.050\r\n$12=0.002\r\n$13=0\r\n$20=0\r\n$21=0\r\n$22=0\r\n" +
				"$100=100.000\r\n$101=100.000\r\n$102=160.000\r\n$110=3600.000\r\n$111=3600.000\r\n$112=900.000\r\n" +
				"$120=400.000\r\n$121=400.000\r\n$122=60.000\r\n$130=200.000\r\n$131=200.000\r\n$132=40.000\r\nok\r\n"},
			{"$100=80.5\n$99=1\n$100=-1\n$100=0\n$101\n$110=a\n", 0, "ok\r\nerror:3\r\nerror:2\r\nerror:2\r\nerror:3\r\nerror:3\r\n"},
			{"\x18$$\n", 0, "*$100=80.500\r\n*"},
			{"$10=0\n?", 0, ok + "<Idle|WPos:0.000,0.000,0.000|FS*"},
			{"$13=1\nG0 X25.4\n", 5, ok + ok},
			{"?", 0, "<Idle|WPos:1.0*,0.0000,0.0000|*"},
			{"G1 X0 F60\n$100=100\n", 0.1, ok + "error:8\r\n"},
		},
		"stored start-up lines run after a reset": {
			{"$N\n$N0=G20 G91\n$N1=G77\n$N2=G20\n", 0, "$N0=\r\n$N1=\r\nok\r\nok\r\nerror:20\r\nerror:3\r\n"},
			{"$N1=" + strings.Repeat("0", 71) + "\n", 0, "error:14\r\n"},
			{"$N\n", 0, "$N0=G20G91\r\n$N1=\r\nok\r\n"},
			{"\x18", 0, "\r\nBench board [$ says more]\r\n>G20G91:ok\r\n"},
			{"$G\n$N0=\n$N\n", 0, "[GC:G0 G54 G17 G20 G91 *$N0=\r\n$N1=\r\nok\r\n"},
		},
		"check mode moves nothing": {
			{"$C\n?G1 X10 F600\nG1 X\n", 3, ok + "<Check*>\r\n" + ok + "error:2\r\n"},
			{"?", 0, "<Check|MPos:0.000,*"},
			{"$C\n?", 0, ok + "\r\nBench board [$ says more]\r\n<Idle*"},
		},
		"version and help": {
			{"$I\n$\n$Q\n", 0, "[VER:*]\r\n[OPT:V,15,128]\r\nok\r\n[ASKS*]\r\nok\r\nerror:3\r\n"},
		},
		"jogs have modes of their own and can be called off": {
			{"G20\n$J=G91 G21 X10 F600\n?", 0, "ok\r\nok\r\n<Jog*"},
			{"?", 0.5, "<Jog*"},
			{"G1 X0 F60\n", 0, "error:9\r\n"},
			{"\x85", 1, ""},
			{"?$G\n", 0, "<Idle|MPos:5.*[GC:G0 G54 G17 G20 *"},
			{"$J=X1\n$J=G2 X1 R5 F1\n$J=G0 X1 F1\n$J=F1\n$J=G92 X1 F1\n", 0, "error:22\r\nerror:16\r\nerror:16\r\nerror:16\r\nerror:16\r\n"},
			{"G21 G1 X0 F600\n$J=X1 F1\n", 2, "ok\r\nerror:8\r\n"},
			{"$J=G90 X2 F600\n!", 2, "ok\r\n"},
			{"?", 0, "<Idle*"},
		},
		"homing needs its setting, and without switches ends in an alarm": {
			{"$H\n", 0, "error:5\r\n"},
			{"$22=1\n$130=20\n$131=20\n$H\n", 1, "ok\r\nok\r\nok\r\n"},
			{"?", 0, "<Home*"},
			{"", 30, "ALARM:9\r\n"},
			{"$X\n$H\n", 1, "*ok\r\n"},
			{"\x18", 0, "ALARM:6\r\n\r\nBench board*"},
		},
		"soft limits": {
			{"$20=1\nG1 X200 F3600\n", 5, ok + ok},
			{"$J=G91 X1 F100\nG1 X200.1\n?", 0, "error:15\r\nok\r\nALARM:2\r\n<Alarm*"},
			{"$X\nG2 X200 Y0 I0 J5\n", 0, "*ALARM:2\r\n"},
		},
		"the program's pause waits for what is drawn, and for resume": {
			{"G1 X10 F600\nM0\nG1 X20\n", 0.5, ok},
			{"?", 3, "<Run*"},
			{"?", 0, "<Hold:0|MPos:10.*"},
			{"~", 0.5, ok + ok},
			{"?", 0, "<Run*"},
		},
		"the program's end takes back its modes": {
			{"G20 G91 G92 X1\nG93\nM2\n$G\n", 0, ok + ok + ok + "[GC:G1 G54 G17 G20 G90 G94 *"},
			{"M30\n", 0, ok},
		},
		"a dwell waits for what is drawn": {
			{"G1 X6 F600\nG4 P1\n", 0.6, ok},
			{"", 0.7, ""},
			{"", 1, ok},
		},
		"the door holds": {
			{"G1 X10 F600\n", 0.5, ok},
			{"\x84?", 0.5, "<Door:2*"},
			{"?", 0, "<Door:0*"},
			{"~", 3, ""},
			{"?", 0, "<Idle|MPos:10.*"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := ready(t, simulator.Setup{})
			for i, e := range exchanges {
				answer := ask(m, e.send, e.seconds)
				require.True(t, fits(e.answer, answer), "%d: to %q, %q", i, e.send, answer)
			}
		})
	}
}

func TestLinesThatCannotBeObeyedAreRefusedByNumber(t *testing.T) {
	for line, number := range map[string]int{
		"1X5": 1, "G1 X5 =": 1, "#1=2": 1, "G1 X": 2, "G1 X--5": 2, "G1 X1e5": 20, "G1 X99999999": 2, "F-1": 2, "G4 P-1": 2,
		"$K": 3, "$": 0, "G1 X5 F60 (" + strings.Repeat("long ", 20) + ")": 11,
		"G77": 20, "G2.5": 20, "M3": 20, "S100": 20, "T1": 20, "G1 Z1 F60": 20, "G18": 20, "G1 E1": 20, "G-1": 20,
		"G0 G1 X5 F60": 21, "G90 G91": 21, "G20 G21": 21, "M0 M2": 21, "G4 G92 X1 P1": 21,
		"G1 X5": 22, "G93 G1 X5": 22, "G1 X5 F0": 22, "N1.5 G0 X1": 23, "N-1 G0 X1": 27, "N7 G0 X1": 0,
		"G92 G1 X5 F60": 24, "G0 X1 X2": 25, "F1 F2": 25, "G92": 26, "G2 F60": 26, "G4": 28,
		"G2 X5 F60": 33, "G2 X5 I9 F60": 33, "G2 X5 R0 F60": 33, "G2 X0 Y0 R5 F60": 33, "G2 X50 R5 F60": 34,
		"G0 X1 R5": 36, "P5": 36, "G2 X5 R5 I2 F60": 36, "G92.1": 20,
		"g1x+0. 12 34y 7f6\t0": 0, "G1": 0, "/G0 X1": 0, "%": 1,
	} {
		m := ready(t, simulator.Setup{})
		want := "error:" + fmt.Sprint(number) + "\r\n"
		if number == 0 {
			want = "ok\r\n"
		}
		require.True(t, strings.HasSuffix(ask(m, line+"\n", 0), want), "%s: want %s", line, want)
	}
}

// NISTIR 6556, 3.5.18: at X = 4, G92 X7 makes X read 7 with an offset of -3;
// then G92 X9 makes that -5.
func TestAnAssertedPlaceShiftsTheProgram(t *testing.T) {
	m := ready(t, simulator.Setup{})
	require.Contains(t, ask(m, "G0 X4\nG92 X7\n$#\n", 2), "[G92:-3.000,0.000,0.000]")
	require.Contains(t, ask(m, "G92 X9\n$#\n", 2), "[G92:-5.000,0.000,0.000]")
	ask(m, "G1 X10 Y2 F600\n", 3)
	require.Equal(t, geom.Point{X: 5, Y: 2}, m.Look().BoardMM)
	ask(m, "G91 X1\nG20 X1\n", 10)
	require.InDelta(t, 5+1+25.4, m.Look().BoardMM.X, 1e-9)
}

// 115200 baud at 10 bits a byte are 11,520 bytes a second (computed).
func TestBytesTakeTheirTimeOnTheWire(t *testing.T) {
	setup := simulator.Setup{}
	setup.Board.Baud = 115200
	m := ready(t, setup)
	say(m, "G4P0\n")
	m.Advance(5.0/11520 + 0.99/11520)
	require.Empty(t, m.Transmit())
	m.Advance(3.02 / 11520)
	require.Equal(t, "ok\r\n", string(m.Transmit()))
	// A single byte acts when it is there, behind what was sent before.
	say(m, strings.Repeat(" ", 100)+"?")
	require.False(t, m.Await(101.0/11520))
	require.True(t, m.Await(1))
	require.True(t, strings.HasPrefix(string(m.Transmit()), "<Idle"))
}

func TestAFullQueueDelaysTheAnswer(t *testing.T) {
	m := ready(t, simulator.Setup{})
	var lines strings.Builder
	for i := range 20 {
		fmt.Fprintf(&lines, "G1X%dF60\n", i+1)
	}
	answer := ask(m, lines.String()[:127], 0)
	require.Equal(t, 15, strings.Count(answer, "ok"))
	answer += ask(m, lines.String()[127:], 0)
	require.Equal(t, 15, strings.Count(answer, "ok"))
	require.Equal(t, 15, m.Look().Moves)
	require.True(t, m.Await(2))
	require.InDelta(t, 1, m.Look().BoardMM.X, 0.05)
	m.Transmit()
	require.True(t, m.Await(2))
	require.Equal(t, 15, m.Look().Moves)
}

func TestBytesBeyondTheReceiveBufferAreLost(t *testing.T) {
	m := ready(t, simulator.Setup{})
	say(m, "G4P9\n")
	m.Advance(0.1)
	say(m, strings.Repeat(" ", 126)+"\n")
	m.Advance(0.1)
	look := m.Look()
	require.Equal(t, 127, look.Waiting)
	require.Zero(t, look.Overflow)
	require.Equal(t, "<Idle|MPos:0.000,0.000,0.000|Bf:15,1|FS:0,0|WCO:0.000,0.000,0.000>\r\n", ask(m, "?G0X1\n", 0))
	require.Equal(t, 5, m.Look().Overflow)
	require.Equal(t, "ok\r\nerror:11\r\n", ask(m, "", 10))
}

func TestNothingIsHeardBeforeTheGreeting(t *testing.T) {
	m := simulator.New(simulator.Setup{})
	require.Empty(t, ask(m, "G1 X5 F600\n?\x18", 0.4))
	require.Empty(t, m.Look().State)
	require.Equal(t, "\r\nBench board [$ says more]\r\n", ask(m, "", 0.2))
	require.Equal(t, geom.Point{}, m.Look().StylusMM)
	require.Equal(t, "<Idle*", ask(m, "?", 0)[:5]+"*")
}
