// Package code is the compact form of a checked program that the evaluator
// runs: register code, one function a body, with places kept beside it.
//
// A function has two banks of registers. Numbers, yes-or-no values (0 or 1) and
// points (two registers in a row) whose kind the checker has proven live
// unboxed in the number bank; everything else lives in the value bank. A call
// overlaps the frames: arguments are laid out at the upper end of the caller's
// registers and are the first registers of the callee, and the result comes
// back in the first of them.
//
// The package holds data only. It names library functions by their
// description; whoever runs the code binds the Go functions.
package code

import (
	"slices"

	"wend/lang/ast"
	"wend/lang/source"
	"wend/lang/types"
)

// Program is a whole program, ready to run.
type Program struct {
	Funcs    []*Func
	Modules  []Module // in the order in which they run; the main file is last
	Numbers  []float64
	Texts    []string   // in NFC
	Layouts  [][]string // the names of the fields of records, in NFC
	Builtins []*types.Builtin
	Sites    []source.Span // drawing statements, and whatever else adds line
	Notes    []Note
	Fits     []Fitting
	Library  *types.Library
}

// Module is a file that takes part: its body runs once and its frame stays, so
// that functions can read the variables at file scope.
type Module struct {
	Name string
	Body int // index into Program.Funcs
}

// Note is what an instruction wants said when it fails: the names that its
// message needs.
type Note struct {
	What string // "turn", "the condition", "size of vane"
	Want types.Kind
}

// Fitting is what the arguments of a call of a library word are held to: they have
// to fit one of the forms that it can be. Args are where they stand; unknown for
// one that is left out.
type Fitting struct {
	Word  string
	Forms []*types.Form
	Args  []source.Span
}

// Rep is how a value lies in registers.
type Rep uint8

// The representations.
const (
	None  Rep = iota // no value
	Num              // one number register
	Bool             // one number register holding 0 or 1
	Point            // two number registers in a row
	Val              // one value register
)

// Numbers is how many number registers the representation takes.
func (r Rep) Numbers() int { return [...]int{0, 1, 1, 2, 0}[r] }

// Values is how many value registers the representation takes.
func (r Rep) Values() int {
	if r == Val {
		return 1
	}
	return 0
}

func (r Rep) String() string { return [...]string{"none", "number", "bool", "point", "value"}[r] }

// Shape says what a function is for.
type Shape uint8

// The shapes.
const (
	File    Shape = iota // a module's body
	Fn                   // computes a value
	Figure               // draws; its value is a path
	Path                 // path { }: draws, run where it stands
	Formula              // of a curve
)

func (s Shape) String() string {
	return [...]string{"file", "fn", "figure", "path", "formula"}[s]
}

// Func is one body.
type Func struct {
	Name     string // "vane"; empty for unnamed ones
	Shape    Shape
	Place    source.Span // of its head, for people
	Params   []Param     // parameters, then captured variables
	Captures int         // how many of Params are captured variables
	Result   Rep
	Numbers  int // registers used in each bank
	Values   int
	Spilled  int // variables that found no register: values outside the frame

	Code  []Instr
	Spans []source.Span // one an instruction: what a message about it points at
	Loops []Loop        // inner ones after the outer ones they stand in
	// Statements is where the code of each statement begins, in order of PC.
	Statements []Statement
	// Variables are where the body's variables live, parameters left out.
	Variables []Variable
	// Jet is the closed formula in a form that interval arithmetic can follow;
	// nil if it is none.
	Jet *Jet
	// Hides is set if a formula without one may have conditions in it.
	Hides bool
}

// Param is one parameter or captured variable as it arrives in registers.
type Param struct {
	Name     string
	Rep      Rep
	Register uint8 // the first one
	Optional bool  // has a default: NaN or Nothing arrives when it was left out
	Changed  bool  // assigned to in the body: a list that somebody holds arrives marked as shared
}

// Loop is a loop's code, so that a fault can tell in which pass it happened.
type Loop struct {
	Span       source.Span // its head
	Start, End int         // first instruction of the body, first one after it
	// Passes is the number register that counts the finished passes.
	Passes uint8
}

// Statement is where the code of a statement begins.
type Statement struct {
	PC   int
	Span source.Span
}

// Variable is where a variable lives while the code from From up to, not
// including, To runs.
type Variable struct {
	Name     string
	Rep      Rep
	Register uint8
	Spilled  int // its place outside the frame; -1 for one in a register
	From, To int
}

// Instr is one instruction: an operation, up to three registers, and a wider
// number (a jump's target, an index into a table).
type Instr struct {
	Op      Op
	A, B, C uint8
	D       int32
}

// BC is B and C as one index.
func (i Instr) BC() int { return int(i.B) | int(i.C)<<8 }

// Jet is a closed formula as steps in order of use: each refers to earlier
// ones. X and Y are the steps that give the point. Functions of the program are
// in it step by step.
type Jet struct {
	Nodes []JetNode
	X, Y  int
}

// Chooses reports whether a condition is among the steps.
func (j *Jet) Chooses() bool {
	return slices.ContainsFunc(j.Nodes, func(n JetNode) bool { return n.Op == JetChoose })
}

// JetNode is one step of a Jet.
type JetNode struct {
	Op   JetOp
	A, B int     // operands: earlier steps, or what Op says
	K    float64 // JetConstant
	Args []int   // of JetCall, JetCallY and JetChoose
}

// JetOp is what a JetNode computes. A step that is true or false is a number
// too: 1 or 0, or the range of both if it is not decided.
type JetOp uint8

// The steps of a jet.
const (
	JetConstant  JetOp = iota // K
	JetParameter              // the curve's variable
	JetVariable               // a captured number: number register A of the formula
	JetHeld                   // a captured value, if it is a number: value register A
	JetGlobal                 // number register B of module A
	JetWord                   // the library word A
	JetFixed                  // the value that the code from A on returns: B is 0 for a number, or one that is true or false; 1 and 2 for x and y of a point
	JetAdd
	JetSub
	JetMul
	JetDiv
	JetPow
	JetNeg
	JetLess      // A < B
	JetLessEqual // A <= B
	JetEqual     // A == B
	JetNot       // A is 0
	JetAnd       // both A and B
	JetOr        // one of A and B, or both
	JetChoose    // Args[1] if Args[0], else Args[2]
	JetCall      // the library function A; x of the result, if that is a point. A point takes two arguments; -1 is one left out
	JetCallY     // y of the result
)

// Compare is an operator that compares two values.
type Compare int32

// The comparisons, in the order of Source.
const (
	Equal Compare = iota
	NotEqual
	Less
	LessEqual
	Greater
	GreaterEqual
)

// ComparisonOf is the comparison that an operator means.
func ComparisonOf(op ast.CompareOp) Compare {
	switch op {
	case ast.Equal:
		return Equal
	case ast.NotEqual:
		return NotEqual
	case ast.Less:
		return Less
	case ast.LessEqual:
		return LessEqual
	case ast.Greater:
		return Greater
	}
	return GreaterEqual
}

func (c Compare) String() string { return [...]string{"==", "!=", "<", "<=", ">", ">="}[c] }

// Arith is arithmetic between two values whose kinds are known only while running.
type Arith int32

// The operations.
const (
	Plus Arith = iota
	Minus
	Times
	Over
	Power
)

func (a Arith) String() string { return [...]string{"+", "-", "*", "/", "^"}[a] }
