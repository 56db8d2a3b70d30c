//go:build peers

package region_test

import (
	"bufio"
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os/exec"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/region"
)

var (
	pairs   = flag.Int("pairs", 300, "random pairs of regions to compare")
	seed    = flag.Uint64("pairs.seed", 1, "which random pairs")
	modules = flag.String("modules", "node_modules", "the folder of clipper2-ts 2.0.1")
)

// question is what a peer is asked: two regions, lines, and an offset in mm.
type question struct {
	A     [][][2]float64 `json:"a"`
	B     [][][2]float64 `json:"b"`
	Lines [][][2]float64 `json:"lines"`
	MM    float64        `json:"mm"`
}

// peer is a program that answers question after question.
type peer struct {
	ask    *json.Encoder
	answer *bufio.Scanner
}

func newPeer(t *testing.T, name string, args ...string) *peer {
	command := exec.Command(name, args...)
	in, err := command.StdinPipe()
	require.NoError(t, err)
	out, err := command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, command.Start(), "this test compares with %s", name)
	t.Cleanup(func() {
		require.NoError(t, in.Close())
		require.NoError(t, command.Wait())
	})
	return &peer{json.NewEncoder(in), bufio.NewScanner(out)}
}

func (p *peer) answers(t *testing.T, q question) (answers []float64) {
	require.NoError(t, p.ask.Encode(q))
	require.True(t, p.answer.Scan(), "the peer has ended")
	require.NoError(t, json.Unmarshal(p.answer.Bytes(), &answers))
	return answers
}

// Areas of regions, of what they make together and of what they grow to, and
// lengths of lines cut by them, against two libraries that share nothing with this
// one.
func TestAreasAgreeWithTwoOtherLibraries(t *testing.T) {
	shapely := newPeer(t, "/usr/bin/python3", "testdata/areas.py")
	clipper := newPeer(t, "node", "testdata/areas.mjs", *modules)
	chance := rand.New(rand.NewPCG(*seed, 15))
	names := [...]string{"area", "union", "intersection", "difference", "offset", "cut"}
	worst := [len(names)]float64{}
	// Answers that neither of the others has. Shapely leaves small areas out that
	// remain of a shrunk one; clipper2-ts errs where sides lie on each other.
	var alone [2]int
	undecided := 0 // answers of which the two have each its own
	tell := func(pairs int) {
		t.Logf("%d pairs: agreed, with Shapely to within %.2g of what is allowed for %s; Shapely and clipper2-ts stood alone in %d answers, each had its own in %d", pairs, worst, names, alone, undecided)
	}
	for i := range *pairs {
		if i > 0 && i%500 == 0 {
			tell(i)
		}
		q := question{A: someRings(chance, i%3), B: someRings(chance, i%3), MM: float64(chance.IntN(81)-40) / 8}
		length := 0.0
		for _, ring := range slices.Concat(q.A, q.B) {
			length += geom.Length(ringOf(ring))
		}
		// Lines beside the grid: on a border Shapely has them inside or not as
		// rounding has it.
		line := somePoints(chance, i%3, 2+chance.IntN(3))
		for k := range line {
			line[k][0] += 0.3125
		}
		q.Lines = [][][2]float64{line}
		a, b := regionOf(q.A), regionOf(q.B)
		var cut float64
		for _, line := range q.Lines {
			parts, err := region.NewCutter(a).Cut(ringOf(line), true, free)
			require.NoError(t, err)
			cut += total(parts)
		}
		grown, err := region.Offset(a, q.MM, 0.0005, region.Round, free)
		require.NoError(t, err)
		ours := []float64{
			areaOf(t, a), areaOf(t, apply(t, region.Union, a, b)), areaOf(t, apply(t, region.Intersection, a, b)),
			areaOf(t, apply(t, region.Difference, a, b)), areaOf(t, grown), cut,
		}
		theirs, others := shapely.answers(t, q), clipper.answers(t, q)
		for j, want := range theirs {
			// Two millionths of a millimetre along the border; for offsets what
			// flattening arcs takes.
			allowed := 2e-6 * (length + 1)
			switch names[j] {
			case "offset":
				allowed = 0.002*length + 0.001*math.Abs(want)
			case "cut":
				allowed = 1e-4
			}
			agrees := math.Abs(want-ours[j]) <= allowed
			if agrees {
				worst[j] = max(worst[j], math.Abs(want-ours[j])/allowed)
			} else {
				alone[0]++
			}
			if j < len(others) && math.Abs(others[j]-ours[j]) > allowed {
				alone[1]++
			} else if j < len(others) {
				agrees = true
			}
			if !agrees && j < len(others) && math.Abs(want-others[j]) > allowed {
				undecided++
				continue
			}
			require.True(t, agrees, "pair %d, %s: %v, Shapely has %v, clipper2-ts %v: %v", i, names[j], ours[j], theirs, others, q)
		}
	}
	tell(*pairs)
	require.LessOrEqual(t, float64(undecided), 0.001*float64(*pairs)+1)
	require.Less(t, float64(alone[0]+alone[1]), 0.01*float64(5**pairs)+5)
}

// The kinds of rings: simple ones, ones that cross themselves, and ones of whole
// numbers, whose corners and sides lie on each other.
func someRings(chance *rand.Rand, kind int) [][][2]float64 {
	var rings [][][2]float64
	for range 1 + chance.IntN(2) {
		if kind > 0 {
			rings = append(rings, somePoints(chance, kind, 3+chance.IntN(12)))
			continue
		}
		center := somePoints(chance, 1, 1)[0]
		var ring [][2]float64
		corners := 3 + chance.IntN(30)
		for k := range corners {
			p := geom.Polar(2+48*chance.Float64(), 360*float64(k)/float64(corners))
			ring = append(ring, [2]float64{onGrid(center[0] + p.X), onGrid(center[1] + p.Y)})
		}
		rings = append(rings, ring)
	}
	return rings
}

func somePoints(chance *rand.Rand, kind, count int) [][2]float64 {
	points := make([][2]float64, count)
	for i := range points {
		for k := range 2 {
			if kind == 2 {
				points[i][k] = float64(chance.IntN(17) * 5)
			} else {
				points[i][k] = onGrid(80 * chance.Float64())
			}
		}
	}
	return points
}

// onGrid keeps to numbers that all three libraries hold exactly.
func onGrid(x float64) float64 { return math.Round(x*1024) / 1024 }

func ringOf(points [][2]float64) []geom.Point {
	line := make([]geom.Point, len(points))
	for i, p := range points {
		line[i] = pt(p[0], p[1])
	}
	return line
}

func regionOf(rings [][][2]float64) region.Region {
	var lines [][]geom.Point
	for _, ring := range rings {
		line := ringOf(ring)
		lines = append(lines, append(line, line[0]))
	}
	return region.Of(lines...)
}
