package check

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/source"
	"wend/lang/types"
)

// Dump prints what the checker found out about a program, in source order: what
// each name stands for, how each call is carried out, the kinds of all
// expressions and the variables of each body.
func Dump(w io.Writer, p *Program) error {
	for _, m := range p.Modules {
		name := m.Name
		if name == "" {
			name = "main"
		}
		if _, err := fmt.Fprintf(w, "module %s (%s)\n", name, m.File.Source.Name); err != nil {
			return err
		}
		for _, line := range factsOf(p, m.File.Source) {
			if _, err := fmt.Fprintln(w, " ", line); err != nil {
				return err
			}
		}
	}
	return nil
}

// fact is one line of a dump.
type fact struct {
	span source.Span
	rank int
	text string
}

func factsOf(p *Program, file *source.File) []string {
	var facts []fact
	add := func(span source.Span, rank int, format string, args ...any) {
		if span.File == file {
			facts = append(facts, fact{span, rank, fmt.Sprintf(format, args...)})
		}
	}
	for node, body := range p.Bodies {
		text := "body " + strings.TrimPrefix(fmt.Sprintf("%T", node), "*ast.")
		if body.Draws {
			text += ", draws"
		}
		for _, v := range body.Vars {
			text += fmt.Sprintf("; %s %s: %s", objectWord(v.Kind), v.Name, v.Kinds.Name())
			if v.Unit != types.Plain {
				text += " (" + v.Unit.String() + ")"
			}
		}
		if len(body.Captures) > 0 {
			names := make([]string, len(body.Captures))
			for i, v := range body.Captures {
				names[i] = v.Name
			}
			slices.Sort(names)
			text += "; captures " + strings.Join(names, " ")
		}
		add(node.Place(), 0, "%s", text)
	}
	for e, obj := range p.Refs {
		text := "is " + objectWord(obj.Kind) + " " + obj.Name
		if obj.Place.Known() {
			text += fmt.Sprintf(" of %s:%d", obj.Place.File.Name, obj.Place.From().Line)
		}
		add(e.Place(), 1, "%s", text)
	}
	for call, how := range p.Calls {
		add(call.Span, 2, "%s", callText(how))
	}
	for e, kinds := range p.Kinds {
		switch e.(type) {
		case *ast.NumberLit, *ast.BoolLit, *ast.TextLit, *ast.Paren:
		default:
			add(e.Place(), 3, "gives %s", kinds.Name())
		}
	}
	slices.SortFunc(facts, func(a, b fact) int {
		return cmp.Or(cmp.Compare(a.span.Start, b.span.Start), cmp.Compare(b.span.End, a.span.End), cmp.Compare(a.rank, b.rank), cmp.Compare(a.text, b.text))
	})
	lines := make([]string, len(facts))
	for i, f := range facts {
		from := f.span.From()
		code, _, _ := strings.Cut(f.span.Text(), "\n")
		if f.span.Start == 0 && f.span.End == len(file.Text) {
			code = ""
		}
		lines[i] = strings.TrimRight(fmt.Sprintf("%d:%-3d %-24s %s", from.Line, from.Column, code, f.text), " ")
	}
	return lines
}

func callText(how *Call) string {
	text := "calls a value"
	if how.Target != nil {
		text = "calls " + how.Target.Name
	}
	for i, arg := range how.Args {
		name := ""
		switch {
		case how.Form != nil && len(how.Form.Params) > 0:
			name = how.Form.ParamAt(i).Name + "="
		case how.Target != nil && i < len(how.Target.Params):
			name = how.Target.Params[i].Name + "="
		}
		given := "by default"
		if arg != nil {
			given = arg.Place().Text()
		}
		text += "; " + name + given
	}
	return text
}

func objectWord(k ObjectKind) string {
	return [...]string{"variable", "loop variable", "curve variable", "parameter", "function", "figure", "word", "module"}[k]
}
