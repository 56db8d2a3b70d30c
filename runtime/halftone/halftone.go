// Package halftone makes one line of a picture: seen from afar it has the
// picture's tones, and near at hand it runs along the picture's forms.
//
// The line evolves. A walk goes over the picture, to where most ink is missing,
// along the forms (walk.go); it is led past its crossings as a tour through its
// points (untangle.go); then small moves of its vertices are tried by the
// thousand, each judged by what it does to the error of the blurred picture and
// to the beauty of the line (field.go, prices.go, evolve.go), first with much
// left to chance, then with less and less (Kirkpatrick, Gelatt and Vecchi 1983,
// from memory).
//
// The result is the same to the last bit on every processor: places are whole
// numbers, chance comes from a seed, work is counted in moves, never in
// seconds, and no product is fused with a sum.
package halftone

import (
	"context"
	"errors"
	"math"

	"wend/runtime/geom"
	"wend/runtime/tone"
)

// Options say how a picture is to be drawn.
type Options struct {
	WidthMM     float64 // of the picture; its height follows
	LineWidthMM float64
	// Style is the name of one of Styles; "" is the first.
	Style string
	// Refine lets the line of any style evolve.
	Refine bool
	// Contrast is how much tones are stretched and details brought out: 1 is
	// usual, 0 leaves them as they are.
	Contrast float64
	// Goal is what the line is to come to, in the unit of Measure; 0 lets the ink
	// of the picture decide.
	Goal float64
	// Measure is what a line of points, in mm, comes to: its length, or the time
	// in which a machine draws it.
	Measure func(ctx context.Context, line []geom.Point) (float64, error)
	Seed    uint64
	// Progress, where not nil, is told how much of the work is done.
	Progress func(done, of int)
}

// Result is the line of a picture.
type Result struct {
	// Points are in mm, (0, 0) at the lower left of the picture. The ink of the line
	// stays within the picture, and one that has evolved does not meet itself.
	Points []geom.Point
	// HeightMM is the height of the picture.
	HeightMM float64
	// Measured is what Measure gives for it, if there is a goal.
	Measured float64
	// Saturated says that the whole ink of the picture comes to less than the goal,
	// and Missed that the style comes no nearer to it than that.
	Saturated, Missed bool
}

// Bounds of what can be asked for.
const (
	// FewestWidths is how many line widths a picture is wide at the least.
	FewestWidths = 16
	// MostCells is how many squares of a line's width a picture has at the most.
	MostCells = 1 << 22
)

// Errors for what cannot be drawn.
var (
	ErrTooSmall = errors.New("halftone: the picture is only a few line widths wide or high")
	ErrTooLarge = errors.New("halftone: the picture has too many squares of a line's width")
	ErrBlank    = errors.New("halftone: the picture is all white")
)

// Cells is how many squares of a line's width a picture will have.
func Cells(img *tone.Image, widthMM, lineWidthMM float64) float64 {
	width, height := img.Size()
	across := widthMM / lineWidthMM
	return across * across * float64(height) / float64(width)
}

// sound is the error of a size at which a picture cannot be drawn.
func sound(img *tone.Image, widthMM, lineWidthMM float64) error {
	width, height := img.Size()
	across := widthMM / lineWidthMM
	switch {
	case Cells(img, widthMM, lineWidthMM) > MostCells:
		return ErrTooLarge
	case across < FewestWidths || across*float64(height)/float64(width) < FewestWidths:
		return ErrTooSmall
	}
	return nil
}

// Line draws a picture. The error is one of the above, that of ctx, or that of
// Options.Measure.
func Line(ctx context.Context, img *tone.Image, o Options) (*Result, error) {
	if err := sound(img, o.WidthMM, o.LineWidthMM); err != nil {
		return nil, err
	}
	p := newPlate(img, o.WidthMM, o.LineWidthMM, o.Contrast)
	r := &artist{plate: p, options: o, natural: p.natural()}
	if r.natural < blankInk {
		return nil, ErrBlank
	}
	points, err := r.line(ctx, styleNamed(o.Style))
	if err != nil {
		return nil, err
	}
	result := &Result{Points: points, HeightMM: float64(p.rows) * p.cellMM, Measured: r.measured}
	if o.Goal > 0 && math.Abs(r.measured/o.Goal-1) > within {
		result.Saturated = r.measured < o.Goal && r.aimed >= r.natural
		result.Missed = !result.Saturated
	}
	return result, nil
}

// line draws the picture in a style.
func (r *artist) line(ctx context.Context, s *style) ([]geom.Point, error) {
	switch {
	case s.draw == nil:
		if err := r.begin(ctx); err != nil {
			return nil, err
		}
	default:
		line, err := r.build(ctx, s)
		if err != nil {
			return nil, err
		}
		if len(line) < 2 {
			return nil, ErrBlank
		}
		if !r.options.Refine {
			return r.scaled(line), nil
		}
		if s.crosses {
			if line, err = untangle(ctx, line, r.tones(r.aimed), r.flow); err != nil {
				return nil, err
			}
		}
		r.evolution = newEvolution(placed(line, r.columns, r.rows), r.tones(r.aimed), r.flow, usual, r.options.Seed)
	}
	if err := r.finish(ctx); err != nil {
		return nil, err
	}
	return r.points(r.evolution.chain.line()), nil
}

// blankInk is how much ink a picture has at the least.
const blankInk = 0.001

// artist draws one picture.
type artist struct {
	*plate
	options   Options
	natural   float64 // the mean ink of the picture as it is
	aimed     float64 // the mean ink that is aimed for
	apart     float64 // line widths from one stretch of a guide to the next
	evolution *evolution
	measured  float64
	done      int
}

const (
	probe       = 1500 // line widths of walk by which it is seen what line comes to
	startShare  = 0.85 // of the ink: a line that is too long at first never shrinks
	sweeps      = 400
	firstLook   = 40 // sweeps after which it is first measured
	lookEvery   = 20
	extraSweeps = 12 // after a last correction
	corrections = 6
	within      = 0.03 // how near the goal must be met
	near        = 0.012
)

// begin lays the line from which the rest evolves.
func (r *artist) begin(ctx context.Context) error {
	cells := float64(r.columns * r.rows)
	r.aimed = r.natural
	if r.options.Goal > 0 {
		tones := r.tones(r.natural)
		line, err := r.walked(ctx, tones, min(probe, cells*r.natural/4))
		if err != nil {
			return err
		}
		points := r.points(line)
		comes, err := r.options.Measure(ctx, points)
		if err != nil {
			return err
		}
		widths := lengthOf(line)
		r.aimed = min(r.natural, r.options.Goal/comes*widths/cells)
	}
	tones := r.tones(r.aimed)
	line, err := r.walked(ctx, tones, cells*r.aimed*startShare)
	if err != nil {
		return err
	}
	r.evolution = newEvolution(line, tones, r.flow, usual, r.options.Seed)
	return nil
}

// walked is an untangled walk of about so many line widths.
func (r *artist) walked(ctx context.Context, tones *grid, widths float64) ([]point, error) {
	line, err := walk(ctx, tones, r.flow, widths, true, newChance(r.options.Seed, 100))
	if err != nil {
		return nil, err
	}
	if line, err = untangle(ctx, line, tones, r.flow); err != nil {
		return nil, err
	}
	return placed(line, r.columns, r.rows), nil
}

// lengthOf is the length of a line in line widths.
func lengthOf(line []point) float64 {
	sum := 0.0
	for i := range len(line) - 1 {
		sum += leg(line[i], line[i+1]).long
	}
	return sum / perWidth
}

// finish evolves the line until it is done and comes to what was asked for.
func (r *artist) finish(ctx context.Context) error {
	c := newChance(r.options.Seed, 101)
	for s := range sweeps {
		if s >= firstLook && s%lookEvery == 0 {
			if _, err := r.steer(ctx); err != nil {
				return err
			}
		}
		if err := r.sweep(ctx, float64(s)/sweeps, c); err != nil {
			return err
		}
	}
	for range corrections {
		met, err := r.steer(ctx)
		if met || err != nil {
			return err
		}
		for range extraSweeps {
			if err := r.sweep(ctx, 1, c); err != nil {
				return err
			}
		}
	}
	_, err := r.steer(ctx)
	return err
}

// Each sweep is cooler than the one before, and its moves are smaller.
const (
	hot, cold   = 0.08, 0.0005
	wide, small = 1.6, 0.24 // line widths
)

// sweep makes one sweep, at a share of the way from hot to cold.
func (r *artist) sweep(ctx context.Context, share float64, c chance) error {
	temperature := hot * power(cold/hot, share)
	step := wide * power(small/wide, share)
	if err := r.evolution.sweep(ctx, temperature, int32(step*perWidth), c); err != nil {
		return err
	}
	r.done++
	if r.options.Progress != nil {
		r.options.Progress(min(r.done, sweeps), sweeps)
	}
	return nil
}

// steer measures the line, and aims at more ink or less if it does not come to
// its goal. It reports whether it does, or cannot.
func (r *artist) steer(ctx context.Context) (met bool, err error) {
	if r.options.Goal <= 0 {
		return true, nil
	}
	if r.measured, err = r.options.Measure(ctx, r.points(r.evolution.chain.line())); err != nil {
		return false, err
	}
	off := r.options.Goal/r.measured - 1
	if math.Abs(off) < near || off > 0 && r.aimed >= r.natural {
		return true, nil
	}
	r.aimed = min(r.natural, float64(r.aimed*min(max(1+off, 0.5), 2)))
	r.evolution.aim(r.tones(r.aimed))
	return false, nil
}
