package eval

import (
	"context"
	"slices"

	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/geom"
	"wend/runtime/plan"
	"wend/runtime/value"
)

// window is what the instructions of one body can reach of a bank: registers
// are bytes, so that no access needs a bounds check.
const window = 256

// machine is one run of a program.
type machine struct {
	ctx     context.Context
	program *code.Program
	options Options
	natives []value.Native  // by index into program.Builtins
	words   []value.Value   // values of the words that are read, likewise
	texts   []value.Value   // of program.Texts
	layouts []*value.Layout // of program.Layouts
	fields  []cachedField   // by index into program.Texts

	// The banks of registers. A frame begins at base and may use a window of
	// them, so each bank ends at least a window after the last base.
	numbers []float64
	values  []value.Value

	// Where the program is. While instructions run, pc is kept in a local
	// variable of run and only stored here before anything that may fail or
	// look around; it is the instruction after the current one.
	fn             *code.Func
	fnIndex        int32
	pc             int
	numBase, vBase int
	n              *[window]float64 // the current frame's registers
	v              *[window]value.Value
	frames         []frame
	spilled        [][]value.Value // spilled variables of the bodies that have any, innermost last
	modules        []moduleFrame

	fuel   int // operations until the next look at the limits
	limits limits

	pen      *pen  // pens[penTop]
	pens     []pen // of the current body, over those that wait for it
	penTop   int
	out      *line   // that is being drawn
	outs     []*line // those that wait for a path to be made
	branches []branch
	sheet    *plan.Sheet
	sheets   line // the line of the current sheet
	given    int  // how many of its pieces were given to Options.Line
	plan     *plan.Plan
	placeOf  []uint32 // 1 + place of site and role, 0: none yet
	scratch  []geom.Point
	warnings diag.List

	chance *value.Chance
	seed   uint64

	traces    []trace // of the bodies that sneaked, outermost first
	compass   compass
	functions map[int32]value.Value // top-level functions that were used as values
	watch     watch
}

// frame is a body that waits for a call to come back.
type frame struct {
	fn             int32 // index into program.Funcs
	pc             int32 // after the call
	numBase, vBase int32
	kind           call
}

// call says what is to be done when a call comes back.
type call uint8

const (
	plain  call = iota
	figure      // a figure as a statement: the stylus goes on where it ended
	apart       // one that draws its line by itself, which is then put there
	path        // a figure or path body as a value: its line becomes a path
)

// moduleFrame is where the variables at a module's file scope are.
type moduleFrame struct {
	numBase, vBase int
	spilled        []value.Value
}

// ownSpilled are the current body's variables that found no register.
func (m *machine) ownSpilled() []value.Value { return m.spilled[len(m.spilled)-1] }

// moveWindows makes n and v the registers of the frame at the bases, for which
// there is room. It is called whenever the bases change or a bank grows.
func (m *machine) moveWindows() {
	m.n = (*[window]float64)(m.numbers[m.numBase : m.numBase+window])
	m.v = (*[window]value.Value)(m.values[m.vBase : m.vBase+window])
}

// enter begins a call; the callee's frame begins n and v registers up.
//
//go:noinline
func (m *machine) enter(index int32, pc int, n, v uint8, kind call) {
	if m.fuel--; m.fuel < 0 {
		m.refuel(pc, pc)
	}
	fn := m.program.Funcs[index]
	if len(m.frames) >= m.limits.Depth {
		m.pc = pc
		m.tooDeep(fn)
	}
	top := len(m.frames)
	if top == cap(m.frames) {
		m.frames = slices.Grow(m.frames, 1)
	}
	m.frames = m.frames[:top+1]
	// Field by field: a frame put together elsewhere and copied would be read
	// before its parts have arrived, which costs more than the call.
	f := &m.frames[top]
	f.fn, f.pc, f.kind = m.fnIndex, int32(pc), kind
	f.numBase, f.vBase = int32(m.numBase), int32(m.vBase)
	m.numBase += int(n)
	m.vBase += int(v)
	if m.numBase+window > len(m.numbers) || m.vBase+window > len(m.values) {
		m.room()
	}
	m.moveWindows()
	m.fn, m.fnIndex, m.pc = fn, index, 0
	if fn.Spilled > 0 {
		m.spilled = append(m.spilled, newSpilled(fn.Spilled))
	}
}

// newSpilled makes the variables of a body that found no register; they have no
// value yet.
func newSpilled(n int) []value.Value {
	spilled := make([]value.Value, n)
	for i := range spilled {
		spilled[i] = value.Nothing
	}
	return spilled
}

// runModules runs the bodies of all files, the main file last. Their frames stay.
func (m *machine) runModules() {
	m.modules = make([]moduleFrame, len(m.program.Modules))
	for i, module := range m.program.Modules {
		fn := m.program.Funcs[module.Body]
		if i > 0 {
			previous := m.program.Funcs[m.program.Modules[i-1].Body]
			m.numBase += previous.Numbers
			m.vBase += previous.Values
			m.room()
		}
		m.moveWindows()
		m.fn, m.fnIndex, m.pc = fn, int32(module.Body), 0
		spilled := newSpilled(fn.Spilled)
		m.spilled = append(m.spilled[:0], spilled)
		m.modules[i] = moduleFrame{m.numBase, m.vBase, spilled}
		// The frame of the body itself is never left: its Return ends run.
		m.frames = append(m.frames[:0], frame{fn: m.fnIndex, numBase: int32(m.numBase), vBase: int32(m.vBase)})
		m.run(0)
	}
}

// room lets the banks grow until the frame at the bases has its windows.
//
//go:noinline
func (m *machine) room() {
	for m.numBase+window > len(m.numbers) {
		m.numbers = append(m.numbers, make([]float64, len(m.numbers)+window)...)
	}
	for m.vBase+window > len(m.values) {
		m.values = append(m.values, make([]value.Value, len(m.values)+window)...)
	}
}

// function is a function value: a body with what it copied when it was made,
// or a word of the library.
type function struct {
	fn       *code.Func
	index    int32 // of fn
	captured []value.Value
	builtin  *types.Builtin
	native   value.Native
}

// Name is how messages call the function.
func (f *function) Name() string {
	switch {
	case f.builtin != nil:
		return f.builtin.Name
	case f.fn.Name != "":
		return f.fn.Name
	}
	return "a function"
}

// called is how a sentence calls the function.
func (f *function) called() string {
	if f.builtin == nil && f.fn.Name == "" {
		return "this function"
	}
	return "`" + f.Name() + "`"
}

// Held is what the function keeps.
func (f *function) Held() []value.Value { return f.captured }
