package gcode

import (
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// Verify reads a whole text back.
func Verify(name string, text []byte, p *machine.Profile, sheet *plan.Sheet, compensated bool, gap machine.Gap) Verdict {
	v := NewVerification(p, sheet, compensated, gap)
	v.Write(text) // never fails
	return v.Done(name, func() []byte { return text })
}
