package bench_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/lang/source"
	"wend/runtime/calibrate"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/simulator"
)

// eye is an operator who sees the sheet and nothing else: the line that the
// stylus left, a ruler that tells a quarter of a millimetre, and which tooth of
// a comb lines up. It never looks at a profile, a command or a setting.
type eye struct {
	m         *simulator.Machine
	markMM    float64 // the marks stand that far inside the walls
	walls     geom.Point
	blank     int // how much of the trace was there when the sheet was wiped
	looked    geom.Point
	questions int
	wipes     int // and other things that were asked for and done
	// slips makes readings that are off, as people's are; nil for a perfect eye.
	slips *slips
	seed  uint64
}

func ruler(mm float64) float64 {
	return math.Round(mm*4) / 4
}

func (e *eye) sheet() []geom.Point { return e.m.Trace()[e.blank:] }

func (e *eye) Ready(context.Context, calibrate.Question) error {
	e.wipes++
	e.blank = len(e.m.Trace()) - 1
	e.looked = e.m.Look().StylusMM
	return nil
}

// stroke is a part of the line that runs along one axis, to and fro.
type stroke struct {
	axis     calibrate.Axis
	from, to geom.Point
	far      geom.Point // the end farthest from where it began
}

// strokes cuts a line where it changes from one axis to the other; what is
// shorter than half a millimetre is not seen.
func strokes(line []geom.Point) []stroke {
	var out []stroke
	join := func(s stroke) {
		n := len(out)
		if n == 0 || out[n-1].axis != s.axis {
			out = append(out, s)
			return
		}
		last := &out[n-1]
		last.to = s.to
		for _, p := range []geom.Point{s.far, s.to} {
			if p.Distance(last.from) > last.far.Distance(last.from) {
				last.far = p
			}
		}
	}
	for i := 1; i < len(line); i++ {
		way := line[i].Sub(line[i-1])
		axis := calibrate.X
		if math.Abs(way.Y) > math.Abs(way.X) {
			axis = calibrate.Y
		}
		join(stroke{axis: axis, from: line[i-1], to: line[i], far: line[i]})
	}
	all := out
	out = nil
	for _, s := range all {
		if s.far.Distance(s.from) > 0.5 {
			join(s)
		}
	}
	return out
}

// across are the strokes across an axis: its ticks or teeth.
func (e *eye) across(a calibrate.Axis) []stroke {
	var out []stroke
	for _, s := range strokes(e.sheet()) {
		// A tick comes back, but for the slack; a way from row to row does not.
		if s.axis != a && s.to.Distance(s.from) < s.far.Distance(s.from)/2 {
			out = append(out, s)
		}
	}
	return out
}

func along(p geom.Point, a calibrate.Axis) float64 {
	if a == calibrate.X {
		return p.X
	}
	return p.Y
}

// offTheLine is how far a place is from the straight line through a stroke,
// measured along an axis.
func offTheLine(p geom.Point, s stroke, a calibrate.Axis) float64 {
	way := s.far.Sub(s.from)
	t := (along(p, 1-a) - along(s.from, 1-a)) / along(way, 1-a)
	return along(p, a) - along(s.from, a) - t*along(way, a)
}

func (e *eye) Measure(_ context.Context, q calibrate.Question) (float64, error) {
	e.questions++
	at := e.m.Look().StylusMM
	if e.slips == nil {
		mm, err := e.measured(q, 0)
		return mm, err
	}
	if q.Look.Kind == calibrate.Comb {
		tooth, err := e.measured(q, e.slips.aligned(q.Look.FarEnd))
		return e.slips.tooth(tooth, q.High), err
	}
	mm, err := e.measured(q, 0)
	said := min(q.High, max(q.Low, e.slips.length(mm)))
	if e.seed == *traced && err == nil {
		fmt.Printf("%s (%s): %.2f, in truth %.2f; stylus at %v\n", q.Ask, q.More, said, mm, at)
	}
	return said, err
}

// measured is what a perfect eye reads; a comb with the stated misalignment.
func (e *eye) measured(q calibrate.Question, misalignedMM float64) (float64, error) {
	ruler, at := ruler, e.m.Look().StylusMM
	if e.slips != nil {
		ruler = func(mm float64) float64 { return mm }
	}
	switch q.Look.Kind {
	case calibrate.Ticks:
		ticks := e.across(q.Look.Axis)
		if q.Look.To >= len(ticks) {
			return 0, fmt.Errorf("%s: there are %d ticks", q.Ask, len(ticks))
		}
		return ruler(ticks[q.Look.From].from.Distance(ticks[q.Look.To].from)), nil
	case calibrate.ToMark:
		to := map[calibrate.Edge]float64{
			calibrate.Left: at.X - e.markMM, calibrate.Right: e.walls.X - e.markMM - at.X,
			calibrate.Lower: at.Y - e.markMM, calibrate.Upper: e.walls.Y - e.markMM - at.Y,
		}[q.Look.Edge]
		return ruler(to), nil
	case calibrate.Comb:
		teeth := e.across(q.Look.Axis)
		n := len(teeth) / 2
		best, least := 0, math.Inf(1)
		for i := range n {
			// The lower row was drawn the other way round.
			off := math.Abs(offTheLine(teeth[len(teeth)-1-i].far, teeth[i], q.Look.Axis) + misalignedMM)
			if off < least {
				best, least = i, off
			}
		}
		if q.Look.FarEnd {
			best = n - 1 - best
		}
		return float64(best), nil
	case calibrate.Corners:
		sides := strokes(e.sheet())
		return ruler(sides[q.Look.From].from.Distance(sides[q.Look.To].from)), nil
	}
	return 0, fmt.Errorf("nothing to measure: %s", q.Ask)
}

// Approach tells how far a mark is.
func (e *eye) Approach(ctx context.Context, q calibrate.Question, _ func(context.Context, float64) error) (float64, bool, error) {
	left, err := e.Measure(ctx, q)
	return left, false, err
}

func (e *eye) Choose(_ context.Context, q calibrate.Question) (int, error) {
	e.questions++
	at := e.m.Look().StylusMM
	switch q.Look.Kind {
	case calibrate.Heading:
		way := at.Sub(e.looked)
		e.looked = at
		switch {
		case way.Length() < 0.2:
			return 4, nil
		case math.Abs(way.X) > math.Abs(way.Y) && way.X > 0:
			return 0, nil
		case math.Abs(way.X) > math.Abs(way.Y):
			return 1, nil
		case way.Y > 0:
			return 2, nil
		}
		return 3, nil
	case calibrate.Returned:
		// Whether the line passes again where it began.
		line := e.sheet()
		if at.Distance(line[0]) < 0.25 {
			return 0, nil
		}
		return 1, nil
	case calibrate.Clean:
		wipes := e.m.Eraser().Wipes()
		e.blank = 0
		if wipes[len(wipes)-1].Clean {
			return 0, nil
		}
		return 1, nil
	case calibrate.Stands:
		return 1, nil
	}
	return 0, fmt.Errorf("nothing to choose: %s", q.Ask)
}

// guessed is the profile of somebody who wrote down what a ruler said of one
// turn, and knows nothing else.
func guessed() *machine.Profile {
	p := machine.DeskToy()
	p.BuiltIn = false
	p.Name = "blindfold"
	for _, a := range []*machine.Axis{&p.X, &p.Y} {
		a.SlackMM, a.MaxSpeedMMS, a.MaxAccelerationMMS2, a.LineUncertaintyMM = 0, 20, 150, 0.5
	}
	return p
}

// hidden is a machine behind the blindfold.
type hidden struct {
	stepsPerMM, slackMM [2]float64
	squarenessDeg       float64
	reversed            [2]bool
}

func (h hidden) setup(p *machine.Profile) simulator.Setup {
	return simulator.Setup{
		Board: simulator.Board{
			StepsPerMM:   [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
			RateMMPerMin: [2]float64{1200, 1200}, AccelerationMMS2: [2]float64{150, 150},
		},
		Mechanics: simulator.Mechanics{
			StepsPerMM: h.stepsPerMM, SlackMM: h.slackMM, SquarenessDeg: h.squarenessDeg, Reversed: h.reversed,
			StartMM: geom.Point{X: 75.8, Y: 54.5}, GapMM: [2]float64{h.slackMM[0], 0},
		},
	}
}

func calibrated(t require.TestingT, h hidden, parts ...calibrate.Part) (*calibrate.Session, *rig, *eye) {
	p := guessed()
	b := on(t, h.setup(p), p)
	e := &eye{m: b.m, markMM: 2, walls: geom.Point{X: 150, Y: 110}}
	s := calibrate.Begin(b, e, b, p, nil)
	for _, part := range parts {
		err := s.Run(context.Background(), part)
		require.NoError(t, err, part)
	}
	return s, b, e
}

// The profile that comes out is right to within one and a half steps of slack, 0.2 % of
// scale and 0.1 degrees, whatever the machine behind the blindfold; and the
// stylus never touched a wall.
func requireFound(t require.TestingT, h hidden, s *calibrate.Session, b *rig) {
	p := s.Profile()
	for i, a := range []*machine.Axis{&p.X, &p.Y} {
		require.InEpsilon(t, h.stepsPerMM[i], a.StepsPerMM(), 0.002, "scale")
		require.InDelta(t, h.slackMM[i], a.SlackMM, 1.5/h.stepsPerMM[i]+0.0005, "slack")
		require.Equal(t, h.reversed[i], a.Reversed)
		require.LessOrEqual(t, math.Abs(a.StepsPerMM()/h.stepsPerMM[i]-1), a.ScaleUncertainty(), "the scale is as sure as it is said to be")
		require.InDelta(t, a.StepsPerMM(), []float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y}[i], 0.0005)
	}
	require.InDelta(t, h.squarenessDeg, p.Frame.SquarenessDeg, 0.1)
	require.True(t, p.Calibrated)
	require.InDelta(t, 146, p.Area.WidthMM, 2)
	require.InDelta(t, 106, p.Area.HeightMM, 2)
	// Two readings of a quarter of a millimetre, and what the scale may be off.
	require.LessOrEqual(t, p.Area.WidthMM, 146.7)
	require.LessOrEqual(t, p.Area.HeightMM, 106.6)
	require.Empty(t, b.m.Look().Contacts)
	// What comes out can be used.
	back, list := machine.Read(source.New("found.toml", string(machine.Marshal(p))))
	require.False(t, list.Failed(), "%v", list)
	require.Equal(t, p, back)
}

var sheetParts = []calibrate.Part{calibrate.Direction, calibrate.Scale, calibrate.Area, calibrate.Slack, calibrate.Squareness, calibrate.Length}

func TestAMachineIsCalibratedThroughItsPatternsAlone(t *testing.T) {
	for name, h := range map[string]hidden{
		"true":     {[2]float64{100, 100}, [2]float64{0, 0}, 90, [2]bool{}},
		"slack":    {[2]float64{100, 100}, [2]float64{0.4, 0.73}, 90, [2]bool{}},
		"worn":     {[2]float64{103.7, 96.2}, [2]float64{1.31, 1.87}, 91.2, [2]bool{true, false}},
		"leaning":  {[2]float64{98.3, 101.1}, [2]float64{0.25, 0.05}, 88.6, [2]bool{false, true}},
		"contrary": {[2]float64{108, 108}, [2]float64{0.9, 0.1}, 90.4, [2]bool{true, true}},
	} {
		t.Run(name, func(t *testing.T) {
			s, b, e := calibrated(t, h, sheetParts...)
			for _, f := range s.Findings() {
				t.Logf("%s: %s", f.Part, f.Text)
			}
			p := s.Profile()
			t.Logf("scale off by %.3f %% and %.3f %%, slack by %.4f and %.4f mm, squareness by %.3f°; %d questions, %.0f s",
				100*(p.X.StepsPerMM()/h.stepsPerMM[0]-1), 100*(p.Y.StepsPerMM()/h.stepsPerMM[1]-1), p.X.SlackMM-h.slackMM[0], p.Y.SlackMM-h.slackMM[1],
				p.Frame.SquarenessDeg-h.squarenessDeg, e.questions, b.m.Now())
			requireFound(t, h, s, b)
		})
	}
}

// A profile that knows the slack spares the coarse comb, and one that knows it
// wrongly has it drawn after all.
func TestWhereTheSlackIsKnownTheFineCombIsEnough(t *testing.T) {
	h := hidden{[2]float64{100, 100}, [2]float64{0.4, 0.73}, 90, [2]bool{}}
	s, b, e := calibrated(t, h, sheetParts...)
	before := e.wipes
	require.NoError(t, s.Run(context.Background(), calibrate.Slack))
	require.Equal(t, 2, e.wipes-before)
	requireFound(t, h, s, b)

	p := s.Profile()
	p.X.SlackMM, p.Y.SlackMM = 0.9, 0.73
	at, _ := b.Where()
	again := calibrate.Begin(b, e, b, p, &at)
	before = e.wipes
	require.NoError(t, again.Run(context.Background(), calibrate.Slack))
	require.Equal(t, 3+1, e.wipes-before)
	p = again.Profile()
	require.InDelta(t, 0.4, p.X.SlackMM, 0.016)
	require.InDelta(t, 0.73, p.Y.SlackMM, 0.016)
	require.Empty(t, b.m.Look().Contacts)
}

func TestAnyMachineIsCalibratedThroughItsPatternsAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := hidden{
			stepsPerMM:    [2]float64{rapid.Float64Range(90, 110).Draw(t, "x"), rapid.Float64Range(90, 110).Draw(t, "y")},
			slackMM:       [2]float64{rapid.Float64Range(0, 2).Draw(t, "x slack"), rapid.Float64Range(0, 2).Draw(t, "y slack")},
			squarenessDeg: rapid.Float64Range(88.5, 91.5).Draw(t, "squareness"),
			reversed:      [2]bool{rapid.Bool().Draw(t, "x reversed"), rapid.Bool().Draw(t, "y reversed")},
		}
		s, b, _ := calibrated(t, h, sheetParts...)
		requireFound(t, h, s, b)
	})
}
