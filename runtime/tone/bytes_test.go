package tone_test

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Decoders, colours and paper give the same light to the last bit on every
// processor: the sums were written on one and are compared on another too
// (.ci/run runs this test under arm64).
func TestPicturesGiveTheSameBytesEverywhere(t *testing.T) {
	for name, sum := range map[string]string{
		"blobs.jpg":  "22e9534a1593732ea40a2275757c5255069e6759e55ca21083b3609379a19e93",
		"blobs.webp": "b1e432fb0bfbe6860923cd205f65e004a7bc77e9d072e45abc1201b365ff9405",
		"blobs.gif":  "7d520fac6a26ebdf2f417b2972454c34d4d0524a06e1bce476725adb5245d79d",
		"blobs.png":  "b7c0c83a3b711151e7ef7d9feeedf3dc2ee4d718bae2ea9cd1470422b1a0cee7",
	} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		light := sha256.New()
		decode(t, data).WriteContent(light)
		require.Equal(t, sum, fmt.Sprintf("%x", light.Sum(nil)), name)
	}
}
