package eval

import (
	"wend/lang/code"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// Step is where a run stands: before a statement. What it holds is not to be
// changed and is good until the run goes on.
type Step struct {
	Span  source.Span
	Depth int    // calls around the statement
	Body  string // the name of the figure or function it stands in; empty in a file
	// Sheet and Vertex count from 0: where the line ends.
	Sheet, Vertex int
	// At and Heading are those of the stylus, in page mm and degrees. While
	// OnSheet is false a path is being made, and they are in its frame.
	At      geom.Point
	Heading float64
	OnSheet bool
	// Variables gives those that the statement sees and that have a value: first
	// those of the body, then those at file scope. To print long lists takes time,
	// so they are worked out where they are asked for.
	Variables func() []Variable
}

// Variable is a variable with its value, as a program prints it.
type Variable struct{ Name, Value string }

func (m *machine) step(statement int32) {
	if m.options.Step == nil {
		return
	}
	p := m.pen
	s := Step{
		Span: m.fn.Statements[statement].Span, Depth: len(m.frames) - 1, Body: m.fn.Name,
		Sheet: len(m.plan.Sheets) - 1, Vertex: len(m.sheets.points) - 1,
		At: p.outer(p.at), Heading: geom.NormalizeHeading(p.frame.heading + p.heading), OnSheet: m.onSheet(),
	}
	if m.fn.Shape == code.File {
		s.Body = ""
	}
	s.Variables = m.variables
	if m.options.Step(s) != nil {
		m.fail("run-stopped", nil)
	}
}

// variables are those that the current statement sees.
func (m *machine) variables() []Variable {
	list := m.visible(nil, m.fn, m.pc-1, m.numBase, m.vBase, m.currentSpilled())
	main := len(m.modules) - 1
	if body := m.program.Modules[main].Body; m.fn.Shape != code.File && len(m.frames) > 1 && m.frames[0].fn == int32(body) {
		frame := m.modules[main]
		list = m.visible(list, m.program.Funcs[body], int(m.frames[1].pc)-1, frame.numBase, frame.vBase, frame.spilled)
	}
	return list
}

// currentSpilled are the spilled variables of the current body, if it has any.
func (m *machine) currentSpilled() []value.Value {
	if m.fn.Spilled == 0 {
		return nil
	}
	return m.ownSpilled()
}

// visible adds the variables of a body that live at an instruction and have a
// value.
func (m *machine) visible(list []Variable, fn *code.Func, pc, numBase, vBase int, spilled []value.Value) []Variable {
	add := func(name string, rep code.Rep, register uint8, place int) {
		var v value.Value
		switch {
		case place >= 0:
			v = spilled[place]
		case rep == code.Val:
			v = m.values[vBase+int(register)]
		default:
			n := m.numbers[numBase+int(register):]
			switch {
			case n[0] != n[0]:
				return // it has no value yet
			case rep == code.Bool:
				v = value.Bool(n[0] != 0)
			case rep == code.Point:
				v = value.Point(geom.Point{X: n[0], Y: n[1]})
			default:
				v = value.Number(n[0])
			}
		}
		if v != value.Nothing {
			list = append(list, Variable{name, v.String()})
		}
	}
	for _, p := range fn.Params {
		add(p.Name, p.Rep, p.Register, -1)
	}
	for _, v := range fn.Variables {
		if v.From <= pc && pc < v.To {
			add(v.Name, v.Rep, v.Register, v.Spilled)
		}
	}
	return list
}
