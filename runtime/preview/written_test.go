package preview_test

import (
	"bytes"
	"context"
	"image"
	"image/gif"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
	"wend/runtime/preview"
)

func TestWhatWasWrittenHereIsKnownAgain(t *testing.T) {
	pic := preview.Picture{Page: preview.Page{WidthMM: 40, HeightMM: 30}, Points: []geom.Point{{X: 1, Y: 1}, {X: 9, Y: 9}}, LineWidthMM: 0.5, Source: "a.wend"}
	for kind, write := range map[string]func(w *bytes.Buffer) error{
		"png": func(w *bytes.Buffer) error { return preview.PNG(context.Background(), w, pic, preview.Options{}) },
		"svg": func(w *bytes.Buffer) error { return preview.SVG(w, pic, 1) },
		"gif": func(w *bytes.Buffer) error { return preview.GIF(context.Background(), w, pic, preview.Growth{}) },
		"csv": func(w *bytes.Buffer) error { return preview.CSV(w, pic) },
		"contact sheet": func(w *bytes.Buffer) error {
			return preview.ContactSheet(context.Background(), w, "a.wend", []preview.Print{{Picture: pic, Label: "seed 1"}})
		},
	} {
		var made bytes.Buffer
		require.NoError(t, write(&made), kind)
		require.True(t, preview.Written(made.Bytes()), kind)
		if kind == "gif" {
			_, err := gif.DecodeAll(&made)
			require.NoError(t, err)
		}
	}
	im := image.NewGray(image.Rect(0, 0, 4, 4))
	var photo, movie bytes.Buffer
	require.NoError(t, png.Encode(&photo, im))
	require.NoError(t, gif.Encode(&movie, im, nil))
	for _, other := range [][]byte{photo.Bytes(), movie.Bytes(), []byte("<svg><title>a house</title></svg>"), []byte("x,y\r\n1,2\r\n"), nil} {
		require.False(t, preview.Written(other), "%.20q", other)
	}
}
