package lettering

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"wend/runtime/geom"
)

func setBlock(t require.TestingT, face, text string, style Style) *Block {
	block, err := Set(readFaces()[face], text, style)
	require.NoError(t, err)
	return block
}

func lineOf(t require.TestingT, b *Block) *Line {
	return lineBy(t, b, Near)
}

func lineBy(t require.TestingT, b *Block, rows Rows) *Line {
	l, err := b.Line(context.Background(), rows, 0.01)
	require.NoError(t, err)
	return l
}

// rowsOf are the letters of a block, row by row.
func rowsOf(b *Block) []string {
	var rows []string
	for _, r := range b.rows {
		var row strings.Builder
		for _, l := range r.letters {
			if l.opens {
				row.WriteByte(' ')
			}
			row.WriteString(strings.TrimSuffix(l.name, joinedSuffix))
		}
		rows = append(rows, row.String())
	}
	return rows
}

func TestTextIsSetFromTheLeftEndOfTheFirstBaseline(t *testing.T) {
	block := setBlock(t, "linden", "HEH\nOH", Style{Height: 10})
	box := geom.Bounds(lineOf(t, block).Points())
	require.InDelta(t, 10, box.Max.Y, 1e-9, "capitals are as high as asked for")
	require.InDelta(t, -19, box.Min.Y, 1e-9, "the second baseline is 19/10 below")
	filled := block.Box()
	require.InDelta(t, 0, filled.Min.X, 1e-9)
	require.InDelta(t, -22, filled.Min.Y, 1e-9)
	require.InDelta(t, 10, filled.Max.Y, 1e-9)
	require.InDelta(t, box.Max.X, filled.Max.X, 1e-9)
	ladder := geom.Bounds(lineBy(t, block, Ladders).Points())
	require.InDelta(t, ladder.Max.X, filled.Max.X+block.scale*margin, 1e-9, "beside the text runs the line to the next row")
	round := geom.Bounds(lineBy(t, block, Turns).Points())
	require.InDelta(t, round.Max.X, filled.Max.X+9.5, 0.02, "or goes round in half a circle")
	start := lineOf(t, block).Points()[0]
	require.InDelta(t, 0, start.Distance(geom.Point{}), 1e-9, "and the line begins at its left end")
}

func TestEverySecondRowIsWrittenFromItsRightEnd(t *testing.T) {
	l := lineBy(t, setBlock(t, "linden", "one\n\ntwo\nthree", Style{Height: 10}), Ladders)
	var order []float64
	baseline := 1.0
	rows := 0
	for _, p := range l.Pieces {
		if p.Join {
			continue
		}
		if p.Baseline != baseline {
			baseline, order, rows = p.Baseline, nil, rows+1
		}
		if len(order) > 0 {
			if rows%2 == 1 {
				require.Greater(t, p.Middle, order[len(order)-1])
			} else {
				require.Less(t, p.Middle, order[len(order)-1])
			}
		}
		order = append(order, p.Middle)
	}
	require.Equal(t, 3, rows)
}

func TestOnRuledLinesJoinsOfPlainWordsRunLevelAndBetweenRowsUpright(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[A-Za-z]{1,9}`), 1, 12).Draw(t, "words")
		align := rapid.SampledFrom([]Align{Left, Center, Right, Justify}).Draw(t, "align")
		block := setBlock(t, "linden", strings.Join(words, " "), Style{Height: 10, Width: 120, Align: align})
		l := lineBy(t, block, Ruled)
		last := geom.Point{}
		for i, p := range l.Pieces {
			if i > 0 {
				require.LessOrEqual(t, last.Distance(p.Points[0]), geom.SamePoint, "one line")
			}
			last = p.Points[len(p.Points)-1]
			if !p.Join {
				continue
			}
			dx, dy := math.Abs(p.Points[0].X-last.X), math.Abs(p.Points[0].Y-last.Y)
			require.True(t, dx < 1e-9 || dy < 1e-9, "a stray diagonal of %v by %v mm", dx, dy)
			onBaseline := slices.ContainsFunc(block.rows, func(r row) bool { return math.Abs(r.baseline*block.scale-last.Y) < 1e-9 })
			require.True(t, dx < 1e-9 || onBaseline, "a level line off the baseline at %v mm", last)
		}
	})
}

func TestRowsAreBrokenBetweenWordsAndAtHyphens(t *testing.T) {
	for _, c := range []struct {
		text  string
		width float64
		want  []string
	}{
		{"fern and moss", 0, []string{"fern and moss"}},
		{"fern and moss", 52, []string{"fern and", "moss"}},
		{"fern and moss", 30, []string{"fern", "and", "moss"}},
		{"fern\nand\r\nmoss", 0, []string{"fern", "and", "moss"}},
		{"fern\n\nmoss", 0, []string{"fern", "", "moss"}},
		{"fern\n", 0, []string{"fern", ""}},
		{"fern 3\n-5 moss", 0, []string{"fern 3", "-5 moss"}},
		{"fern\u2028-5\r\r\n\n7", 0, []string{"fern", "-5", "", "", "7"}},
		{"evergreen-fern", 70, []string{"evergreen-", "fern"}},
		{"fern\u00A0and moss", 56, []string{"fern and", "moss"}},
		{"", 0, []string{""}},
		{"   ", 0, []string{""}},
	} {
		block := setBlock(t, "linden", c.text, Style{Height: 10, Width: c.width})
		require.Equal(t, c.want, rowsOf(block), "%q", c.text)
		for _, r := range block.rows {
			require.True(t, c.width == 0 || r.width*block.scale <= c.width+1e-6)
		}
	}
	require.Equal(t, []geom.Point{{}}, lineOf(t, setBlock(t, "linden", " \n ", Style{Height: 10})).Points(), "nothing written is one point")
}

func TestRowsStandWhereTheyAreAligned(t *testing.T) {
	const width = 80
	edges := func(align Align) (lefts, rights []float64) {
		block := setBlock(t, "linden", "HEN AND HORSE HIM", Style{Height: 10, Width: width, Align: align})
		require.Len(t, block.rows, 2)
		for _, r := range block.rows {
			first, last := r.letters[0], r.letters[len(r.letters)-1]
			lefts = append(lefts, (first.x+first.sides.min)*block.scale)
			rights = append(rights, (last.x+last.sides.max)*block.scale)
		}
		return lefts, rights
	}
	lefts, rights := edges(Left)
	require.InDeltaSlice(t, []float64{0, 0}, lefts, 1e-9)
	short := rights[1]
	lefts, rights = edges(Right)
	require.InDeltaSlice(t, []float64{width, width}, rights, 1e-9)
	require.InDelta(t, width-short, lefts[1], 1e-9)
	lefts, rights = edges(Center)
	for i := range lefts {
		require.InDelta(t, width, lefts[i]+rights[i], 1e-9)
	}
	lefts, rights = edges(Justify)
	require.InDeltaSlice(t, []float64{0, 0}, lefts, 1e-9)
	require.InDeltaSlice(t, []float64{width, short}, rights, 1e-9, "but for the last row")
}

func TestSpacingLeadingAndSlantDoWhatTheySay(t *testing.T) {
	plain := setBlock(t, "linden", "HH\nH", Style{Height: 10})
	spaced := setBlock(t, "linden", "HH\nH", Style{Height: 10, Spacing: 2, Leading: 30, Slant: 0.5})
	require.InDelta(t, plain.Box().Width()+2, spaced.Box().Width(), 1e-9)
	require.InDelta(t, -30, spaced.rows[1].baseline*spaced.scale, 1e-9)
	box := geom.Bounds(lineOf(t, setBlock(t, "linden", "H", Style{Height: 10, Slant: 0.5})).Points())
	require.InDelta(t, 6.4+5, box.Width(), 1e-9, "an upright of 10 leans by 5")
}

func TestHandwritingMeetsWithoutAnyAddedLine(t *testing.T) {
	l := lineOf(t, setBlock(t, "brook", "bundle", Style{Height: 10}))
	require.InDelta(t, 0, l.JoinMM, 1e-6)
	require.InDelta(t, 0, l.BridgeMM, 0.1)
	for _, word := range []string{"Anna", "Clara", "Erik", "Fern", "Gus", "Hill", "Karl", "Lena", "Mia", "Quinn", "Rosa", "Ute", "Xenia", "Yves", "Zoe", "Ärger", "Ёжик"} {
		require.Less(t, lineOf(t, setBlock(t, "brook", word, Style{Height: 10})).JoinMM, 1e-6, "the capital of %s reaches out", word)
	}
}

// What a hand leaves apart: Greek letters, signs made of letters, and one that
// begins with an apostrophe.
func TestSmallLettersOfTheHandwritingMeetAllOthers(t *testing.T) {
	face := readFaces()["brook"]
	var apart []string
	var letters []*Glyph
	for _, name := range face.signNames() {
		r := []rune(name)[0]
		if g := face.drawn(name); unicode.Is(unicode.Ll, r) || unicode.Is(unicode.Lo, r) {
			if g.in == nil || g.out == nil {
				apart = append(apart, name)
			} else {
				letters = append(letters, g)
			}
		}
	}
	require.Equal(t, strings.Split("ªµºŉαβγδεζηθικλμνξοπρςστυφχψω", ""), apart)
	for _, a := range letters {
		require.InDelta(t, 0, a.nearestNode(*a.out).Distance(*a.out), 1e-9, a.name)
		require.InDelta(t, 0, a.nearestNode(*a.in).Distance(*a.in), 1e-9, a.name)
		require.Equal(t, letters[0].out.Y, a.out.Y, "%s is left where all are", a.name)
		require.Equal(t, letters[0].out.Y, a.in.Y, "%s is entered where all are left", a.name)
	}
}

func TestWhatCannotBeWrittenIsNamedWithItsPlace(t *testing.T) {
	_, err := Set(readFaces()["linden"], "ab\né漢c", Style{Height: 10})
	var missing *Missing
	require.True(t, errors.As(err, &missing))
	require.Equal(t, []Character{{"漢", 5}}, missing.Characters)
	require.Equal(t, "U+6F22", missing.Characters[0].CodePoints())

	_, err = Set(readFaces()["linden"], "a hippopotamus", Style{Height: 10, Width: 40})
	var wide *TooWide
	require.True(t, errors.As(err, &wide))
	require.Equal(t, "hippopotamus", wide.Word)
	require.Greater(t, wide.WidthMM, 40.0)
}

func TestTheSameTextGivesTheSameLineInAFreshFace(t *testing.T) {
	const text = "“Fern’s 7 Élan-vital” + ☺ Ωδή, Ёлка!"
	first := lineOf(t, setBlock(t, "linden", text, Style{Height: 7, Width: 60}))
	source := readFaces()["linden"]
	fresh := &Face{XHeight: source.XHeight, Descender: source.Descender, Leading: source.Leading, Gap: source.Gap, Dot: source.Dot, kerns: source.kerns, letters: map[string]*letter{}}
	for name, l := range source.letters {
		fresh.letters[name] = &letter{upright: l.upright, joined: l.joined}
	}
	block, err := Set(fresh, text, Style{Height: 7, Width: 60})
	require.NoError(t, err)
	require.Equal(t, first.Points(), lineOf(t, block).Points())
}

// pangrams have every small letter of English.
var pangrams = []string{
	"The quick brown fox jumps over the lazy dog",
	"Pack my box with five dozen liquor jugs",
	"SPHINX OF BLACK QUARTZ, JUDGE MY VOW",
}

func TestChoosingTheWaysShowsLessAddedLine(t *testing.T) {
	for _, name := range faceNames {
		for _, text := range pangrams {
			block := setBlock(t, name, text, Style{Height: 10})
			l := lineOf(t, block)
			visible := l.DrawnMM + l.BridgeMM
			share := func(join float64) float64 { return 100 * (join + l.BridgeMM) / (visible + join) }
			before := unchosen(t, block)
			t.Logf("%-7s %-45q added line %5.1f %% of what shows, %5.1f %% with every letter as it is drawn", name, text, share(l.JoinMM), share(before))
			require.Less(t, l.JoinMM, before)
		}
	}
}

// What joins letters, their parts and their rows is a share of the line that shows,
// by face and kind of text. At 17 % for a sentence of linden and 18 for a poem, 7.5
// and 8.5 of brook, and 16 for a word and for capitals a reader hardly notices it;
// the bounds are that or what the faces reach beyond it.
func TestAddedLineStaysASmallShareOfTheLine(t *testing.T) {
	kinds := []struct {
		kind, text    string
		linden, brook float64 // most, percent
	}{
		{"sentence", pangrams[0], 17, 7},
		{"sentence", pangrams[1], 17.5, 7},
		{"poem", "Snow lies quiet on the hill,\nevery branch is white and still,\nfar below a window glows,\nwho is home there? No one knows.", 18, 8.5},
		{"paragraph", "We walked along the river until the sun went down.\nThen we lit a fire, told old stories and sang softly,\nand nobody wanted to go home.", 17.5, 7.5},
		{"word", "Tilda", 16, 16},
		{"word", "evening", 16, 16},
		{"capitals", "QUIET PLEASE", 16, 16},
		{"capitals", "HAPPY BIRTHDAY", 16, 16},
	}
	for _, k := range kinds {
		for _, name := range faceNames {
			most := k.linden
			if name == "brook" {
				most = k.brook
			}
			l := lineOf(t, setBlock(t, name, k.text, Style{Height: 10}))
			added := l.JoinMM + l.BridgeMM
			share := 100 * added / (l.DrawnMM + added)
			t.Logf("%-6s %-9s %4.1f %%, at most %g", name, k.kind, share, most)
			if share > most {
				t.Errorf("%s: %.1f %% of %q is added line", name, share, k.text)
			}
		}
	}
}

// unchosen is the length of the joins if every letter went from where its first
// stroke begins to where its last one ends.
func unchosen(t *testing.T, b *Block) float64 {
	sum := 0.0
	for _, r := range b.rows {
		for i := 1; i < len(r.letters); i++ {
			last, l := r.letters[i-1], r.letters[i]
			from := last.strokes[len(last.strokes)-1].end().Add(geom.Point{X: last.x})
			sum += from.Distance(l.strokes[0].start().Add(geom.Point{X: l.x}))
		}
	}
	return sum * b.scale
}

// Between rows that lie near the line is short, and the way to it and on is over
// line that is there: less is added than beside the text, and every vertex of a row
// is reached.
func TestRowsAreJoinedWhereTheyAreNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[A-Za-z]{2,9}`), 4, 20).Draw(t, "words")
		name := rapid.SampledFrom(faceNames).Draw(t, "face")
		block := setBlock(t, name, strings.Join(words, " "), Style{Height: 10, Width: 100})
		near, ladders := lineBy(t, block, Near), lineBy(t, block, Ladders)
		last := near.Pieces[0].Points[0]
		drawn := map[[2]geom.Point]bool{}
		edge := func(a, b geom.Point) [2]geom.Point {
			round := func(p geom.Point) geom.Point {
				return geom.Point{X: math.Round(p.X / geom.SamePoint), Y: math.Round(p.Y / geom.SamePoint)}
			}
			return [2]geom.Point{round(a), round(b)}
		}
		for _, again := range []bool{false, true} {
			for _, p := range near.Pieces {
				if !again {
					require.LessOrEqual(t, last.Distance(p.Points[0]), geom.SamePoint, "one line")
					last = p.Points[len(p.Points)-1]
				}
				for i := 1; i < len(p.Points); i++ {
					a, b := p.Points[i-1], p.Points[i]
					switch {
					case !p.Again:
						drawn[edge(a, b)], drawn[edge(b, a)] = true, true
					case again:
						require.True(t, drawn[edge(a, b)] || a.Distance(b) <= 2*geom.SamePoint, "%v to %v belongs to the row", a, b)
					}
				}
			}
		}
		if len(block.rows) > 1 {
			require.Less(t, near.JoinMM, ladders.JoinMM)
		}
	})
}
