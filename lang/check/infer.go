package check

import (
	"strings"

	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/types"
)

// role says what an expression is needed for.
type role uint8

const (
	roleValue     role = iota // nothing in particular
	roleAssign                // the target variable's value
	roleStored                // the value of an item or a field in the target variable
	roleReturn                // the result of the target function; of a function value if nil
	roleDefault               // the target parameter's value if a call leaves it out
	roleLoop                  // what the target variable runs over
	roleCount                 // how often a loop runs
	roleCondition             // of if and loop while
	roleDraw
	roleAt
	roleDo // a call in statement position
)

// item is an expression of a statement with what it is needed for. All that is
// judged about kinds is reached through items.
type item struct {
	role   role
	expr   ast.Expr
	target *Object
	assign *ast.Assign // of roleStored
	stmt   ast.Stmt
	where  where
	draws  bool // statements there may draw
	queued bool
	seen   bool // evaluated before: it is known what it depends on
}

// state is what is known of a variable, or of a function's result, so far.
type state struct {
	shape
	readers []*item // to be evaluated again when the shape grows
	sources []*item // assignments, for edits
	// Of a parameter: its default counts once a call leaves it out.
	byDefault *item
	omitted   bool
}

// flow carries shapes from where values are made to where they are used.
type flow struct {
	items   []*item
	queue   []*item
	states  map[*Object]*state
	current *item
	judging bool
	defined []*Object // functions and figures
}

func newFlow() flow { return flow{states: map[*Object]*state{}} }

func (f *flow) state(obj *Object) *state {
	s := f.states[obj]
	if s == nil {
		s = &state{}
		f.states[obj] = s
	}
	return s
}

// flowItem notes an expression of the current statement.
func (r *resolver) flowItem(role role, e ast.Expr, target *Object) *item {
	it := &item{role: role, expr: e, target: target, stmt: r.stmt, where: r.where, draws: r.draws()}
	r.flow.items = append(r.flow.items, it)
	if role == roleAssign {
		s := r.flow.state(target)
		s.sources = append(s.sources, it)
	}
	return it
}

// parameterKinds prepares the parameters of a function or figure.
func (r *resolver) parameterKinds(obj *Object) {
	r.flow.defined = append(r.flow.defined, obj)
	for _, p := range obj.Params {
		if p.Default != nil {
			r.flow.state(p.Object).byDefault = r.flowItem(roleDefault, p.Default, p.Object)
		}
	}
}

// infer evaluates all items until no shape grows any more. Themes of the library
// that are open take anything, whatever the program gives them.
func (c *checker) infer(openThemes bool) {
	f := &c.flow
	for _, obj := range f.defined {
		if obj.AsValue || openThemes && obj.Place.File.Library {
			c.acceptAnything(obj)
		}
	}
	for _, it := range f.items {
		if it.role == roleAssign && c.unreadable.at(it.expr.Place()) {
			c.grow(it.target, anything) // what was to be its value is not known
		}
	}
	f.queue = append(f.queue, f.items...)
	for _, it := range f.queue {
		it.queued = true
	}
	c.settle()
	// What is never called is judged as if it could be called with anything.
	for _, obj := range f.defined {
		for _, p := range obj.Params {
			if p.Object.Kinds == types.Unknown {
				c.grow(p.Object, anything)
			}
		}
	}
	c.settle()
	for obj, s := range f.states {
		switch s.mark {
		case lengthMark:
			obj.Unit = types.Length
		case angleMark:
			obj.Unit = types.Angle
		}
	}
}

func (c *checker) acceptAnything(obj *Object) {
	for _, p := range obj.Params {
		c.grow(p.Object, anything)
	}
}

// settle works off the queue.
func (c *checker) settle() {
	f := &c.flow
	for len(f.queue) > 0 {
		it := f.queue[0]
		f.queue = f.queue[1:]
		it.queued = false
		c.evaluate(it)
	}
}

// judge evaluates every item once more and reports what fits nothing.
func (c *checker) judge() {
	c.flow.judging = true
	for _, it := range c.flow.items {
		c.evaluate(it)
	}
	// What never has a value in any run may be said to have any.
	for obj, s := range c.flow.states {
		if s.kinds != types.Unknown {
			continue
		}
		if obj.Kind == Function {
			obj.Result = types.Any
		} else if obj.Kind != Figure {
			obj.Kinds = types.Any
		}
	}
}

// fail reports an error of the statement being judged.
func (c *checker) fail(d diag.Diagnostic) {
	if c.flow.judging {
		c.report(c.flow.current.stmt, d)
	}
}

// grow adds to the shape of a variable or result, and has its readers evaluated again.
func (c *checker) grow(obj *Object, by shape) {
	s := c.flow.state(obj)
	grown := s.shape.join(by)
	if grown == s.shape {
		return
	}
	s.shape = grown
	if obj.Kind == Function {
		obj.Result = grown.kinds
	} else {
		obj.Kinds = grown.kinds
	}
	for _, it := range s.readers {
		c.enqueue(it)
	}
}

func (c *checker) enqueue(it *item) {
	if !it.queued && !c.flow.judging {
		it.queued = true
		c.flow.queue = append(c.flow.queue, it)
	}
}

// shapeOf is the shape of a variable or result; the current item depends on it
// from now on.
func (c *checker) shapeOf(obj *Object) shape {
	s := c.flow.state(obj)
	if it := c.flow.current; !it.seen {
		if n := len(s.readers); n == 0 || s.readers[n-1] != it {
			s.readers = append(s.readers, it)
		}
	}
	return s.shape
}

// evaluate carries the shape of an item's expression to its target.
func (c *checker) evaluate(it *item) {
	c.flow.current = it
	defer func() { it.seen = true }()
	switch it.role {
	case roleValue:
		c.operand(it.expr)
	case roleAssign:
		c.grow(it.target, c.operand(it.expr))
	case roleStored:
		c.stored(it)
	case roleReturn:
		s := c.operand(it.expr)
		if it.target != nil {
			s.mark = plainMark
			c.grow(it.target, s)
		}
	case roleDefault:
		s := c.operand(it.expr)
		if c.flow.state(it.target).omitted {
			s.mark = plainMark
			c.grow(it.target, s)
		}
	case roleLoop:
		c.grow(it.target, c.elements(it.expr))
	case roleCount:
		c.expect(it.expr, types.Number, func(found shape) diag.Diagnostic {
			d := diag.New("loop-count", it.expr.Place(), diag.Args{"found": found.kinds})
			if found.kinds&^(types.List|types.Text) == 0 {
				d.Hint = "to visit each item, write `loop item in " + shorten(it.expr.Place().Text()) + " { … }`"
			}
			return d
		})
	case roleCondition:
		c.condition(it.expr)
	case roleDraw:
		c.drawn(it.expr)
	case roleAt:
		c.expect(it.expr, types.Point, func(found shape) diag.Diagnostic {
			return diag.New("draw-at", it.expr.Place(), diag.Args{"found": found.kinds})
		})
	case roleDo:
		c.done(it)
	}
}

// elements is the shape of what a loop variable holds.
func (c *checker) elements(e ast.Expr) shape {
	s := c.expect(e, types.List|types.Text, func(found shape) diag.Diagnostic {
		d := diag.New("loop-values", e.Place(), diag.Args{"found": found.kinds})
		if found.kinds == types.Number && !strings.ContainsAny(e.Place().Text(), " .-+*/") {
			d = d.WithHint("to count, write a range: `1..%s`", shorten(e.Place().Text())).WithEdit(e.Place().Head(), "1..", false)
		}
		return d
	})
	var out shape
	if s.kinds.Has(types.List) {
		out.kinds |= s.items
		out.items = types.Any // of lists in the list
	}
	if s.kinds.Has(types.Text) {
		out.kinds |= types.Text
	}
	if out.kinds.Has(types.Number) {
		out.mark = plainMark
	}
	return out
}

// condition holds an expression to true and false.
func (c *checker) condition(e ast.Expr) {
	c.expect(e, types.Bool, func(found shape) diag.Diagnostic {
		d := diag.New("not-a-condition", e.Place(), diag.Args{"found": found.kinds})
		if found.kinds == types.Number {
			d.Hint = "compare it with something, as in `" + shorten(e.Place().Text()) + " > 0`"
		}
		return d
	})
}

// drawn judges what `draw` is given.
func (c *checker) drawn(e ast.Expr) {
	c.expect(e, types.Path, func(found shape) diag.Diagnostic {
		if found.kinds == types.List && found.items&types.Number == 0 {
			return drawsList(e)
		}
		return c.callHint(diag.New("draw-kind", e.Place(), diag.Args{"found": found.kinds}), e, found)
	})
}

// drawsList reports a list of strokes where one path is drawn.
func drawsList(e ast.Expr) diag.Diagnostic {
	return diag.New("draw-list", e.Place(), nil).WithEdit(e.Place(), "weave("+e.Place().Text()+")", false)
}

// done judges a call in statement position: a path is drawn, no value is fine.
func (c *checker) done(it *item) {
	call := it.expr.(*ast.Call)
	s := c.shape(call)
	k := s.kinds
	switch {
	case k == types.Unknown:
	case it.draws && k.Has(types.Path|types.Nothing), k.Has(types.Nothing):
	case !it.draws && k == types.Path:
		c.fail(diag.New("draws-in-function", call.Fn.Place(), diag.Args{"word": calleeText(call), "where": it.where}))
	case k == types.List && s.items&types.Number == 0:
		c.fail(diag.New("draw-list", call.Span, nil))
	default:
		c.fail(diag.New("value-not-used", call.Span, diag.Args{"found": k}))
	}
}

// callHint says what is missing when a function was named where its result is meant.
func (c *checker) callHint(d diag.Diagnostic, e ast.Expr, found shape) diag.Diagnostic {
	if found.kinds != types.Function {
		return d
	}
	obj := c.program.Refs[unparen(e)]
	if obj == nil || obj.Kind != Function && obj.Kind != Figure {
		return d
	}
	text := shorten(e.Place().Text())
	needs := 0
	for _, p := range definedParams(obj) {
		if !p.optional {
			needs++
		}
	}
	if needs > 0 {
		return d.WithHint("`%s` alone is the function itself: give it its arguments, as in `%s(…)`", text, text)
	}
	return d.WithHint("`%s` alone is the function itself: call it, as in `%s()`", text, text).
		WithEdit(e.Place().Tail(), "()", obj.Kind == Figure)
}
