package lettering

import (
	"context"
	"os"
	"sort"
	"strings"
	"sync"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"wend/runtime/geom"
)

var faceNames = []string{"linden", "brook"}

var readFaces = sync.OnceValue(func() map[string]*Face {
	faces := map[string]*Face{}
	for _, name := range faceNames {
		text, err := os.ReadFile("../fonts/" + name + ".letters")
		if err != nil {
			panic(err)
		}
		faces[name], err = Read(string(text), func(name string) *Face { return faces[name] })
		if err != nil {
			panic(err)
		}
	}
	return faces
})

func eachFace(t *testing.T, f func(t *testing.T, face *Face)) {
	for _, name := range faceNames {
		t.Run(name, func(t *testing.T) { f(t, readFaces()[name]) })
	}
}

func glyph(t require.TestingT, face *Face, cluster string) *Glyph {
	g, err := face.Glyph(cluster)
	require.NoError(t, err)
	require.NotNil(t, g, "%q", cluster)
	return g
}

// drawnNames are the letters that a face draws itself, in order.
func (f *Face) drawnNames() []string {
	names := make([]string, 0, len(f.letters))
	for name := range f.letters {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// The blocks are those of the Unicode Standard.
func TestEveryFaceCoversItsAlphabets(t *testing.T) {
	var wanted []rune
	block := func(from, to rune) {
		for r := from; r <= to; r++ {
			if unicode.IsGraphic(r) || r == '\u00AD' {
				wanted = append(wanted, r)
			}
		}
	}
	block(0x20, 0x7E)   // Basic Latin
	block(0xA0, 0xFF)   // Latin-1 Supplement
	block(0x100, 0x17F) // Latin Extended-A
	block(0x391, 0x3A1) // the Greek alphabet
	block(0x3A3, 0x3A9)
	block(0x3B1, 0x3C9)
	block(0x400, 0x45F) // the Cyrillic alphabets in use
	wanted = append(wanted, []rune("ȘșȚțẞ‘’‚“”„‹›–—…•€°×÷←↑→↓↔☺♥★άέήίόύώϊΰΆΈΉΊΌΎΏ")...)
	eachFace(t, func(t *testing.T, face *Face) {
		for _, r := range wanted {
			g, err := face.Glyph(string(r))
			require.NoError(t, err)
			if g == nil {
				t.Errorf("no letter for %q (U+%04X)", r, r)
			}
		}
	})
}

// ISO 3098-0, type B, figures for h = 10: small letters 7, tails 3, gap between
// words 6, pitch of rows with accents 19, stroke 1 (read in a French table of NF
// EN ISO 3098-0). Distances here are between the middles of strokes, so a gap is
// one stroke more.
func TestLindenHasTheProportionsOfISO3098TypeB(t *testing.T) {
	face := readFaces()["linden"]
	const h, stroke = Cap / 10, 0.625 // 0.5 mm in letters of 8 mm
	height := func(letters string) (low, high float64) {
		box := geom.EmptyBox()
		for _, r := range letters {
			box = box.Union(glyph(t, face, string(r)).ink)
		}
		return box.Min.Y / h, box.Max.Y / h
	}
	low, high := height("ABCDEFGHIJKLMNOPRSTUVWXYZ0123456789")
	require.InDelta(t, 0, low, 1e-9)
	require.InDelta(t, 10, high, 1e-9)
	low, high = height("acemnorsuvwxz")
	require.InDelta(t, 0, low, 1e-9)
	require.InDelta(t, 7, high, 1e-9)
	low, _ = height("gjpqy")
	require.InDelta(t, -3, low, 1e-9)
	require.InDelta(t, 19, face.Leading/h, 1e-9)

	row := setRow(t, face, "H H")
	between := row[1].x + row[1].sides.min - row[0].x - row[0].sides.max
	require.InDelta(t, 6, between/h, 1e-3, "between the middles of strokes")
	row = setRow(t, face, "HH")
	between = row[1].x + row[1].sides.min - row[0].x - row[0].sides.max
	require.GreaterOrEqual(t, between/h, 2+stroke, "the standard's gap between letters is the least")
}

func setRow(t require.TestingT, face *Face, text string) []placed {
	block, err := Set(face, text, Style{Height: 10})
	require.NoError(t, err)
	return block.rows[0].letters
}

func TestLettersWithMarksAreTheLetterAndItsMarks(t *testing.T) {
	eachFace(t, func(t *testing.T, face *Face) {
		e, acute := glyph(t, face, "e"), face.drawn("\u0301")
		composed := glyph(t, face, "é")
		require.Same(t, composed, glyph(t, face, "é"), "and are kept")
		require.Len(t, composed.strokes, len(e.strokes)+len(acute.strokes))
		require.Equal(t, e.strokes, composed.strokes[:len(e.strokes)])
		require.Greater(t, composed.ink.Max.Y, e.ink.Max.Y)
		require.Equal(t, composed.strokes, glyph(t, face, "e\u0301").strokes, "however it is encoded")

		stacked := glyph(t, face, "ǖ")
		require.Greater(t, stacked.ink.Max.Y, glyph(t, face, "ü").ink.Max.Y)
		require.Less(t, glyph(t, face, "ç").ink.Min.Y, -10.0)
		require.Len(t, glyph(t, face, "ĩ").strokes, len(glyph(t, face, "ı").strokes)+1, "the dot makes room")
		require.Equal(t, glyph(t, face, "☺").strokes, glyph(t, face, "☺\uFE0E").strokes, "signs without colour")

		for _, unknown := range []string{"漢", "e\u20DD", "\u0301", "🙂", " \u0301"} {
			g, err := face.Glyph(unknown)
			require.NoError(t, err)
			if unknown != "\u0301" {
				require.Nil(t, g, "%q", unknown)
			}
		}
	})
}

func TestSpacingIsEvenToTheEye(t *testing.T) {
	face := readFaces()["linden"]
	gap := func(pair string) float64 {
		r := []rune(pair)
		return face.gap(glyph(t, face, string(r[0])), glyph(t, face, string(r[1])))
	}
	require.InDelta(t, face.Gap, gap("HH"), 1e-3, "two upright strokes stand at the gap")
	require.InDelta(t, face.Gap, gap("HN"), 1e-3)
	require.Less(t, gap("OO"), gap("HO"))
	require.Less(t, gap("HO"), gap("HH"))
	for _, pair := range []string{"AV", "VA", "AW", "AY", "ky"} {
		require.Less(t, gap(pair), gap("OO")/2, "%s: slopes that fit creep under each other", pair)
	}
	require.Less(t, gap("To"), gap("Ho"))
	for _, pair := range []string{"VA", "LT", "rv", "oo", "ww", "x."} {
		require.Greater(t, gap(pair), -45.0, pair)
	}
}

func TestReadingAFaceNamesTheLineThatIsWrong(t *testing.T) {
	const head = "face test\nleading 190\ngap 30\ndot 6\n"
	read := func(text string) error {
		_, err := Read(text, func(name string) *Face { return readFaces()[name] })
		return err
	}
	require.NoError(t, read(head+"A  0,0 35,100 70,0 ; 14,40 56,40\nU+0042  =A 0,0 50 ; dot 3,3\n# a note\n\nÉ  =A ; crown 3,100\nkern A B -3\nA→  0,0 1,1\n"))
	for _, c := range []struct{ text, want string }{
		{"gap 30", "no name"},
		{"face x\ngap 30\ndot 6", "above 0"},
		{head + "A  0,0", "line 5: a stroke"},
		{head + "A  0,0 0,0", "stands still"},
		{head + "A  0,0 (1,1", "a stroke"},
		{head + "A  (1,1) 0,0", "a stroke"},
		{head + "A  0,0 (1,1) (2,2) 3,3", "a stroke"},
		{head + "A  0,0 ((1,1) 3,3", "a stroke"},
		{head + "A  0,0 (1,1)) 3,3", "a stroke"},
		{head + "A  0,0 ((1,1) (2,2))", "a stroke"},
		{head + "A  0,0 1.5,2", "no point"},
		{head + "A  0,0 1;2", "no point"},
		{head + "A  0,0 99999,0", "no point"},
		{head + "A  0,0 1,1 ;  ; 2,2 3,3", "nothing between"},
		{head + "A  =A", "made of itself"},
		{head + "A  =B", "B is not drawn"},
		{head + "A  dot", "one point"},
		{head + "A  wide x", "whole number"},
		{head + "A  crown 1,1", "neither drawn nor wide"},
		{head + "A  0,0 1,1\nA  0,0 1,1", "line 6: A is drawn twice"},
		{head + "A→  0,0 1,1", "no plain one"},
		{head + "weight 3", "no setting"},
		{head + "gap x", "needs a number"},
		{head + "kern A B", "two letters and a number"},
		{head + "base nowhere", "no face"},
		{head + "base brook", "leans"},
		{head + "slant 50", "more than 45"},
		{head + "A  =B x,y\nB  0,0 1,1", "no point"},
		{head + "A  =B 0,0 0\nB  0,0 1,1", "no percentage"},
	} {
		err := read(c.text)
		require.ErrorContains(t, err, c.want, c.text)
	}
}

func FuzzReadingAnyTextGivesAFaceOrAnError(f *testing.F) {
	for _, name := range faceNames {
		text, err := os.ReadFile("../fonts/" + name + ".letters")
		require.NoError(f, err)
		lines := strings.Split(string(text), "\n")
		f.Add(strings.Join(lines[:min(len(lines), 60)], "\n"))
	}
	f.Add("face t\nleading 1\ngap 1\ndot 1\nA  0,0 ((1,1) (2,2)) 3,3 ; =B 1,1 50\nB  dot 1,1 ; wide 3\nA→  0,0 1,1 ; in 0,0 ; out 1,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		face, err := Read(text, func(name string) *Face { return nil })
		if err != nil {
			return
		}
		for _, name := range face.drawnNames() {
			if g := face.drawn(name); !g.space() {
				if _, err := g.waysOf(context.Background(), nil); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}
