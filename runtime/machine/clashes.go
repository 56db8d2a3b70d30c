package machine

import (
	"fmt"
	"math"

	"wend/lang/diag"
	"wend/lang/source"
)

// CurveLinesPerSecond is how many lines a second a curve takes at most, when it
// is drawn as fast as the axes allow.
//
// A chord of a circle of radius r that leaves a gap of δ is √(8 r δ) long, and
// v²/r within the acceleration a allows v = √(a r). So v divided by the chord is
// √(a/(8 δ)), whatever the radius, up to the one at which the largest speed is
// reached; beyond it is less (elementary geometry). δ is what flattening and
// simplifying may take of the tolerance.
func (p *Profile) CurveLinesPerSecond() float64 {
	gap := p.FlattenToleranceMM() + p.SimplifyToleranceMM()
	return math.Sqrt(max(p.X.MaxAccelerationMMS2, p.Y.MaxAccelerationMMS2) / (8 * gap))
}

// RunUpMM is the way an axis needs to reach its largest speed from rest:
// v²/2a.
func (a *Axis) RunUpMM() float64 {
	return a.MaxSpeedMMS * a.MaxSpeedMMS / (2 * a.MaxAccelerationMMS2)
}

// Clashes are warnings about values that are each allowed but do not go well
// together. lineBytes is how long an instruction line is, its end included.
func (p *Profile) Clashes(lineBytes float64) diag.List {
	var out diag.List
	say := func(code diag.Code, args diag.Args) { out = append(out, diag.New(code, source.Span{}, args)) }

	carried := p.LinkBytesPerSecond() / lineBytes
	if needed := p.CurveLinesPerSecond(); needed > carried {
		say("machine-link-slow", diag.Args{
			"baud": p.Board.Baud, "carried": int(carried), "needed": int(math.Ceil(needed)),
		})
	}
	page := p.Page()
	for _, a := range []struct {
		name string
		axis *Axis
		span float64 // of the page
		area float64
		set  float64
	}{
		{"x", &p.X, page.Width(), p.Area.WidthMM, p.Board.StepsPerMM.X},
		{"y", &p.Y, page.Height(), p.Area.HeightMM, p.Board.StepsPerMM.Y},
	} {
		if run := a.axis.RunUpMM(); 2*run > a.span {
			say("machine-speed-unreached", diag.Args{
				"axis": a.name, "speed": short(a.axis.MaxSpeedMMS), "run": fmt.Sprintf("%.0f", 2*run), "span": short(a.span),
			})
		}
		if off := a.axis.ScaleUncertainty() * a.area; off > max(p.Drawing.LineWidthMM, p.Drawing.ToleranceMM) {
			say("machine-scale-unsure", diag.Args{
				"axis": a.name, "off": fmt.Sprintf("%.2f", off), "span": short(a.area),
			})
		}
		if off := math.Abs(a.set/a.axis.StepsPerMM()-1) * a.span; off > a.axis.ResolutionMM()+1e-9 {
			say("machine-board-rounds", diag.Args{
				"axis": a.name, "set": short(a.set), "drive": fmt.Sprintf("%.4f", a.axis.StepsPerMM()), "off": fmt.Sprintf("%.3f", off),
			})
		}
		if a.axis.SlackMM > 0 && a.axis.SlackMM < a.axis.ResolutionMM()/2 {
			say("machine-slack-lost", diag.Args{
				"axis": a.name, "slack": short(a.axis.SlackMM), "step": fmt.Sprintf("%.3f", a.axis.ResolutionMM()),
			})
		}
	}
	return append(out, p.Leaning()...)
}
