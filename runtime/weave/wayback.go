package weave

import "wend/runtime/geom"

// WayBack is how to return from the last of the points to the first over the
// line between them: the indices of the points to visit, in order, the last of
// them 0. It is empty if the line ends where it began.
//
// The way back is the way the line went, but without side trips: whatever lies
// between two visits of one vertex is left out, so that every vertex is passed
// at most once, by the edge over which the line first came to it. Places where
// the line merely crosses itself are no vertices and do not count. The points
// given back are the drawn ones, so the retraced line lies exactly on the first.
// It takes time linear in the number of points.
func WayBack(points []geom.Point) []int {
	if len(points) < 2 {
		return nil
	}
	table := newVertexTable(len(points), nil)
	firstVisit := make([]int, 0, len(points))
	vertexOf := make([]int32, len(points))
	for i, p := range points {
		v, isNew := table.add(p)
		if isNew {
			firstVisit = append(firstVisit, i)
		}
		vertexOf[i] = v
	}
	var way []int
	for i := firstVisit[vertexOf[len(points)-1]]; i > 0; {
		i = firstVisit[vertexOf[i-1]]
		way = append(way, i)
	}
	return way
}
