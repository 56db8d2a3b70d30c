// Package compact makes a WebAssembly module that Go's linker wrote smaller for the
// way to a browser. What the module computes stays the same; a stack that it prints
// names its functions without lines.
package compact

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// The parts of a module that are looked into: WebAssembly Core Specification 2.0,
// section 5.5.
const (
	preamble    = "\x00asm\x01\x00\x00\x00"
	dataSection = 11
	i32Const    = 0x41
	end         = 0x0b
)

// mostMemory is how far into the memory data may reach.
const mostMemory = 1 << 28

// shortestGap is how many zeros end a piece of data. The linker ends one after
// eight, and so has a hundred thousand of them, each with a head that hardly packs;
// zeros within a piece pack to almost nothing.
const shortestGap = 1 << 10

var errMalformed = errors.New("this is no WebAssembly module, or one of another make than Go's")

// Module is a module with its data in few pieces, and without the tables of lines.
func Module(module []byte) ([]byte, error) {
	rest, ok := bytes.CutPrefix(module, []byte(preamble))
	if !ok {
		return nil, errMalformed
	}
	out := append(make([]byte, 0, len(module)), preamble...)
	for len(rest) > 0 {
		r := reader{rest[1:], false}
		content := r.take(r.unsigned())
		if r.failed {
			return nil, errMalformed
		}
		if kind := rest[0]; kind == dataSection {
			memory, err := image(content)
			if err != nil {
				return nil, err
			}
			stripLines(memory)
			out = section(out, kind, pieces(memory))
		} else {
			out = section(out, kind, content)
		}
		rest = r.rest
	}
	return out, nil
}

func section(to []byte, kind byte, content []byte) []byte {
	to = binary.AppendUvarint(append(to, kind), uint64(len(content)))
	return append(to, content...)
}

// image is the memory that the content of a data section makes, from address 0.
func image(content []byte) ([]byte, error) {
	r := reader{content, false}
	var memory []byte
	for range r.unsigned() {
		// An active piece for memory 0, at a constant: all that the linker writes.
		active := r.unsigned() == 0 && r.byte() == i32Const
		at := r.signed()
		active = active && r.byte() == end
		data := r.take(r.unsigned())
		if r.failed || !active || at < 0 || at+int64(len(data)) > mostMemory {
			return nil, errMalformed
		}
		if grow := int(at) + len(data) - len(memory); grow > 0 {
			memory = append(memory, make([]byte, grow)...)
		}
		copy(memory[at:], data)
	}
	if r.failed || len(r.rest) > 0 {
		return nil, errMalformed
	}
	return memory, nil
}

// pieces is the content of a data section that makes a memory.
func pieces(memory []byte) []byte {
	var content []byte
	count := uint64(0)
	for at := 0; ; {
		for at < len(memory) && memory[at] == 0 {
			at++
		}
		if at == len(memory) {
			break
		}
		stop := at // after the last byte that is not 0
		for next := at; next < len(memory) && next-stop < shortestGap; next++ {
			if memory[next] != 0 {
				stop = next + 1
			}
		}
		content = append(content, 0, i32Const)
		content = append(appendSigned(content, int64(at)), end)
		content = binary.AppendUvarint(content, uint64(stop-at))
		content = append(content, memory[at:stop]...)
		at = stop
		count++
	}
	return append(binary.AppendUvarint(nil, count), content...)
}

// appendSigned appends a number as signed LEB128 (section 5.2.2), which Go's
// library lacks.
func appendSigned(to []byte, n int64) []byte {
	for n < -64 || n > 63 {
		to = append(to, byte(n)|0x80)
		n >>= 7
	}
	return append(to, byte(n)&0x7f)
}

// reader takes a module apart. Once it has failed it gives zeros.
type reader struct {
	rest   []byte
	failed bool
}

func (r *reader) take(n uint64) []byte {
	if r.failed || n > uint64(len(r.rest)) {
		r.failed = true
		return nil
	}
	taken := r.rest[:n]
	r.rest = r.rest[n:]
	return taken
}

func (r *reader) byte() byte {
	if b := r.take(1); b != nil {
		return b[0]
	}
	return 0
}

func (r *reader) unsigned() uint64 {
	n, size := binary.Uvarint(r.rest)
	r.take(uint64(max(size, 0)))
	if size <= 0 {
		r.failed = true
	}
	if r.failed {
		return 0
	}
	return n
}

func (r *reader) signed() int64 {
	var n int64
	for shift := 0; ; shift += 7 {
		b := r.byte()
		if r.failed || shift > 28 {
			r.failed = true
			return 0
		}
		n |= int64(b&0x7f) << shift
		if b < 0x80 {
			if b&0x40 != 0 {
				n |= -1 << (shift + 7)
			}
			return n
		}
	}
}
