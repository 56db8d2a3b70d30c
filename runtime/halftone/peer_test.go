//go:build peers

package halftone

import (
	"encoding/json"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// secondSSIM is the structural similarity by scikit-image, with the window of
// Wang and others 2004.
const secondSSIM = `
import json, sys, numpy
from skimage.metrics import structural_similarity
q = json.load(sys.stdin)
a, b = (numpy.array(q[k]).reshape(q["rows"], q["columns"]) for k in ("a", "b"))
_, whole = structural_similarity(a, b, data_range=1, gaussian_weights=True, sigma=1.5, use_sample_covariance=False, full=True)
print(json.dumps(float(whole.mean())))
`

func TestStructuralSimilarityAgreesWithAnotherLibrary(t *testing.T) {
	p := newPlate(pictureNamed(t, "chelsea"), 60, 0.5, 1)
	tones := p.tones(p.natural())
	for _, other := range []*grid{tones.blurred(1, repeated), tones.blurred(4, repeated), diffused(tones).blurred(1.8, repeated), p.tones(0.3)} {
		question, err := json.Marshal(map[string]any{"rows": tones.rows, "columns": tones.columns, "a": tones.at, "b": other.at})
		require.NoError(t, err)
		ask := exec.Command("/usr/bin/python3", "-c", secondSSIM)
		ask.Stdin = strings.NewReader(string(question))
		out, err := ask.Output()
		require.NoError(t, err)
		var want float64
		require.NoError(t, json.Unmarshal(out, &want))
		// It repeats the edge mirrored and ends its window at 3.5 deviations.
		require.InDelta(t, want, structure(tones, other), 0.003)
	}
}
