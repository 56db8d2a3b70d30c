package simulator

import (
	"math"
	"slices"
	"strconv"
)

// Axis names the two knobs, and indexes pairs.
type Axis int

// The axes.
const (
	X Axis = iota
	Y
)

func (a Axis) String() string { return [...]string{"x", "y"}[a] }

// Board is how a motion board is built and set. What is left at zero gets the
// value of an ordinary board.
type Board struct {
	StepsPerMM       [2]float64 // 100
	RateMMPerMin     [2]float64 // 3600
	AccelerationMMS2 [2]float64 // 400
	TravelMM         [2]float64 // 200
	CornerMM         float64    // 0.05; how far a rounded corner would pass the true one: for the speed alone
	DirectionMask    int        // bit 0 turns x round, bit 1 y
	SoftLimits       bool       // a setting that a board can have, and wend switches off; nothing here obeys it
	StartUp          [2]string  // stored lines that run after a reset

	ReceiveBytes int     // 128; receive buffer, of which one byte stays free
	LineBytes    int     // 80; longest line
	QueueMoves   int     // 15; moves that can wait, the one being made included
	Baud         int     // 10 bits a byte; 0 means no time passes on the wire
	StepRateHz   float64 // 30000; the fastest that one axis can be stepped
	LineS        float64 // how long the board takes over a line before it acts and answers
	BootS        float64 // 0.5; from power-up to the greeting
	Quiet        bool    // boots without a greeting
	KeepsRunning bool    // opening the port does not reset the board
	HeldIsDeaf   bool    // while it is held it reads no lines; they wait in the receive buffer
}

// defaultBoard fills in what was left at zero.
func defaultBoard(b Board) Board {
	for a := range b.StepsPerMM {
		b.StepsPerMM[a] = orElse(b.StepsPerMM[a], 100)
		b.RateMMPerMin[a] = orElse(b.RateMMPerMin[a], 3600)
		b.AccelerationMMS2[a] = orElse(b.AccelerationMMS2[a], 400)
		b.TravelMM[a] = orElse(b.TravelMM[a], 200)
	}
	b.CornerMM = orElse(b.CornerMM, 0.05)
	b.ReceiveBytes = orElse(b.ReceiveBytes, 128)
	b.LineBytes = orElse(b.LineBytes, 80)
	b.QueueMoves = orElse(b.QueueMoves, 15)
	b.StepRateHz = orElse(b.StepRateHz, 30000)
	b.BootS = orElse(b.BootS, 0.5)
	return b
}

func orElse[T comparable](value, otherwise T) T {
	var zero T
	if value == zero {
		return otherwise
	}
	return value
}

// settings are the stored values of a board, by their numbers. They outlive
// every reset.
type settings [setTravel + 2]float64

func newSettings(b Board) *settings {
	s := &settings{
		setDirections: float64(b.DirectionMask),
		setReportMask: reportMachine | reportBuffer,
		setCornerMM:   b.CornerMM,
	}
	if b.SoftLimits {
		s[setSoftLimits] = 1
	}
	for a := range b.StepsPerMM {
		s[setStepsPerMM+a] = b.StepsPerMM[a]
		s[setRate+a] = b.RateMMPerMin[a]
		s[setAcceleration+a] = b.AccelerationMMS2[a]
		s[setTravel+a] = b.TravelMM[a]
	}
	return s
}

// settingNumbers are the settings there are, in the order of their listing.
func settingNumbers() []int {
	return []int{
		setDirections, setReportMask, setCornerMM, setReportInches, setSoftLimits, setHardLimits, setHoming,
		setStepsPerMM, setStepsPerMM + 1, setRate, setRate + 1, setAcceleration, setAcceleration + 1, setTravel, setTravel + 1,
	}
}

// text is a setting as it is listed.
func (s *settings) text(n int) string {
	if n < setStepsPerMM && n != setCornerMM {
		return strconv.Itoa(int(s[n]))
	}
	return strconv.FormatFloat(s[n], 'f', 3, 64)
}

// set changes a setting and gives 0 or the number of an error.
func (s *settings) set(n int, value float64) int {
	switch {
	case !slices.Contains(settingNumbers(), n):
		return errStatement
	case !(value >= 0), value > largestNumber, n >= setStepsPerMM && n < setTravel && value == 0:
		return errNumber
	case n < setStepsPerMM && n != setCornerMM:
		value = math.Floor(min(value, 255))
	}
	s[n] = value
	return 0
}

func (s *settings) on(n int) bool { return s[n] != 0 }

func (s *settings) bit(n, bit int) bool { return int(s[n])&bit != 0 }
