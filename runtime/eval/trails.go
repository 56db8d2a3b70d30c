package eval

import (
	"context"
	"errors"
	"slices"

	"wend/lang/code"
	"wend/lang/diag"
)

// Segment names a piece of line: piece i runs from Points[i] to Points[i+1] of
// its sheet, both counted from 0.
type Segment struct{ Sheet, Index int }

// Trails finds the way by which a program came to draw some pieces of its line:
// the calls and the passes of loops, outermost first. Nothing of the kind is
// kept while a program runs; since a run is the same every time, it is run
// again, up to the last of the segments. Program and options must be those of
// the run that drew them.
func Trails(ctx context.Context, program *code.Program, options Options, segments []Segment) (map[Segment][]diag.Frame, error) {
	sorted := slices.Clone(segments)
	slices.SortFunc(sorted, func(a, b Segment) int {
		if a.Sheet != b.Sheet {
			return a.Sheet - b.Sheet
		}
		return a.Index - b.Index
	})
	sorted = slices.Compact(sorted)
	options.Said, options.Line, options.Placed = nil, nil, nil
	m := newMachine(ctx, program, options)
	m.watch = watch{wanted: sorted, found: make(map[Segment][]diag.Frame, len(sorted))}
	m.sheets.full = 0 // so that the first piece asks what is watched
	if problem := m.guarded(m.runModules); problem != nil && problem.Code != seenAll {
		return nil, diag.List{*problem}
	}
	if len(m.watch.wanted) > 0 {
		return m.watch.found, errors.New("the program drew fewer pieces than were asked for")
	}
	return m.watch.found, nil
}

// seenAll ends a run that has come to the last of the watched segments.
const seenAll diag.Code = "run-stopped"

// watch is the segments whose trail is still wanted, in order, and those found.
type watch struct {
	wanted []Segment
	found  map[Segment][]diag.Frame
}

// next is the number of points at which the next watched segment is drawn.
func (w *watch) next(m *machine, out *line) (int, bool) {
	if len(w.wanted) == 0 || out != &m.sheets || w.wanted[0].Sheet != len(m.plan.Sheets)-1 {
		return 0, false
	}
	return w.wanted[0].Index + 1, true
}

// seen notes the trail if the piece that is about to be added is watched.
func (m *machine) seen(out *line) {
	next, ok := m.watch.next(m, out)
	if !ok || next != len(out.points) {
		return
	}
	m.watch.found[m.watch.wanted[0]] = m.trail()
	m.watch.wanted = m.watch.wanted[1:]
	if len(m.watch.wanted) == 0 {
		m.fail(seenAll, nil)
	}
}
