package tone

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"strings"
)

// Limits of a file, and of what is kept of it.
const (
	mostPixels = 120_000_000
	mostSide   = 1 << 16
	// mostKept is about how many pixels are kept: more than a line can show on
	// the largest sheet.
	mostKept = 4_000_000
)

// Trouble says why a file cannot be read as a picture.
type Trouble struct {
	Kind TroubleKind
	// Format is what the file is: "PNG", "HEIC"; empty if that is not known.
	Format        string
	Width, Height int    // pixels; of TooLarge
	Reason        string // of Damaged: what the decoder says
}

// TroubleKind is what is wrong with a file.
type TroubleKind uint8

// What can be wrong.
const (
	NoPicture   TroubleKind = iota // it is no picture of a kind that is known
	Unsupported                    // its kind is known and not read
	Animated                       // it is a WebP of several frames
	TooLarge                       // it has too many pixels, or none, or takes too much to decode
	CutOff                         // it ends before its last pixel
	Damaged                        // anything else
)

func (t *Trouble) Error() string {
	return fmt.Sprintf("tone: %s picture: trouble %d %s", t.Format, t.Kind, t.Reason)
}

// format is a kind of file.
type format struct {
	name   string
	starts func(data []byte) bool
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
	// needs is how many bytes a pixel takes while it is decoded.
	needs func(data []byte) float64
	// turned is how the picture is stored; nil for one that is always upright.
	turned func(data []byte) orientation
}

func begins(signature string) func([]byte) bool {
	return func(data []byte) bool { return bytes.HasPrefix(data, []byte(signature)) }
}

func startsWebP(data []byte) bool {
	return len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP"
}

// brand is a file of the ISO base media format (ISO/IEC 14496-12) by the brands
// it begins with.
func brand(names ...string) func([]byte) bool {
	return func(data []byte) bool {
		if len(data) < 12 || string(data[4:8]) != "ftyp" {
			return false
		}
		for _, name := range names {
			if string(data[8:12]) == name {
				return true
			}
		}
		return false
	}
}

// formats are what files begin with. Those without a decoder are named where one
// is refused. Of a GIF with several frames the first one is read.
var formats = []format{
	{"PNG", begins("\x89PNG\r\n\x1a\n"), png.DecodeConfig, png.Decode, needsOfPNG, orientationOfPNG},
	jpegs, gifs, webPs,
	{"BMP", begins("BM"), nil, nil, nil, nil},
	{"TIFF", begins("II*\x00"), nil, nil, nil, nil},
	{"TIFF", begins("MM\x00*"), nil, nil, nil, nil},
	{"HEIC", brand("heic", "heix", "hevc", "mif1", "msf1"), nil, nil, nil, nil},
	{"AVIF", brand("avif", "avis"), nil, nil, nil, nil},
}

// Decode reads a picture. The size that a file states is judged before anything
// is decoded. The error is a *Trouble, or that of ctx.
func Decode(ctx context.Context, data []byte) (*Image, error) {
	f, size, err := formatOf(data)
	if err != nil {
		return nil, err
	}
	decoded, err := f.decode(&stoppable{ctx, bytes.NewReader(data)})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, f.trouble(err)
	}
	toRGB := color.YCbCrToRGB
	if f.name == "WebP" {
		toRGB = studio
	}
	return lightOf(ctx, decoded, size, f.orientation(data), toRGB)
}

// Size is the width and height in pixels of the picture in a file, upright. It
// is read from the beginning of the file; the error is a *Trouble.
func Size(data []byte) (width, height int, err error) {
	f, size, err := formatOf(data)
	if err != nil {
		return 0, 0, err
	}
	if f.orientation(data).swaps() {
		return size.Y, size.X, nil
	}
	return size.X, size.Y, nil
}

// formatOf is the format of a picture that can be read, and the size that it
// states, as it is stored.
func formatOf(data []byte) (*format, image.Point, error) {
	var f *format
	for i := range formats {
		if formats[i].starts(data) {
			f = &formats[i]
			break
		}
	}
	switch {
	case f == nil:
		return nil, image.Point{}, &Trouble{Kind: NoPicture}
	case f.decode == nil:
		return nil, image.Point{}, &Trouble{Kind: Unsupported, Format: f.name}
	case f.name == "WebP" && isAnimated(data):
		return nil, image.Point{}, &Trouble{Kind: Animated, Format: f.name}
	}
	config, err := f.config(bytes.NewReader(data))
	if err != nil {
		return nil, image.Point{}, f.trouble(err)
	}
	if w, h := config.Width, config.Height; w < 1 || h < 1 || w > mostSide || h > mostSide || w*h > mostPixels ||
		float64(w)*float64(h)*f.needs(data) > mostDecoded {
		return nil, image.Point{}, &Trouble{Kind: TooLarge, Format: f.name, Width: w, Height: h}
	}
	return f, image.Pt(config.Width, config.Height), nil
}

// orientation is how a picture of the format is stored.
func (f *format) orientation(data []byte) orientation {
	if f.turned == nil {
		return upright
	}
	return f.turned(data)
}

// stoppable reads until a context ends, which every decoder takes for the end of
// its file.
type stoppable struct {
	ctx    context.Context
	reader io.Reader
}

func (s *stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.reader.Read(p)
}

func (f *format) trouble(err error) *Trouble {
	cut := errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF)
	text := err.Error()
	// Some decoders say it in words alone.
	for _, words := range []string{"EOF", "not enough image data", "not enough pixel data", "short Huffman data"} {
		cut = cut || strings.HasSuffix(text, words)
	}
	if cut {
		return &Trouble{Kind: CutOff, Format: f.name}
	}
	return &Trouble{Kind: Damaged, Format: f.name, Reason: text}
}

// isAnimated reports whether a WebP has several frames: a bit of its extended
// header (RFC 9649, section 2.7).
func isAnimated(data []byte) bool {
	return len(data) > 20 && string(data[12:16]) == "VP8X" && data[20]&0x02 != 0
}
