package compact

import (
	"bytes"
	"encoding/binary"
)

// The table of functions, as Go has laid it out since 1.20 (internal/abi,
// runtime/symtab.go and runtime/runtime2.go of its sources): a head, then names,
// files, tables of what holds from which instruction on, and the functions. The
// numbers of a function are four bytes each, in this order.
const (
	tableHead   = "\xf1\xff\xff\xff\x00\x00\x01\x08" // version; instructions count in ones, addresses have eight bytes
	headBytes   = 8 + 8*8
	stackTable  = 4 * 4
	fileTable   = 5 * 4
	lineTable   = 6 * 4
	tableCount  = 7 * 4
	unitOfFiles = 8 * 4
	firstLine   = 9 * 4
	functionEnd = 11 * 4 // where the further tables begin
)

// stripLines takes out of a memory what Go's runtime knows of files and lines. To the
// runtime a function whose table is at 0 has none, and its places are "?". A memory
// with a table of another layout stays as it is.
func stripLines(memory []byte) {
	at := bytes.Index(memory, []byte(tableHead))
	if at < 0 || len(memory)-at < headBytes {
		return
	}
	table := memory[at:]
	number := func(n int) uint64 { return binary.LittleEndian.Uint64(table[8+8*n:]) }
	functions, files, tables, list := number(0), number(4), number(6), number(7)
	if number(3) != headBytes || files > tables || tables > list || list > uint64(len(table)) || functions > (uint64(len(table))-list)/8 {
		return
	}
	places := make([][]byte, functions)
	used := map[uint32]bool{}
	for i := range places {
		offset := list + uint64(binary.LittleEndian.Uint32(table[list+8*uint64(i)+4:]))
		if offset+functionEnd > uint64(len(table)) {
			return
		}
		f := table[offset:]
		further := uint64(binary.LittleEndian.Uint32(f[tableCount:]))
		if functionEnd+4*further > uint64(len(f)) {
			return
		}
		used[binary.LittleEndian.Uint32(f[stackTable:])] = true
		for k := range further {
			used[binary.LittleEndian.Uint32(f[functionEnd+4*k:])] = true
		}
		places[i] = f[:functionEnd]
	}
	// Functions share tables, also one's lines with another's stack: what is in use
	// is known once all have been looked at.
	content := table[tables:list]
	kept := make([]byte, len(content))
	for from := range used {
		if from == 0 {
			continue // none
		}
		stop, ok := tableEnd(content, from)
		if !ok {
			return
		}
		copy(kept[from:stop], content[from:stop])
	}
	copy(content, kept)
	clear(table[files:tables])
	for _, f := range places {
		for _, field := range []int{fileTable, lineTable, unitOfFiles, firstLine} {
			clear(f[field : field+4])
		}
	}
}

// tableEnd is where a table ends: pairs of numbers, the first of which is 0 only
// after the last pair.
func tableEnd(content []byte, from uint32) (uint64, bool) {
	at := uint64(from)
	for first := true; at < uint64(len(content)); first = false {
		if content[at] == 0 && !first {
			return at + 1, true
		}
		for range 2 {
			_, size := binary.Uvarint(content[min(at, uint64(len(content))):])
			if size <= 0 {
				return 0, false
			}
			at += uint64(size)
		}
	}
	return 0, false
}
