package kind_test

import (
	"bytes"
	"compress/gzip"
	"image"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"

	"wend/cmd/wend/kind"
)

func TestTheContentDecidesBeforeTheName(t *testing.T) {
	for content, want := range map[string]kind.Kind{
		"ahead 20\n":                          kind.Program,
		"":                                    kind.Program,
		"# a leaf\nlet g = 3\nx = [1]\n":      kind.Program,
		"figure g(n) { ahead n }\ng 5\ng 6\n": kind.Program,
		"G21 G90\nG1 X20 F600\nM2\n":          kind.Instructions,
		"%\nO1000 (PART)\nN10 G0 X1 Y1\nN20 G1 X5\n%":    kind.Instructions,
		"; made elsewhere\n\nM104 S200\nM117 hello\nG28": kind.Instructions,
		"(only a remark)\rg1x5y6f100\rx7\rm2\r":          kind.Instructions,
		"G21\n/ G01 X20\n/\tN30 Y5\nM2\n":                kind.Instructions,
		"/ G01 X20 F100\n":                               kind.Instructions,
		"((a;b)c) G1 X5 (d)\nG1 X6 ; (e":                 kind.Instructions,
		"X1 Y2\nX3 Y4\n":                                 kind.Program, // no word says G or M
		"name = \"bench\"\n[area]\nwidth_mm = 1\n":       kind.Profile,
		"<svg xmlns='http://www.w3.org/2000/svg'/>":      kind.Drawing,
		"<?xml version=\"1.0\"?>\n<!-- <g> -->\n<!DOCTYPE svg PUBLIC \"-//W3C//DTD SVG 1.1//EN\" \"svg11.dtd\" [ <!ENTITY a \"b\"> ]>\n<s:svg width='5'>": kind.Drawing,
		"<html><svg/></html>":     kind.Program,
		"\x7fELF\x02\x01\x01\x00": kind.Unknown,
	} {
		for _, name := range []string{"plain", "a.txt", "-"} {
			require.Equal(t, want, kind.Of(name, []byte(content)), "%s: %q", name, content)
		}
		if want == kind.Program || want == kind.Unknown {
			want = kind.Photo // of which its reader says that there is none in it
		}
		require.Equal(t, want, kind.Of("picture.png", []byte(content)), "%q", content)
	}
	require.Equal(t, kind.Instructions, kind.Of("art.wend", []byte("G21\nG1 X5 F100\n")))
	require.Equal(t, kind.Program, kind.Of("card.csv", []byte("begin 2, 3\nahead 4\n")))
}

// Brackets without end are gone over once: a way that went over them again for
// each pair would take hours for these.
func TestNestedBracketsAreLookedAtOnce(t *testing.T) {
	const n = 1_000_000
	for _, text := range []string{
		"note " + strings.Repeat("(", n) + "1" + strings.Repeat(")", n),
		strings.Repeat("(", n), strings.Repeat(")", n), "(" + strings.Repeat(";", n) + ")", strings.Repeat("()", n),
	} {
		require.Equal(t, kind.Program, kind.Of("deep.wend", []byte(text)))
	}
}

func TestTheNameDecidesWhereTheContentDoesNot(t *testing.T) {
	for name, want := range map[string]kind.Kind{
		"a.wend": kind.Program, "a.TOML": kind.Profile, "a.nc": kind.Instructions, "b.GCODE": kind.Instructions,
		"c.svg": kind.Drawing, "d.csv": kind.Data, "e.jpeg": kind.Photo, "f": kind.Program,
	} {
		require.Equal(t, want, kind.Of(name, []byte("1,2\n3,4\n")), name)
	}
	require.Equal(t, kind.Program, kind.Of("junk.wend", []byte("abcd\x00")), "a program, of which its reader says that it is no text")
}

func TestImagesAreKnownByTheirFirstBytes(t *testing.T) {
	im := image.NewGray(image.Rect(0, 0, 3, 3))
	var p, j, g bytes.Buffer
	require.NoError(t, png.Encode(&p, im))
	require.NoError(t, jpeg.Encode(&j, im, nil))
	require.NoError(t, gif.Encode(&g, im, nil))
	for _, b := range [][]byte{p.Bytes(), j.Bytes(), g.Bytes()} {
		require.Equal(t, kind.Photo, kind.Of("a.wend", b))
	}
}

// The projects' own files are what they are, whatever they are called.
func TestEveryExampleIsAProgram(t *testing.T) {
	files, err := filepath.Glob("../../../examples/*.wend")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		require.Equal(t, kind.Program, kind.Of("x.gcode.txt", text), name)
	}
	text, err := os.ReadFile("../../../runtime/gcode/testdata/compensated.gcode")
	require.NoError(t, err)
	require.Equal(t, kind.Instructions, kind.Of("x", text))
}

func TestALargeFileIsJudgedByItsHead(t *testing.T) {
	big := []byte(strings.Repeat("G1 X1.5 Y2.5 F600\n", 1<<16))
	require.Equal(t, kind.Instructions, kind.Of("x", big))
	require.Equal(t, kind.Instructions, kind.Of("x", big[:kind.HeadBytes]))
}

// The encodings come from golang.org/x/text and unicode/utf16, not from here.
func TestTextInAnotherEncodingIsNamedWithItsPlace(t *testing.T) {
	text := "# Grüße, Łódź\nahead 5\n"
	_, ok := kind.Text([]byte(text))
	require.True(t, ok)

	latin, err := charmap.ISO8859_1.NewEncoder().String("# Grüße\nahead 5\n")
	require.NoError(t, err)
	fault, ok := kind.Text([]byte(latin))
	require.False(t, ok)
	require.Equal(t, 4, fault.Offset)
	require.Contains(t, fault.Reason, "in Latin-1 it is `ü`")
	require.Contains(t, fault.Way, "iconv -f LATIN1")

	quoted, err := charmap.Windows1252.NewEncoder().String("note \u201chello\u201d")
	require.NoError(t, err)
	fault, _ = kind.Text([]byte(quoted))
	require.Equal(t, 5, fault.Offset)
	require.Contains(t, fault.Reason, "Windows-1252")

	for _, mark := range []bool{true, false} {
		for _, big := range []bool{true, false} {
			var b []byte
			units := utf16.Encode([]rune("ahead 50\nturn 90\n"))
			if mark {
				units = append([]uint16{0xfeff}, units...)
			}
			for _, u := range units {
				if big {
					b = append(b, byte(u>>8), byte(u))
				} else {
					b = append(b, byte(u), byte(u>>8))
				}
			}
			fault, ok := kind.Text(b)
			require.False(t, ok)
			require.Zero(t, fault.Offset)
			require.Contains(t, fault.Reason, "UTF-16")
			require.Equal(t, kind.Program, kind.Of("a.wend", b))
		}
	}

	// As drawings are often kept (SVG 2 calls it svgz); the bytes are compress/gzip's.
	var packed bytes.Buffer
	_, err = gzip.NewWriter(&packed).Write([]byte("<svg/>"))
	require.NoError(t, err)
	fault, ok = kind.Text(packed.Bytes())
	require.False(t, ok)
	require.Contains(t, fault.Way, "gunzip")

	fault, ok = kind.Text([]byte("ab\x00c"))
	require.False(t, ok)
	require.Equal(t, 2, fault.Offset)
	require.Empty(t, fault.Way)
}

func FuzzEveryContentHasAKind(f *testing.F) {
	f.Add("a.csv", []byte("a,b\n1,2\n"))
	f.Add("", []byte("<!DOCTYPE [<svg"))
	f.Add("-", []byte("N1 G1 X\r\rM2"))
	f.Fuzz(func(t *testing.T, name string, content []byte) {
		k := kind.Of(name, content)
		require.NotEmpty(t, k.String())
		require.Positive(t, k.Limit())
		if fault, ok := kind.Text(content); !ok {
			require.Less(t, fault.Offset, len(content))
		}
	})
}
