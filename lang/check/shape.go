package check

import "wend/lang/types"

// shape is what is known of a value before the program runs: its possible
// kinds, those of its items if it is a list, and the unit it is marked with if
// it is a number. The zero shape knows nothing: either nothing was found out
// yet, or an error was reported; it is never complained about.
type shape struct {
	kinds types.Kind
	items types.Kind
	mark  mark
}

var anything = shape{types.Any, types.Any, plainMark}

// join is the shape of a value that has one of two shapes.
func (s shape) join(t shape) shape {
	return shape{s.kinds | t.kinds, s.items | t.items, s.mark.join(t.mark)}
}

// mark is the unit of a number; only numbers have one.
type mark uint8

const (
	noMark mark = iota
	lengthMark
	angleMark
	plainMark
)

func markOf(u types.Unit) mark {
	return [...]mark{types.Plain: plainMark, types.Length: lengthMark, types.Angle: angleMark}[u]
}

// known reports whether the mark is a length or an angle.
func (m mark) known() bool { return m == lengthMark || m == angleMark }

// clashes reports whether two numbers cannot be added or compared.
func (m mark) clashes(n mark) bool { return m.known() && n.known() && m != n }

func (m mark) String() string {
	return [...]string{"a number", "a length", "an angle", "a plain number"}[m]
}

// join is the mark of a variable that is given numbers of both marks.
func (m mark) join(n mark) mark {
	switch {
	case m == n, n == noMark:
		return m
	case m == noMark:
		return n
	}
	return plainMark
}

// plain is the mark of a number that is kept in a list or a record.
func (m mark) plain() mark {
	if m == noMark {
		return m
	}
	return plainMark
}

// plus is the mark of a sum: a plain number takes on that of the other.
func (m mark) plus(n mark) mark {
	if m == noMark || m == plainMark && n != noMark {
		return n
	}
	return m
}
