package region_test

import (
	"math"

	"pgregory.net/rapid"

	"wend/runtime/geom"
	"wend/runtime/region"
)

func free(int, int) error { return nil }

func pt(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }

// circle is a polygon on a circle.
func circle(center geom.Point, radius float64, corners int) []geom.Point {
	var points []geom.Point
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(corners))
		points = append(points, pt(center.X+radius*cos, center.Y+radius*sin))
	}
	return append(points, points[0])
}

func rectangle(x, y, width, height float64) []geom.Point {
	return []geom.Point{pt(x, y), pt(x+width, y), pt(x+width, y+height), pt(x, y+height), pt(x, y)}
}

// someRegion makes regions of one to three lines, most of which cross
// themselves and each other; on a coarse grid corners and edges coincide.
func someRegion() *rapid.Generator[region.Region] {
	return rapid.Custom(func(t *rapid.T) region.Region {
		coarse := rapid.SampledFrom([]float64{0, 0, 1, 8}).Draw(t, "coarse")
		coordinate := rapid.Custom(func(t *rapid.T) float64 {
			if coarse > 0 {
				return math.Round(rapid.Float64Range(-50, 50).Draw(t, "at")/coarse) * coarse
			}
			return rapid.Float64Range(-50, 50).Draw(t, "at")
		})
		var lines [][]geom.Point
		for range rapid.IntRange(1, 3).Draw(t, "lines") {
			var line []geom.Point
			for range rapid.IntRange(1, 24).Draw(t, "corners") {
				line = append(line, pt(coordinate.Draw(t, "x"), coordinate.Draw(t, "y")))
			}
			lines = append(lines, append(line, line[0]))
		}
		return region.Of(lines...)
	})
}
