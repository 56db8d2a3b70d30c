package live

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"wend/lang/diag"
	"wend/lang/parse"
	"wend/lang/source"
)

// restoredName is what messages call an entry that was restored. A name in angle
// brackets has no folder, so files that it uses are looked for where the
// entries' are.
const restoredName = "<restored %d>"

// restore takes up what an earlier session left, statement by statement, so that
// each can be taken back by itself. A statement that needs later ones is one
// entry with them.
func (p *Prompt) restore(ctx context.Context, _ string) error {
	if p.Left == "" {
		return refusal("the last session left nothing, or it was saved")
	}
	name, _, _ := strings.Cut(restoredName, "%")
	if slices.ContainsFunc(p.session.now.entries, func(e entry) bool { return strings.HasPrefix(e.source.Name, name) }) {
		return refusal("it is restored already; `/entries` lists it, `/forget` takes it back")
	}
	file, err := p.Load(p.Left)
	if err != nil {
		return err
	}
	parts, faults := statementsOf(file)
	if faults.Failed() {
		return faults
	}
	before := len(p.session.now.entries)
	err = p.takeUp(ctx, parts)
	if n := len(p.session.now.entries) - before; n > 0 {
		p.keep()
		entries := "1 entry"
		if n > 1 {
			entries = fmt.Sprintf("%d entries", n)
		}
		p.say("restored %s; `/entries` shows what", entries)
		p.show()
		p.remind()
	}
	if err != nil {
		return err
	}
	return p.follow(ctx)
}

// takeUp accepts texts one after the other. What one of them says is said.
func (p *Prompt) takeUp(ctx context.Context, parts []string) error {
	ctx, done := p.interruptible(ctx)
	defer done()
	text, number := "", 1
	var why diag.List
	for _, part := range parts {
		text += part
		change, list := p.session.Try(ctx, fmt.Sprintf(restoredName, number), text)
		if ctx.Err() != nil {
			return refusal("stopped; what was restored so far counts")
		}
		if why = list; change == nil {
			continue
		}
		p.session.Accept(change)
		for _, s := range change.Said {
			p.say("%s", s.Text)
		}
		text, why = "", nil
		number++
	}
	if text != "" && why.Failed() {
		return why
	}
	return nil
}

// statementsOf cuts a program into its statements, each with the comments before
// it. What stands on one line stays together.
func statementsOf(file *source.File) ([]string, diag.List) {
	tree, faults := parse.File(file)
	if faults.Failed() {
		return nil, faults
	}
	var parts []string
	from := 0
	for i, stmt := range tree.Body {
		last := file.LineOf(max(stmt.Place().Start, stmt.Place().End-1))
		if i+1 < len(tree.Body) && file.LineOf(tree.Body[i+1].Place().Start) == last {
			continue
		}
		end := len(file.Text)
		if i+1 < len(tree.Body) {
			end = file.LineStart(last + 1)
		}
		parts = append(parts, file.Text[from:end])
		from = end
	}
	return parts, nil
}
