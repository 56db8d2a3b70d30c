package lettering

import (
	"context"
	"math"

	"wend/runtime/geom"
	"wend/runtime/weave"
)

// New line costs so many times what line gone over again costs, as everywhere
// in the language.
const newCost = 50

// The look of a join: along the baseline, and up to the flank of a bowl, it is
// taken for a ruled line; higher up it looks like part of a letter, and a steep
// one like a mistake.
const (
	heightCost = 8.0 // more at a quarter of a capital's height and above
	risingCost = 0.3 // for each unit up or down
	slantLong  = 60  // units along which a slant counts once more
	levelCost  = 6.0 // for each unit up or down where the line has to be level
)

// rowEnd is an end of a row: where the line must come by on its way from row to
// row, or else where it had best begin or end, as whoever comes to a text, or goes
// on from it, leaves line there. It must at an end of a text, too, beside a letter
// on one foot.
type rowEnd struct {
	at   geom.Point
	must bool
}

// joinCost is what a visible line from p to q costs. Heights are counted from the
// baseline. level says that the line has to lie there, since others go on from it.
func joinCost(p, q geom.Point, level bool) float64 {
	dx, dy := math.Abs(q.X-p.X), math.Abs(q.Y-p.Y)
	height := max(0, min(1, (seen(p.Y)+seen(q.Y))/2/flank-1))
	rising := float64(risingCost * (1 + dx/slantLong))
	if level {
		height = min(1, (math.Abs(p.Y)+math.Abs(q.Y))/(4*flank))
		rising = levelCost
	}
	shown := dx + float64(rising*dy)
	return float64(newCost * shown * (1 + float64(heightCost*height)))
}

// seen is a height as a join there looks: below the baseline it is seen at once.
func seen(y float64) float64 {
	if y < 0 {
		return flank - y
	}
	return y
}

// passage is the way chosen through one letter, from place to place.
type passage struct{ from, to int }

// passages chooses the ways through the letters of a row, left to right, so that
// the joins between them and what is gone over again cost least: a shortest path
// in layers, one for each letter, whose nodes are the places where the letter is
// left. level keeps the joins on the baseline. The room may be nil.
func passages(ctx context.Context, letters []placed, start, end rowEnd, level bool, room *weave.Room) ([]passage, error) {
	if len(letters) == 0 {
		return nil, nil
	}
	type choice struct{ from, before int } // entered here, after leaving the letter before there
	choices := make([][]choice, len(letters))
	var costs, next []float64 // of leaving the letter at each place
	var entries []float64
	var entered []int
	for i, l := range letters {
		w, err := l.waysOf(ctx, room)
		if err != nil {
			return nil, err
		}
		count := len(w.places)
		entries, entered = entries[:0], entered[:0]
		for _, p := range w.places {
			best, from := 0.0, -1
			p.X += l.x
			switch {
			case i == 0:
				best = joinCost(start.at, p, true)
			default:
				best = math.Inf(1)
				before := letters[i-1]
				for k, q := range before.ways.places {
					q.X += before.x
					if c := costs[k] + joinCost(q, p, level); c < best {
						best, from = c, k
					}
				}
			}
			entries, entered = append(entries, best), append(entered, from)
		}
		next = next[:0]
		choices[i] = make([]choice, count)
		for k := range count {
			best := math.Inf(1)
			for j := range count {
				if c := entries[j] + w.again[j][k]; c < best {
					best = c
					choices[i][k] = choice{j, entered[j]}
				}
			}
			next = append(next, best)
		}
		costs, next = next, costs
	}
	last := len(letters) - 1
	at, best := 0, math.Inf(1)
	for k, p := range letters[last].ways.places {
		p.X += letters[last].x
		if c := costs[k] + joinCost(end.at, p, true); c < best {
			at, best = k, c
		}
	}
	result := make([]passage, len(letters))
	for i := last; i >= 0; i-- {
		c := choices[i][at]
		result[i] = passage{c.from, at}
		at = c.before
	}
	return result, nil
}
