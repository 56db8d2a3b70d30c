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
}

func (f *faults) span(start, end int) source.Span {
	return source.Span{File: f.src, Start: start, End: end}
}

func (f *faults) add(r rank, d diag.Diagnostic) { f.list = append(f.list, fault{d, r}) }

// sorted gives the faults in source order, one a line: people mend a line at a
// time, and what else is said about a faulty line is mostly an echo.
func (f *faults) sorted() diag.List {
	if len(f.list) == 0 {
		return nil
	}
	type placed struct {
		fault
		line int
	}
	all := make([]placed, len(f.list))
	for i, one := range f.list {
		all[i] = placed{one, f.src.LineOf(one.Span.Start)}
	}
	slices.SortStableFunc(all, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(b.rank, a.rank), cmp.Compare(a.Span.Start, b.Span.Start))
	})
	all = slices.CompactFunc(all, func(a, b placed) bool { return a.line == b.line })
	out := make(diag.List, len(all))
	for i, one := range all {
		out[i] = one.Diagnostic
	}
	return out
}
