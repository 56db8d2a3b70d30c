package engine_test

import (
	"context"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/machine"
	"wend/stdlib"
)

// outcome is everything that is said about an example of a page.
func outcome(subject diag.Subject, text string) diag.List {
	switch subject {
	case diag.Profile:
		_, list := machine.Read(source.New("example.toml", text))
		return list
	case diag.Instructions:
		_, list := gcode.Trace("example.gcode", text, machine.DeskToy(), gcode.TraceOptions{Start: machine.DeskToy().Area.StartMM})
		return list
	}
	program, list := engine.Load(source.New("example.wend", text), engine.Settings{Profile: machine.DeskToy(), Read: flowers})
	if program == nil {
		return list
	}
	_, more := program.Draw(context.Background())
	return append(list, more...)
}

// flowers is the file that examples of `use` name.
func flowers(_, name string) (*source.File, error) {
	if text, ok := stdlib.ExampleFile(name); ok && name != "flowers.wend" {
		return source.New(name, text), nil
	}
	if name != "flowers.wend" {
		return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
	}
	return source.New(name, "figure rose(size) { loop 5 { arc size, 100; turn 44 } }\nfigure tulip(size) { ahead size }\n"), nil
}

// Examples of pages are small; many only say something. That they draw nothing
// is not what they are about.
func codes(list diag.List) []diag.Code {
	var found []diag.Code
	for _, d := range list {
		if d.Code != "program-empty" {
			found = append(found, d.Code)
		}
	}
	return found
}

func TestEveryPagesExamplesDoWhatThePageSays(t *testing.T) {
	for _, p := range diag.Pages() {
		if p.Subject == diag.Outside {
			continue
		}
		t.Run(string(p.Code), func(t *testing.T) {
			bad := outcome(p.Subject, p.Bad)
			if p.Code == "program-empty" {
				require.Equal(t, p.Code, bad[0].Code)
				require.Empty(t, outcome(p.Subject, p.Good))
				return
			}
			require.Equal(t, []diag.Code{p.Code}, codes(bad), "the bad example gives %v", bad)
			said := regexp.MustCompile("`[^`]*`").ReplaceAllString(bad[0].Message+" / "+bad[0].Hint, "")
			require.NotRegexp(t, `\{[a-z]+\}`, said, "a place of the message is not filled")
			require.Empty(t, codes(outcome(p.Subject, p.Good)), "the good example: %v", outcome(p.Subject, p.Good))
		})
	}
}
