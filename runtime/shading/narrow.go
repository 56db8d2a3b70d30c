package shading

import (
	"math"

	"wend/runtime/geom"
	"wend/runtime/region"
)

// Where an area is narrow, two sides of a turn would run so close that it came
// out twice as dark, or that they ran into each other. There both are led along
// the middle, one over the other.

// narrow leads the lines of an area along its middle wherever it is narrower than
// a limit. What is changed stays closed, and may then run along itself.
func narrow(area region.Region, limit float64, work region.Work) (region.Region, error) {
	lines := make(region.Region, len(area))
	for i, line := range area {
		points, err := narrowed(area, line.Points, limit, work)
		if err != nil {
			return nil, err
		}
		if points == nil {
			lines[i] = line
		} else {
			lines[i] = geom.RunsOf(points)
		}
	}
	return lines, nil
}

// narrowed is a line of an area led along the middle where it is narrow; nil if it
// is nowhere.
func narrowed(area region.Region, line []geom.Point, limit float64, work region.Work) ([]geom.Point, error) {
	var led []geom.Point
	var moved []bool
	any := false
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		length := a.Distance(b)
		inward := geom.Point{X: a.Y - b.Y, Y: b.X - a.X}.Times(1 / length)
		steps := math.Ceil(length / limit)
		if err := work(int(steps), int(steps)); err != nil {
			return nil, err
		}
		for k := 0.0; k <= steps; k++ {
			p := a.Mix(b, k/steps)
			across, ok := widthAt(area, p, inward, limit)
			if ok {
				p = p.Add(inward.Times(across / 2))
				any = true
			} else if k > 0 && k < steps {
				continue // a vertex of no use
			}
			led, moved = append(led, p), append(moved, ok)
		}
	}
	if !any {
		return nil, nil
	}
	return closedUp(withoutCaps(led, moved, 2*limit)), nil
}

// widthAt is how wide an area is at a point of its border, straight across; false
// if that is more than a limit.
func widthAt(area region.Region, p, inward geom.Point, limit float64) (float64, bool) {
	to := p.Add(inward.Times(limit))
	reach := geom.Bounds([]geom.Point{p, to})
	least, found := limit, false
	for _, ring := range area {
		wanted := func(box geom.Box, _, _ int) bool {
			return box.Min.X <= reach.Max.X && box.Max.X >= reach.Min.X && box.Min.Y <= reach.Max.Y && box.Max.Y >= reach.Min.Y
		}
		ring.Visit(wanted, func(i int) {
			c, d := ring.Points[i], ring.Points[i+1]
			way := d.Sub(c)
			slope := inward.Cross(way)
			// What faces the other way lies across.
			if slope == 0 {
				return
			}
			across, along := c.Sub(p).Cross(way)/slope, c.Sub(p).Cross(inward)/slope
			if across > geom.SamePoint && across < least && along >= 0 && along <= 1 {
				least, found = across, true
			}
		})
	}
	return least, found
}

// withoutCaps leaves out what is not moved between what is, if it is short: the
// end of a narrow part.
func withoutCaps(line []geom.Point, moved []bool, short float64) []geom.Point {
	n := len(line)
	first := 0
	for !moved[first] {
		first++
	}
	var kept []geom.Point
	for k := 0; k < n; {
		i := (first + k) % n
		if moved[i] {
			kept = append(kept, line[i])
			k++
			continue
		}
		length, from := 0.0, k
		for ; k < n && !moved[(first+k)%n]; k++ {
			length += line[(first+k)%n].Distance(line[(first+k+n-1)%n])
		}
		if length > short {
			for j := from; j < k; j++ {
				kept = append(kept, line[(first+j)%n])
			}
		}
	}
	return kept
}

// closedUp is a closed line without repeats, its first point again at its end.
func closedUp(line []geom.Point) []geom.Point {
	line = geom.WithoutRepeats(line)
	if len(line) < 2 {
		return nil
	}
	if line[0] != line[len(line)-1] {
		line = append(line, line[0])
	}
	return line
}
