package halftone

import (
	"crypto/sha256"
	"encoding/binary"
	"flag"
	"fmt"
	"hash"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

var update = flag.Bool("update", false, "write the sums of lines anew")

// Every style, refined or not, and the outline give the same line to the last bit
// on every processor: the sums were written on one and are compared on another
// too (.ci/run runs this test under arm64).
func TestLinesGiveTheSameBytesEverywhere(t *testing.T) {
	picture := pictureNamed(t, "chelsea")
	var sums strings.Builder
	add := func(name string, lines ...[]geom.Point) {
		sum, points := sha256.New(), 0
		for _, line := range lines {
			for _, p := range line {
				write(t, sum, p.X, p.Y)
			}
			points += len(line)
		}
		fmt.Fprintf(&sums, "%x  %s, %d points\n", sum.Sum(nil), name, points)
	}
	o := options()
	for _, style := range Styles() {
		o.Style = style.Name
		result, err := Line(t.Context(), picture, o)
		require.NoError(t, err)
		add(style.Name, result.Points)
	}
	o.Style, o.Refine = "tour", true
	o.Measure, o.Goal = measured, 150
	result, err := Line(t.Context(), picture, o)
	require.NoError(t, err)
	add("tour, refined", result.Points)
	edges, err := Outline(t.Context(), picture, outlineOptions())
	require.NoError(t, err)
	add("outline", edges...)

	const golden = "testdata/same_bytes.txt"
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(sums.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), sums.String())
}

func write(t *testing.T, to hash.Hash, numbers ...float64) {
	require.NoError(t, binary.Write(to, binary.LittleEndian, numbers))
}
