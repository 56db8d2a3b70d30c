package browser

import (
	"bufio"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

// sources is the folder of the module that the page belongs to.
const sources = "../../../../.."

func in(t *testing.T, folder, name string, arguments ...string) {
	t.Helper()
	command := exec.Command(name, arguments...)
	command.Dir = folder
	out, err := command.CombinedOutput()
	require.NoError(t, err, string(out))
}

// open runs `wend open` on a folder, as it is built from these sources, and gives
// the address that it prints.
func open(t *testing.T, arguments ...string) string {
	t.Helper()
	run := exec.Command(wend(t), append([]string{"open", "--no-browser"}, arguments...)...)
	run.Env = append(os.Environ(), "XDG_STATE_HOME="+t.TempDir(), "XDG_CONFIG_HOME="+t.TempDir())
	stdout, err := run.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, run.Start())
	t.Cleanup(func() {
		run.Process.Signal(os.Interrupt) //nolint:errcheck // it may have ended
		require.NoError(t, run.Wait())
	})
	address, err := bufio.NewReader(stdout).ReadString('\n')
	require.NoError(t, err)
	return strings.TrimSpace(address)
}

func TestTheProcessDrawsWhatIsWritten(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "square.wend")
	require.NoError(t, os.WriteFile(file, []byte(square), 0o644))
	address := open(t, file)
	b := browse(t, address, 1280, 800) // lets the browser in, and moves on
	origin, _, _ := strings.Cut(address, "/in/")
	b.do(chromedp.Navigate(origin + "/"))
	b.until(`document.getElementById("block").textContent.includes("160 mm")`)
	b.types("ahed 50\r")
	b.until(`document.getElementById("program").shadowRoot.querySelector(".note button")`)
	b.alt("Enter")
	b.until(`document.getElementById("block").textContent.includes("210 mm")`)
	require.Contains(t, b.program(), "ahead 50\nloop 4")
	require.Eventually(t, func() bool {
		text, err := os.ReadFile(file)
		return err == nil && string(text) == "ahead 50\n"+square
	}, waits, tick)
	b.shoot("process-saved")
}

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
