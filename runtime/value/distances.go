package value

// Distances are the lengths of line, in mm, from the first point to each point
// of the path; the last is the length of the path. They are computed once and
// kept with the path; read only.
func (p *Path) Distances() []float64 {
	if known := p.distances.Load(); known != nil {
		return *known
	}
	distances := make([]float64, len(p.Points))
	for i := 1; i < len(p.Points); i++ {
		distances[i] = distances[i-1] + p.Points[i].Distance(p.Points[i-1])
	}
	p.distances.Store(&distances)
	return distances
}
