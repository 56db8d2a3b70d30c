package engine

import (
	"bytes"
	"context"
	"io"

	"wend/lang/diag"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/lower"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/simulator"
)

// Simulated is a simulated machine that is as a profile says: its board is set
// as the profile's, and its mechanics have the profile's steps, slack, skew and
// walls. The stylus stands at a place of the page, each axis somewhere in its
// slack.
func Simulated(p *machine.Profile, stylus geom.Point, gap machine.Gap) simulator.Setup {
	mask := 0
	for bit, axis := range []*machine.Axis{&p.X, &p.Y} {
		if axis.Reversed {
			mask |= 1 << bit
		}
	}
	return simulator.Setup{
		Board: simulator.Board{
			StepsPerMM:       [2]float64{p.Board.StepsPerMM.X, p.Board.StepsPerMM.Y},
			RateMMPerMin:     [2]float64{p.X.MaxSpeedMMS * 60, p.Y.MaxSpeedMMS * 60},
			AccelerationMMS2: [2]float64{p.X.MaxAccelerationMMS2, p.Y.MaxAccelerationMMS2},
			TravelMM:         [2]float64{p.Area.WidthMM, p.Area.HeightMM},
			CornerMM:         p.Drawing.CornerDeviationMM,
			DirectionMask:    mask,
			ReceiveBytes:     p.Board.ReceiveBufferBytes, LineBytes: p.Board.LineLimitBytes,
			QueueMoves: p.Board.QueueMoves, Baud: p.Board.Baud, StepRateHz: p.Board.StepRateLimitHz,
		},
		Mechanics: simulator.Mechanics{
			StepsPerMM:    [2]float64{p.X.StepsPerMM(), p.Y.StepsPerMM()},
			SlackMM:       [2]float64{p.X.SlackMM, p.Y.SlackMM},
			Reversed:      [2]bool{p.X.Reversed, p.Y.Reversed},
			SquarenessDeg: p.Frame.SquarenessDeg,
			WidthMM:       p.Area.WidthMM, HeightMM: p.Area.HeightMM,
			StartMM: p.ToMachine(stylus),
			GapMM:   [2]float64{gapMM(&p.X, gap.X), gapMM(&p.Y, gap.Y)},
		},
		Eraser: simulator.EraserSetup{
			Send: p.Eraser.Send, Done: p.Eraser.Done, Baud: p.Eraser.Baud, Rounds: p.Eraser.Rounds,
		},
	}
}

// gapMM is the share of an axis' slack that some of its steps stand for.
func gapMM(a *machine.Axis, gap int32) float64 {
	if gap <= 0 {
		return 0
	}
	return a.SlackMM * float64(gap) / float64(a.SlackSteps())
}

// AsDrawn is what a stylus made of a sheet's instructions.
type AsDrawn struct {
	Line              []geom.Point // page mm
	LargestMM, MeanMM float64      // deviation from the plan
	Seconds           float64
	Contacts          int // how often the stylus ran into a wall
	// Uncompensated is what it would make of instructions that do not make up
	// for slack and skew; nil where there is neither.
	Uncompensated *AsDrawn
}

// Simulate lets the simulated machine draw the instructions of a sheet, which
// Lower wrote, and compares its line with the plan.
func (p *Program) Simulate(ctx context.Context, drawn *plan.Plan, sheet int, known Sheet, instructions []byte) (AsDrawn, diag.List) {
	as, err := p.simulate(ctx, drawn.Sheets[sheet], known, bytes.NewReader(instructions))
	if err != nil {
		return AsDrawn{}, Faults(err)
	}
	if !known.Compensated {
		return as, nil
	}
	var text bytes.Buffer
	lowered, list, err := lower.Sheet(ctx, p.Profile, drawn, drawn.Sheets[sheet], lower.Options{})
	if err == nil && !list.Failed() {
		err = gcode.Write(ctx, &text, p.Profile, lowered.Instructions, gcode.Heading{Program: p.Source(), Sheet: 1, Sheets: 1, Seed: drawn.Seed})
	}
	if err != nil || list.Failed() {
		return AsDrawn{}, append(list, Faults(err)...)
	}
	plain, err := p.simulate(ctx, drawn.Sheets[sheet], known, &text)
	if err != nil {
		return AsDrawn{}, Faults(err)
	}
	as.Uncompensated = &plain
	return as, nil
}

func (p *Program) simulate(ctx context.Context, sheet *plan.Sheet, known Sheet, instructions io.Reader) (AsDrawn, error) {
	drawn, err := simulator.Draw(ctx, instructions, Simulated(p.Profile, sheet.Points[0], known.Gap))
	if err != nil {
		return AsDrawn{}, err
	}
	for i, at := range drawn.Trace {
		drawn.Trace[i] = p.Profile.ToPage(at)
	}
	as := AsDrawn{Line: drawn.Trace, Seconds: drawn.Seconds, Contacts: len(drawn.Contacts)}
	as.LargestMM, as.MeanMM = simulator.Deviation(sheet.Points, drawn.Trace)
	return as, nil
}

// Enlarged is the line with its deviation from the ideal one so many times as
// large.
func (as *AsDrawn) Enlarged(ideal []geom.Point, times float64) []geom.Point {
	return simulator.Enlarged(ideal, as.Line, times)
}
