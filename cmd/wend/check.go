package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"wend/cmd/wend/drawing"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/runtime/gcode"
	"wend/runtime/machine"
)

func newCheck(c console) *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "only look for errors, in programs, instruction files and machine profiles",
		Long: `Looks for errors and writes nothing. What a file is, is told by its ending: .toml is
a machine profile; .gcode, .nc and .ngc are instruction files, from wend or from
elsewhere, read after RS-274/NGC and held against the area of the machine (arcs,
inches, relative moves and all; comments in brackets, or from ; to the end of the
line); anything else is a program, which is run and whose line is held against the
page. - reads a program from standard input.`,
		Example: `  wend check fern.wend
  wend check --machine bench.toml fern.wend bench.toml
  wend check drawing.gcode`,
		Args: atLeastOne("a file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			settings, list, err := f.settings(c)
			if err != nil {
				return err
			}
			results := make([]checkJSON, 0, len(args))
			for _, name := range args {
				result := checkJSON{File: name}
				var held *machine.Profile
				found := list
				if !list.Failed() {
					var more diag.List
					result.Kind, held, more = c.checkFile(cmd.Context(), name, settings, &f)
					found = append(found[:len(found):len(found)], more...).Sorted()
				}
				if err := cmd.Context().Err(); err != nil {
					return err
				}
				result.OK, result.Diagnostics = !found.Failed(), render.JSON(found)
				results = append(results, result)
				if !f.json {
					c.show(f.worthShowing(found), f.plain)
					if result.OK && !f.quiet {
						fmt.Fprintf(c.stdout, "%s: %s\n", name, verdict(name, result.Kind, held))
					}
				}
			}
			if f.json {
				encoder := json.NewEncoder(c.stdout)
				encoder.SetIndent("", "  ")
				encoder.SetEscapeHTML(false)
				if err := encoder.Encode(results); err != nil {
					return exit(exitErrors)
				}
			}
			for _, result := range results {
				if !result.OK {
					return exit(exitErrors)
				}
			}
			return nil
		},
	}
	f.add(cmd)
	return cmd
}

// checkJSON is what `wend check --json` says of each file.
type checkJSON struct {
	File        string              `json:"file"`
	Kind        string              `json:"kind"` // program, profile, instructions
	OK          bool                `json:"ok"`
	Diagnostics []render.Diagnostic `json:"diagnostics"`
}

// verdict is what a sound file is good for, with the profile that it is or was
// held against.
func verdict(name, kind string, p *machine.Profile) string {
	switch kind {
	case "profile":
		if !p.Calibrated {
			return fmt.Sprintf("no errors; not calibrated: good for building, previews and the simulated machine. `%s` comes before the first drawing", tuneCommand(name))
		}
		return "no errors; calibrated: good for building and for drawing on the machine"
	case "instructions":
		return fmt.Sprintf("every motion stays in the area of the %s", p.Name)
	}
	return fmt.Sprintf("no errors; the line fits the page of the %s", p.Name)
}

func (c console) checkFile(ctx context.Context, name string, settings drawing.Settings, f *runFlags) (kind string, held *machine.Profile, list diag.List) {
	held = settings.Profile
	switch {
	case strings.ToLower(filepath.Ext(name)) == ".toml":
		profile, list := c.profile(name)
		if profile != nil {
			for _, d := range profile.Leaning() {
				d.File = name
				list = append(list, d)
			}
		}
		return "profile", profile, list
	case isInstructions(name):
		file, err := c.readText(name, instructionLimit)
		if err != nil {
			return "instructions", held, drawing.Faults(err)
		}
		_, list := gcode.Check(name, file.Text, settings.Profile)
		return "instructions", held, list
	}
	file, err := c.readProgramFile(name, "check")
	if err != nil {
		return "program", held, drawing.Faults(err)
	}
	program, list := drawing.Load(file, settings)
	if program == nil {
		return "program", held, list
	}
	drawn, more := program.Draw(ctx)
	if !f.quiet {
		c.said(drawn, f)
	}
	return "program", held, append(list, more...)
}
