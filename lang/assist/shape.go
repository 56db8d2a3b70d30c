package assist

import (
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/source"
)

// Meaning is what a word or sign means, for colouring it.
type Meaning uint8

// What words and signs mean.
const (
	KeywordMeaning Meaning = iota
	NumberMeaning
	TextMeaning
	CommentMeaning
	OperatorMeaning
	FunctionMeaning
	FigureMeaning
	VariableMeaning
	ParameterMeaning
	ModuleMeaning
	FieldMeaning
)

// Colored is a word or sign with what it means.
type Colored struct {
	Span    source.Span
	Meaning Meaning
	Library bool // a word of the library
	Defined bool // the name is defined here
}

// Meanings are what the words and signs of the text mean, in source order.
// Brackets and commas mean nothing of their own.
func (d *Document) Meanings() []Colored {
	named := map[int]mention{}
	for _, m := range d.mentions(d.Tree) {
		if d.ours(m.span) {
			named[m.span.Start] = m
		}
	}
	var all []Colored
	for i, t := range d.tokens() {
		c := Colored{Span: t.Span}
		switch t.Kind {
		case ast.KeywordToken, ast.NameToken:
			m, known := named[t.Span.Start]
			switch {
			case known && m.span == t.Span:
				c.Meaning, c.Library, c.Defined = m.means()
			case t.Kind == ast.KeywordToken && d.text(i-1) != ".":
				c.Meaning = KeywordMeaning
			default:
				continue
			}
		case ast.NumberToken:
			c.Meaning = NumberMeaning
		case ast.TextToken:
			c.Meaning = TextMeaning
		case ast.CommentToken:
			c.Meaning = CommentMeaning
		case ast.SignToken:
			if strings.ContainsAny(t.Span.Text(), ",:.") && t.Span.Text() != ".." {
				continue
			}
			c.Meaning = OperatorMeaning
		default:
			continue
		}
		all = append(all, c)
	}
	return all
}

func (m mention) means() (Meaning, bool, bool) {
	switch {
	case m.obj == nil && m.expr == nil && !m.def:
		return ParameterMeaning, true, false
	case m.obj == nil && m.word != "":
		return FieldMeaning, false, m.def
	case m.obj == nil:
		return VariableMeaning, false, m.def
	}
	switch m.obj.Kind {
	case check.Builtin:
		if m.obj.Builtin.Value {
			return VariableMeaning, true, false
		}
		return FunctionMeaning, true, false
	case check.Function:
		return FunctionMeaning, false, m.def
	case check.Figure:
		return FigureMeaning, false, m.def
	case check.Parameter:
		return ParameterMeaning, false, m.def
	case check.ModuleRef:
		return ModuleMeaning, !m.obj.Place.Known(), m.def
	}
	return VariableMeaning, false, m.def
}

// Fold is some lines that can be shown as one, counted from 1.
type Fold struct {
	From, To int
	Comment  bool
}

// Folds are the blocks, lists and runs of comments of several lines.
func (d *Document) Folds() []Fold {
	var all []Fold
	file := d.source()
	ast.Walk(d.Tree, func(n ast.Node) bool {
		switch n.(type) {
		case *ast.Block, *ast.ListLit, *ast.RecordLit, *ast.Call, *ast.Choice:
			s := n.Place()
			from, to := file.LineOf(s.Start), file.LineOf(max(s.Start, s.End-1))
			if to > from && !slices.ContainsFunc(all, func(f Fold) bool { return f.From == from }) {
				all = append(all, Fold{From: from, To: to})
			}
		}
		return true
	})
	for i := 0; i < len(d.Tree.Comments); i++ {
		first := file.LineOf(d.Tree.Comments[i].Span.Start)
		last := first
		for i+1 < len(d.Tree.Comments) && file.LineOf(d.Tree.Comments[i+1].Span.Start) == last+1 && alone(file, last) && alone(file, last+1) {
			last++
			i++
		}
		if last > first {
			all = append(all, Fold{first, last, true})
		}
	}
	slices.SortFunc(all, func(a, b Fold) int { return a.From - b.From })
	return all
}

// Selections are the parts of the program around an offset, the smallest first.
func (d *Document) Selections(at int) []source.Span {
	at = d.clamped(at)
	all := []source.Span{d.Tree.Place()}
	children := ast.Children(d.Tree)
	for {
		next := -1
		for i, child := range children {
			if s := child.Place(); d.ours(s) && s.Start <= at && at <= s.End {
				next = i
			}
		}
		if next < 0 {
			break
		}
		if s := children[next].Place(); s != all[len(all)-1] && s.Start < s.End {
			all = append(all, s)
		}
		children = ast.Children(children[next])
	}
	slices.Reverse(all)
	return all
}
