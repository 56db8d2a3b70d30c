package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/runtime/geom"
)

func TestWhatRoundsToZeroHasNoSign(t *testing.T) {
	b := geom.Box{Min: geom.Point{X: -1e-14, Y: -0.04}, Max: geom.Point{X: 139.96, Y: -0.06}}
	require.Equal(t, "x 0.0 to 140.0, y 0.0 to -0.1 mm", engine.Reach(b))
}
