package tone_test

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/runtime/tone"
)

func encodePNG(t testing.TB, im image.Image) []byte {
	var out bytes.Buffer
	require.NoError(t, png.Encode(&out, im))
	return out.Bytes()
}

func decode(t testing.TB, data []byte) *tone.Image {
	t.Helper()
	im, err := tone.Decode(t.Context(), data)
	require.NoError(t, err)
	return im
}

// Light of grey values of sRGB: IEC 61966-2-1, worked out with 30 digits.
func TestGreyValuesAreLinearLight(t *testing.T) {
	for value, light := range map[uint8]float64{0: 0, 10: 0.00303526984, 11: 0.00334653576, 128: 0.21586050011, 188: 0.50288646, 255: 1} {
		im := image.NewGray(image.Rect(0, 0, 1, 1))
		im.Pix[0] = value
		require.InDelta(t, light, decode(t, encodePNG(t, im)).At(0.5, 0.5), 1e-7, value)
	}
	for c, light := range map[color.NRGBA]float64{
		{255, 0, 0, 255}: 0.2126, {0, 255, 0, 255}: 0.7152, {0, 0, 255, 255}: 0.0722,
		{0, 0, 0, 0}: 1, {0, 0, 0, 51}: 0.8, // paper seen through
	} {
		im := image.NewNRGBA(image.Rect(0, 0, 1, 1))
		im.SetNRGBA(0, 0, c)
		require.InDelta(t, light, decode(t, encodePNG(t, im)).At(0.5, 0.5), 1e-6, c)
	}
}

// corners is dark in one corner, half light in the next, and white elsewhere.
func corners(width, height int) *image.Gray {
	im := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			v := uint8(255)
			switch {
			case x < width/2 && y < height/2:
				v = 0
			case y < height/2:
				v = 188
			}
			im.SetGray(x, y, color.Gray{Y: v})
		}
	}
	return im
}

// upright is where the dark and the half light corner of a picture are, as x and
// y from the lower left.
func TestPhotosAreTurnedUpright(t *testing.T) {
	// CIPA DC-008-2012, tag 274: in which corner the first row and column lie.
	first := map[int][2]float64{1: {0, 1}, 2: {1, 1}, 3: {1, 0}, 4: {0, 0}, 5: {0, 1}, 6: {1, 1}, 7: {1, 0}, 8: {0, 0}}
	along := map[int][2]float64{1: {1, 1}, 2: {0, 1}, 3: {0, 0}, 4: {1, 0}, 5: {0, 0}, 6: {1, 0}, 7: {1, 1}, 8: {0, 1}}
	var plain bytes.Buffer
	require.NoError(t, jpeg.Encode(&plain, corners(48, 32), &jpeg.Options{Quality: 95}))
	for o := 1; o <= 8; o++ {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			im := decode(t, withExif(plain.Bytes(), order, uint16(o)))
			width, height := im.Size()
			require.Equal(t, o >= 5, width < height, o)
			at := func(c [2]float64) float64 { return im.At(0.25+0.5*c[0], 0.25+0.5*c[1]) }
			require.InDelta(t, 0, at(first[o]), 0.03, "%d %v", o, order)
			require.InDelta(t, 0.5, at(along[o]), 0.03, "%d %v", o, order)
		}
	}
}

// PNG and WebP can say it too.
func TestOtherFilesThatSayHowTheyAreTurnedAreTurnedAsWell(t *testing.T) {
	upright := encodePNG(t, corners(48, 32))
	chunk := append([]byte("eXIf"), exifOf(binary.BigEndian, 6)...)
	const header = 8 + 25
	data := binary.BigEndian.AppendUint32(bytes.Clone(upright[:header]), uint32(len(chunk)-4))
	data = append(data, chunk...)
	data = binary.BigEndian.AppendUint32(data, crc32.ChecksumIEEE(chunk))
	im := decode(t, append(data, upright[header:]...))
	width, height := im.Size()
	require.Equal(t, []int{32, 48}, []int{width, height})
	require.InDelta(t, 0, im.At(0.75, 0.75), 0.03)
	require.InDelta(t, 0.5, im.At(0.75, 0.25), 0.03)
}

// withExif puts an orientation into a JPEG file.
func withExif(data []byte, order binary.AppendByteOrder, o uint16) []byte {
	body := append([]byte("Exif\x00\x00"), exifOf(order, o)...)
	out := append([]byte{}, data[:2]...)
	out = append(out, 0xff, 0xe1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	return append(append(out, body...), data[2:]...)
}

// exifOf is an Exif part with an orientation.
func exifOf(order binary.AppendByteOrder, o uint16) []byte {
	mark := "II*\x00"
	if order == binary.AppendByteOrder(binary.BigEndian) {
		mark = "MM\x00*"
	}
	tiff := order.AppendUint32([]byte(mark), 8)
	tiff = order.AppendUint16(tiff, 2)
	tiff = order.AppendUint16(tiff, 0x0100) // another tag first
	tiff = order.AppendUint16(tiff, 4)
	tiff = order.AppendUint32(order.AppendUint32(tiff, 1), 48)
	tiff = order.AppendUint16(order.AppendUint16(tiff, 0x0112), 3)
	tiff = order.AppendUint32(tiff, 1)
	return order.AppendUint32(order.AppendUint16(order.AppendUint16(tiff, o), 0), 0)
}

func TestAnExifPartThatIsNotSoundIsPassedOver(t *testing.T) {
	var plain bytes.Buffer
	require.NoError(t, jpeg.Encode(&plain, corners(48, 32), nil))
	whole := withExif(plain.Bytes(), binary.LittleEndian, 6)
	for at := 2; at < 60; at++ {
		for _, v := range []byte{0, 0xff} {
			data := bytes.Clone(whole)
			data[at] = v
			_, err := tone.Decode(t.Context(), data) // it must not fail otherwise than by saying so
			var trouble *tone.Trouble
			require.True(t, err == nil || errors.As(err, &trouble))
		}
	}
}

func kindOf(t *testing.T, data []byte) tone.TroubleKind {
	t.Helper()
	_, err := tone.Decode(t.Context(), data)
	var trouble *tone.Trouble
	require.ErrorAs(t, err, &trouble)
	return trouble.Kind
}

func TestWhatCannotBeReadIsSaid(t *testing.T) {
	require.Equal(t, tone.NoPicture, kindOf(t, nil))
	require.Equal(t, tone.NoPicture, kindOf(t, []byte("ahead 10\n")))
	require.Equal(t, tone.Unsupported, kindOf(t, []byte("BM123456789012")))
	require.Equal(t, tone.Unsupported, kindOf(t, []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00")))
	require.Equal(t, tone.Unsupported, kindOf(t, []byte("\x00\x00\x00\x18ftypavif\x00\x00\x00\x00")))
	require.Equal(t, tone.Animated, kindOf(t, []byte("RIFF\x00\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x02\x00\x00\x00\x00\x00\x00\x00\x00\x00")))

	// A file of a few bytes that states 60,000 by 60,000 pixels is refused by what
	// it states.
	bomb := encodePNG(t, image.NewGray(image.Rect(0, 0, 4, 4)))
	binary.BigEndian.PutUint32(bomb[16:], 60_000)
	binary.BigEndian.PutUint32(bomb[20:], 60_000)
	binary.BigEndian.PutUint32(bomb[29:], crc32.ChecksumIEEE(bomb[12:29]))
	require.Equal(t, tone.TooLarge, kindOf(t, bomb))

	// So is what states fewer pixels and takes more memory for each: coefficients
	// that are gathered, and sixteen bits.
	frame := func(marker byte, width, height int, samplings ...byte) []byte {
		segment := []byte{0xff, 0xd8, 0xff, marker, 0, byte(8 + 3*len(samplings)), 8}
		segment = binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(segment, uint16(height)), uint16(width))
		segment = append(segment, byte(len(samplings)))
		for i, sampling := range samplings {
			segment = append(segment, byte(i+1), sampling, 0)
		}
		return append(segment, 0xff, 0xda, 0, 2) // the picture would begin
	}
	fits := func(data []byte) bool {
		_, _, err := tone.Size(data)
		var trouble *tone.Trouble
		require.True(t, err == nil || errors.As(err, &trouble) && trouble.Kind == tone.TooLarge, err)
		return err == nil
	}
	const baseline, progressive = 0xc0, 0xc2
	require.True(t, fits(frame(baseline, 12_000, 9_000, 0x22, 0x11, 0x11)))
	require.True(t, fits(frame(progressive, 12_000, 9_000, 0x22, 0x11, 0x11)))
	require.False(t, fits(frame(progressive, 12_000, 9_000, 0x11, 0x11, 0x11)))
	require.False(t, fits(frame(progressive, 8_000, 8_000, 0x11, 0x11, 0x11, 0x11)))
	require.False(t, fits(frame(baseline, 65_535, 65_535, 0x11)))
	deep := encodePNG(t, image.NewNRGBA64(image.Rect(0, 0, 4, 4)))
	binary.BigEndian.PutUint32(deep[16:], 14_000)
	binary.BigEndian.PutUint32(deep[20:], 8_000)
	for _, interlaced := range []byte{0, 1} {
		deep[28] = interlaced
		binary.BigEndian.PutUint32(deep[29:], crc32.ChecksumIEEE(deep[12:29]))
		require.Equal(t, interlaced == 0, fits(deep))
	}

	damaged := encodePNG(t, corners(64, 64))
	damaged[45] ^= 0x55
	require.Equal(t, tone.Damaged, kindOf(t, damaged))
}

func TestAFileThatIsCutOffIsSaidToBe(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	im := image.NewGray(image.Rect(0, 0, 40, 30))
	for i := range im.Pix {
		im.Pix[i] = uint8(random.Uint32())
	}
	var asJPEG, asGIF bytes.Buffer
	require.NoError(t, jpeg.Encode(&asJPEG, im, nil))
	require.NoError(t, gif.Encode(&asGIF, im, nil))
	for _, whole := range [][]byte{encodePNG(t, im), asJPEG.Bytes(), asGIF.Bytes()} {
		decode(t, whole)
		require.Equal(t, tone.CutOff, kindOf(t, whole[:len(whole)/2]))
		cut := 0
		for n := 12; n < len(whole)-24; n += 7 {
			if _, err := tone.Decode(t.Context(), whole[:n]); err != nil {
				var trouble *tone.Trouble
				require.ErrorAs(t, err, &trouble)
				if trouble.Kind == tone.CutOff {
					cut++
				}
			} else {
				t.Fatalf("%d bytes of %d are read as a whole picture", n, len(whole))
			}
		}
		require.Positive(t, cut)
	}
}

func TestALargePictureIsKeptAsMeans(t *testing.T) {
	const width, height = 5001, 3003
	im := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			im.Pix[y*im.Stride+x] = uint8(255 * ((x + y) % 2)) // a fine checker: half the light
		}
	}
	got := decode(t, encodePNG(t, im))
	w, h := got.Size()
	require.Equal(t, []int{width, height}, []int{w, h})
	require.Less(t, got.Bytes(), 4*5_000_000)
	for _, v := range got.Cells(31, 17) {
		require.InDelta(t, 0.5, v, 0.02)
	}
}

func TestCellsKeepTheLightWhateverTheirSize(t *testing.T) {
	random := rand.New(rand.NewPCG(2, 1))
	im := image.NewGray(image.Rect(0, 0, 60, 40))
	for i := range im.Pix {
		im.Pix[i] = uint8(random.Uint32())
	}
	got := decode(t, encodePNG(t, im))
	mean := func(cells []float64) float64 {
		sum := 0.0
		for _, v := range cells {
			sum += v
		}
		return sum / float64(len(cells))
	}
	want := mean(got.Cells(1, 1))
	for _, size := range [][2]int{{60, 40}, {30, 20}, {7, 3}, {13, 40}} {
		require.InDelta(t, want, mean(got.Cells(size[0], size[1])), 1e-6, fmt.Sprint(size))
	}
	// A part of a part is a part.
	part := got.Crop(0.5, 0, 1, 0.5).Crop(0, 0.5, 1, 1)
	w, h := part.Size()
	require.Equal(t, []int{30, 10}, []int{w, h})
	require.InDelta(t, got.At(0.75, 0.375), part.At(0.5, 0.5), 1e-6)
}

func FuzzDecode(f *testing.F) {
	var asJPEG, asGIF bytes.Buffer
	require.NoError(f, jpeg.Encode(&asJPEG, corners(9, 7), nil))
	require.NoError(f, gif.Encode(&asGIF, corners(9, 7), nil))
	f.Add(asJPEG.Bytes())
	f.Add(asGIF.Bytes())
	f.Add(encodePNG(f, corners(9, 7)))
	f.Add(withExif(asJPEG.Bytes(), binary.BigEndian, 6))
	f.Fuzz(func(t *testing.T, data []byte) {
		im, err := tone.Decode(t.Context(), data)
		var trouble *tone.Trouble
		if err != nil {
			require.ErrorAs(t, err, &trouble)
			return
		}
		for _, v := range im.Cells(3, 3) {
			require.True(t, v >= 0 && v <= 1.000001, v)
		}
	})
}
