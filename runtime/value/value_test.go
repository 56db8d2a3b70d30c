package value_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "wend/internal/repeatable"
	"wend/runtime/geom"
	"wend/runtime/value"
)

func numbers(xs ...float64) []value.Value {
	list := make([]value.Value, len(xs))
	for i, x := range xs {
		list[i] = value.Number(x)
	}
	return list
}

func TestNumbersPrintWithAtMostFourDecimals(t *testing.T) {
	for want, x := range map[string]float64{
		"0": -0.00004, "0.0001": 0.00006, "2": 2, "2.5": 2.5, "-1234567.891": -1234567.891, "100": 100,
		"999999999999999": 999999999999999, "1e15": 1e15, "-1.5e300": -1.5e300,
	} {
		require.Equal(t, want, value.FormatNumber(x))
	}
}

func TestNumbersInMessagesAreNeverWholeIfTheyAreNot(t *testing.T) {
	for want, x := range map[string]float64{
		"0": 0, "2": 2, "2.5": 2.5, "0.3333": 1.0 / 3, "1e300": 1e300, "-1.5e300": -1.5e300, "123456789012.5": 123456789012.5,
		"1.0000000001": 1 + 1e-10, "-0.99999": -0.99999, "2.0000000000000004": 2.0000000000000004,
		"1e-9": 1e-9, "-1.23457e-7": -1.234567890123e-7, "1.23457e300": 1.2345678901234567e300, "4.94066e-324": 5e-324,
	} {
		require.Equal(t, want, value.MessageNumber(x))
	}
}

func TestValuesPrint(t *testing.T) {
	list := value.List([]value.Value{value.Number(1), value.Text("a"), value.Bool(true), value.Point(geom.Point{X: 1, Y: 2.5}), value.List(nil)})
	require.Equal(t, `[1, "a", true, (1, 2.5), []]`, list.String())
	require.Equal(t, "a", value.Text("a").String())
	require.Equal(t, "path of 2 points, 5 mm", value.OfPath(&value.Path{Points: []geom.Point{{}, {X: 3, Y: 4}}}).String())
	require.Contains(t, value.List(make([]value.Value, 2000)).String(), "… 1000 more]")
}

// The characters are those of UAX #29, extended grapheme clusters.
func TestTextsCountCharacters(t *testing.T) {
	for text, length := range map[string]int{"": 0, "abc": 3, "é": 1, "e\u0301x": 2, "👩‍🌾🇩🇪": 2, "a\r\nb": 3, "नि": 1} {
		require.Equal(t, length, value.Text(text).Length(), "%q", text)
	}
	v := value.Text("ae\u0301👩‍🌾z")
	require.Equal(t, "é", v.Item(1).Text())
	require.Equal(t, "👩‍🌾z", v.Part(2, 4).Text())
	require.True(t, value.Equal(value.Text("e\u0301"), value.Text("é")))
}

func TestEqualityIsExact(t *testing.T) {
	tenth, fifth := 0.1, 0.2
	require.False(t, value.Equal(value.Number(tenth+fifth), value.Number(0.3)))
	require.False(t, value.Equal(value.Number(1), value.Bool(true)))
	require.True(t, value.Equal(value.List(numbers(1, 2)), value.List(numbers(1, 2))))
	require.False(t, value.Equal(value.List(numbers(1, 2)), value.List(numbers(1))))
}

func TestAListThatIsHeldOnceChangesInPlace(t *testing.T) {
	list := value.List(numbers(1, 2, 3))
	changed, copied := list.SetItem(0, value.Number(9))
	require.Zero(t, copied)
	require.Equal(t, "[9, 2, 3]", changed.String())
	changed.Share()
	other, copied := changed.SetItem(0, value.Number(0))
	require.Equal(t, 3, copied)
	require.Equal(t, "[9, 2, 3]", changed.String())
	require.Equal(t, "[0, 2, 3]", other.String())
}

func TestAppendingCopiesLittle(t *testing.T) {
	for _, own := range []bool{true, false} {
		list, total := value.List(nil), 0
		for i := range 10_000 {
			var copied int
			list, copied = list.Append(numbers(float64(i)), own)
			total += copied
		}
		require.Equal(t, 10_000, list.Length())
		require.Less(t, total, 60_000)
	}
}

// Whatever is appended and set in whatever order, no holder sees what another did.
func TestListsNeverChangeUnderAnotherHolder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		held, want := []value.Value{value.List(nil)}, [][]float64{nil}
		for i := range rapid.SampledFrom([]int{0, 40}).Draw(t, "length") {
			held[0].Push(value.Number(float64(i)))
			want[0] = append(want[0], float64(i))
		}
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			i := rapid.IntRange(0, len(held)-1).Draw(t, "holder")
			x := float64(rapid.IntRange(0, 9).Draw(t, "item"))
			switch rapid.IntRange(0, 5).Draw(t, "step") {
			case 4: // xs = xs[j..k]
				j := rapid.IntRange(0, len(want[i])).Draw(t, "from")
				k := rapid.IntRange(j, len(want[i])).Draw(t, "to")
				held[i], _ = held[i].Shorten(j, k)
				want[i] = append([]float64(nil), want[i][j:k]...)
			case 5: // ys = xs[j..k]
				j := rapid.IntRange(0, len(want[i])).Draw(t, "from")
				k := rapid.IntRange(j, len(want[i])).Draw(t, "to")
				part, _ := held[i].ListPart(j, k)
				held, want = append(held, part), append(want, append([]float64(nil), want[i][j:k]...))
			case 0: // a second holder
				held[i].Share()
				held, want = append(held, held[i]), append(want, append([]float64(nil), want[i]...))
			case 1: // xs = xs + [x]
				held[i], _ = held[i].Append(numbers(x), true)
				want[i] = append(want[i], x)
			case 2: // ys = xs + [x]
				grown, _ := held[i].Append(numbers(x), false)
				held, want = append(held, grown), append(want, append(append([]float64(nil), want[i]...), x))
			case 3: // xs[j] = x
				if len(want[i]) > 0 {
					j := rapid.IntRange(0, len(want[i])-1).Draw(t, "place")
					held[i], _ = held[i].SetItem(j, value.Number(x))
					want[i][j] = x
				}
			}
			for k := range held {
				if !value.Equal(held[k], value.List(numbers(want[k]...))) {
					t.Fatalf("holder %d has %v, not %v", k, held[k], want[k])
				}
			}
		}
	})
}

// A queue and a stack: what is taken from the ends and appended in turn costs
// the same however long the list is.
func TestTakingAndAppendingInTurnCopiesLittle(t *testing.T) {
	for name, ends := range map[string][2]int{"queue": {1, 0}, "stack": {0, 1}} {
		list, total := value.List(numbers(make([]float64, 10_000)...)), 0
		for i := range 40_000 {
			var copied int
			list, copied = list.Shorten(ends[0], list.Length()-ends[1])
			total += copied
			list, copied = list.Append(numbers(float64(i)), true)
			total += copied
		}
		require.Equal(t, 10_000, list.Length(), name)
		require.Less(t, total, 400_000, name)
	}
}

func TestASmallPartDoesNotHoldTheRest(t *testing.T) {
	list := value.List(numbers(make([]float64, 10_000)...))
	small, copied := list.ListPart(0, 2_000)
	require.Equal(t, 2_000, copied)
	require.Less(t, small.Size(1), 40_000)
	large, copied := list.ListPart(0, 5_000)
	require.Zero(t, copied)
	both := value.List([]value.Value{list, large})
	require.Less(t, both.Size(2), 170_000)
}

func TestSizeCountsWhatIsHeldOnce(t *testing.T) {
	inner := value.List(numbers(1, 2, 3))
	both := value.List([]value.Value{inner, inner})
	one := value.List([]value.Value{inner, value.Number(0)})
	require.Equal(t, one.Size(1), both.Size(2))
	require.Zero(t, both.Size(2))
	require.Greater(t, value.Text("a long text, longer than the box around it").Size(1), 40)
}

func TestRangesCountBothEnds(t *testing.T) {
	for _, test := range []struct{ from, to, step, want float64 }{
		{1, 6, 1, 6}, {0, 1, 0.1, 11}, {5, 1, -2, 3}, {5, 1, 1, 0}, {0, 0, 1, 1}, {0, 1, 1.0 / 49, 50}, {1, 2.9, 1, 2},
	} {
		require.Equal(t, test.want, value.RangeCount(test.from, test.to, test.step), "%v", test)
	}
}

// The first outputs for the seed 1234567, as published with the reference
// implementation of SplitMix64 (from memory).
func TestChanceIsSplitMix64(t *testing.T) {
	chance := value.NewChance(1234567)
	for _, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821} {
		require.Equal(t, want, chance.Next())
	}
}
