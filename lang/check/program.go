package check

import (
	"wend/lang/ast"
	"wend/lang/source"
	"wend/lang/types"
)

// Program is a checked program: the trees as they were written, and beside them
// what the checker found out. The trees are never changed.
type Program struct {
	Main    *Module
	Modules []*Module // every file that takes part, each after those it uses; Main is last
	Library *types.Library

	// Refs says what every name that is used as a value or called stands for:
	// NameExpr nodes, and Field nodes whose name is a member of a module or a
	// function called after a dot.
	Refs map[ast.Expr]*Object
	// Defs holds the object that each definition makes: Use, Let, FuncDef, FigureDef,
	// LoopIn (its variable; by its Index, the one that counts), Curve (its variable), Param (by pointer into the tree).
	Defs map[any]*Object
	// Calls says how each call is carried out.
	Calls map[*ast.Call]*Call
	// Kinds is what each expression can be, over all runs of the program. An
	// expression with a single kind here never needs a test while running. The
	// inference looks at the whole program: a parameter has the kinds of all
	// arguments that any call gives it; a function that is used as a value may
	// be given anything.
	Kinds map[ast.Expr]types.Kind
	// Bodies are all bodies of the program with their variables.
	Bodies map[ast.Node]*Body // by *ast.File, *ast.FuncDef, *ast.FigureDef, *ast.FuncLit, *ast.PathLit, *ast.Curve
	// Changes is, for each change in place, the value that the target gets: `x + 2`
	// for `x += 2`.
	Changes map[*ast.Assign]*ast.Binary
	// Warnings are in the list that Check returns.
}

// Module is one file that takes part in a program.
type Module struct {
	Name    string // as programs say it: the name after `as`, or the theme's; "" for the main file
	File    *ast.File
	Members map[string]*Object // file-scope variables, functions, figures
	Body    *Body
}

// ObjectKind is what a name can stand for.
type ObjectKind uint8

// The kinds of objects.
const (
	Variable  ObjectKind = iota // let
	LoopVar                     // loop v in …
	CurveVar                    // curve t in …
	Parameter                   //
	Function                    // fn at top level
	Figure                      // figure
	Builtin                     // a word of the library
	ModuleRef                   // a used file or a theme
	FieldOf                     // all fields of a name, while kinds are inferred
)

// Object is what a name stands for.
type Object struct {
	Kind    ObjectKind
	Name    string
	Place   source.Span // of the defining name; unknown for builtins
	Body    *Body       // that owns the variable; nil for functions, figures, builtins, modules
	Global  bool        // a file-scope variable: functions and figures may read it
	Kinds   types.Kind  // over all assignments
	Unit    types.Unit
	Params  []Param     // Function, Figure
	Result  types.Kind  // Function; Figure gives a path
	Def     ast.Node    // *ast.FuncDef, *ast.FigureDef
	Loop    *ast.LoopIn // that gives a LoopVar its values
	Builtin *types.Builtin
	Module  *Module // ModuleRef, and the module that owns a Function, Figure or global
	// AsValue: a function or figure that is used as a value somewhere.
	AsValue bool
}

// Param is a parameter of a function or figure defined in wend.
type Param struct {
	Name    string
	Default ast.Expr // nil: must be given
	Object  *Object
}

// Body is a piece of program with variables of its own.
type Body struct {
	Node  ast.Node
	Outer *Body     // of a FuncLit, PathLit or Curve formula: where it stands; nil for files, functions, figures
	Vars  []*Object // parameters first, then in order of definition
	// Captures are the variables of outer bodies that it reads, also those that
	// only bodies within it read. File-scope variables are among them only for a
	// FuncLit, which copies them when it is made, and for bodies within one.
	Captures []*Object
	Draws    bool // file, figure and path bodies

	captured map[*Object]bool // the same as Captures
}

// Call says how a call is carried out.
type Call struct {
	// Target is the function, figure or builtin that is meant; nil when the
	// callee is a value, given by the call's Fn expression.
	Target *Object
	Form   *types.Form // of a builtin: the first that the arguments can fit
	// Fits are all the forms of a builtin that the arguments, as they are laid
	// out here, can fit by kind; which it is shows when the program runs.
	Fits []*types.Form
	// Args holds one expression a parameter, in parameter order; nil where the
	// default counts. A receiver (`x.f(a)`) is the first argument. Arguments for
	// a Rest parameter follow one by one.
	Args []ast.Expr

	choices []choice // the forms that fit by number and names of arguments
}

// choice is a form of a builtin with the arguments arranged to it.
type choice struct {
	form *types.Form
	args []ast.Expr
}
