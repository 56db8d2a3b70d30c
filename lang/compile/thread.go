package compile

import "wend/lang/code"

// thread lets a jump to the end of a loop's body do at once what it finds
// there: the loop's next pass, or its end.
func thread(instructions []code.Instr) {
	for pc, in := range instructions {
		if in.Op != code.Jump {
			continue
		}
		to := int(in.D)
		if to >= len(instructions) {
			continue
		}
		next := instructions[to]
		past := to - pc // to the instruction after the loop, from the one after this
		switch {
		case past < 0:
		case next.Op == code.RepeatLoop && next.BC() == 0 && past < 1<<16:
			next.B, next.C = uint8(past), uint8(past>>8)
			instructions[pc] = next
		case next.Op == code.RangeLoop && next.C == 0 && past < 1<<8:
			next.C = uint8(past)
			instructions[pc] = next
		}
	}
}
