package simulator_test

import (
	"github.com/stretchr/testify/require"

	"wend/runtime/simulator"
)

// ready is a machine that has given its greeting.
func ready(t require.TestingT, setup simulator.Setup) *simulator.Machine {
	m := simulator.New(setup)
	m.Advance(2)
	require.Contains(t, string(m.Transmit()), "[simulated]\r\n")
	return m
}

func say(m *simulator.Machine, text string) { m.Receive([]byte(text)) }

// ask sends text and gives what comes back within some seconds.
func ask(m *simulator.Machine, text string, seconds float64) string {
	say(m, text)
	m.Advance(seconds)
	return string(m.Transmit())
}
