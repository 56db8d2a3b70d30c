package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/diag/render"
	"wend/runtime/preview"
)

// mostSeeds is how many drawings one contact sheet takes.
const mostSeeds = 100

// buildSeeds draws one program with several seeds on one contact sheet.
func (c console) buildSeeds(ctx context.Context, name string, f *buildFlags) error {
	from, to, ok := strings.Cut(f.seeds, "..")
	first, errFirst := strconv.ParseUint(from, 10, 64)
	last, errLast := strconv.ParseUint(to, 10, 64)
	if !ok || errFirst != nil || errLast != nil || last < first || last-first >= mostSeeds {
		return usagef("--seeds takes a range of at most %d whole numbers, such as 1..12, not `%s`", mostSeeds, f.seeds)
	}
	settings, list, err := f.settings(c)
	if err != nil {
		return err
	}
	working := c.progress(&f.runFlags, "the picture evolves")
	settings.Progress = working.tell
	sheet := outputBase(name, f.out) + ".seeds.png"
	if !list.Failed() {
		list = append(list, c.contactSheet(ctx, name, settings, sheet, first, last)...)
	}
	working.clear()
	if err := ctx.Err(); err != nil {
		return err
	}
	list = list.Sorted()
	if f.json {
		if err := c.writeJSON(struct {
			File        string              `json:"file"`
			OK          bool                `json:"ok"`
			PNG         string              `json:"png"`
			Diagnostics []render.Diagnostic `json:"diagnostics"`
		}{name, !list.Failed(), sheet, render.JSON(list)}); err != nil {
			return err
		}
	} else {
		c.show(f.worthShowing(list), f.plain)
		if !list.Failed() && !f.quiet {
			c.tell("seeds %d to %d on one sheet\n  wrote      %s\n", first, last, filepath.ToSlash(sheet))
		}
	}
	if list.Failed() {
		return exit(exitErrors)
	}
	return nil
}

func (c console) contactSheet(ctx context.Context, name string, settings engine.Settings, sheet string, first, last uint64) diag.List {
	file, err := c.readProgramFile(name, "build --seeds")
	if err != nil {
		return engine.Faults(err)
	}
	var pictures []preview.Print
	var list diag.List
	for seed := first; ; seed++ {
		settings.Seed = &seed
		program, faults := engine.Load(file, settings)
		if program == nil {
			return faults
		}
		drawn, more := program.Draw(ctx)
		list = append(append(faults, more...), program.Blank(drawn)...)
		if list.Failed() {
			for i := range list {
				list[i].Message += fmt.Sprintf(", with seed %d", seed)
			}
			return list
		}
		pictures = append(pictures, preview.Print{Picture: program.Picture(drawn, engine.WithLine(drawn)[0]), Label: fmt.Sprintf("seed %d", seed)})
		if seed == last {
			break
		}
	}
	var png bytes.Buffer
	if err := preview.ContactSheet(ctx, &png, filepath.Base(name), pictures); err != nil {
		return append(list, engine.Faults(err)...)
	}
	if err := commitBuilt([]output{{name: sheet, data: png.Bytes()}}, []string{name}); err != nil {
		return append(list, engine.Faults(err)...)
	}
	return list
}
