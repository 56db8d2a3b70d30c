package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/runtime/machine"
	"wend/runtime/plan"
	"wend/runtime/preview"
)

// artefact is a kind of file that build writes of each sheet.
type artefact struct {
	kind string // the ending of its name, and its field in --json
	// about says in a few words what it is, in the help of --also. It is empty
	// for those that are not asked for there.
	about string
	asked func(f *buildFlags) bool // reports whether it is written; nil with about: as --also says
	late  bool                     // it is made from the instructions
	write func(job *sheetJob, w *pending) error
}

// artefacts are all kinds, in the order in which they are listed. A row here is
// all that a new kind takes.
var artefacts = []artefact{
	{kind: "png", asked: always, write: func(j *sheetJob, w *pending) error {
		options := j.flags.picture()
		options.Inked = j.inked
		return preview.PNG(j.ctx, w, j.picture, options)
	}},
	{kind: "gcode", asked: always, write: (*sheetJob).lower},
	{kind: "svg", about: "the line as one path, true to size", write: func(j *sheetJob, w *pending) error {
		return preview.SVG(w, j.picture, j.drawn.Seed)
	}},
	{kind: "gif", about: "the drawing as it grows", write: func(j *sheetJob, w *pending) error {
		return preview.GIF(j.ctx, w, j.picture, preview.Growth{})
	}},
	{kind: "csv", about: "every vertex", write: func(j *sheetJob, w *pending) error {
		return preview.CSV(w, j.picture)
	}},
	{kind: "html", about: "a page to print: the drawing at true size and its program", write: func(j *sheetJob, w *pending) error {
		return preview.Printed(w, j.picture, j.program.Text())
	}},
	{kind: "as-drawn.png", asked: func(f *buildFlags) bool { return f.asDrawn }, late: true, write: (*sheetJob).simulate},
}

func always(*buildFlags) bool { return true }

func (a *artefact) wanted(f *buildFlags) bool {
	if a.asked == nil {
		return slices.Contains(f.also, a.kind)
	}
	return a.asked(f)
}

// furtherKinds are the kinds that --also knows.
func furtherKinds() (kinds []string) {
	for _, a := range artefacts {
		if a.about != "" {
			kinds = append(kinds, a.kind)
		}
	}
	return kinds
}

// furtherAbout lists the kinds that --also knows with what they are.
func furtherAbout() string {
	var all []string
	for _, a := range artefacts {
		if a.about != "" {
			all = append(all, a.kind+": "+a.about)
		}
	}
	return strings.Join(all, "; ")
}

// sheetJob is a sheet whose files are being made.
type sheetJob struct {
	ctx     context.Context
	flags   *buildFlags
	program *engine.Program
	drawn   *plan.Plan
	sheet   int         // of the plan
	gap     machine.Gap // where each axis stands in its slack before it
	picture preview.Picture
	inked   *preview.Inking // ink that was laid before; may be nil
	made    *pendings

	builtSheet
	list diag.List // beside the errors
}

// run makes all files that are wanted, side by side, those from the instructions
// after these.
func (j *sheetJob) run(base string) diag.List {
	for _, late := range []bool{false, true} {
		var jobs []func() error
		for _, a := range artefacts {
			if a.late != late || !a.wanted(j.flags) {
				continue
			}
			full := base + "." + a.kind
			j.names[a.kind] = full
			made := j.made.add(full)
			j.outputs = append(j.outputs, output{name: full, made: made})
			jobs = append(jobs, func() error { return a.write(j, made) })
		}
		for _, err := range atOnce(jobs) {
			if err != nil {
				j.list = append(j.list, engine.Faults(err)...)
			}
		}
		if j.list.Failed() {
			break
		}
	}
	return j.list
}

// lower writes the instructions and measures the sheet.
func (j *sheetJob) lower(w *pending) error {
	var list diag.List
	if j.Sheet, list = j.program.Lower(j.ctx, j.drawn, j.sheet, j.gap, w); list.Failed() {
		return list
	}
	j.list = append(j.list, list...)
	return nil
}

// simulate shows what a machine makes of the instructions, beside what it would
// make of such as do not make up for its slack.
func (j *sheetJob) simulate(w *pending) error {
	instructions, err := j.output("gcode")
	if err != nil {
		return err
	}
	as, list := j.program.Simulate(j.ctx, j.drawn, j.sheet, j.Sheet, instructions)
	if list.Failed() {
		return list
	}
	j.asDrawn = &as
	ideal := j.drawn.Sheets[j.sheet].Points
	largest := as.LargestMM
	if as.Uncompensated != nil {
		largest = max(largest, as.Uncompensated.LargestMM)
	}
	times := 10.0
	if largest*100 <= mostEnlargedMM {
		times = 100
	}
	print := func(name string, as *engine.AsDrawn) preview.Print {
		return preview.Print{
			Picture: j.picture,
			Label:   fmt.Sprintf("%s: at most %.3f mm off the plan", name, as.LargestMM),
			Overlay: &preview.Overlay{Points: as.Enlarged(ideal, times)},
		}
	}
	prints := []preview.Print{print("as drawn", &as)}
	if as.Uncompensated != nil {
		prints = append(prints, print("if slack were not made up for", as.Uncompensated))
	}
	title := fmt.Sprintf("what is off the plan, %g times as far", times)
	if unknown := j.program.Profile.UnknownSlack(); len(unknown) > 0 {
		title += "; the slack of " + strings.Join(unknown, " and ") + " is not known, and not in it"
	}
	if j.picture.Source != "" {
		title = j.picture.Source + ": " + title
	}
	return preview.ContactSheet(j.ctx, w, title, prints)
}

// mostEnlargedMM is how far a line may seem to be off the plan where what is off
// is enlarged a hundred times rather than ten.
const mostEnlargedMM = 5
