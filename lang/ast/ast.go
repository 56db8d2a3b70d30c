// Package ast is the tree of a program as it was written: every node knows the
// exact part of the text it covers, and nothing that a later step finds out is
// kept in it.
package ast

import "wend/lang/source"

// Node is any part of the tree.
type Node interface{ Place() source.Span }

// Spanned carries a node's place; nodes embed it.
type Spanned struct{ Span source.Span }

// Place is the part of the text that the node covers.
func (s Spanned) Place() source.Span { return s.Span }

// File is one program text.
type File struct {
	Source   *source.File
	Body     []Stmt
	Comments []Comment // in source order
}

// Place is the whole text.
func (f *File) Place() source.Span { return source.Span{File: f.Source, End: len(f.Source.Text)} }

// Comment runs from its # to the end of the line, which it does not include.
type Comment struct{ Spanned }

// Ident is a name where one is defined or named, not looked up as a value.
type Ident struct {
	Spanned
	Name string // in NFC
}

// Stmt is a statement.
type Stmt interface {
	Node
	stmt()
}

// Expr is an expression.
type Expr interface {
	Node
	expr()
}

// Block is statements in braces; Span includes the braces.
type Block struct {
	Spanned
	Stmts []Stmt
}

// Param is a parameter of a function or figure; Default may be nil.
type Param struct {
	Spanned
	Name    Ident
	Default Expr
}

// Arg is an argument of a call; Name is nil for one given by position.
type Arg struct {
	Spanned
	Name  *Ident
	Value Expr
}

// RecordField is a field of a record as it is made. Name.Name is the field's
// name; Quoted tells that it is written as a text.
type RecordField struct {
	Spanned
	Name   Ident
	Quoted bool
	Value  Expr
}

// Statements.
type (
	// Use is `use "flowers.wend" as flowers`.
	Use struct {
		Spanned
		Path *TextLit
		Name Ident
	}
	// Let is `let x = 1`.
	Let struct {
		Spanned
		Name  Ident
		Value Expr
	}
	// Assign is `x = 2` or `xs[1] = 2`: Target is a NameExpr or a chain of Index over one.
	// The checker reports any other target. Op is that of a change in place, as in
	// `x += 2`, and empty for `=`; OpSpan covers the sign.
	Assign struct {
		Spanned
		Target Expr
		Op     BinaryOp
		OpSpan source.Span
		Value  Expr
	}
	// FuncDef is `fn area(r) = …` (Result set) or `fn f(x) { … }` (Body set).
	FuncDef struct {
		Spanned
		Name   Ident
		Params []Param
		Result Expr
		Body   *Block
	}
	// FigureDef is `figure vane(size) { … }`.
	FigureDef struct {
		Spanned
		Name   Ident
		Params []Param
		Body   *Block
	}
	// Repeat is `loop n { … }`.
	Repeat struct {
		Spanned
		Count Expr
		Body  *Block
	}
	// LoopIn is `loop v in values { … }` or `loop i, v in values { … }`. Index is
	// the variable that counts the passes, or nil.
	LoopIn struct {
		Spanned
		Index  *Ident
		Var    Ident
		Values Expr
		Body   *Block
	}
	// LoopWhile is `loop while cond { … }`.
	LoopWhile struct {
		Spanned
		Cond Expr
		Body *Block
	}
	// If is `if c { … } else …`; Else is nil, a *Block or an *If.
	If struct {
		Spanned
		Cond Expr
		Then *Block
		Else Node
	}
	// Return is `return` or `return value`.
	Return struct {
		Spanned
		Value Expr // may be nil
	}
	// Break is `break`.
	Break struct{ Spanned }
	// Continue is `continue`.
	Continue struct{ Spanned }
	// Draw is `draw p` (At nil) or `draw p at q`.
	Draw struct {
		Spanned
		Path Expr
		At   Expr
	}
	// Branch is `branch { … }`.
	Branch struct {
		Spanned
		Body *Block
	}
	// Do is a call in statement position: `ahead 5`, `vane`, `vane(22)`,
	// `flowers.rose 3`. Call.Glued tells `vane(22)` from `vane 22`.
	Do struct {
		Spanned
		Call *Call
	}
)

func (*Use) stmt()       {}
func (*Let) stmt()       {}
func (*Assign) stmt()    {}
func (*FuncDef) stmt()   {}
func (*FigureDef) stmt() {}
func (*Repeat) stmt()    {}
func (*LoopIn) stmt()    {}
func (*LoopWhile) stmt() {}
func (*If) stmt()        {}
func (*Return) stmt()    {}
func (*Break) stmt()     {}
func (*Continue) stmt()  {}
func (*Draw) stmt()      {}
func (*Branch) stmt()    {}
func (*Do) stmt()        {}

// Unit is a unit as written behind a number.
type Unit string

// The units of the language; None is a bare number.
const (
	None       Unit = ""
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Inch       Unit = "in"
	Degree     Unit = "deg"
	Radian     Unit = "rad"
)

// Expressions.
type (
	// NumberLit is `12`, `1e3`, `2cm`. Value is as written, before the unit
	// converts it to millimetres or degrees.
	NumberLit struct {
		Spanned
		Value float64
		Unit  Unit
	}
	// TextLit is `"vanes: {n}"`: plain parts and expressions in turn.
	TextLit struct {
		Spanned
		Parts []TextPart
	}
	// BoolLit is `true` or `false`.
	BoolLit struct {
		Spanned
		Value bool
	}
	// NameExpr is a name used as a value.
	NameExpr struct {
		Spanned
		Name string // in NFC
	}
	// PointLit is `(x, y)`.
	PointLit struct {
		Spanned
		X, Y Expr
	}
	// ListLit is `[a, b]`.
	ListLit struct {
		Spanned
		Items []Expr
	}
	// RecordLit is `{name: "oak", height: 12}`.
	RecordLit struct {
		Spanned
		Fields []RecordField
	}
	// Range is `a..b` or `a..b by s`; By may be nil.
	Range struct {
		Spanned
		From, To, By Expr
	}
	// Unary is `-x` or `not x`.
	Unary struct {
		Spanned
		Op UnaryOp
		X  Expr
	}
	// Binary is arithmetic, `and` or `or`. OpSpan covers the operator.
	Binary struct {
		Spanned
		Op     BinaryOp
		OpSpan source.Span
		X, Y   Expr
	}
	// Compare is `a < b` or a chain `a < b <= c`: len(Operands) = len(Ops)+1.
	Compare struct {
		Spanned
		Operands []Expr
		Ops      []CompareOp
		OpSpans  []source.Span
	}
	// Call is `f(a, b)`, `x.f(a)`, or in statement position `f a, b`.
	Call struct {
		Spanned
		Fn    Expr // NameExpr, Field, Index, Call, …
		Args  []Arg
		Glued bool // written with brackets
	}
	// Index is `xs[i]`.
	Index struct {
		Spanned
		X, I Expr
	}
	// Field is `p.length`, or the callee of `x.f(a)`.
	Field struct {
		Spanned
		X    Expr
		Name Ident
	}
	// Paren is `(x)`: kept, so that a program can be laid out as it was written.
	Paren struct {
		Spanned
		X Expr
	}
	// Choice is `if c { a } else { b }` where a value stands. The spans are those
	// of the braces; Else is another Choice after `else if`, which has none.
	Choice struct {
		Spanned
		Cond     Expr
		Then     Expr
		ThenSpan source.Span
		Else     Expr
		ElseSpan source.Span
	}
	// FuncLit is `fn(t) = t * t` (Result set) or `fn(t) { … }` (Body set).
	FuncLit struct {
		Spanned
		Params []Param
		Result Expr
		Body   *Block
	}
	// PathLit is `path { … }`.
	PathLit struct {
		Spanned
		Body *Block
	}
	// Curve is `curve t in a..b = (x, y)`. Interval is a *Range without By
	// (the checker reports one with it), Formula any expression.
	Curve struct {
		Spanned
		Var      Ident
		Interval Expr
		Formula  Expr
	}
	// Bad stands where an expression could not be read; a diagnostic was
	// given for it, so later steps keep silent about it.
	Bad struct{ Spanned }
)

// TextPart is plain text (Value nil) or `{expression}`. Plain holds the text
// with its escapes resolved.
type TextPart struct {
	Spanned
	Plain string
	Value Expr
}

// Plain is the text if nothing is inserted in it.
func (t *TextLit) Plain() (string, bool) {
	var plain string
	for _, part := range t.Parts {
		if part.Value != nil {
			return "", false
		}
		plain += part.Plain
	}
	return plain, true
}

func (*NumberLit) expr() {}
func (*TextLit) expr()   {}
func (*BoolLit) expr()   {}
func (*NameExpr) expr()  {}
func (*PointLit) expr()  {}
func (*ListLit) expr()   {}
func (*RecordLit) expr() {}
func (*Range) expr()     {}
func (*Unary) expr()     {}
func (*Binary) expr()    {}
func (*Compare) expr()   {}
func (*Call) expr()      {}
func (*Index) expr()     {}
func (*Field) expr()     {}
func (*Paren) expr()     {}
func (*Choice) expr()    {}
func (*FuncLit) expr()   {}
func (*PathLit) expr()   {}
func (*Curve) expr()     {}
func (*Bad) expr()       {}

// UnaryOp is a prefix operator.
type UnaryOp string

// BinaryOp is an operator between two values that makes a third.
type BinaryOp string

// CompareOp is an operator that compares.
type CompareOp string

// The operators, as they are written.
const (
	Minus UnaryOp = "-"
	Not   UnaryOp = "not"

	Add BinaryOp = "+"
	Sub BinaryOp = "-"
	Mul BinaryOp = "*"
	Div BinaryOp = "/"
	Pow BinaryOp = "^"
	And BinaryOp = "and"
	Or  BinaryOp = "or"

	Equal        CompareOp = "=="
	NotEqual     CompareOp = "!="
	Less         CompareOp = "<"
	LessEqual    CompareOp = "<="
	Greater      CompareOp = ">"
	GreaterEqual CompareOp = ">="
)
