package value

import "wend/runtime/geom"

// Runs are the boxes around the runs of the path's segments, made once and kept
// like its lengths.
func (p *Path) Runs() geom.Runs {
	if known := p.runs.Load(); known != nil {
		return *known
	}
	runs := geom.RunsOf(p.Points)
	p.runs.Store(&runs)
	return runs
}

// Measured is the path with the length up to each of its points. It is measured
// once and kept with the path, so that questions about places along a path take
// no longer the longer it is.
func (p *Path) Measured() geom.Measured {
	if known := p.measured.Load(); known != nil {
		return *known
	}
	measured := geom.Measure(p.Points)
	p.measured.Store(&measured)
	return measured
}
