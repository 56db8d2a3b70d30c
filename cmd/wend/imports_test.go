package main

import (
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mayImport is the architecture: each package with all of ours that it may
// import, tests left out. DEVELOPERS.md says in words what each one owns. A new
// edge is a decision: make it here and there.
var mayImport = map[string]string{
	"lang/source":             "",
	"lang/diag":               "lang/source",
	"lang/diag/render":        "lang/diag lang/source",
	"lang/ast":                "lang/source",
	"lang/ast/asttest":        "lang/ast",
	"lang/parse":              "lang/ast lang/diag lang/source",
	"lang/types":              "",
	"lang/check":              "lang/ast lang/diag lang/source lang/types",
	"lang/words":              "",
	"lang/mend":               "internal/expression lang/diag lang/paraphrase lang/source lang/types lang/words",
	"lang/paraphrase":         "internal/expression lang/words",
	"lang/vocabulary":         "internal/expression lang/words",
	"lang/assist":             "lang/ast lang/check lang/diag lang/source lang/types lang/vocabulary",
	"lang/editors":            "",
	"lang/code":               "lang/ast lang/source lang/types",
	"lang/compile":            "lang/ast lang/check lang/code lang/source lang/types",
	"lang/format":             "lang/ast lang/source",
	"runtime/elementary":      "",
	"runtime/geom":            "runtime/elementary runtime/geom/interval",
	"runtime/geom/interval":   "runtime/elementary",
	"runtime/value":           "lang/diag lang/source lang/types runtime/geom runtime/geom/interval runtime/plan",
	"runtime/plan":            "lang/source runtime/geom",
	"runtime/eval":            "lang/code lang/diag lang/source lang/types runtime/elementary runtime/geom runtime/geom/interval runtime/plan runtime/value runtime/weave",
	"runtime/region":          "runtime/geom",
	"runtime/shading":         "internal/heap runtime/geom runtime/plan runtime/region runtime/tour runtime/weave",
	"runtime/weave":           "internal/heap runtime/geom runtime/plan runtime/weave/matching",
	"runtime/weave/matching":  "",
	"runtime/tour":            "runtime/geom",
	"runtime/congruence":      "runtime/geom",
	"runtime/tone":            "runtime/elementary",
	"runtime/halftone":        "runtime/elementary runtime/geom runtime/tone runtime/tour runtime/weave",
	"runtime/machine":         "lang/diag lang/source runtime/elementary runtime/geom",
	"runtime/calibrate":       "runtime/elementary runtime/geom runtime/machine",
	"runtime/bounds":          "lang/diag lang/source runtime/geom runtime/plan",
	"runtime/lower":           "lang/diag lang/source runtime/elementary runtime/geom runtime/machine runtime/plan",
	"runtime/link":            "lang/diag lang/source runtime/elementary runtime/gate runtime/geom runtime/machine",
	"runtime/gcode":           "internal/expression lang/diag lang/source runtime/elementary runtime/geom runtime/machine runtime/plan",
	"runtime/gate":            "runtime/elementary runtime/machine",
	"runtime/simulator":       "runtime/geom",
	"runtime/preview":         "lang/source runtime/geom runtime/plan",
	"runtime/svg":             "internal/expression lang/diag lang/source runtime/elementary runtime/geom runtime/region runtime/shading",
	"stdlib":                  "internal/expression runtime/svg runtime/tone runtime/halftone runtime/tour runtime/shading runtime/geom/interval runtime/region runtime/weave lang/diag lang/source lang/types lang/vocabulary lang/words runtime/elementary runtime/geom runtime/value stdlib/dataset stdlib/lettering",
	"internal/expression":     "",
	"internal/heap":           "",
	"internal/largepages":     "",
	"internal/repeatable":     "",
	"stdlib/dataset":          "lang/diag lang/source runtime/value",
	"stdlib/lettering":        "internal/heap runtime/plan runtime/elementary runtime/geom runtime/weave",
	"examples":                "",
	"cmd/wend/engine":         "*",
	"cmd/wend/lesson":         "internal/expression cmd/wend/engine examples lang/ast lang/diag lang/parse lang/source runtime/congruence runtime/eval runtime/geom runtime/machine runtime/plan runtime/preview",
	"cmd/wend/handout":        "cmd/wend/engine cmd/wend/lesson lang/source lang/words runtime/geom runtime/machine runtime/preview",
	"cmd/wend/live":           "*",
	"cmd/wend/editors":        "cmd/wend/engine lang/assist lang/diag lang/format lang/parse lang/source lang/types runtime/gcode runtime/plan runtime/preview",
	"cmd/wend/operate":        "lang/diag lang/source runtime/gcode runtime/geom runtime/link runtime/preview",
	"cmd/wend/sending":        "cmd/wend/engine cmd/wend/operate lang/diag runtime/gcode runtime/geom runtime/link runtime/machine runtime/plan runtime/preview",
	"cmd/wend/window/compact": "",
	"cmd/wend/window/talk":    "cmd/wend/engine cmd/wend/lesson examples lang/assist lang/ast lang/diag lang/format lang/parse lang/source lang/types lang/vocabulary runtime/eval runtime/gcode runtime/geom runtime/machine runtime/plan runtime/preview stdlib",
	"cmd/wend/window":         "internal/expression cmd/wend/engine cmd/wend/kind cmd/wend/lesson cmd/wend/operate cmd/wend/sending cmd/wend/window/talk examples lang/diag lang/source runtime/geom runtime/link runtime/plan runtime/preview",
	"cmd/wend/tty":            "cmd/wend/operate runtime/link",
	"cmd/wend/kind":           "internal/expression",
	"cmd/wend/bench":          "lang/diag runtime/calibrate runtime/geom runtime/link runtime/machine",
	"cmd/wend":                "*",
}

// soleImporter names the one package that may import a module from outside.
var soleImporter = map[string]string{
	"github.com/alecthomas/participle/v2": "lang/parse",
	"github.com/golang/freetype":          "runtime/preview",
	"github.com/pelletier/go-toml/v2":     "runtime/machine",
	"github.com/spf13/cobra":              "cmd/wend",
	"github.com/peterh/liner":             "cmd/wend/tty",
	"github.com/fsnotify/fsnotify":        "cmd/wend",
	"go.bug.st/serial":                    "runtime/link",
	"github.com/creack/pty":               "cmd/wend",
	"go.lsp.dev":                          "cmd/wend/editors",
	"github.com/coder/websocket":          "cmd/wend/window",
}

func TestPackagesImportOnlyWhatTheArchitectureAllows(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports,TestImports,XTestImports", "wend/...").Output()
	require.NoError(t, err)
	decoder := json.NewDecoder(strings.NewReader(string(out)))
	seen := map[string]bool{}
	for {
		var p struct {
			ImportPath                         string
			Imports, TestImports, XTestImports []string
		}
		err := decoder.Decode(&p)
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		name := strings.TrimPrefix(p.ImportPath, "wend/")
		allowed, known := mayImport[name]
		if !known {
			t.Errorf("package %s is not in the architecture", name)
			continue
		}
		seen[name] = true
		if tests := append(p.TestImports, p.XTestImports...); slices.Contains(tests, "pgregory.net/rapid") && !slices.Contains(tests, "wend/internal/repeatable") {
			t.Errorf("the property tests of %s try other cases in every run: import internal/repeatable", name)
		}
		for _, imported := range p.Imports {
			if ours, ok := strings.CutPrefix(imported, "wend/"); ok {
				if allowed != "*" && !slices.Contains(strings.Fields(allowed), ours) {
					t.Errorf("%s imports %s, which the architecture does not allow", name, ours)
				}
				if ours == "cmd/wend" {
					t.Errorf("%s imports the command", name)
				}
			}
			for module, owner := range soleImporter {
				if (imported == module || strings.HasPrefix(imported, module+"/")) && name != owner {
					t.Errorf("%s imports %s, which is the business of %s alone", name, module, owner)
				}
			}
			if strings.HasPrefix(name, "lang/") || slices.Contains([]string{"runtime/geom", "runtime/plan", "runtime/lower", "runtime/eval", "runtime/weave", "runtime/region", "runtime/shading", "runtime/svg", "runtime/tone", "runtime/value", "runtime/bounds", "runtime/calibrate", "runtime/machine", "runtime/gate", "runtime/congruence", "cmd/wend/kind", "cmd/wend/lesson", "cmd/wend/handout"}, name) {
				for _, effect := range []string{"os", "net", "time", "math/rand", "math/rand/v2"} {
					if imported == effect {
						t.Errorf("%s is pure and must not import %s", name, effect)
					}
				}
			}
		}
	}
	for name := range mayImport {
		if !seen[name] {
			t.Errorf("the architecture speaks of %s, which is not there", name)
		}
	}
}

// What a browser fetches before it draws holds nothing that it has no use for there:
// no files, no network, no profiles, one format of pictures.
func TestTheEngineOfASiteBringsNothingInVain(t *testing.T) {
	list := exec.Command("go", "list", "-deps", enginePackage)
	list.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := list.Output()
	require.NoError(t, err)
	inside := strings.Fields(string(out))
	require.Contains(t, inside, "wend/runtime/eval")
	for _, p := range inside {
		for _, vain := range []string{"crypto", "net", "html", "text/template", "os/exec", "os/user", "log", "testing", "image/jpeg", "golang.org/x/image/webp", "github.com/pelletier/go-toml/v2", "github.com/spf13/cobra"} {
			require.False(t, p == vain || strings.HasPrefix(p, vain+"/"), p)
		}
	}
}
