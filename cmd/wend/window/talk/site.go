package talk

import (
	"path/filepath"

	"wend/cmd/wend/engine"
	"wend/examples"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/machine"
)

// siteLimits are those of a browser, which computes four to eight times as slowly and
// has less memory: a line of more points would keep whoever writes waiting.
var siteLimits = eval.Limits{Points: 500_000}

// OfSite are the settings of programs in an exported site. There are no files but
// those that came with its pieces.
func OfSite() engine.Settings {
	return engine.Settings{Profile: machine.DeskToy(), Read: beside, Limits: siteLimits}
}

// beside gives what the examples use.
func beside(_, name string) (*source.File, error) {
	path := filepath.ToSlash(name)
	for _, piece := range examples.Names() {
		if text, ok := examples.Beside(piece)[path]; ok {
			return source.New(name, text), nil
		}
	}
	return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}, File: name}
}
