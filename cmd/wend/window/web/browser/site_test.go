package browser

import (
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

func TestAnExportedSiteDrawsWithoutAProcess(t *testing.T) {
	site := filepath.Join(t.TempDir(), "site")
	in(t, sources, "go", "run", "./cmd/wend", "open", "--export", site)
	server := httptest.NewServer(http.FileServer(http.Dir(site)))
	t.Cleanup(server.Close)
	b := browse(t, server.URL, 1280, 800)
	b.until(`document.getElementById("block").textContent.includes(" mm")`)
	b.shoot("site")
	b.press("KeyA", kb.ModifierCtrl)
	b.types("ahead 50\r")
	b.until(`document.getElementById("block").textContent.includes("50 mm")`)
	require.Contains(t, b.program(), "ahead 50")
}
