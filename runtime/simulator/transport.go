package simulator

import (
	"math"
	"math/rand/v2"
)

// timedByte is a byte and when it comes through, in seconds.
type timedByte struct {
	value byte
	at    float64
}

// transport is one direction of the wire: bytes come through one after the
// other at the baud rate.
type transport struct {
	byteS  float64 // seconds a byte takes
	lateS  float64 // by which bytes come later than they are sent
	free   float64 // when the wire is free again
	last   float64 // when the last byte comes through
	bytes  []timedByte
	head   int
	ends   marks // of line ends
	noise  noise
	marked func(byte) bool // bytes that act at once
	acts   marks
}

// marks are the numbers, counted from the beginning, of some of the bytes.
type marks struct {
	numbers []int64
	head    int
}

func (m *marks) add(n int64) {
	if m.head > 1024 && m.head*2 > len(m.numbers) {
		m.numbers = append(m.numbers[:0], m.numbers[m.head:]...)
		m.head = 0
	}
	m.numbers = append(m.numbers, n)
}

func newTransport(baud int) transport {
	t := transport{}
	if baud > 0 {
		t.byteS = 10 / float64(baud)
	}
	return t
}

// send puts a byte on the wire.
func (t *transport) send(b byte, now float64) {
	values, count := t.noise.pass(b)
	for _, b := range values[:count] {
		t.free = max(t.free, now) + t.byteS
		if t.head > 1024 && t.head*2 > len(t.bytes) {
			// The marks count from the beginning of the slice.
			t.forget()
		}
		n := int64(len(t.bytes))
		// No byte overtakes another when the delay becomes shorter.
		t.last = max(t.last, t.free+t.lateS)
		t.bytes = append(t.bytes, timedByte{b, t.last})
		if b == wireEnd {
			t.ends.add(n)
		}
		if t.marked != nil && t.marked(b) {
			t.acts.add(n)
		}
	}
}

// forget drops the bytes that came through.
func (t *transport) forget() {
	shift := int64(t.head)
	for _, m := range []*marks{&t.ends, &t.acts} {
		kept := m.numbers[:0]
		for _, n := range m.numbers[m.head:] {
			if n >= shift {
				kept = append(kept, n-shift)
			}
		}
		m.numbers, m.head = kept, 0
	}
	t.bytes = append(t.bytes[:0], t.bytes[t.head:]...)
	t.head = 0
}

// clear drops everything under way.
func (t *transport) clear(now float64) {
	t.head = len(t.bytes)
	t.forget()
	t.free, t.last = now, now
}

// due is when the next byte comes through.
func (t *transport) due() float64 { return t.when(int64(t.head)) }

func (t *transport) when(n int64) float64 {
	if n >= int64(len(t.bytes)) {
		return math.Inf(1)
	}
	return t.bytes[n].at
}

// next takes the next byte.
func (t *transport) next() byte {
	b := t.bytes[t.head].value
	t.head++
	return b
}

// first is when the first of the marked bytes not yet taken comes through.
func (t *transport) first(m *marks) float64 {
	for m.head < len(m.numbers) && m.numbers[m.head] < int64(t.head) {
		m.head++
	}
	if m.head == len(m.numbers) {
		return math.Inf(1)
	}
	return t.when(m.numbers[m.head])
}

// Noise is what a bad wire does to bytes: each is lost, doubled or garbled
// with some probability, by a seed; or at given places, counted from 0 from
// when the noise begins.
type Noise struct {
	Seed                 uint64
	Lose, Double, Garble float64 // probability for each byte
	At                   map[int]Harm
}

// Harm is what can happen to a byte.
type Harm int

// The harms.
const (
	Lost Harm = iota + 1
	Doubled
	Garbled // one bit flips
)

type noise struct {
	Noise
	random *rand.Rand
	passed int
	done   int // bytes harmed
}

func newNoise(n Noise) noise {
	return noise{Noise: n, random: rand.New(rand.NewPCG(n.Seed, 0x9e3779b97f4a7c15))}
}

func (n *noise) pass(b byte) (out [2]byte, count int) {
	out[0] = b
	if n.random == nil {
		return out, 1
	}
	harm := n.At[n.passed]
	n.passed++
	if harm == 0 {
		switch p := n.random.Float64(); {
		case p < n.Lose:
			harm = Lost
		case p < n.Lose+n.Double:
			harm = Doubled
		case p < n.Lose+n.Double+n.Garble:
			harm = Garbled
		default:
			return out, 1
		}
	}
	n.done++
	switch harm {
	case Lost:
		return out, 0
	case Doubled:
		out[1] = b
		return out, 2
	}
	out[0] ^= 1 << n.random.IntN(8)
	return out, 1
}
