package main

import (
	"bytes"
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"wend/cmd/wend/engine"
	"wend/cmd/wend/kind"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/runtime/machine"
)

func newCheck(c console) *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "only look for errors, in programs, drawings, instruction files and machine profiles",
		Long: `Looks for errors and writes nothing. What a file is, is told by what stands in it,
before its name. A program is run, and its line held against the page. An instruction
file, from wend or from elsewhere, is read after RS-274/NGC and held against the area
of the machine: arcs, inches, relative moves and all, comments in brackets or from ;
to the end of the line; what a machine of two axes has no part for is left out and
told. What is sound here is what build and send take. - reads standard input.`,
		Example: `  wend check fern.wend
  wend check --machine bench.toml fern.wend bench.toml
  wend check drawing.gcode`,
		Args: atLeastOne("a file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			settings, list, err := f.settings(c)
			if err != nil {
				return err
			}
			working := c.progress(&f, "the picture evolves")
			settings.Progress = working.tell
			results := make([]checkJSON, 0, len(args))
			for _, name := range args {
				result := checkJSON{File: name}
				var held *machine.Profile
				found := list
				if !list.Failed() {
					var more diag.List
					result.Kind, held, more = c.checkFile(cmd.Context(), name, settings, &f)
					working.clear()
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
						c.tell("%s: %s\n", name, verdict(name, result.Kind, held))
					}
				}
			}
			if f.json {
				if err := c.writeJSON(results); err != nil {
					return err
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
	f.addElsewhere(cmd)
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

func (c console) checkFile(ctx context.Context, name string, settings engine.Settings, f *runFlags) (k string, held *machine.Profile, list diag.List) {
	held = settings.Profile
	in, err := c.readInput(name)
	k = in.kind.String()
	if err != nil {
		return k, held, engine.Faults(err)
	}
	make, drawn := loaders[in.kind]
	if !drawn && in.kind != kind.Profile {
		return k, held, engine.Faults(wrongKind(in, "check", "name a program, a drawing (SVG), a photo, an instruction file or a machine profile"))
	}
	file, err := in.text()
	if err != nil {
		return k, held, engine.Faults(err)
	}
	if in.kind == kind.Profile {
		profile, list := machine.Read(file)
		if profile != nil {
			for _, d := range profile.Leaning() {
				d.File = name
				list = append(list, d)
			}
		}
		return k, profile, list
	}
	program, list := make(file, settings)
	if program == nil {
		return k, held, list
	}
	list = append(list, f.unfit(program)...)
	line, more := program.Draw(ctx)
	if !f.quiet {
		c.said(program.Said(), more.Failed(), f)
	}
	list = append(list, more...)
	if program.Traced() && !list.Failed() {
		// A line that is in the area may still ask the motors to leave it.
		_, more = program.Lower(ctx, line, 0, machine.Gap{}, new(bytes.Buffer))
		list = append(list, more...)
	}
	return k, held, list
}
