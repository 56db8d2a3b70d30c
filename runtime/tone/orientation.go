package tone

import (
	"bytes"
	"encoding/binary"
)

// orientation is how a picture is stored, as Exif numbers it (CIPA DC-008, tag
// 274): where the first row and the first column of the file lie in the picture.
type orientation uint16

const upright orientation = 1

// orientationOfJPEG reads the orientation from the Exif part of a JPEG file; upright
// if it says nothing, or nothing that can be made out.
func orientationOfJPEG(data []byte) orientation {
	for marker, segment := range segments(data) {
		if body, ok := bytes.CutPrefix(segment, []byte(exifMark)); ok && marker == 0xe1 {
			return orientationIn(body)
		}
	}
	return upright
}

// exifMark is what an Exif part begins with in a JPEG file, and in some others.
const exifMark = "Exif\x00\x00"

// orientationOfPNG reads it from the eXIf chunk of a PNG file (third edition, W3C
// 2025, section 11.3.3.5), if that stands before the picture.
func orientationOfPNG(data []byte) orientation {
	const signature, frame = 8, 12 // bytes before the first chunk, and around each
	for data = data[min(signature, len(data)):]; len(data) >= frame; {
		size, kind := int64(binary.BigEndian.Uint32(data)), string(data[4:8])
		if size > int64(len(data)-frame) || kind == "IDAT" {
			break
		}
		if kind == "eXIf" {
			return orientationIn(data[8 : 8+size])
		}
		data = data[frame+size:]
	}
	return upright
}

// orientationOfWebP reads it from the EXIF chunk of a WebP file (RFC 9649, section
// 2.7.1.5), wherever that stands.
func orientationOfWebP(data []byte) orientation {
	const header, frame = 12, 8 // bytes before the first chunk, and before what is in each
	for data = data[min(header, len(data)):]; len(data) >= frame; {
		size, kind := int64(binary.LittleEndian.Uint32(data[4:])), string(data[:4])
		if size > int64(len(data)-frame) {
			break
		}
		if kind == "EXIF" {
			return orientationIn(bytes.TrimPrefix(data[frame:frame+size], []byte(exifMark)))
		}
		data = data[min(frame+size+size%2, int64(len(data))):]
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
