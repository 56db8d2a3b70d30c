package eval

import (
	"context"
	"math"
	"strconv"

	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/value"
)

// outside carries out what may run program code again, from within: calls of
// function values and library functions. The caller of it fetches its registers
// anew afterwards.
//
//go:noinline
func (m *machine) outside(in *code.Instr) {
	v := m.v
	var result value.Value
	switch in.Op {
	case code.CallValue:
		first := int(in.A)
		result = m.callValue(v[first], v[first+1:first+1+int(in.C)])
	case code.Native:
		result = m.callNative(m.natives[in.D], v[in.B:int(in.B)+int(in.C)])
	case code.Curve:
		n := m.n
		result = m.curve(in, n[in.B], n[in.B+1])
	}
	m.v[in.A] = result
}

// callNative calls a library function with arguments of the right kinds.
func (m *machine) callNative(native value.Native, args []value.Value) value.Value {
	if native.Func == nil {
		m.fail("internal-fault", diag.Args{"detail": "no function behind `" + native.Name + "`"})
	}
	m.charge(1)
	call := native.Func
	if native.Costly && m.options.Results != nil {
		call = func(_ value.Host, args []value.Value) (value.Value, error) { return m.costly(native, args) }
	}
	l := &m.limits
	l.wordOperations, l.wordBytes = 0, 0
	result, err := call(host{m}, args)
	l.wordOperations, l.wordBytes = 0, 0
	if err != nil {
		m.failed(err)
	}
	result.Share()
	return result
}

// numeric calls a library function of one or two numbers that gives one.
//
//go:noinline
func (m *machine) numeric(in *code.Instr, n *[window]float64) {
	native := &m.natives[in.D]
	if in.Op == code.Native1 {
		if native.Num1 != nil {
			if r := native.Num1(n[in.B]); finite(r) {
				n[in.A] = r
				return
			}
		}
	} else if native.Num2 != nil {
		if r := native.Num2(n[in.B], n[in.C]); finite(r) {
			n[in.A] = r
			return
		}
	}
	r := m.unboxedNative(in, n[in.B], n[in.C])
	m.n[in.A] = r // the banks may have been moved
}

// unboxedNative calls a library function of numbers the long way: for its
// fault, or because it has no other.
//
//go:noinline
func (m *machine) unboxedNative(in *code.Instr, x, y float64) float64 {
	args := []value.Value{value.Number(x), value.Number(y)}
	if in.Op == code.Native1 {
		args = args[:1]
	}
	result := m.callNative(m.natives[in.D], args)
	if !result.IsNumber() || !finite(result.Number()) {
		m.fail("internal-fault", diag.Args{"detail": "`" + m.natives[in.D].Name + "` gave no number"})
	}
	return result.Number()
}

// functionValue is a top-level function or figure as a value: one for all, so
// that it equals itself.
func (m *machine) functionValue(index int32) value.Value {
	if m.functions == nil {
		m.functions = map[int32]value.Value{}
	}
	known, ok := m.functions[index]
	if !ok {
		known = value.OfFunction(&function{fn: m.program.Funcs[index], index: index})
		m.functions[index] = known
	}
	return known
}

// callValue calls a function value.
func (m *machine) callValue(callee value.Value, args []value.Value) value.Value {
	if callee.Kind() != types.Function {
		m.fail("not-a-function", diag.Args{"name": m.span().Text(), "found": callee.Kind()})
	}
	f, ok := callee.Function().(*function)
	if !ok {
		m.fail("internal-fault", diag.Args{"detail": "a function value of another maker"})
	}
	if f.builtin != nil {
		return m.callBuiltin(f, args)
	}
	return m.callBody(f, args)
}

// callBody runs the body of a function value to its end.
func (m *machine) callBody(f *function, args []value.Value) value.Value {
	fn := f.fn
	own := fn.Params[:len(fn.Params)-fn.Captures]
	if len(args) > len(own) {
		m.fail("argument-count", diag.Args{"function": f.called(), "takes": counted(len(own), "value"), "given": len(args)})
	}
	// The frame begins above all that the current body may use.
	kind := plain
	if fn.Shape == code.Figure || fn.Shape == code.Path {
		kind = path
	}
	pc := m.pc
	n, v := m.top()
	m.enterAt(f.index, pc, n, v, kind)
	for i, p := range own {
		arg := value.Nothing
		if i < len(args) {
			arg = args[i]
		}
		if arg == value.Nothing && !p.Optional {
			m.leaveTo(pc)
			m.fail("argument-left-out", diag.Args{"function": f.called(), "parameter": p.Name})
		}
		if p.Changed {
			arg.Share()
		}
		m.give(p, arg)
	}
	for i, p := range fn.Params[len(own):] {
		m.give(p, f.captured[i])
	}
	if kind == path {
		m.enterPath()
	}
	floor := len(m.frames) - 1
	m.pc = 0
	// The callee's registers are where its result comes back.
	numBase, vBase := m.numBase, m.vBase
	m.run(floor)
	m.pc = pc
	switch fn.Result {
	case code.Num:
		return value.Number(m.numbers[numBase])
	case code.Bool:
		return value.Bool(m.numbers[numBase] != 0)
	case code.Point:
		return value.Point(geom.Point{X: m.numbers[numBase], Y: m.numbers[numBase+1]})
	}
	return m.values[vBase]
}

// top is how many registers of each bank the current body may use.
func (m *machine) top() (n, v int) { return m.fn.Numbers, m.fn.Values }

// enterAt is enter for callees whose frame begins anywhere.
func (m *machine) enterAt(index int32, pc, n, v int, kind call) {
	m.enter(index, pc, uint8(n), uint8(v), kind)
}

// leaveTo undoes enterAt.
func (m *machine) leaveTo(pc int) {
	m.leave()
	m.pc = pc
}

// give puts an argument where a parameter wants it.
func (m *machine) give(p code.Param, arg value.Value) {
	n, v := m.n, m.v
	absent := arg == value.Nothing
	switch p.Rep {
	case code.Val:
		v[p.Register] = arg
	case code.Num, code.Bool:
		n[p.Register] = arg.Number()
		if absent {
			n[p.Register] = math.NaN()
		}
	case code.Point:
		if absent {
			n[p.Register] = math.NaN()
			return
		}
		at := arg.Point()
		n[p.Register], n[p.Register+1] = at.X, at.Y
	}
}

// callBuiltin calls a library function that a program holds as a value: the
// first form that fits the arguments counts. What it gives back may hold them.
func (m *machine) callBuiltin(f *function, args []value.Value) value.Value {
	for _, arg := range args {
		arg.Share()
	}
	for i := range f.builtin.Forms {
		if fitted, ok := fit(&f.builtin.Forms[i], args); ok {
			return m.callNative(f.native, fitted)
		}
	}
	form := f.builtin.Forms[0]
	for i, p := range form.Params {
		if i < len(args) && !p.Kinds.Has(args[i].Kind()) {
			m.fail("wrong-kind", diag.Args{"word": f.Name(), "wanted": p.Kinds, "param": p.Name, "found": args[i].Kind()})
		}
	}
	m.fail("argument-count", diag.Args{"function": f.called(), "takes": counted(len(form.Params), "value"), "given": len(args)})
	return value.Nothing
}

// judgeHanded ends the run if a function that was handed to the library cannot
// be called with so many values as the library gives it.
func (m *machine) judgeHanded(callee value.Value, given int) {
	if callee.Kind() != types.Function {
		return // which is found when it is called
	}
	f, ok := callee.Function().(*function)
	if !ok {
		return
	}
	least, most := f.takes()
	if least <= given && given <= most {
		return
	}
	takes := counted(most, "value")
	if least < most {
		takes = strconv.Itoa(least) + " to " + takes
	}
	at := m.span()
	d := diag.New("handed-function", at, diag.Args{
		"library": m.libraryWord(), "given": counted(given, "value"), "function": f.called(), "takes": takes,
		"fitting": [...]string{"fn() = …", "fn(x) = …", "fn(a, b) = …"}[min(given, 2)],
	})
	if f.fn != nil && f.fn.Name != "" {
		d = d.WithRelated(f.fn.Place, f.called()+" is defined here")
	}
	m.halt(d)
}

// takes is with how many values a function can be called: those of all forms
// together, for a word of the library.
func (f *function) takes() (least, most int) {
	if f.builtin == nil {
		own := f.fn.Params[:len(f.fn.Params)-f.fn.Captures]
		for _, p := range own {
			if !p.Optional {
				least++
			}
		}
		return least, len(own)
	}
	least = math.MaxInt
	for _, form := range f.builtin.Forms {
		needed := 0
		for _, p := range form.Params {
			switch {
			case p.Rest:
				most = math.MaxInt
			case !p.Optional:
				needed++
			}
		}
		least, most = min(least, needed), max(most, len(form.Params))
	}
	return least, most
}

// libraryWord is how a message calls the library function that runs.
func (m *machine) libraryWord() string {
	switch in := &m.fn.Code[m.pc-1]; in.Op {
	case code.Native:
		return "`" + m.natives[in.D].Name + "`"
	case code.CallValue:
		if callee := m.v[in.A]; callee.Kind() == types.Function {
			if f, ok := callee.Function().(*function); ok {
				return f.called()
			}
		}
	}
	return "the library"
}

// fit lays out arguments for a form, if they fit.
func fit(form *types.Form, args []value.Value) ([]value.Value, bool) {
	var laid []value.Value
	for i, p := range form.Params {
		switch {
		case p.Rest:
			for _, arg := range args[min(i, len(args)):] {
				if !p.Kinds.Has(arg.Kind()) {
					return nil, false
				}
				laid = append(laid, arg)
			}
			return laid, true
		case i < len(args):
			if !p.Kinds.Has(args[i].Kind()) {
				return nil, false
			}
			laid = append(laid, args[i])
		case p.Optional:
			laid = append(laid, value.Nothing)
		default:
			return nil, false
		}
	}
	return laid, len(args) <= len(form.Params)
}

func counted(n int, what string) string {
	if n == 0 {
		return "no " + what + "s"
	}
	return diag.Counted(n, what)
}

// drawCall judges the value of a call in statement position.
func (m *machine) drawCall(v value.Value, site int32) {
	switch v.Kind() {
	case types.Path:
		m.drawOn(v, site)
	case types.Nothing:
	case types.List:
		m.fail("draw-list", nil)
	default:
		m.fail("value-not-used", diag.Args{"found": v.Kind()})
	}
}

func (m *machine) pauseWith(v value.Value) {
	if v.Kind() != types.Text {
		m.fail("wrong-kind", diag.Args{"word": "pause", "wanted": types.Text, "param": "message", "found": v.Kind()})
	}
	m.pause(v.Text())
}

func (m *machine) setSeed(x float64) {
	if x < 0 || x != math.Trunc(x) || x > 1<<53 {
		m.fail("seed-whole", diag.Args{"value": shown(x)})
	}
	if m.options.SeedForced {
		return
	}
	m.seed = uint64(x)
	m.chance = value.NewChance(m.seed)
	m.plan.Seed = m.seed
}

// host is what library functions see of the machine.
type host struct{ m *machine }

func (h host) Context() context.Context { return h.m.ctx }

func (h host) Charge(operations, bytes int) (err error) {
	defer func() {
		if caught := recover(); caught != nil {
			stop, ok := caught.(*halt)
			if !ok {
				panic(caught)
			}
			err = stop
		}
	}()
	h.m.limits.wordOperations += operations
	h.m.limits.wordBytes += bytes
	h.m.keep(bytes)
	h.m.charge(operations)
	return nil
}

func (h host) Call(fn value.Value, args ...value.Value) (value.Value, error) {
	h.m.judgeHanded(fn, len(args))
	pc := h.m.pc
	result := h.m.callValue(fn, args)
	h.m.pc = pc
	return result, nil
}

func (h host) Read(name string) (*source.File, error) {
	if h.m.options.Read == nil {
		return nil, &diag.Fault{Code: "file-missing", Args: diag.Args{"name": name}}
	}
	return h.m.options.Read(h.m.span().File, name)
}

func (h host) Warn(fault *diag.Fault) {
	d := fault.At(h.m.span())
	for _, before := range h.m.warnings {
		if before.Code == d.Code && before.Span == d.Span && before.Message == d.Message {
			return
		}
	}
	d.Trail = h.m.trail()
	h.m.warnings = append(h.m.warnings, d)
}

func (h host) Chance() *value.Chance { return h.m.chance }
func (h host) Seed() uint64          { return h.m.seed }
func (h host) ToleranceMM() float64  { return h.m.options.ToleranceMM }
func (h host) LineWidthMM() float64  { return h.m.options.LineWidthMM }
func (h host) Page() geom.Box        { return h.m.options.Page }

func (h host) Seconds(line []geom.Point) (float64, error) {
	if h.m.options.Seconds == nil {
		return geom.Length(line) / defaultMMS, nil
	}
	return h.m.options.Seconds(h.m.ctx, line)
}

func (h host) Progress(done, of int) {
	if h.m.options.Progress != nil {
		h.m.options.Progress(done, of)
	}
}
