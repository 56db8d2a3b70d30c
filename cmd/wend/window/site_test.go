package window

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTheSiteHasThePageAndEachPiece(t *testing.T) {
	site, err := Site()
	require.NoError(t, err)
	require.Contains(t, string(site["index.html"]), `name="wend-secret" content=""`)
	require.Contains(t, site, "worker.js")
	var pieces []map[string]any
	require.NoError(t, json.Unmarshal(site["gallery.json"], &pieces))
	require.Len(t, pieces, len(gallery()))
	for _, p := range pieces {
		require.NotEmpty(t, site[p["file"].(string)], p)
		require.NotEmpty(t, p["title"])
	}
}
