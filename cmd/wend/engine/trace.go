package engine

import (
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
)

// Trace makes an instruction file ready, of whatever origin: its line is drawn
// like that of a program, with instructions of our own for this machine. The
// result is nil if any of the list is an error.
func Trace(file *source.File, settings Settings) (*Program, diag.List) {
	start := settings.Profile.Area.StartMM
	if settings.Start != nil {
		start = *settings.Start
	}
	traced, list := gcode.Trace(file.Name, file.Text, settings.Profile, gcode.TraceOptions{Start: start, DrawTravel: settings.DrawTravel})
	if traced.Plan == nil {
		return nil, list
	}
	return &Program{Settings: settings, name: file.Name, traced: &traced}, list
}

// Traced reports whether the line comes from an instruction file.
func (p *Program) Traced() bool { return p.traced != nil }

// StartSaid reports whether an instruction file says where the stylus must
// stand. A program never does: it begins where the stylus is, or walks to where
// it begins.
func (p *Program) StartSaid() bool { return p.traced != nil && p.traced.Asserted }
