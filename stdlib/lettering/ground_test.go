package lettering

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

// groundedRow is the row of a text as its line is found through it.
func groundedRow(t *testing.T, face, text string) []placed {
	return setBlock(t, face, text, Style{Height: 10}).grounded()[0].letters
}

// lastStrokes are the strokes that a letter has beyond those of its parts.
func lastStrokes(g *Glyph, count int) []stroke { return g.strokes[len(g.strokes)-count:] }

func TestDashesAreHeldByLevelLinesToALetter(t *testing.T) {
	for _, c := range []struct {
		text string
		at   int // the letter that holds the dash
		ties int
	}{
		{"c-d", 1, 1},    // not through the opening of the c
		{"e – f", 0, 1},  // with gaps between words
		{"5 − 3", 0, 1},  // the 3 is open there
		{"L-I", 1, 1},    // not across the L
		{"a → b", 0, 1},  // by its shaft, not by its tip
		{"a ← b", 1, 1},  //
		{"T – T", 0, 1},  // below the bar
		{"F-J", 1, 1},    // above the hook, not off the bar of the F
		{"I —\nH", 0, 1}, //
		{"J - 5 3", 0, 1},
	} {
		letters := groundedRow(t, "linden", c.text)
		holder := letters[c.at]
		require.Positive(t, holder.added, c.text)
		sum := 0.0
		for _, s := range lastStrokes(holder.Glyph, c.ties) {
			require.Len(t, s, 1)
			require.Equal(t, s[0].P0.Y, s[0].P3.Y, "%s: a tie is level", c.text)
			sum += s[0].P0.Distance(s[0].P3)
		}
		require.InDelta(t, sum, holder.added, 1e-9, "%s: and nothing else is added", c.text)
		for _, l := range letters {
			require.False(t, l.floats(), c.text)
		}
	}
}

func TestSignsOverAnUprightStrokeOrWithoutALetterStandOnAPost(t *testing.T) {
	for _, c := range []struct {
		text   string
		at     int
		length float64
	}{
		{"1 + 2", 1, 17},  // the plus grows downward
		{"1+2", 1, 17},    //
		{"1 ÷ 2", 1, 11},  // below its dot
		{"3 × 4", 1, 23},  // along its stroke
		{"−", 0, 45},      // nothing there
		{"— … —", 0, 38},  // what holds it would be far away
		{"c – 3", 1, 38},  // open on both sides
		{"• moss", 0, 28}, //
	} {
		l := groundedRow(t, "linden", c.text)[c.at]
		post := lastStrokes(l.Glyph, 1)[0][0]
		require.InDelta(t, c.length, post.P0.Y, 1e-9, c.text)
		require.Equal(t, 0.0, post.P3.Y, c.text)
		require.Equal(t, []geom.Point{post.P3}, l.places(), "%s: the line comes by its foot", c.text)
	}
}

// Quotes, apostrophes and dashes in a word are held without any post.
func TestQuotesHangOnTheirWord(t *testing.T) {
	eachFace(t, func(t *testing.T, face *Face) {
		for _, text := range []string{"“moss”", "‘I’", "d’or", "\"no\"", "“T”", "fern’s", "“well-known”", "20 °C"} {
			letters := groundedRow(t, face.Name, text)
			for _, l := range letters {
				w, err := l.waysOf(context.Background(), nil)
				require.NoError(t, err)
				require.LessOrEqual(t, w.bridges, 120.0, "%s in %q", l.name, text)
				require.False(t, l.floats())
			}
		}
	})
}

// A program that goes on from a text, or comes to it, runs level along its
// baseline.
func TestEveryTextBeginsAndEndsOnItsBaseline(t *testing.T) {
	eachFace(t, func(t *testing.T, face *Face) {
		for _, name := range face.signNames() {
			for _, form := range []string{"%s", "%sn", "n%s", "%s n", "n %s", "%s\nn", "n\n%s"} {
				text := fmt.Sprintf(form, name)
				block := setBlock(t, face.Name, text, Style{Height: Cap})
				points := lineOf(t, block).Points()
				require.InDelta(t, 0, points[0].Y, 1, text)
				require.InDelta(t, block.rows[len(block.rows)-1].baseline, points[len(points)-1].Y, 1, text)
			}
		}
	})
}

// Else a T would be a mirrored L with a bar.
func TestALetterOnOneFootHasTheBaselineOnBothSides(t *testing.T) {
	for _, c := range []struct {
		text        string
		left, right float64
	}{
		{"TH", -lead, 0}, {"TP", -lead, lead}, {"Yr", -lead, lead}, {"HT", 0, lead},
		{"HEM", 0, 0}, {"OX", 0, 0}, {"T", 0, 0}, {"EMU", 0, 0}, {"FI", 0, 0},
	} {
		block := setBlock(t, "linden", c.text, Style{Height: Cap})
		letters := block.rows[0].letters
		points := lineOf(t, block).Points()
		first, last := points[0], points[len(points)-1]
		if x, ok := letters[0].loneFoot(); ok {
			require.InDelta(t, letters[0].x+x+c.left, first.X, 1e-9, c.text)
		} else {
			require.Zero(t, c.left)
		}
		if x, ok := letters[len(letters)-1].loneFoot(); ok {
			require.InDelta(t, letters[len(letters)-1].x+x+c.right, last.X, 1e-9, c.text)
		} else {
			require.Zero(t, c.right, c.text)
		}
	}
}
