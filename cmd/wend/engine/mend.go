package engine

import (
	"context"
	"slices"

	"wend/lang/diag"
	"wend/lang/mend"
	"wend/lang/parse"
	"wend/lang/source"
	"wend/runtime/eval"
	"wend/runtime/plan"
	"wend/stdlib"
)

// Mended is what there is to say about a text, with edits that were tried: try
// says all there is to say about another text in its place, run, unless it is
// nil, what running it adds to that, and draw gives what such a text draws, or
// nil.
func Mended(file *source.File, list diag.List, try, run func(text string) diag.List, draw func(text string) *plan.Plan) diag.List {
	if !list.Failed() || limited(list) || len(file.Text) > mendedBytes {
		return list
	}
	same := func(a, b string) bool { return alike(draw(a), draw(b)) }
	return mend.Improve(file, list, mend.Options{Library: stdlib.Library(), Members: stdlib.Members, Parameters: stdlib.Parameters, Try: try, Run: run, Same: same})
}

// mended is Mended for a program that is loaded.
func mended(main *source.File, list diag.List, settings Settings) diag.List {
	settings.Read = remembered(settings.Read)
	var last *Program // that was tried and found right
	var drawn *plan.Plan
	try := func(text string) diag.List {
		tree, list := parse.File(source.New(main.Name, text))
		last, list = Ready(tree, list, settings)
		return list
	}
	run := func(string) diag.List {
		options := last.options()
		options.Limits = triedStatic
		var list diag.List
		drawn, list = last.draw(context.Background(), options)
		if limited(list) {
			return nil
		}
		return list
	}
	draw := func(text string) *plan.Plan {
		if try(text).Failed() {
			return nil
		}
		run(text)
		return drawn
	}
	return Mended(main, list, try, run, draw)
}

// alike reports whether two plans are the same line, with the same notes.
func alike(a, b *plan.Plan) bool {
	if a == nil || b == nil || len(a.Sheets) != len(b.Sheets) {
		return false
	}
	said := func(p, q plan.Saying) bool { return p.Text == q.Text }
	for i := range a.Sheets {
		if !slices.Equal(a.Sheets[i].Points, b.Sheets[i].Points) {
			return false
		}
	}
	return slices.EqualFunc(a.Said, b.Said, said)
}

// mendedBytes is how long a text may be of which further ones are tried: a
// program by hand is far shorter.
const mendedBytes = 256 << 10

// A program is tried again only if it comes to its end within so much.
var triedAgain = eval.Limits{Operations: 1_000_000, Points: 200_000, Depth: 2_000, Bytes: 32 << 20}

// A program that does not load is tried by running too, so that no edit leads
// off the page; within less, since a person who types waits for it.
var triedStatic = eval.Limits{Operations: 100_000, Points: 20_000, Depth: 500, Bytes: 8 << 20}

// mendedRun is Mended for a program that was run.
func mendedRun(ctx context.Context, main *source.File, list diag.List, settings Settings) diag.List {
	settings.Read = remembered(settings.Read)
	draw := func(text string) (*plan.Plan, diag.List) {
		tree, list := parse.File(source.New(main.Name, text))
		p, list := Ready(tree, list, settings)
		if p == nil {
			return nil, list
		}
		options := p.options()
		options.Limits = triedAgain
		drawn, more := p.draw(ctx, options)
		return drawn, append(list, more...)
	}
	try := func(text string) diag.List { _, list := draw(text); return list }
	if limited(try(main.Text)) {
		return list
	}
	return Mended(main, list, try, nil, func(text string) *plan.Plan { drawn, _ := draw(text); return drawn })
}

// limited reports whether a run was cut short.
func limited(list diag.List) bool {
	return slices.ContainsFunc(list, func(d diag.Diagnostic) bool {
		switch d.Code {
		case "too-many-operations", "too-many-points", "too-much-memory", "too-deep", "run-stopped":
			return true
		}
		return false
	})
}

// remembered reads each file once.
func remembered(read func(program, path string) (*source.File, error)) func(program, path string) (*source.File, error) {
	type answer struct {
		file *source.File
		err  error
	}
	known := map[use]answer{}
	return func(program, path string) (*source.File, error) {
		a, ok := known[use{program, path}]
		if !ok {
			a.file, a.err = read(program, path)
			known[use{program, path}] = a
		}
		return a.file, a.err
	}
}
