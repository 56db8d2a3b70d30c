package bench_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/calibrate"
	"wend/runtime/geom"
)

var blindCalibrations = flag.Int("blind", 12, "how many machines are calibrated by an operator whose readings are off")

var traced = flag.Uint64("traced", math.MaxUint64, "print what is asked and answered in the blind calibration of one seed")

// slips are the errors of somebody with a ruler.
type slips struct {
	rng  *rand.Rand
	bad  int     // how many readings were wrong
	sees float64 // by how much the strokes of a comb are misjudged, mm
}

const (
	readingErrorMM = 0.3  // standard deviation
	alignErrorMM   = 0.04 // of an eye that sees two strokes line up
	wrongOnes      = 0.1  // share of readings that are wrong
)

// wrong is by how much a reading is wrong beyond that, between two sizes.
func (s *slips) wrong(least, most float64) float64 {
	if s.rng.Float64() >= wrongOnes {
		return 0
	}
	s.bad++
	by := least + s.rng.Float64()*(most-least)
	if s.rng.IntN(2) == 0 {
		by = -by
	}
	return by
}

func (s *slips) length(mm float64) float64 {
	return mm + readingErrorMM*s.rng.NormFloat64() + s.wrong(1.5, 8)
}

// aligned is by how much strokes are misjudged that line up. Whoever counts the
// same tooth from the other end judges it no other way.
func (s *slips) aligned(same bool) float64 {
	if !same {
		s.sees = alignErrorMM * s.rng.NormFloat64()
	}
	return s.sees
}

func (s *slips) tooth(n, most float64) float64 {
	return min(most, max(0, n+math.Round(s.wrong(1, 6))))
}

// blind is what came of one calibration.
type blind struct {
	questions, wrong int
	given            bool // a part was given up
	figures          map[string]calibrate.Figure
	truth            map[string]float64
	contacts         int
	troubles         []string
}

func calibrateBlind(t require.TestingT, seed uint64) blind {
	rng := rand.New(rand.NewPCG(seed, 1))
	between := func(a, b float64) float64 { return a + rng.Float64()*(b-a) }
	h := hidden{
		stepsPerMM:    [2]float64{between(90, 110), between(90, 110)},
		slackMM:       [2]float64{between(0, 1.5), between(0, 1.5)},
		squarenessDeg: between(88.5, 91.5),
		reversed:      [2]bool{rng.IntN(2) == 0, rng.IntN(2) == 0},
	}
	p := guessed()
	b := on(t, h.setup(p), p)
	e := &eye{m: b.m, markMM: 2, walls: geom.Point{X: 150, Y: 110}, slips: &slips{rng: rng}}
	s := calibrate.Begin(b, e, b, p, nil)
	e.seed = seed
	out := blind{truth: map[string]float64{
		"x scale": h.stepsPerMM[0], "y scale": h.stepsPerMM[1], "x slack": h.slackMM[0], "y slack": h.slackMM[1],
		"squareness": h.squarenessDeg, "x marks apart": 146, "y marks apart": 106,
	}, figures: map[string]calibrate.Figure{}}
	for i, tries := 0, 0; i < len(sheetParts); {
		err := s.Run(context.Background(), sheetParts[i])
		if err == nil {
			i, tries = i+1, 0
			continue
		}
		var trouble *calibrate.Trouble
		require.ErrorAs(t, err, &trouble, "seed %d, %s", seed, sheetParts[i])
		out.troubles = append(out.troubles, fmt.Sprintf("%s: %s", sheetParts[i], trouble.Text))
		if tries++; tries == 5 {
			out.given = true
			break
		}
		if trouble.From != "" {
			i = slices.Index(sheetParts, trouble.From)
		}
	}
	for _, found := range s.Findings() {
		for _, f := range found.Figures {
			out.figures[f.Name] = f
		}
	}
	out.questions, out.wrong, out.contacts = e.questions, e.slips.bad, len(b.m.Look().Contacts)
	return out
}

// A hidden machine is calibrated by somebody whose readings are off by 0.3 mm
// (standard deviation), one in ten by 1.5 mm or more besides, and who miscounts
// one tooth in ten. What is stated holds: the truth is within the bound of 95 in
// 100 figures, never farther off than twice of it, and no wall is touched.
func TestBoundsHoldWhoeverReads(t *testing.T) {
	inside, all := map[string]int{}, map[string]int{}
	worst := map[string]float64{}
	questions, wrong, again, given := 0, 0, 0, 0
	for seed := range uint64(*blindCalibrations) {
		out := calibrateBlind(t, seed)
		require.Zero(t, out.contacts, "seed %d touches a wall", seed)
		questions, wrong, again = questions+out.questions, wrong+out.wrong, again+len(out.troubles)
		for _, trouble := range out.troubles {
			t.Logf("seed %d: %s", seed, trouble)
		}
		if out.given {
			given++
		}
		for name, f := range out.figures {
			off := math.Abs(f.Value-out.truth[name]) / f.Bound
			all[name]++
			if off <= 1 {
				inside[name]++
			}
			if off > 2 {
				t.Errorf("seed %d: %s is said to be %.3f ± %.3f %s, and is %.3f", seed, name, f.Value, f.Bound, f.Unit, out.truth[name])
			}
			worst[name] = max(worst[name], off)
		}
	}
	n := float64(*blindCalibrations)
	t.Logf("%d calibrations: %.0f questions each, %.1f answers wrong, %.2f parts begun again, %d given up", *blindCalibrations, float64(questions)/n, float64(wrong)/n, float64(again)/n, given)
	for name, count := range all {
		t.Logf("%-14s inside its bound in %5.1f %%, at most %.2f bounds off", name, 100*float64(inside[name])/float64(count), worst[name])
		require.GreaterOrEqual(t, float64(inside[name]), 0.95*float64(count)-1, name)
	}
}
