package gcode

import (
	"sync"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Check reads anyone's instruction file and holds every motion against the
// area of a machine. What it passes on may be drawn by it.
func Check(name, text string, p *machine.Profile) (Reading, diag.List) {
	var leave [4]leaving // by side
	area := p.AreaBox()
	judge := func(box geom.Box, start int) {
		for i, over := range [4]float64{area.Min.X - box.Min.X, box.Max.X - area.Max.X, area.Min.Y - box.Min.Y, box.Max.Y - area.Max.Y} {
			leave[i].note(over, start)
		}
	}
	file := sync.OnceValue(func() *source.File { return source.New(name, text) })
	r := newReader(Settings{Start: p.ToMachine(p.Area.StartMM)}, func(m *Motion) {
		box := geom.Box{Min: m.To, Max: m.To}
		if m.Arc != nil {
			box = m.Arc.Bounds(m.From, m.To)
		}
		judge(box.Include(m.From), m.Start)
	}, file)
	r.lines(text)
	reading, diagnostics := r.done()
	for i, past := range [4]string{"past the left edge", "past the right edge", "below the lower edge", "above the upper edge"} {
		if l := leave[i]; l.count > 0 {
			diagnostics = append(diagnostics, diag.New("instruction-outside-area", lineSpan(file(), l.start), diag.Args{
				"past": past, "mm": diag.Millimetres(l.most), "count": l.count,
				"width": p.Area.WidthMM, "height": p.Area.HeightMM,
			}))
		}
	}
	if reading.Motions > 0 && !reading.Asserted {
		diagnostics = append(diagnostics, diag.New("instruction-start-unsaid", lineSpan(file(), reading.FirstMotion), nil))
	}
	return reading, diagnostics.Sorted()
}

// edgeToleranceMM: on the edge is inside; sums of decimal numbers in binary
// are off by less than this.
const edgeToleranceMM = 1e-6

// leaving is what is known of the motions past one edge.
type leaving struct {
	count, start int
	most         float64
}

func (l *leaving) note(over float64, start int) {
	if over <= edgeToleranceMM {
		return
	}
	if l.count == 0 {
		l.start = start
	}
	l.count++
	l.most = max(l.most, over)
}
