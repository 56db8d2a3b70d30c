package machine

import (
	"fmt"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/elementary"
	"wend/runtime/geom"
)

// Reachable is the part of the page that the motors can bring the stylus to
// without leaving the area, in page mm: all of it on a frame that is square, the
// widest upright rectangle on one that is not.
//
// With an angle θ between the axes, the x motor stands at x - y cot θ and the y
// motor at y / sin θ (elementary geometry, in machine mm), each with half the
// slack and a step to either side: towards the top, a page that leans is pushed
// out of the area at the side.
func (p *Profile) Reachable() geom.Box {
	box := p.Page()
	if p.Frame.SquarenessDeg == 90 {
		return box
	}
	sin, cos := elementary.SinCosDegrees(p.Frame.SquarenessDeg)
	beside := func(a *Axis) float64 { return float64(a.SlackMM/2) + a.ResolutionMM() }
	margin := p.Area.MarginMM
	box.Max.Y = min(box.Max.Y, float64((p.Area.HeightMM-beside(&p.Y))*sin)-margin)
	box.Min.Y = max(box.Min.Y, float64(beside(&p.Y)*sin)-margin)
	low, high := float64((box.Min.Y+margin)*cos)/sin, float64((box.Max.Y+margin)*cos)/sin
	box.Min.X = max(box.Min.X, beside(&p.X)+max(low, high)-margin)
	box.Max.X = min(box.Max.X, p.Area.WidthMM-beside(&p.X)+min(low, high)-margin)
	return box
}

// Leaning warns where a frame that is out of square keeps the stylus from a part
// of the page.
func (p *Profile) Leaning() diag.List {
	page, box := p.Page(), p.Reachable()
	if box == page {
		return nil
	}
	lost := max(box.Min.X-page.Min.X, page.Max.X-box.Max.X, box.Min.Y-page.Min.Y, page.Max.Y-box.Max.Y)
	mm := func(v float64) string { return fmt.Sprintf("%.2f", v) }
	return diag.List{diag.New("machine-page-leans", source.Span{}, diag.Args{
		"degrees": short(p.Frame.SquarenessDeg), "lost": mm(lost), "margin": mm(p.Area.MarginMM + lost),
		"left": mm(box.Min.X), "right": mm(box.Max.X), "lower": mm(box.Min.Y), "upper": mm(box.Max.Y),
	})}
}
