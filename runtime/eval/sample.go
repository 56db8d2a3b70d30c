package eval

import (
	"errors"

	"wend/lang/diag"
	"wend/runtime/geom"
)

// sample flattens a curve by formula.
func (m *machine) sample(f *formula, from, to float64) []geom.Point {
	var points []geom.Point
	var err error
	var bound geom.Bound
	if f.fn.Jet != nil {
		bound = f.bound()
	}
	if bound != nil {
		points, err = geom.SampleProven(f.at, bound, from, to, m.options.ToleranceMM, m.pointsLeft())
	}
	// Where a condition is never decided, nothing is proven although the curve
	// is there.
	var unproven *geom.UndefinedError
	if bound == nil || f.fn.Jet.Chooses() && errors.As(err, &unproven) {
		var surprise geom.Surprise
		points, surprise, err = geom.SampleByRule(f.at, from, to, m.options.ToleranceMM, m.pointsLeft())
		switch {
		case f.fn.Hides:
			m.warn("curve-condition", diag.Args{"variable": f.fn.Params[0].Name}, nil)
		case surprise.AwayMM > m.options.LineWidthMM/2:
			m.warn("curve-by-rule", diag.Args{"variable": f.fn.Params[0].Name, "value": shown(surprise.T), "away": shown(surprise.AwayMM)}, nil)
		}
	}
	if err != nil {
		m.curveFault(f, err)
	}
	return points
}

func (m *machine) curveFault(f *formula, err error) {
	variable := f.fn.Params[0].Name
	var jump *geom.JumpError
	var undefined *geom.UndefinedError
	var tooMany *geom.TooManyPointsError
	switch {
	case errors.As(err, &jump):
		m.fail("curve-jump", diag.Args{"width": nearly(jump.Width()), "variable": variable, "value": nearly(jump.T0)})
	case errors.As(err, &undefined):
		m.fail("curve-undefined", diag.Args{"variable": variable, "value": nearly(undefined.T0)})
	case errors.As(err, &tooMany):
		m.tooMany(err)
	default:
		m.failed(err)
	}
}

// warn adds a warning at the current instruction, once for each place.
func (m *machine) warn(code diag.Code, args diag.Args, more func(diag.Diagnostic) diag.Diagnostic) {
	span := m.span()
	for _, w := range m.warnings {
		if w.Code == code && w.Span == span {
			return
		}
	}
	d := diag.New(code, span, args)
	if more != nil {
		d = more(d)
	}
	m.warnings = append(m.warnings, d)
}
