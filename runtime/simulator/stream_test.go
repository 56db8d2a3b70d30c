package simulator_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/simulator"
)

// pieces are what streams are made of: words, lines, single bytes, noise.
func pieces() *rapid.Generator[string] {
	number := rapid.SampledFrom([]string{"0", "1", "-3.5", "20", "99", "1000000", "-", ".", "5e3", "0.001"})
	word := rapid.Custom(func(t *rapid.T) string {
		return rapid.SampledFrom(strings.Split("G0 G1 G2 G4P G17 G20 G21 G90 G91 G92X G94 M0 X Y F I P Z $ = ( ) ; %", " ")).Draw(t, "word") +
			number.Draw(t, "number")
	})
	return rapid.OneOf(word, word, word,
		rapid.SampledFrom([]string{"\n", "\n", "\n", "\r\n", "?", "!", "~", "\x18", "\x84", "\x85", "\x91", "\x94", "\x97"}),
		rapid.SampledFrom([]string{"$$\n", "$X\n", "$N\n", "$22=1\n", "$20=1\n", "$100=5\n", "$110=1\n", "$3=3\n", "$11=0\n", "$N0=\n", "$G\n",
			"G1X20Y5F3000\n", "X1\n"}),
		rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 20), func(b []byte) string { return string(b) }),
	)
}

// requireSound holds a machine against what is true of every one.
func requireSound(t require.TestingT, m *simulator.Machine) {
	look := m.Look()
	require.LessOrEqual(t, look.Moves, 15)
	require.LessOrEqual(t, look.Waiting, 127)
	require.True(t, look.StylusMM.Finite() && look.BoardMM.Finite())
	require.GreaterOrEqual(t, look.SpeedMMS, 0.0)
	p := look.StylusMM
	require.True(t, p.X >= -1e-6 && p.X <= 150+1e-6 && p.Y >= -1e-6 && p.Y <= 110+1e-6, "the stylus went through a wall, to %v", p)
	if look.State != "Alarm" {
		return
	}
	require.Zero(t, look.Moves)
	require.Zero(t, look.SpeedMMS)
	m.Advance(0.5)
	require.Equal(t, p, m.Look().StylusMM)
}

func TestNoStreamOfBytesBreaksTheBoardOrMovesItAfterAnAlarm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		setup := centered()
		setup.Board.Baud = rapid.SampledFrom([]int{0, 9600, 115200}).Draw(t, "baud")
		setup.Mechanics.SlackMM = [2]float64{0.3, 0}
		m := ready(t, setup)
		lines, answers := 0, 0
		for range rapid.IntRange(1, 60).Draw(t, "count") {
			text := pieces().Draw(t, "piece")
			lines += strings.Count(text, "\n")
			say(m, text)
			m.Advance(rapid.SampledFrom([]float64{0, 0, 0.0001, 0.01, 0.3}).Draw(t, "seconds"))
			requireSound(t, m)
			heard := string(m.Transmit())
			// Start-up lines answer too.
			answers += strings.Count(heard, "ok\r\n") + strings.Count(heard, "error:") - 2*strings.Count(heard, "Bench board")
		}
		require.LessOrEqual(t, answers, lines)
	})
}

func TestEveryStreamWithinTheBufferIsAnsweredLineForLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := ready(t, centered())
		m.DelayLines(0.001)
		lines := rapid.SliceOfN(rapid.SampledFrom([]string{"G1X5F3000", "X0", "", "G77", "X", "$$", "$G", "G4P0.01", "Y3", "(x)"}), 1, 11).Draw(t, "lines")
		text := strings.Join(lines, "\n") + "\n"
		require.Less(t, len(text), 128)
		heard := ask(m, text, 10)
		require.Equal(t, len(lines), strings.Count(heard, "ok\r\n")+strings.Count(heard, "error:"))
	})
}

func FuzzStream(f *testing.F) {
	for _, seed := range []string{
		"G21 G90\nG1 X10 Y5 F600\n?!~\n", "$$\n$100=5\nG1X1F100\n\x85", "G1X5F100\nX0Y0\n\x18$X\n",
		"$G\nX5\n$N\n", "$22=1\n\x18?", "(open\nG92 X1e9 Y-5\n", "G1X1F0.0001\n!\n~X2\n", "\x84\x90\x91\x97X1\n",
	} {
		f.Add([]byte(seed), uint8(3))
	}
	f.Fuzz(func(t *testing.T, stream []byte, pace uint8) {
		m := ready(t, centered())
		for len(stream) > 0 {
			n := min(len(stream), 1+int(pace)%16)
			m.Receive(stream[:n])
			stream = stream[n:]
			m.Advance(float64(pace) / 500)
			requireSound(t, m)
		}
		m.Advance(10)
		requireSound(t, m)
	})
}
