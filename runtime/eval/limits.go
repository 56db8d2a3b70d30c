package eval

import (
	"fmt"
	"math"
	"sort"

	"wend/lang/code"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/value"
)

// Limits bound a run. An operation is one pass of a loop, one call, or as much
// work of a library function as takes about that long.
type Limits struct {
	Operations int
	Points     int // of all sheets and of the paths being drawn; finished paths count as bytes
	Depth      int // calls within calls
	Bytes      int // of texts, lists and paths held at one time
}

// Default limits are far beyond a drawing made by hand and end a runaway
// program within seconds.
func DefaultLimits() Limits {
	return Limits{Operations: 500_000_000, Points: 5_000_000, Depth: 20_000, Bytes: 512 << 20}
}

// HighLimits are for drawings that take long on purpose.
func HighLimits() Limits {
	return Limits{
		Operations: int(min(int64(50_000_000_000), mostCounted)),
		Points:     50_000_000,
		Depth:      200_000,
		Bytes:      int(min(int64(4<<30), mostCounted)),
	}
}

// mostCounted is half of what an int holds, so that on a processor of 32 bits
// a limit plus what goes beyond it does not overflow. It is some 10^9 there,
// and on 64 bits beyond every limit.
const mostCounted = math.MaxInt / 2

// Quantum is how many operations pass at most between two looks at the
// context: a run that is cancelled ends within so many.
const Quantum = 20_000

// limits is what a run has used of its limits.
type limits struct {
	Limits
	granted    int // operations handed out in quanta so far
	quantum    int // size of the current one
	pointsHeld int // points of finished sheets, and of lines that wait for a path to be made
	allocated  int // bytes since what is held was last counted, on top of that
	countAt    int // allocated bytes at which it is counted again
	epoch      uint32
	samples    map[hotSpot]int
	// What the word of the library that is at work has asked for so far.
	wordOperations, wordBytes int
}

// hotSpot is a loop, or a body outside its loops, in which time is spent.
type hotSpot struct {
	fn   *code.Func
	loop int // index into fn.Loops, or -1
}

func newLimits(wanted Limits) limits {
	defaults := DefaultLimits()
	pick := func(x, otherwise int) int {
		if x > 0 {
			return x
		}
		return otherwise
	}
	l := limits{Limits: Limits{
		Operations: pick(wanted.Operations, defaults.Operations),
		Points:     pick(wanted.Points, defaults.Points),
		Depth:      pick(wanted.Depth, defaults.Depth),
		Bytes:      pick(wanted.Bytes, defaults.Bytes),
	}, samples: map[hotSpot]int{}}
	l.countAt = l.Bytes
	return l
}

// refuel is called when the operations of a quantum are used up: it looks at
// the context and at the limit, and notes where the time goes. The program is
// at pc, and goes on at next.
//
//go:noinline
func (m *machine) refuel(pc, next int) {
	m.pc = pc
	l := &m.limits
	l.samples[m.hotSpot()] += l.quantum - m.fuel
	if err := m.ctx.Err(); err != nil {
		m.fail("run-stopped", nil)
	}
	used := l.granted - m.fuel // fuel may be below zero
	if used >= l.Operations {
		m.outOf("too-many-operations", diag.Args{"limit": diag.Grouped(l.Operations)})
	}
	l.quantum = min(Quantum, l.Operations-used)
	l.granted = used + l.quantum
	m.fuel = l.quantum
	m.pc = next
}

// charge counts work that was done at once.
func (m *machine) charge(operations int) {
	m.fuel -= operations
	if m.fuel < 0 {
		m.refuel(m.pc, m.pc)
	}
}

func (m *machine) hotSpot() hotSpot {
	spot := hotSpot{m.fn, -1}
	for i, loop := range m.fn.Loops {
		if loop.Start <= m.pc-1 && m.pc-1 < loop.End {
			spot.loop = i
		}
	}
	return spot
}

// outOf ends a run that passed a limit, and says where the time went.
func (m *machine) outOf(code diag.Code, args diag.Args) {
	d := diag.New(code, m.span(), args)
	if m.limits.wordOperations > m.limits.Operations/2 || m.limits.wordBytes > m.limits.Bytes/2 {
		// One word did it, and the place says which: no loop is to blame.
		d.Hint = "this word alone takes most of that: give it fewer or smaller things, or wider spacing; `--limits high` allows more"
		m.halt(d)
	}
	type spent struct {
		spot hotSpot
		n    int
	}
	var all []spent
	total := 0
	for spot, n := range m.limits.samples {
		all = append(all, spent{spot, n})
		total += n
	}
	sort.Slice(all, func(i, j int) bool {
		a, b := all[i], all[j]
		if a.n != b.n {
			return a.n > b.n
		}
		p, q := a.spot.place(), b.spot.place()
		return p.Start < q.Start
	})
	for i, s := range all {
		share := int(100 * int64(s.n) / int64(max(1, total)))
		if i == 3 || share < 5 {
			break
		}
		d = d.WithRelated(s.spot.place(), fmt.Sprintf("%d %% of the time went here", share))
	}
	m.halt(d)
}

func (h hotSpot) place() source.Span {
	if h.loop >= 0 {
		return h.fn.Loops[h.loop].Span
	}
	return h.fn.Place
}

// keep counts bytes that a new value holds. When so much was made since the
// last count that the limit might be passed, what is really held is counted.
func (m *machine) keep(bytes int) {
	l := &m.limits
	l.allocated += bytes
	if l.allocated > l.countAt {
		m.countHeld(bytes)
	}
}

//go:noinline
func (m *machine) countHeld(latest int) {
	l := &m.limits
	l.epoch++
	held := latest
	count := func(values []value.Value) {
		for _, v := range values {
			held += v.Size(l.epoch)
		}
	}
	count(m.values[:m.vBase+m.fn.Values])
	for _, values := range m.spilled {
		count(values)
	}
	for _, module := range m.modules {
		count(module.spilled)
	}
	// What a word under way works with is held by no value yet.
	if held = max(held, l.wordBytes); held > l.Bytes {
		m.outOf("too-much-memory", diag.Args{"limit": megabytes(l.Bytes)})
	}
	l.allocated = held
	// Counting takes time in proportion to what is held, so it waits until
	// an eighth of the limit at least has been made anew.
	l.countAt = max(l.Bytes, held+l.Bytes/8)
}

func (m *machine) tooDeep(fn *code.Func) {
	m.outOf("too-deep", diag.Args{"name": bodyName(fn), "limit": diag.Grouped(m.limits.Depth)})
}

func megabytes(n int) string {
	if n >= 1<<20 {
		return fmt.Sprintf("%d MB", n>>20)
	}
	return diag.Grouped(n) + " bytes"
}
