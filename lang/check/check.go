// Package check finds out, before anything runs, what the names of a program
// stand for, how its calls are carried out and what kinds of values its
// expressions can have, and reports all that cannot work.
//
// It goes over a program in four steps:
//
//   - load: every used file is read and the names it defines are collected;
//   - resolve (resolve.go and the files it names): each statement is visited
//     once; names find their objects, arguments find their parameters, words
//     are held to the places where they may stand. Each expression that a later
//     step must judge becomes a flow item;
//   - infer (infer.go): the flow items are evaluated over sets of kinds until
//     nothing changes. A variable has the kinds of all values assigned to it, a
//     parameter those of all arguments, so sets only grow and the work is
//     linear in the size of the program;
//   - judge: the same evaluation once more, now reporting what fits no kind.
//
// A name that is not known is reported once and has no kinds afterwards;
// whatever has no kinds is never complained about. Of each statement the first
// error alone is kept.
package check

import (
	"slices"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
)

// Options say what surrounds a program.
type Options struct {
	// Library is the set of words that every program knows.
	Library *types.Library
	// Load reads and parses the file that `use` names, as written in the file
	// from. The file's source name tells files apart: a file that is used twice
	// must come back under the same name. It returns nil and the reasons if
	// there is no tree.
	Load func(from *source.File, path string) (*ast.File, diag.List)
	// Module is the tree of one of Library.Modules. It is asked for only those
	// that the program uses.
	Module func(name string) *ast.File
	// Reported is what reading the main file had to say. On lines with an error
	// no further one is given, and names that stand there are not called unknown.
	Reported diag.List
	// Everyday reports whether people type a word without knowing the language;
	// such words are reported each time they stand, as each has to be changed.
	Everyday func(word string) bool
	// Absent reports whether a word stands for a value that wend does not have, so
	// that no known name can be meant; nil if none does.
	Absent func(word string) bool
	// Set holds lets, by name, whose values replace those of top-level variables
	// of the main file.
	Set map[string]*ast.Let
}

// Check checks a program. The list holds errors and warnings in source order;
// a program with an error in it is not to be run.
func Check(main *ast.File, opts Options) (*Program, diag.List) {
	program, list := checkOnce(main, opts, false)
	if !main.Source.Library && slices.ContainsFunc(list, inLibrary) {
		// What a theme of the library is given makes it wrong. Taken as open to
		// anything, it is right, and the run blames the call.
		program, list = checkOnce(main, opts, true)
		list = slices.DeleteFunc(list, inLibrary)
	}
	return program, list
}

func inLibrary(d diag.Diagnostic) bool { return d.Span.File != nil && d.Span.File.Library }

// checkOnce checks a program whose themes of the library are open to anything, or
// only to what the program gives them.
func checkOnce(main *ast.File, opts Options, openThemes bool) (*Program, diag.List) {
	c := newChecker(opts, len(main.Source.Text))
	c.unread(opts.Reported)
	m := c.addMain(main)
	c.program.Main = m.Module
	c.resolveAll()
	c.infer(openThemes)
	c.judge()
	c.blameDefinitions()
	c.warnUnused()
	c.program.Modules = c.ordered(m)
	return c.program, c.diags.Sorted()
}

type checker struct {
	opts    Options
	library *types.Library
	program *Program
	diags   diag.List

	unreadable unreadable
	// failed are the statements that have an error already.
	failed map[ast.Stmt]bool

	modules map[string]*module // files by sameFile
	themes  map[string]*module
	loading []*module // the way of uses to the file that is being loaded
	pending []*module // loaded, bodies not yet resolved

	builtins map[*types.Builtin]*Object
	names    []string // all words of the library, for suggestions
	flow     flow
	fields   fields
	read     map[*Object]bool // variables whose value is used, and used files
	locals   []*Object        // variables to warn about if unused, in order
	uses     []*Object        // names that `use` defines
	reach    reach
	hidden   map[*ast.Let]bool // lets that were warned about
	unknowns int               // unknown names so far
	spelt    misspelt
}

// newChecker makes a checker for a program of about so many bytes.
func newChecker(opts Options, bytes int) *checker {
	names, expressions := bytes/8, bytes/5 // as they are in ordinary programs
	if opts.Absent == nil {
		opts.Absent = func(string) bool { return false }
	}
	if opts.Everyday == nil {
		opts.Everyday = func(string) bool { return false }
	}
	if opts.Library == nil {
		opts.Library = &types.Library{}
	}
	return &checker{
		opts:    opts,
		library: opts.Library,
		program: &Program{
			Library: opts.Library,
			Refs:    make(map[ast.Expr]*Object, names),
			Defs:    map[any]*Object{},
			Calls:   map[*ast.Call]*Call{},
			Kinds:   make(map[ast.Expr]types.Kind, expressions),
			Bodies:  map[ast.Node]*Body{},
			Changes: map[*ast.Assign]*ast.Binary{},
		},
		failed:   map[ast.Stmt]bool{},
		modules:  map[string]*module{},
		themes:   map[string]*module{},
		builtins: map[*types.Builtin]*Object{},
		flow:     newFlow(),
		fields:   newFields(),
		read:     map[*Object]bool{},
		reach:    newReach(),
		hidden:   map[*ast.Let]bool{},
	}
}

// report keeps a diagnostic, unless it is an error of a statement that has one.
func (c *checker) report(stmt ast.Stmt, d diag.Diagnostic) {
	if d.Severity == diag.Error && stmt != nil {
		if c.failed[stmt] {
			return
		}
		c.failed[stmt] = true
		if c.unreadable.at(d.Span) || c.unreadable.begins(stmt) {
			return
		}
	}
	c.diags = append(c.diags, d)
}

// builtin is the one object of a library word.
func (c *checker) builtin(b *types.Builtin) *Object {
	obj := c.builtins[b]
	if obj == nil {
		obj = &Object{Kind: Builtin, Name: b.Name, Builtin: b}
		c.builtins[b] = obj
		c.madeFields(b)
	}
	return obj
}

// warnUnused reports variables and used files that nothing reads.
func (c *checker) warnUnused() {
	if len(c.unreadable.lines) > 0 || c.diags.Failed() {
		return // what could not be read, or is not known, may have meant them
	}
	for _, obj := range c.locals {
		if !c.read[obj] && obj.Name[0] != '_' {
			c.report(nil, diag.New("unused-variable", obj.Place, diag.Args{"name": obj.Name}))
		}
	}
	for _, obj := range c.uses {
		if obj.Module != nil && !c.read[obj] && obj.Name[0] != '_' {
			c.report(nil, diag.New("unused-use", obj.Place, diag.Args{"name": obj.Name}))
		}
	}
}

// libraryNames are all words of the library and its themes.
func (c *checker) libraryNames() []string {
	if c.names == nil {
		for _, b := range c.library.Builtins {
			c.names = append(c.names, b.Name)
		}
		c.names = append(c.names, c.library.Modules...)
		slices.Sort(c.names)
	}
	return c.names
}
