package window

import (
	"encoding/binary"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/examples"
)

func TestTheSiteHasThePageAndEachPiece(t *testing.T) {
	site, err := Site()
	require.NoError(t, err)
	require.Contains(t, string(site["index.html"]), `name="wend-secret" content=""`)
	require.Contains(t, site, "worker.js")
	var came struct {
		Pieces []map[string]any
		First  string
	}
	require.NoError(t, json.Unmarshal(site["gallery.json"], &came))
	require.Equal(t, FirstProgram, came.First)
	require.Len(t, came.Pieces, len(gallery()))
	for _, p := range came.Pieces {
		require.NotEmpty(t, site[p["file"].(string)], p)
		require.NotEmpty(t, p["title"])
	}
	var small map[string]string
	require.NoError(t, json.Unmarshal(site["small.json"], &small))
	require.Len(t, small, len(examples.Names()))
	require.Less(t, len(site["small.json"]), 300_000)
}

// What is seen at first is what the engine of the site would say.
func TestTheSiteBeginsWithADrawingThatIsThere(t *testing.T) {
	site, err := Site()
	require.NoError(t, err)
	var texts []map[string]any
	lines := 0
	for all := site["first.bin"]; len(all) > 0; {
		isText, n := binary.LittleEndian.Uint32(all), binary.LittleEndian.Uint32(all[4:])
		message := all[8 : 8+n]
		all = all[8+n:]
		if isText == 0 {
			lines++
			continue
		}
		var m map[string]any
		require.NoError(t, json.Unmarshal(message, &m))
		texts = append(texts, m)
	}
	require.NotZero(t, lines)
	require.Equal(t, "opened", texts[0]["type"])
	first := gallery()[0].Name
	require.Equal(t, first+".wend", texts[0]["path"])
	require.Equal(t, string(site["gallery/"+first+".wend"]), texts[0]["text"])
	drawn := texts[len(texts)-1]
	require.Equal(t, "drawn", drawn["type"])
	require.EqualValues(t, 1, drawn["id"])
	require.NotEmpty(t, drawn["sheets"])
	require.Empty(t, drawn["messages"])
}
