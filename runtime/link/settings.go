package link

import (
	"context"
	"maps"
	"math"
	"strings"

	"wend/runtime/gate"
	"wend/runtime/machine"
)

// Mismatch is a setting of the board that does not agree with the profile.
type Mismatch struct {
	Setting int     // its number; -1 for a start-up line
	Name    string  // in words
	Is      string  // what the board says
	Should  string  // what the profile says
	Value   float64 // Should as a number
	StartUp int     // which start-up line
}

// settings are what a board listed.
type settings struct {
	numbers map[int]float64
	startUp map[int]string
}

func newSettings() settings { return settings{map[int]float64{}, map[int]string{}} }

// agree reports whether two readings list the same numbers.
func (s settings) agree(other settings) bool {
	return maps.Equal(s.numbers, other.numbers)
}

// expected is what a profile says of the board's settings.
func expected(p *machine.Profile) []Mismatch {
	directions := 0.0
	if p.X.Reversed {
		directions++
	}
	if p.Y.Reversed {
		directions += 2
	}
	return []Mismatch{
		{Setting: setDirections, Name: "directions of the motors", Value: directions},
		{Setting: setReportMask, Name: "what its reports tell", Value: reportAll},
		{Setting: setCornerMM, Name: "corner deviation, mm", Value: p.Drawing.CornerDeviationMM},
		{Setting: setReportInches, Name: "reports in inches", Value: 0},
		{Setting: setSoftLimits, Name: "limits of its own", Value: 0},
		{Setting: setHardLimits, Name: "limit switches", Value: 0},
		{Setting: setHoming, Name: "search for switches", Value: 0},
		{Setting: setStepsPerMM, Name: "x steps per mm", Value: p.Board.StepsPerMM.X},
		{Setting: setStepsPerMM + 1, Name: "y steps per mm", Value: p.Board.StepsPerMM.Y},
		{Setting: setRate, Name: "x largest rate, mm/min", Value: p.X.MaxSpeedMMS * 60},
		{Setting: setRate + 1, Name: "y largest rate, mm/min", Value: p.Y.MaxSpeedMMS * 60},
		{Setting: setAcceleration, Name: "x acceleration, mm/s²", Value: p.X.MaxAccelerationMMS2},
		{Setting: setAcceleration + 1, Name: "y acceleration, mm/s²", Value: p.Y.MaxAccelerationMMS2},
	}
}

// settingGrain is how exactly boards store a number: three decimals.
const settingGrain = 0.0006

// Mismatches is all that keeps the board from being armed: settings that differ
// from the profile, and start-up lines.
func (l *Link) Mismatches() []Mismatch { return l.board.settings.mismatches(l.position.profile) }

func (s settings) mismatches(p *machine.Profile) []Mismatch {
	var found []Mismatch
	for _, m := range expected(p) {
		is, listed := s.numbers[m.Setting]
		switch {
		case !listed:
			m.Is = "not listed"
		case m.Setting == setDirections && int(is)&3 == int(m.Value):
			continue // the third axis is nobody's business
		case m.Setting == setReportMask && int(is)&reportAll == reportAll:
			continue
		case math.Abs(is-m.Value) <= settingGrain:
			continue
		default:
			m.Is = decimals(is, 3)
		}
		m.Should = decimals(m.Value, 3)
		found = append(found, m)
	}
	for place := range 2 {
		if text := strings.TrimSpace(s.startUp[place]); text != "" {
			found = append(found, Mismatch{Setting: -1, StartUp: place, Name: "a line that it obeys after each reset", Is: text, Should: "none"})
		}
	}
	return found
}

// Settle writes to the board what it should have, and reads it back. The caller
// has shown the mismatches to an operator who said yes to them.
func (l *Link) Settle(ctx context.Context, mismatches []Mismatch) error {
	if l.Mode() != Connected {
		return l.refused("have its settings written")
	}
	for _, m := range mismatches {
		var line gate.Line
		var err error
		if m.Setting < 0 {
			line, err = gate.ClearStartUp(m.StartUp)
		} else {
			line, err = gate.Setting(m.Setting, m.Value)
		}
		if err != nil {
			return err
		}
		if err := l.board.ask(ctx, line); err != nil {
			return err
		}
	}
	if err := l.board.readSettings(ctx); err != nil {
		return err
	}
	// Another scale gives the board's own coordinates another meaning.
	return l.state(ctx)
}

// modesAreStated reports whether a list of modes shows those that were stated.
func modesAreStated(text string, crawls bool) bool {
	words := " " + text + " "
	if crawls && !strings.Contains(words, " G1 ") {
		return false
	}
	for _, word := range []string{" G17 ", " G21 ", " G90 ", " G94 "} {
		if !strings.Contains(words, word) {
			return false
		}
	}
	return true
}
