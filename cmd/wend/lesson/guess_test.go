package lesson_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/lesson"
	"wend/runtime/congruence"
	"wend/runtime/geom"
)

// Of the pictures that may be guessed no two are the same drawing, wherever it stands
// and however it is turned, so that nobody is right by chance; the right one is what
// the program draws, unless something else is asked for.
func TestNoTwoGuessesAreTheSameDrawing(t *testing.T) {
	ctx := context.Background()
	withPictures := 0
	for _, l := range lesson.Lessons() {
		var pictures [][]geom.Point
		for i := range l.Guess.Answers {
			picture, err := l.Guess.Picture(ctx, i)
			require.NoError(t, err)
			if picture != nil {
				pictures = append(pictures, picture)
			}
		}
		if len(pictures) == 0 {
			continue
		}
		withPictures++
		require.Len(t, pictures, len(l.Guess.Answers), "lesson %d: each answer has a picture, or none", l.Number)
		start := try(t, "start.wend", l.Start).Picture().Points
		for i, a := range pictures {
			same := congruence.Compare(start, a, congruence.Motions{}, 0.3).Kind == congruence.None
			require.Equal(t, l.Guess.Answers[i].Right && l.Guess.Ask == "", same, "lesson %d: %s", l.Number, l.Guess.Answers[i].Text)
			for _, b := range pictures[:i] {
				require.NotEqual(t, congruence.None, congruence.Compare(a, b, congruence.Motions{Moved: true}, 0.3).Kind, "lesson %d", l.Number)
			}
		}
	}
	require.GreaterOrEqual(t, withPictures, 5)
}

// What is told of measures is what the programs draw.
func TestGuessesSayWhatTheProgramsDraw(t *testing.T) {
	start := func(n int) []geom.Point {
		return try(t, "start.wend", lesson.Lessons()[n-1].Start).Picture().Points
	}
	card := start(3)
	require.InDelta(t, 170, geom.Length(card), 1e-6)
	coil := start(6)
	require.InDelta(t, 5, coil[0].Distance(coil[1]), 1e-6)
	require.InDelta(t, 60, coil[11].Distance(coil[12]), 1e-6)
	twigs := start(9)
	require.InDelta(t, 0, twigs[len(twigs)-1].Distance(geom.Point{X: 70, Y: 70}), 1e-6, "it stops at the top of the stem")
	require.InDelta(t, 90, geom.Bounds(start(10)).Width(), 0.01)
	require.InDelta(t, 30, geom.Bounds(start(10)).Height(), 0.01)
	triangle := start(2)
	require.InDelta(t, 0, triangle[0].Distance(triangle[3]), 0.1)
}
