package halftone

import (
	"context"
	"slices"

	"wend/runtime/geom"
	"wend/runtime/tour"
)

const (
	everyThird = 3
	// whitePrice is what a width of line costs more where the picture is white.
	whitePrice = 0.7
)

// untangle leads a walk past its crossings: every third of its points is kept,
// in a better order, which prefers what runs along the forms and through ink.
func untangle(ctx context.Context, line []spot, ink *grid, f flow) ([]spot, error) {
	var points []geom.Point
	seen := map[geom.Point]bool{}
	for i := 0; i < len(line); i += everyThird {
		p := geom.Point{X: line[i].x, Y: line[i].y}
		if !seen[p] {
			seen[p] = true
			points = append(points, p)
		}
	}
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	cost := func(a, b int) float64 {
		p, q := points[a], points[b]
		d := q.Sub(p)
		long := d.Length()
		x, y := (p.X+q.X)/2, (p.Y+q.Y)/2
		white := 1 - ink.sample(x, y)
		off := f.sure(x, y) - f.along(x, y, d.X/long, d.Y/long)
		return float64(long * (1 + off + float64(whitePrice*float64(white*white))))
	}
	order, err := tour.Order(ctx, points, tour.Options{From: order, Cost: cost})
	if err != nil {
		return nil, err
	}
	return trimmed(inOrder(points, order), ink), nil
}

// endInk is how much ink there is at the least where a line begins and ends.
const endInk = 0.06

// trimmed leaves out what a line begins and ends with in white: there it would lead
// nowhere.
func trimmed(line []spot, ink *grid) []spot {
	bare := func(s spot) bool { return ink.sample(s.x, s.y) < endInk }
	first, end := 0, len(line)
	for first < len(line)/4 && bare(line[first]) {
		first++
	}
	for end > len(line)*3/4 && bare(line[end-1]) {
		end--
	}
	return line[first:end]
}

// placed puts a line onto whole places, in pieces none of which is too long and
// none of which meet where the line did not.
func placed(line []spot, columns, rows int) []point {
	var out []point
	for _, s := range line {
		p := point{int32(s.x * perWidth), int32(s.y * perWidth)}
		p.x = min(max(p.x, halfWidth), int32(columns)*perWidth-halfWidth)
		p.y = min(max(p.y, halfWidth), int32(rows)*perWidth-halfWidth)
		out = append(out, p)
	}
	out = parted(out)
	for try := range uncrossings {
		i, j := firstMeeting(newChain(out, columns, rows, 0), len(out))
		if i < 0 {
			break
		}
		// A vertex that lies on the other piece is left out; but parting a piece may
		// put it there again, so every way out has its turn.
		vertices := touching(out, i, j)
		if k := try % (len(vertices) + 1); k < len(vertices) {
			out = slices.Delete(out, vertices[k], vertices[k]+1)
		} else {
			slices.Reverse(out[i+1 : j+1])
		}
		out = parted(out)
	}
	return out
}

// uncrossings is how many meetings that rounding has made are looked after.
const uncrossings = 200

// parted is a line in pieces none of which is too long, or without length.
func parted(line []point) []point {
	const most = longest - perWidth/4
	var out []point
	for _, p := range line {
		if len(out) > 0 {
			q := out[len(out)-1]
			long := leg(q, p).long
			if long == 0 {
				continue
			}
			n := int32(long/most) + 1
			for k := int32(1); k < n; k++ {
				out = append(out, point{q.x + (p.x-q.x)*k/n, q.y + (p.y-q.y)*k/n})
			}
		}
		out = append(out, p)
	}
	return out
}

// firstMeeting is the first piece of a line that meets a later one other than
// its neighbour, and that one; -1 where there is none.
func firstMeeting(c *chain, vertices int) (int, int) {
	for i := range vertices - 1 {
		p, q := c.points[i], c.points[i+1]
		if c.free(p, q, []int32{int32(i)}, int32(i), int32(i)+1) {
			continue
		}
		for j := i + 2; j < vertices-1; j++ {
			if meets(p, q, c.points[j], c.points[j+1]) {
				return i, j
			}
		}
	}
	return -1, -1
}

// touching are the vertices of two pieces of a line that lie on the other one.
func touching(line []point, i, j int) (vertices []int) {
	for _, v := range [...]int{j, j + 1, i + 1, i} {
		k := i
		if v <= i+1 {
			k = j
		}
		if side(line[k], line[k+1], line[v]) == 0 && v > 0 && v < len(line)-1 {
			vertices = append(vertices, v)
		}
	}
	return vertices
}
