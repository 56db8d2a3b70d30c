package lower_test

import (
	"os"
	"os/exec"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

// On arm64 the compiler fuses a product and a sum where the source allows it;
// then instructions would differ between processors.
func TestNoProductIsFusedWithASumOnARM64(t *testing.T) {
	build := exec.Command("go", "build", "-gcflags=-S", "wend/runtime/plan", "wend/runtime/bounds", "wend/runtime/machine", "wend/runtime/lower", "wend/runtime/gcode", "wend/runtime/region", "wend/runtime/shading")
	build.Env = append(os.Environ(), "GOOS=linux", "GOARCH=arm64", "CGO_ENABLED=0")
	listing, err := build.CombinedOutput()
	require.NoError(t, err, "%s", listing)
	require.Contains(t, string(listing), "FMULD")
	fused := regexp.MustCompile(`.*\bFN?M(ADD|SUB)[SD]\b.*`)
	require.Empty(t, fused.FindAllString(string(listing), -1))
}
