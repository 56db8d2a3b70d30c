package simulator

import (
	"fmt"
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

// Board is how a motion board is built and set.
type Board struct {
	StepsPerMM       [2]float64
	RateMMPerMin     [2]float64
	AccelerationMMS2 [2]float64
	TravelMM         [2]float64
	CornerMM         float64 // how far a rounded corner would pass the true one: for the speed alone
	ArcToleranceMM   float64
	DirectionMask    int // bit 0 turns x round, bit 1 y
	SoftLimits       bool
	StartUp          [2]string // stored lines that run after a reset

	ReceiveBytes int // receive buffer, of which one byte stays free
	LineBytes    int // longest line
	QueueMoves   int // moves that can wait, the one being made included
	Baud         int // 10 bits a byte; 0 means no time passes on the wire
	// AckDelayS is how long the board takes over a line before it answers.
	AckDelayS float64
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
	b.ArcToleranceMM = orElse(b.ArcToleranceMM, 0.002)
	b.ReceiveBytes = orElse(b.ReceiveBytes, 128)
	b.LineBytes = orElse(b.LineBytes, 80)
	b.QueueMoves = orElse(b.QueueMoves, 15)
	return b
}

func orElse[T comparable](value, otherwise T) T {
	var zero T
	if value == zero {
		return otherwise
	}
	return value
}

// settingNumbers are the settings that the board lists.
var settingNumbers = []int{
	setStepPulse, setIdleLock, setDirections, setReportMask, setCornerMM, setArcTolerance, setReportInches,
	setSoftLimits, setHardLimits, setHoming,
	setStepsPerMM, setStepsPerMM + 1, setStepsPerMM + 2, setRate, setRate + 1, setRate + 2,
	setAcceleration, setAcceleration + 1, setAcceleration + 2, setTravel, setTravel + 1, setTravel + 2,
}

// setting is the stored value of a setting as it is listed.
func (b *Board) setting(n int) string {
	flag := func(on bool) string {
		if on {
			return "1"
		}
		return "0"
	}
	third := [...]float64{250, 500, 10, 200} // the third axis is there, on paper
	perAxis := func(pair [2]float64, n, base int) string {
		if n-base == 2 {
			return fmt.Sprintf("%.3f", third[(base-100)/10])
		}
		return fmt.Sprintf("%.3f", pair[n-base])
	}
	switch {
	case n == setStepPulse:
		return "10"
	case n == setIdleLock:
		return "255"
	case n == setDirections:
		return strconv.Itoa(b.DirectionMask)
	case n == setReportMask:
		return "3"
	case n == setCornerMM:
		return fmt.Sprintf("%.3f", b.CornerMM)
	case n == setArcTolerance:
		return fmt.Sprintf("%.3f", b.ArcToleranceMM)
	case n == setSoftLimits:
		return flag(b.SoftLimits)
	case n >= setStepsPerMM && n <= setStepsPerMM+2:
		return perAxis(b.StepsPerMM, n, setStepsPerMM)
	case n >= setRate && n <= setRate+2:
		return perAxis(b.RateMMPerMin, n, setRate)
	case n >= setAcceleration && n <= setAcceleration+2:
		return perAxis(b.AccelerationMMS2, n, setAcceleration)
	case n >= setTravel && n <= setTravel+2:
		return perAxis(b.TravelMM, n, setTravel)
	}
	return "0"
}

// set changes a setting and gives 0 or the number of an error.
func (b *Board) set(n int, value float64) int {
	pair := func(pair *[2]float64, axis int) int {
		if value <= 0 {
			return errNumber
		}
		if axis < 2 {
			pair[axis] = value
		}
		return 0
	}
	switch {
	case !slices.Contains(settingNumbers, n):
		return errStatement
	case value < 0:
		return errNumber
	case n == setDirections:
		b.DirectionMask = int(value)
	case n == setCornerMM:
		b.CornerMM = value
	case n == setArcTolerance:
		b.ArcToleranceMM = max(value, 0.0005)
	case n == setSoftLimits:
		b.SoftLimits = value != 0
	case n >= setStepsPerMM && n <= setStepsPerMM+2:
		return pair(&b.StepsPerMM, n-setStepsPerMM)
	case n >= setRate && n <= setRate+2:
		return pair(&b.RateMMPerMin, n-setRate)
	case n >= setAcceleration && n <= setAcceleration+2:
		return pair(&b.AccelerationMMS2, n-setAcceleration)
	case n >= setTravel && n <= setTravel+2:
		return pair(&b.TravelMM, n-setTravel)
	}
	return 0
}
