package tone

import (
	"encoding/binary"
	"iter"
)

// What it takes to decode a file is judged before it is decoded: a few hundred
// bytes can state a picture that fills the memory. Counted is what the decoders
// allocate for each pixel at the most.

// mostDecoded is how many bytes decoding may take.
const mostDecoded = 1 << 30

// needsOfPNG: up to four channels, of two bytes where there are sixteen bits, and
// half as much again for the last pass if it is interlaced.
func needsOfPNG(data []byte) float64 {
	const depth, interlaced = 24, 28 // where the header says so
	needs := 4.0
	if len(data) > interlaced {
		if data[depth] == 16 {
			needs *= 2
		}
		if data[interlaced] != 0 {
			needs *= 1.5
		}
	}
	return needs
}

// needsOfJPEG: a byte for each sample, and four for its coefficient as long as a
// progressive one is gathered; the four inks are turned into colours apart.
func needsOfJPEG(data []byte) float64 {
	for marker, segment := range segments(data) {
		const frame, component = 6, 3 // bytes of a frame header before its components, and of each (ITU-T T.81, B.2.2)
		if marker < 0xc0 || marker > 0xc2 || len(segment) < frame {
			continue
		}
		n := int(segment[5])
		if len(segment) < frame+component*n {
			break
		}
		sum, across, up := 0, 1, 1
		for i := range n {
			h, v := int(segment[frame+component*i+1]>>4), int(segment[frame+component*i+1]&15)
			sum += h * v
			across, up = max(across, h), max(up, v)
		}
		needs := float64(sum) / float64(across*up)
		if marker == 0xc2 {
			needs *= 5
		}
		if n == 4 {
			needs += 8
		}
		return needs
	}
	return 3
}

// needsOfGIF: one byte, and as much again where rows are put in order.
func needsOfGIF([]byte) float64 { return 2 }

// needsOfWebP: four bytes, and as much again where colours come from a table, or
// chroma and what lets light through from parts of their own.
func needsOfWebP([]byte) float64 { return 8 }

// segments are the segments of a JPEG file before the picture itself, each with its
// marker (ITU-T T.81, B.1.1.4), as far as they are sound.
func segments(data []byte) iter.Seq2[byte, []byte] {
	return func(yield func(byte, []byte) bool) {
		for at := 2; at+4 <= len(data) && data[at] == 0xff; {
			marker, size := data[at+1], int(binary.BigEndian.Uint16(data[at+2:]))
			switch {
			case marker == 0xff: // a fill byte
				at++
				continue
			case marker == 0xda, size < 2, at+2+size > len(data): // the picture begins
				return
			}
			if !yield(marker, data[at+4:at+2+size]) {
				return
			}
			at += 2 + size
		}
	}
}
