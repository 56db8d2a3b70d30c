package code

import (
	"fmt"
	"strings"
)

// String is the whole program as a listing: for people and golden files.
func (p *Program) String() string {
	var out strings.Builder
	for i, f := range p.Funcs {
		if i > 0 {
			out.WriteByte('\n')
		}
		p.writeFunc(&out, i, f)
	}
	return out.String()
}

func (p *Program) writeFunc(out *strings.Builder, index int, f *Func) {
	fmt.Fprintf(out, "f%d %s", index, f.Shape)
	if f.Name != "" {
		fmt.Fprintf(out, " %s", f.Name)
	}
	for i, param := range f.Params {
		word := ""
		if i >= len(f.Params)-f.Captures {
			word = "captured "
		}
		if param.Optional {
			word = "optional "
		}
		bank := "n"
		if param.Rep == Val {
			bank = "v"
		}
		fmt.Fprintf(out, ", %s%s: %s %s%d", word, param.Name, param.Rep, bank, param.Register)
	}
	fmt.Fprintf(out, " -> %s; n%d v%d", f.Result, f.Numbers, f.Values)
	if f.Spilled > 0 {
		fmt.Fprintf(out, " spilled %d", f.Spilled)
	}
	out.WriteByte('\n')
	statement, line := 0, 0
	for pc, in := range f.Code {
		for statement < len(f.Statements) && f.Statements[statement].PC == pc {
			if at := f.Statements[statement].Span.From().Line; at != line {
				line = at
				fmt.Fprintf(out, "  line %d\n", line)
			}
			statement++
		}
		fmt.Fprintf(out, "  %4d  %s\n", pc, p.Show(in))
	}
}

// Show is one instruction as text.
func (p *Program) Show(in Instr) string {
	layout := layouts[in.Op]
	fields := []uint8{in.A, in.B, in.C}
	next := 0
	register := func() uint8 { next++; return fields[next-1] }
	words := []string{}
	for _, field := range layout.fields {
		var word string
		switch field {
		case 'n', 'v':
			word = fmt.Sprintf("%c%d", field, register())
		case 'N':
			word = fmt.Sprintf("n%d", in.D)
		case 'V':
			word = fmt.Sprintf("v%d", in.D)
		case '#':
			word = fmt.Sprintf("×%d", register())
		case '-':
			register()
			continue
		case 'k':
			word = fmt.Sprintf("%v", p.Numbers[in.D])
		case 'K':
			word = fmt.Sprintf("%v", p.Numbers[in.BC()])
		case 'i':
			word = fmt.Sprintf("%d", in.D)
		case 'l':
			word = fmt.Sprintf("%q", p.Layouts[in.D])
		case 't', 'd':
			word = fmt.Sprintf("%q", p.Texts[in.D])
		case 'j':
			word = fmt.Sprintf("to %d", in.D)
		case 'f':
			word = fmt.Sprintf("f%d", in.D)
		case 'b':
			word = p.Builtins[in.D].Name
		case 'g':
			word = fmt.Sprintf("module %d slot %d", in.D>>16, in.D&0xffff)
		case 'o':
			word = "(" + p.Notes[in.D].What + ")"
		case 'w':
			word = fmt.Sprintf("×%d %s", len(p.Fits[in.D].Args), p.Fits[in.D].Word)
		case 'a':
			word = Arith(in.D).String()
		case 'c':
			word = Compare(in.D).String()
		}
		words = append(words, word)
	}
	return strings.TrimSpace(fmt.Sprintf("%-12s %s", layout.name, strings.Join(words, " ")))
}
