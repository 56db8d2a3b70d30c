package lesson

import (
	"cmp"
	"math"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/machine"
)

// Words of dimensions are placed for the largest that are shown of them, so that they
// stay clear of lines on paper, in pictures and in the window.
const (
	lettersMM = 4.0 // an em
	clearMM   = 0.8 // between words and any line
	signMM    = 3.2 // the radius of the signs of where a line begins and ends
	onSheetMM = 1.0 // how far beyond the page words may stand
	asideCost = 5.0 // of the other side, or of a place beyond an end: as much as this way, mm
)

// room is half of what words take to each side of their middle, mm. Widths are
// those of plain letters without serifs, rounded up.
func room(words string) geom.Point {
	em := 0.0
	for _, r := range words {
		switch r {
		case ' ', '.', 'i':
			em += 0.3
		case 'm':
			em += 0.87
		default:
			em += 0.58
		}
	}
	return geom.Point{X: em * lettersMM / 2, Y: 0.37 * lettersMM}
}

// A spot is where words may stand, and how unwelcome it is there.
type spot struct {
	at   geom.Point
	cost float64
}

// spots are the places for the words of a measure whose dimension runs from a place
// to another, or around its corner.
func (m Measure) spots(words string) (all []spot) {
	half := room(words)
	// How far their middle is from a line with this direction across it.
	beside := func(across geom.Point) float64 {
		return math.Abs(across.X)*half.X + math.Abs(across.Y)*half.Y + clearMM
	}
	if m.Sort == "turn" {
		size := math.Abs(m.Degrees)
		outside := m.Radius + beside(geom.Direction(m.Heading+m.Degrees/2))
		want := outside
		if size >= 60 { // there is room inside
			want = 0.55 * m.Radius
		}
		for reach := 0.4 * m.Radius; reach < outside+6; reach += 0.5 {
			for share := 0.1; share < 0.95; share += 0.05 {
				all = append(all, spot{
					at:   m.At.Add(geom.Polar(reach, m.Heading+m.Degrees*share)),
					cost: math.Abs(reach-want) + math.Abs(share-0.5)*size*math.Pi/180*reach,
				})
			}
		}
		return all
	}
	from, to, side := m.ends()
	along := to.Sub(from).Times(1 / from.Distance(to))
	for _, far := range []float64{0, pastMM, 2 * pastMM} {
		for share := 0.0; share < 1.02; share += 0.05 {
			off := math.Abs(share-0.5)*from.Distance(to) + 2*far
			away := side.Times(beside(side) + far)
			all = append(all, spot{from.Mix(to, share).Add(away), off}, spot{from.Mix(to, share).Sub(away), off + asideCost})
		}
		past := along.Times(beside(along) + pastMM + far)
		all = append(all, spot{to.Add(past), asideCost + 2*far}, spot{from.Sub(past), asideCost + 2*far})
	}
	return all
}

// place moves the words of dimensions to where no line, sign or other words are, each
// as near as there is room to where they are looked for.
func (s *Sketch) place(measures []Measure) {
	sheet := machine.DeskToy().Page().Grow(onSheetMM)
	var taken []geom.Box
	for _, end := range []geom.Point{s.Line[0], s.Line[len(s.Line)-1]} {
		taken = append(taken, geom.Box{Min: end, Max: end}.Grow(signMM))
	}
	lines := [][]geom.Point{s.Line}
	for _, d := range s.Dimensions {
		lines = append(lines, d.Lines...)
	}
	free := func(box geom.Box) bool {
		return sheet.Contains(box.Min) && sheet.Contains(box.Max) &&
			!slices.ContainsFunc(taken, box.Meets) &&
			!slices.ContainsFunc(lines, func(line []geom.Point) bool { return crosses(line, box) })
	}
	for i, m := range measures {
		d := &s.Dimensions[i]
		half := room(d.Words)
		spots := m.spots(d.Words)
		slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(a.cost, b.cost) })
		at := spots[0].at
		for _, one := range spots {
			if free(boxAround(one.at, half).Grow(clearMM / 2)) {
				at = one.at
				break
			}
		}
		d.At = at
		taken = append(taken, boxAround(at, half))
	}
}

func boxAround(at, half geom.Point) geom.Box {
	return geom.Box{Min: at.Sub(half), Max: at.Add(half)}
}

// crosses reports whether a line has a part within a box: each piece is cut by the
// box's four edges in turn.
func crosses(line []geom.Point, box geom.Box) bool {
	for i := 1; i < len(line); i++ {
		a, way := line[i-1], line[i].Sub(line[i-1])
		from, to := 0.0, 1.0
		cut := func(start, change, low, high float64) {
			if change == 0 {
				if start < low || start > high {
					from, to = 1, 0
				}
				return
			}
			enter, leave := (low-start)/change, (high-start)/change
			from, to = max(from, min(enter, leave)), min(to, max(enter, leave))
		}
		cut(a.X, way.X, box.Min.X, box.Max.X)
		cut(a.Y, way.Y, box.Min.Y, box.Max.Y)
		if from <= to {
			return true
		}
	}
	return false
}
