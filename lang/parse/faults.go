package parse

import (
	"cmp"
	"slices"

	"wend/lang/diag"
	"wend/lang/source"
)

// rank says which of several faults found on one line is the cause and which
// only follows from it: the highest is reported.
type rank int

const (
	rankGuess   rank = iota // a closing brace too many, if nothing better explains the line
	rankGrammar             // the grammar stopped here
	rankBracket             // brackets do not match
	rankText                // quotes do not match
)

type fault struct {
	diag.Diagnostic
	rank rank
}

// faults collects what is wrong with one file.
type faults struct {
	src  *source.File
	list []fault

	withdrawn map[int]bool // offsets

	// The line of the fault added last.
	lineStart, lineEnd int
}

func (f *faults) span(start, end int) source.Span {
	return source.Span{File: f.src, Start: start, End: end}
}

// echo reports whether a fault at an offset would say no more than the one
// added last: on the same line it is of lower rank, or comes later.
func (f *faults) echo(r rank, at int) bool {
	if len(f.list) == 0 || at < f.lineStart || at >= f.lineEnd {
		return false
	}
	last := &f.list[len(f.list)-1]
	return r < last.rank || r == last.rank && at >= last.Span.Start
}

func (f *faults) add(r rank, d diag.Diagnostic) {
	if f.echo(r, d.Span.Start) {
		return
	}
	f.list = append(f.list, fault{d, r})
	line := f.src.LineOf(d.Span.Start)
	f.lineStart = f.src.LineStart(line)
	f.lineEnd = len(f.src.Text) + 1
	if line < f.src.Lines() {
		f.lineEnd = f.src.LineStart(line + 1)
	}
}

// forget drops the faults from the n-th on.
func (f *faults) forget(n int) {
	f.list = f.list[:n]
	f.lineEnd = 0
}

// withdraw takes back what was said about a closing bracket too many.
func (f *faults) withdraw(at int) {
	if f.withdrawn == nil {
		f.withdrawn = map[int]bool{}
	}
	f.withdrawn[at] = true
}

// sorted gives the faults in source order, one a line: people mend a line at a
// time, and what else is said about a faulty line is mostly an echo.
func (f *faults) sorted() diag.List {
	if len(f.list) == 0 {
		return nil
	}
	type entry struct{ index, line int }
	entries := make([]entry, 0, len(f.list))
	for i := range f.list {
		one := &f.list[i]
		if one.Code == "extra-bracket" && f.withdrawn[one.Span.Start] {
			continue
		}
		entries = append(entries, entry{i, f.src.LineOf(one.Span.Start)})
	}
	slices.SortFunc(entries, func(a, b entry) int {
		if a.line != b.line {
			return cmp.Compare(a.line, b.line)
		}
		x, y := &f.list[a.index], &f.list[b.index]
		return cmp.Or(cmp.Compare(y.rank, x.rank), cmp.Compare(x.Span.Start, y.Span.Start), cmp.Compare(a.index, b.index))
	})
	entries = slices.CompactFunc(entries, func(a, b entry) bool { return a.line == b.line })
	out := make(diag.List, len(entries))
	for i, p := range entries {
		out[i] = f.list[p.index].Diagnostic
	}
	return out
}
