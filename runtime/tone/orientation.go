package tone

import (
	"bytes"
	"encoding/binary"
)

// orientation is how a picture is stored, as Exif numbers it (CIPA DC-008, tag
// 274): where the first row and the first column of the file lie in the picture.
type orientation uint16

const upright orientation = 1

// orientationOf reads the orientation from the Exif part of a JPEG file; upright
// if it says nothing, or nothing that can be made out.
func orientationOf(data []byte) orientation {
	// Segments: a marker, and a length that counts itself (ITU-T T.81, B.1.1.4).
	for at := 2; at+4 <= len(data) && data[at] == 0xff; {
		marker, size := data[at+1], int(binary.BigEndian.Uint16(data[at+2:]))
		switch {
		case marker == 0xff: // a fill byte
			at++
			continue
		case marker == 0xda, size < 2, at+2+size > len(data): // the picture begins
			return upright
		}
		if body, ok := bytes.CutPrefix(data[at+4:at+2+size], []byte("Exif\x00\x00")); ok && marker == 0xe1 {
			return orientationIn(body)
		}
		at += 2 + size
	}
	return upright
}

// orientationIn reads it from the first directory of a TIFF structure.
func orientationIn(tiff []byte) orientation {
	if len(tiff) < 8 {
		return upright
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return upright
	}
	at := uint64(order.Uint32(tiff[4:]))
	if at+2 > uint64(len(tiff)) {
		return upright
	}
	entries := tiff[at+2:]
	const entry, tag, short = 12, 0x0112, 3
	for range order.Uint16(tiff[at:]) {
		if len(entries) < entry {
			break
		}
		if order.Uint16(entries) == tag && order.Uint16(entries[2:]) == short {
			if o := orientation(order.Uint16(entries[8:])); o >= 1 && o <= 8 {
				return o
			}
			break
		}
		entries = entries[entry:]
	}
	return upright
}

// swaps reports whether rows of the file are columns of the picture.
func (o orientation) swaps() bool { return o >= 5 }

// upright turns a place of the file, rows from the top down, into one of the
// picture, rows from the top down; both count from 0 in a raster of so many
// columns and rows in the file.
func (o orientation) upright(x, y, columns, rows int) (int, int) {
	if o == 2 || o == 3 || o == 7 || o == 8 {
		// The first column of the file is the right or the bottom one.
		x = columns - 1 - x
	}
	if o == 3 || o == 4 || o == 6 || o == 7 {
		y = rows - 1 - y
	}
	if o.swaps() {
		return y, x
	}
	return x, y
}
