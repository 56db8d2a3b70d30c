package engine_test

import (
	"context"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/runtime/machine"
)

// madeForOnePage are the examples that are set for the page of the desk toy: the
// first two to learn from, in plain mm, and letters of a size that can be read.
var madeForOnePage = map[string]bool{
	"pinwheel": true, "fern": true,
	"certificate": true, "name-plate": true, "specimen-brook": true, "specimen-linden": true,
}

// All other examples fit a page of any shape as they are.
func TestExamplesFitAnyPage(t *testing.T) {
	examples, err := filepath.Glob("../../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, examples)
	p := machine.DeskToy()
	p.Area.WidthMM, p.Area.HeightMM = 90, 130
	p.Drawing.ToleranceMM = 0.2
	for _, example := range examples {
		name := strings.TrimSuffix(filepath.Base(example), ".wend")
		if madeForOnePage[name] {
			continue
		}
		file, err := readFile("", example)
		require.NoError(t, err)
		program, list := engine.Load(file, engine.Settings{Profile: p, Read: readFile})
		require.NotNil(t, program, "%v", list)
		_, list = program.Draw(context.Background())
		for _, d := range list {
			t.Errorf("%s on a page of %g by %g: %s", name, p.Page().Width(), p.Page().Height(), d.Message)
		}
	}
}
