// Package compile turns a checked program into register code (see lang/code).
//
// It relies on what the checker found out: names are resolved, calls have their
// arguments in order, and an expression with a single kind needs no test while
// running. It reports nothing: a program that was checked compiles.
package compile

import (
	"math"
	"slices"
	"strings"

	"wend/lang/ast"
	"wend/lang/check"
	"wend/lang/code"
	"wend/lang/source"
	"wend/lang/types"
)

// Program compiles a program in which the checker found no error.
func Program(checked *check.Program) *code.Program { return program(checked, false) }

// Stepping is Program with an instruction before each statement that lets
// whoever runs it look around. It computes and draws the same.
func Stepping(checked *check.Program) *code.Program { return program(checked, true) }

func program(checked *check.Program, steps bool) *code.Program {
	c := &compiler{
		steps:    steps,
		checked:  checked,
		out:      &code.Program{Library: checked.Library},
		funcs:    map[ast.Node]int32{},
		globals:  map[*check.Object]global{},
		numbers:  map[uint64]int32{},
		texts:    map[string]int32{},
		layouts:  map[string]int32{},
		builtins: map[*types.Builtin]int32{},
		notes:    map[code.Note]int32{},
		changes:  changes(checked),
		decides:  decides(checked),
	}
	for i, module := range checked.Modules {
		f := &code.Func{Name: module.Name, Shape: code.File, Place: module.File.Place()}
		c.out.Modules = append(c.out.Modules, code.Module{Name: module.Name, Body: len(c.out.Funcs)})
		c.out.Funcs = append(c.out.Funcs, f)
		c.compile(f, func(b *body) { b.file(module.File, i) })
	}
	for len(c.queue) > 0 {
		next := c.queue[0]
		c.queue = c.queue[1:]
		c.compile(next.f, next.fill)
	}
	c.setApart()
	return c.out
}

// setApart makes figures that go unseen draw by themselves. Which of two ways
// of equal cost is taken may hang on the last bit of a coordinate, so such a
// figure works in the same numbers as a statement and as a value.
func (c *compiler) setApart() {
	unseen := make([]bool, len(c.out.Funcs))
	for i, f := range c.out.Funcs {
		unseen[i] = slices.ContainsFunc(f.Code, func(in code.Instr) bool { return in.Op == code.Sneak || in.Op == code.DrawAt })
	}
	for _, f := range c.out.Funcs {
		for i := range f.Code {
			if in := &f.Code[i]; in.Op == code.CallFigure && unseen[in.D] {
				in.Op = code.CallApart
			}
		}
	}
}

type compiler struct {
	steps    bool
	checked  *check.Program
	out      *code.Program
	queue    []queued
	funcs    map[ast.Node]int32 // top-level functions and figures that are numbered already
	globals  map[*check.Object]global
	numbers  map[uint64]int32
	texts    map[string]int32
	layouts  map[string]int32 // by their names in order
	builtins map[*types.Builtin]int32
	notes    map[code.Note]int32
	changes  map[*check.Object][]*ast.Assign
	decides  bool
}

// queued is a body that is numbered but not compiled yet. Bodies are compiled
// after all files, when every variable at file scope has its register.
type queued struct {
	f    *code.Func
	fill func(b *body)
}

// global is where functions find a variable at file scope.
type global struct {
	module int
	variable
}

func (c *compiler) add(f *code.Func, fill func(b *body)) int32 {
	index := int32(len(c.out.Funcs))
	c.out.Funcs = append(c.out.Funcs, f)
	c.queue = append(c.queue, queued{f, fill})
	return index
}

// tooFull is raised when a body needs more registers at once than there are.
type tooFull struct{}

func (c *compiler) compile(f *code.Func, fill func(b *body)) {
	b := &body{c: c, f: f, vars: map[*check.Object]variable{}, at: f.Place}
	defer func() {
		switch problem := recover().(type) {
		case nil:
		case tooFull:
			f.Code, f.Spans = []code.Instr{{Op: code.Fail}}, []source.Span{b.at}
			f.Loops, f.Statements, f.Variables = nil, nil, nil
		default:
			panic(problem)
		}
	}()
	fill(b)
	thread(f.Code)
}

func (c *compiler) number(x float64) int32 {
	key := math.Float64bits(x)
	index, ok := c.numbers[key]
	if !ok {
		index = int32(len(c.out.Numbers))
		c.numbers[key] = index
		c.out.Numbers = append(c.out.Numbers, x)
	}
	return index
}

func (c *compiler) text(s string) int32 {
	index, ok := c.texts[s]
	if !ok {
		index = int32(len(c.out.Texts))
		c.texts[s] = index
		c.out.Texts = append(c.out.Texts, s)
	}
	return index
}

func (c *compiler) layout(names []string) int32 {
	key := strings.Join(names, "\x00")
	index, ok := c.layouts[key]
	if !ok {
		index = int32(len(c.out.Layouts))
		c.layouts[key] = index
		c.out.Layouts = append(c.out.Layouts, names)
	}
	return index
}

func (c *compiler) builtin(b *types.Builtin) int32 {
	index, ok := c.builtins[b]
	if !ok {
		index = int32(len(c.out.Builtins))
		c.builtins[b] = index
		c.out.Builtins = append(c.out.Builtins, b)
	}
	return index
}

func (c *compiler) note(what string, want types.Kind) int32 {
	note := code.Note{What: what, Want: want}
	index, ok := c.notes[note]
	if !ok {
		index = int32(len(c.out.Notes))
		c.notes[note] = index
		c.out.Notes = append(c.out.Notes, note)
	}
	return index
}

func (c *compiler) site(span source.Span) int32 {
	if n := len(c.out.Sites); n > 0 && c.out.Sites[n-1] == span {
		return int32(n - 1)
	}
	c.out.Sites = append(c.out.Sites, span)
	return int32(len(c.out.Sites) - 1)
}

// repOf is how a variable or result of some kinds lies in registers.
func repOf(kinds types.Kind) code.Rep {
	switch kinds {
	case types.Number:
		return code.Num
	case types.Bool:
		return code.Bool
	case types.Point:
		return code.Point
	}
	return code.Val
}

// unwrap takes the brackets off an expression.
func unwrap(e ast.Expr) ast.Expr {
	for {
		paren, ok := e.(*ast.Paren)
		if !ok {
			return e
		}
		e = paren.X
	}
}

// kinds is what an expression can be; Any where nothing is known.
func (c *compiler) kinds(e ast.Expr) types.Kind {
	if k, ok := c.checked.Kinds[unwrap(e)]; ok && k != types.Unknown {
		return k
	}
	return types.Any
}

// function is the number of a top-level function or figure.
func (c *compiler) function(o *check.Object) int32 {
	if index, ok := c.funcs[o.Def]; ok {
		return index
	}
	f := &code.Func{Name: o.Name, Place: o.Place}
	var index int32
	switch def := o.Def.(type) {
	case *ast.FuncDef:
		f.Shape, f.Result = code.Fn, repOf(o.Result)
		index = c.add(f, func(b *body) {
			b.params(def.Params)
			if def.Result != nil {
				b.result(def.Result)
			} else {
				b.block(def.Body.Stmts)
				b.emit(code.Fail, 0, 0, 0, 0) // never reached: the checker wants a return on every way out
			}
		})
		c.head(f, def.Params)
	case *ast.FigureDef:
		f.Shape = code.Figure
		index = c.add(f, func(b *body) {
			b.params(def.Params)
			b.block(def.Body.Stmts)
			b.at = def.Body.Span.Tail()
			b.emit(code.Return, 0, 0, 0, 0)
		})
		c.head(f, def.Params)
	}
	c.funcs[o.Def] = index
	return index
}

// head lays out the parameters of a function, so that calls can be compiled
// before its body is.
func (c *compiler) head(f *code.Func, params []ast.Param) {
	for i := range params {
		o := c.checked.Defs[&params[i]]
		addParam(f, code.Param{
			Name: params[i].Name.Name, Rep: repOf(o.Kinds), Optional: params[i].Default != nil, Changed: c.changes[o] != nil,
		})
	}
}

// addParam gives a parameter the next registers.
func addParam(f *code.Func, p code.Param) {
	switch p.Rep {
	case code.Val:
		p.Register = uint8(f.Values)
		f.Values++
	default:
		p.Register = uint8(f.Numbers)
		f.Numbers += p.Rep.Numbers()
	}
	if f.Numbers > registers || f.Values > registers {
		panic(tooFull{})
	}
	f.Params = append(f.Params, p)
}
