package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"

	"wend/cmd/wend/engine"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// rehearsalMarkMM is how far the marks of a rehearsal stand inside the walls.
const rehearsalMarkMM = 2

// hidden is a simulated machine that is not as its profile says, for a
// rehearsal: only what the parts that are rehearsed can find is otherwise.
type hidden struct {
	seed  uint64
	setup simulator.Setup
	truth map[string]float64 // by the names of figures
}

// seedOr is a seed that was given, or for 0 another one every time.
func (c console) seedOr(seed uint64) uint64 {
	if seed != 0 {
		return seed
	}
	return uint64(c.now().UnixNano()/1e6%9999) + 1
}

// hide makes the machine of a rehearsal from a seed.
func hide(p *machine.Profile, parts []calibrate.Part, seed uint64) hidden {
	rng := rand.New(rand.NewPCG(seed, 0x7475_6e65))
	about := func(most float64) float64 { return (2*rng.Float64() - 1) * most }
	h := hidden{seed: seed, setup: engine.Simulated(p, p.ToPage(p.AreaBox().Max.Times(0.5)), machine.Gap{}), truth: map[string]float64{}}
	m := &h.setup.Mechanics
	// All are drawn in any case, so that a seed means the same machine.
	scales := [2]float64{about(0.06), about(0.06)}
	slacks := [2]float64{0.15 + rng.Float64(), 0.15 + rng.Float64()}
	degrees := math.Round((90+about(1.2))*100) / 100
	aside := geom.Point{X: about(0.6), Y: about(0.6)}
	for i, a := range []*machine.Axis{&p.X, &p.Y} {
		name := calibrate.Axis(i).String()
		switch {
		case slices.Contains(parts, calibrate.Scale):
			m.StepsPerMM[i] *= 1 + scales[i]
		case slices.Contains(parts, calibrate.Length):
			// What the profile is unsure of.
			m.StepsPerMM[i] *= 1 + scales[i]/0.06*a.ScaleUncertainty()
		}
		if slices.Contains(parts, calibrate.Slack) {
			m.SlackMM[i] = math.Round(slacks[i]*100) / 100
			m.GapMM[i] = 0
		}
		h.truth[name+" scale"], h.truth[name+" slack"] = m.StepsPerMM[i], m.SlackMM[i]
	}
	if slices.Contains(parts, calibrate.Squareness) {
		m.SquarenessDeg = degrees
	}
	if slices.ContainsFunc(parts, calibrate.Part.FromMiddle) {
		// The middle was found by eye.
		m.StartMM = m.StartMM.Add(aside)
	}
	h.truth["squareness"] = m.SquarenessDeg
	h.truth["x marks apart"], h.truth["y marks apart"] = m.WidthMM-2*rehearsalMarkMM, m.HeightMM-2*rehearsalMarkMM
	return h
}

// truthJSON is a figure that a simulated machine hid.
type truthJSON struct {
	Name  string  `json:"name"`
	Truth float64 `json:"truth"`
	Unit  string  `json:"unit"`
}

// truths are the figures of a machine itself, whatever was found of them.
func (h *hidden) truths() []truthJSON {
	all := []truthJSON{
		{Name: "x scale", Unit: "steps/mm"}, {Name: "y scale", Unit: "steps/mm"},
		{Name: "x slack", Unit: "mm"}, {Name: "y slack", Unit: "mm"},
		{Name: "squareness", Unit: "degrees"},
	}
	for i := range all {
		all[i].Truth = micron(h.truth[all[i].Name])
	}
	return all
}

// hiddenJSON is what a rehearsal hid, and what was found of it.
type hiddenJSON struct {
	Seed    uint64          `json:"seed"`
	Figures []revealingJSON `json:"figures"`
}

type revealingJSON struct {
	figureJSON
	Truth  float64 `json:"truth"`
	Inside bool    `json:"inside"` // the truth is within the bound
}

// revealed holds what was found against what was hidden; the last finding of
// each thing counts.
func (h *hidden) revealed(findings []findingJSON) hiddenJSON {
	out := hiddenJSON{Seed: h.seed, Figures: []revealingJSON{}}
	for _, found := range findings {
		for _, f := range found.Figures {
			truth, known := h.truth[f.Name]
			if !known {
				continue
			}
			r := revealingJSON{f, micron(truth), math.Abs(f.Value-truth) <= f.Bound}
			at := slices.IndexFunc(out.Figures, func(other revealingJSON) bool { return other.Name == f.Name })
			if at < 0 {
				out.Figures = append(out.Figures, r)
			} else {
				out.Figures[at] = r
			}
		}
	}
	return out
}

func (h *hiddenJSON) text(w io.Writer) {
	fmt.Fprintf(w, "the simulated machine of seed %d, and how near you came:\n", h.Seed)
	for _, f := range h.Figures {
		verdict := "within your bound"
		if !f.Inside {
			verdict = "outside your bound"
		}
		fmt.Fprintf(w, "  %-14s was %.2f %s; found %.2f ± %.2f, %.2f off: %s\n", f.Name, f.Truth, f.Unit, f.Value, f.Bound, math.Abs(f.Value-f.Truth), verdict)
	}
}
