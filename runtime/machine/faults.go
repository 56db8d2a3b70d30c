package machine

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
)

// Faults is what is wrong with a profile of which only some keys are said so
// far, by their paths, such as "area.width_mm": values that no machine has, and
// values that do not go together. So answers can be judged one by one; what
// still has no value is not held against the others. The list has no places.
func Faults(p *Profile, said ...string) diag.List {
	var out diag.List
	for i := range keys {
		k := &keys[i]
		if !slices.Contains(said, k.path()) {
			continue
		}
		for _, n := range numbersOf(k.at(p)) {
			if why := k.refuses(n); why != "" {
				out = append(out, diag.New("profile-value", source.Span{}, diag.Args{"key": k.path(), "why": why}))
				break
			}
		}
	}
	if out.Failed() {
		return out
	}
	for _, c := range p.contradictions(func(path string) bool { return slices.Contains(said, path) }) {
		out = append(out, c.Diagnostic)
	}
	return out
}

// numbersOf are the numbers of a field.
func numbersOf(field any) []float64 {
	switch v := field.(type) {
	case *float64:
		return []float64{*v}
	case *int:
		return []float64{float64(*v)}
	case *geom.Point:
		return []float64{v.X, v.Y}
	}
	return nil
}

// refuses is why a key cannot have a number, empty if it can.
func (k *key) refuses(n float64) string {
	switch {
	case math.IsNaN(n) || math.IsInf(n, 0):
		return "it must be a number that can be measured"
	case k.above && n <= k.least:
		return "it must be above " + short(k.least)
	case n < k.least:
		return "it must be at least " + short(k.least)
	case n > k.most:
		return "it must be at most " + short(k.most)
	}
	return ""
}

// namedAxis is an axis with what else a profile says of it.
type namedAxis struct {
	name string
	axis *Axis
	span float64  // of the area, mm
	set  *float64 // the board's steps per mm
}

func (p *Profile) axes() [2]namedAxis {
	return [2]namedAxis{
		{"x", &p.X, p.Area.WidthMM, &p.Board.StepsPerMM.X},
		{"y", &p.Y, p.Area.HeightMM, &p.Board.StepsPerMM.Y},
	}
}

// wantingMargin is the axis that needs the larger margin, and how much it is.
func (p *Profile) wantingMargin() (namedAxis, float64) {
	axes := p.axes()
	x, y := axes[0].axis.MarginNeededMM(axes[0].span), axes[1].axis.MarginNeededMM(axes[1].span)
	if y > x {
		return axes[1], y
	}
	return axes[0], x
}

// MarginNeededMM is the smallest margin that covers what the stylus may be off
// on either axis, rounded up to hundredths.
func (p *Profile) MarginNeededMM() float64 {
	_, needed := p.wantingMargin()
	return math.Ceil(needed*100) / 100
}

// contradiction is a diagnostic about values that do not go together, with the
// key that is best changed.
type contradiction struct {
	diag.Diagnostic
	key string
}

// contradictions holds the values that are known against each other.
func (p *Profile) contradictions(known func(path string) bool) []contradiction {
	var out []contradiction
	say := func(key string, code diag.Code, args diag.Args) {
		out = append(out, contradiction{diag.New(code, source.Span{}, args), key})
	}
	all := func(table string, names ...string) bool {
		return !slices.ContainsFunc(names, func(name string) bool { return !known(table + "." + name) })
	}
	drives := all("x", "steps_per_turn", "microsteps", "line_mm_per_motor_turn") && all("y", "steps_per_turn", "microsteps", "line_mm_per_motor_turn")

	if page := p.Page(); all("area", "width_mm", "height_mm", "margin_mm") {
		switch {
		case page.Width() <= 0 || page.Height() <= 0:
			say("area.margin_mm", "profile-page-empty", nil)
			return out
		case !page.Contains(p.Area.StartMM):
			say("area.start_mm", "profile-start", diag.Args{
				"x": short(p.Area.StartMM.X), "y": short(p.Area.StartMM.Y), "width": short(page.Width()), "height": short(page.Height()),
			})
		}
		if drives && all("x", "line_uncertainty_mm", "slack_mm") && all("y", "line_uncertainty_mm", "slack_mm") {
			if wanting, needed := p.wantingMargin(); p.Area.MarginMM < needed {
				say("area.margin_mm", "profile-margin", diag.Args{
					"axis": wanting.name, "margin": short(p.Area.MarginMM), "needed": short(p.MarginNeededMM()),
					"slack": short(wanting.axis.SlackMM), "scale": fmt.Sprintf("%.2f", wanting.axis.ScaleUncertainty()*wanting.span), "step": fmt.Sprintf("%.3f", wanting.axis.ResolutionMM()),
				})
			}
		}
	}
	for _, a := range p.axes() {
		if !drives || !known(a.name+".max_speed_mm_s") {
			continue
		}
		if largest := a.axis.LargestSpeedMMS(p.Board.StepRateLimitHz); a.axis.MaxSpeedMMS > largest {
			say(a.name+".max_speed_mm_s", "profile-speed", diag.Args{
				"speed": short(a.axis.MaxSpeedMMS), "largest": short(math.Floor(largest*10) / 10),
				"rate": short(p.Board.StepRateLimitHz), "steps": fmt.Sprintf("%.2f", a.axis.StepsPerMM()),
			})
		}
	}
	if p.Eraser.Kind == EraserSerial && (known("eraser.port") && p.Eraser.Port == "" || known("eraser.send") && p.Eraser.Send == "") {
		say("eraser.kind", "profile-eraser", nil)
	}
	return out
}

// short is a number in as few digits as tell it.
func short(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }
