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

// What a board of that family answers to what wend sends: interoperability, from
// memory, no source.
func TestTheBoardAnswersAsBoardsDo(t *testing.T) {
	const ok = "ok\r\n"
	const greeting = "\r\nBench board [simulated]\r\n"
	for name, exchanges := range map[string][]exchange{
		"lines are acknowledged in order": {
			{"G21G90G94G17\nG1X1F600\nG9\n\nX0\n", 0, ok + ok + "error:20\r\n" + ok + ok},
		},
		"a status tells state, place, free room and speed": {
			{"?", 0, "<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0|WCO:0.000,0.000,0.000>\r\n"},
			{"?", 0, "<Idle|MPos:0.000,0.000,0.000|Bf:15,128|FS:0,0|Ov:100,100,100>\r\n"},
			{"G1X10Y5F600\n", 0, ok},
			{"?", 0.5, "<Run|MPos:0.000,0.000,0.000|Bf:14,128|FS:*,0>\r\n"},
			{"?", 0, "<Run|MPos:4.*|Bf:14,128|FS:600,0>\r\n"},
			{"", 2, ""},
			{"?", 0, "<Idle|MPos:10.000,5.000,0.000|Bf:15,128|FS:0,0>\r\n"},
		},
		"single bytes act within lines": {
			{"G1X?1?0F600\n", 0, "<Idle*>\r\n<Idle*>\r\n" + ok},
			{"G4P0\x85.5\xa0\xff\n", 0.4, ""},
			{"", 0.2, ""},
			{"", 1.2, ok},
		},
		"hold and resume": {
			{"G1X20F600\n", 0.5, ok},
			{"!?", 0.2, "<Hold:1|*"},
			{"?", 0, "<Hold:0|*"},
			{"G1X0\n", 5, ok},
			{"~?", 10, "<Run|*"},
			{"?", 0, "<Idle|MPos:0.000,*"},
			{"!?~?", 0, "<Hold:0|*<Idle|*"},
		},
		"a reset in motion is alarm 3 and locks": {
			{"G1X20F600\n", 1, ok},
			{"\x18", 0, "ALARM:3\r\n" + greeting},
			{"G1X0\n$G\n?", 0, "error:9\r\nerror:9\r\n<Alarm|*"},
			{"\x18", 0, greeting},
			{"?$X\n", 0, "<Alarm|*>\r\n*ok\r\n"},
			{"?", 0, "<Idle|*>\r\n"},
			{"G1X0F600\n", 0, ok},
		},
		"a reset at rest is none": {
			{"G1X20F600\n", 5, ok},
			{"\x18?", 0, greeting + "<Idle|MPos:20.000,0.000,0.000|*"},
			{"G1X20F600\n", 0.5, ok},
			{"G1X30\n!", 2, ok},
			{"\x18?", 0, greeting + "<Idle|MPos:20.*"},
		},
		"offsets and modes are lost at reset": {
			{"G92X5Y7\nG1F60\n$G\n", 0, ok + ok + "[GC:G1 G21 G90 G94 G17 F60]\r\nok\r\n"},
			{"?", 0, "<*WCO:-5.000,-7.000,0.000>\r\n"},
			{"\x18$G\n?", 0, "*[GC:G0 G21 G90 G94 G17 F0]*WCO:0.000,0.000,0.000>\r\n"},
		},
		"settings are listed, written and kept": {
			{"$$\n", 0, "$3=0\r\n$10=3\r\n$11=0.050\r\n$13=0\r\n$20=0\r\n$21=0\r\n$22=0\r\n" +
				"$100=100.000\r\n$101=100.000\r\n$110=3600.000\r\n$111=3600.000\r\n$120=400.000\r\n$121=400.000\r\n$130=200.000\r\n$131=200.000\r\nok\r\n"},
			{"$100=80.5\n$99=1\n$100=-1\n$100=0\n$101\n$110=a\n", 0, "ok\r\nerror:3\r\nerror:2\r\nerror:2\r\nerror:3\r\nerror:3\r\n"},
			{"\x18$$\n", 0, "*$100=80.500\r\n*"},
			{"$10=0\n?", 0, ok + "<Idle|WPos:0.000,0.000,0.000|FS*"},
			// In inches: the international inch, 25.4 mm.
			{"$13=1\nX25.4\n", 5, ok + ok},
			{"?", 0, "<Idle|WPos:1.0*,0.0000,0.0000|*"},
			{"G1X0F60\n$100=100\n", 0.1, ok + "error:8\r\n"},
		},
		"stored start-up lines are listed and can be emptied": {
			{"$N\n", 0, "$N0=\r\n$N1=\r\nok\r\n"},
			{"$N0=\n$N2=\n$N0=G1\n", 0, "ok\r\nerror:3\r\nerror:3\r\n"},
		},
		"a dwell waits for what is drawn": {
			{"G1X6F600\nG4P1\n", 0.6, ok},
			{"", 0.7, ""},
			{"", 1, ok},
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

// The numbers are interoperability data, from memory, no source. What wend does
// not send is refused, whatever other boards make of it.
func TestLinesThatCannotBeObeyedAreRefusedByNumber(t *testing.T) {
	for line, number := range map[string]int{
		"1X5": 1, "G1X5=": 1, "#1=2": 1, "(x)": 1, "g1x5f60": 1, "%": 1, "/X1": 1, "G1X1e5": 1,
		"G1X": 2, "G1X--5": 2, "G1X99999999": 2, "F-1": 2, "G4P-1": 2,
		"$K": 3, "$": 3, "$#": 3, "$J=X1F100": 3, "G1X5F60" + strings.Repeat(" ", 80): 11,
		"G77": 20, "G1.5": 20, "M3": 20, "M0": 20, "S100": 20, "T1": 20, "G1Z1F60": 20, "G18": 20, "G0X1": 20, "G2X5R5F60": 20, "G20": 20, "G91": 20, "N7X0": 20, "G92.1": 20,
		"G1G1X5F60": 21, "G4G92X1P1": 21, "G90G90": 21,
		"G1X5": 22, "G1X5F0": 22, "G92G1X5F60": 24, "X1X2": 25, "F1F2": 25, "G92": 26, "G4": 28, "P5": 36,
		"G1X+0.12Y7F60": 0, "G1": 0, "X5": 0,
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
	ask(m, "X4\nG92X7\n", 2)
	require.Contains(t, ask(m, "?", 0), "WCO:-3.000,0.000,0.000")
	ask(m, "G92X9\nG1X10Y2F600\n", 3)
	require.Equal(t, geom.Point{X: 5, Y: 2}, m.Look().BoardMM)
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
	require.Equal(t, "<Idle|MPos:0.000,0.000,0.000|Bf:15,1|FS:0,0|WCO:0.000,0.000,0.000>\r\n", ask(m, "?X111\n", 0))
	require.Equal(t, 5, m.Look().Overflow)
	require.Equal(t, "ok\r\nerror:11\r\n", ask(m, "", 10))
}

func TestNothingIsHeardBeforeTheGreeting(t *testing.T) {
	m := simulator.New(simulator.Setup{})
	require.Empty(t, ask(m, "G1X5F600\n?\x18", 0.4))
	require.Empty(t, m.Look().State)
	require.Equal(t, "\r\nBench board [simulated]\r\n", ask(m, "", 0.2))
	require.Equal(t, geom.Point{}, m.Look().StylusMM)
	require.Equal(t, "<Idle*", ask(m, "?", 0)[:5]+"*")
}
