package svg

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"wend/lang/source"
)

func sourceOf(text string) *source.File { return source.New("test.svg", text) }

// Files that are broken, or were made to keep a computer busy, end in a clear
// error at their place.
func TestHostileFilesEndInAClearError(t *testing.T) {
	nested := strings.Repeat("<g>", 100_000)
	laughs := `<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]><svg><text>&b;</text></svg>`
	uses := `<svg><path id="u0" d="M0 0h9" stroke="#000"/>`
	for i := range 30 {
		a, b := string(rune('a'+i%26))+strings.Repeat("x", i), string(rune('a'+(i+1)%26))+strings.Repeat("x", i+1)
		if i == 0 {
			a = "u0"
		}
		uses += `<g id="` + b + `">` + strings.Repeat(`<use href="#`+a+`"/>`, 10) + `</g>`
	}
	for name, c := range map[string]struct {
		text, code, says string
		line, column     int
	}{
		"empty":             {"", "drawing-root", "no element", 1, 1},
		"another root":      {"<html><svg/></html>", "drawing-root", "`<html>`", 1, 1},
		"another language":  {"<svg xmlns='http://example.org/'/>", "drawing-root", "`<svg>`", 1, 1},
		"a program":         {"begin 2, 3\nahead 4\n", "drawing-root", "no element", 1, 1},
		"cut off":           {"<svg>\n<g>\n<path d=''/>\n", "drawing-cut", "`<g>` of line 2", 4, 1},
		"cut in a tag":      {"<svg", "drawing-xml", "in the middle of a tag", 1, 5},
		"crossed tags":      {"<svg>\n<g></path></g></svg>", "drawing-xml", "closed by", 2, 11},
		"no quotes":         {"<svg width=5></svg>", "drawing-xml", "", 1, 13},
		"compressed":        {"\x1f\x8b\x08\x00\x00", "drawing-encoding", "gzip", 1, 1},
		"UTF-16":            {"\xff\xfe<\x00s\x00v\x00g\x00", "drawing-encoding", "UTF-16", 1, 1},
		"Latin-1":           {"<svg><!-- gr\xfc\xdfe --></svg>", "drawing-encoding", "0xfc", 1, 13},
		"zeros":             {"<svg>\x00</svg>", "drawing-encoding", "zero", 1, 6},
		"entities":          {laughs, "drawing-entity", "`b` is made of others", 1, 53},
		"another file":      {`<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>` + "\n<svg>\n<text>&x;</text></svg>", "drawing-entity", "`x` is not defined in this file", 3, 10},
		"long entity":       {`<!DOCTYPE svg [<!ENTITY x "` + strings.Repeat("y", 2000) + `">]><svg/>`, "drawing-entity", "more than 1000 bytes", 1, 16},
		"many references":   {`<!DOCTYPE svg [<!ENTITY x "` + strings.Repeat("y", 900) + `">]><svg><text>` + strings.Repeat("&x;", 10_000) + `</text></svg>`, "drawing-large", "stands for entities", 1, 4438},
		"nesting":           {"<svg>" + nested, "drawing-deep", "256", 1, 5 + 3*255 + 1},
		"nested strangers":  {"<svg xmlns:x='http://example.org/'>" + strings.ReplaceAll(nested, "<g>", "<x:g>"), "drawing-deep", "256", 1, 35 + 5*255 + 1},
		"a million paths":   {"<svg>" + strings.Repeat("<path d='M0 0h9'/>", 1_000_000) + "</svg>", "drawing-large", "300 000 elements", 1, 5 + 18*299_999 + 1},
		"many attributes":   {"<svg><g " + strings.Repeat("a='' ", 100_001) + "/></svg>", "drawing-large", "attributes in one tag", 1, 6},
		"itself":            {inside("\n<g id='a'><use href='#a'/></g>"), "drawing-use-loop", "`a`", 2, 11},
		"a clip path's own": {inside("\n<clipPath id='c' clip-path='url(#c)'><rect width='9' height='9'/></clipPath><rect clip-path='url(#c)' width='20' height='20'/>"), "drawing-use-loop", "`c`", 2, 1},
		"each other":        {inside("\n<g id='a'><use href='#b'/></g>\n<g id='b'><use href='#a'/></g>"), "drawing-use-loop", "", 2, 11},
		"uses of uses":      {uses + "</svg>", "drawing-large", "those that `use` repeats counted", 1, 0},
		"a huge number":     {inside("\n<path stroke='#000' d='M0 0L1e300 5'/>"), "drawing-number", "", 2, 29},
		"an endless one":    {inside("\n<path stroke='#000' d='M0 0L1e999 5'/>"), "drawing-number", "", 2, 29},
		"huge together":     {"<svg>\n<path transform='scale(1e9)' stroke='#000' d='M0 0L1e8 5'/></svg>", "drawing-number", "", 2, 1},
		"a dense circle":    {inside("\n<circle r='1000' stroke-dasharray='0.002' stroke='#000' fill='none'/>"), "drawing-large", "points", 2, 1},
		"many points":       {inside("\n<path stroke='#000' d='M0 0" + strings.Repeat("h9", 2_000_001) + "'/>"), "drawing-large", "2 000 000 points", 2, 1},
		"rules":             {inside("\n<style>" + strings.Repeat("a{d:e}", 20_001) + "</style>"), "drawing-large", "rules of style", 2, 1},
		"nothing":           {inside(`<text>moss</text><image/>`), "drawing-empty", "there is nothing to draw in `test.svg`", 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			fault := faultOf(t, c.text)
			require.Equal(t, c.code, string(fault.Code))
			require.Contains(t, fault.Error(), c.says)
			require.NotEmpty(t, fault.At(source.Span{}).Hint, "a way out")
			if c.line > 0 {
				at := fault.Span.From()
				require.Equal(t, c.line, at.Line)
				if c.column > 0 {
					require.Equal(t, c.column, at.Column)
				}
			}
		})
	}
	require.Equal(t, "left out: `<text>`, `<image>`", faultOf(t, inside(`<text>moss</text><image/>`)).Hint)
	require.Equal(t, "left out: `<text>`; could not be read: line 2: a number is missing", faultOf(t, inside("<text>moss</text>\n<path stroke='#000' d='M NaN 0 L 1e4 5'/>")).Hint)
}

// NaN is no number of SVG, and infinite ones are none either.
func TestWhatIsNoNumberIsPassedOver(t *testing.T) {
	for _, x := range []string{"NaN", "nan", "Infinity", "inf", "0x10", "1,5", "--1", ""} {
		d, err := drawn(inside(`<circle cx="50" cy="50" r="` + x + `"/><path stroke="#000" d="M0 0h9"/>`))
		require.NoError(t, err)
		require.Len(t, d.Strokes, 1, x)
	}
}

// A run that has used up what it may use ends there.
func TestLimitsOfARunEndTheReading(t *testing.T) {
	limit := errors.New("limit")
	for n := range 12 {
		count := 0
		charge := func(int, int) error {
			if count++; count > n {
				return limit
			}
			return nil
		}
		d, err := Read(sourceOf(inside(`<style>a{d:e}</style><g><path stroke="#000" d="M0 0h9"/></g>`)), charge)
		if err == nil {
			_, err = d.Draw(Options{ToleranceMM: 1, Charge: charge})
		}
		require.ErrorIs(t, err, limit, "after %d", n)
	}
}

// Declarations of another encoding than UTF-8 are of the file it once was, and
// what editors write around a drawing does not matter.
func TestHarmlessThingsAreRead(t *testing.T) {
	for _, text := range []string{
		"\uFEFF" + stroked("M0 9h9"),
		`<?xml version="1.0" encoding="ISO-8859-1"?>` + stroked("M0 9h9"),
		`<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [<!ENTITY ns "http://example.org/"><!ENTITY % p "x">]><!-- <g> -->` +
			`<svg xmlns="http://www.w3.org/2000/svg" xmlns:i="&ns;" width="100mm" height="100mm" viewBox="0 0 100 100"><i:pgf>&amp;</i:pgf><path stroke="#000" d="M0 9h9"/></svg>`,
		strings.ReplaceAll(strings.ReplaceAll(inside(`<path stroke="#000" d="M0 9h9"/>`), "svg ", "s:svg xmlns:s='http://www.w3.org/2000/svg' "), "</svg", "</s:svg"),
		strings.ReplaceAll(inside(`<path stroke="#000" d="M0 9h9"/>`), `xmlns="http://www.w3.org/2000/svg"`, ""),
	} {
		require.Equal(t, "9", seen(t, text), text)
	}
}

func FuzzAnyTextIsReadOrRefused(f *testing.F) {
	for _, text := range []string{
		stroked("M1 1c2 2 3 3 4 4sq1 1 2 2 3 3t4 4a1 2 3 0 1 5 5z"),
		inside(`<style>.a>b #c,*{fill:none;stroke-dasharray:1 2%}</style><g class="a" transform="rotate(3 4 5)skewX(2)"><use href="#d"/></g><symbol id="d" viewBox="0 0 1 1"><circle r="1em"/></symbol>`),
		`<!DOCTYPE svg [<!ENTITY a "b">]><svg viewBox="0 0 9 9" preserveAspectRatio="xMaxYMin slice"><switch><rect rx="1" width="50%" height="2"/></switch></svg>`,
		`<svg width="1e9" height="1e-9"><path d="M1e9 0A1e-9 1e9 0 1 0 0 0" transform="matrix(1e9 0 0 1e-9 0 0)"/></svg>`,
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			return
		}
		spent := 0
		charge := func(operations, _ int) error {
			if spent += operations + 1; spent > 200_000 {
				return errors.New("enough")
			}
			return nil
		}
		d, err := Read(sourceOf(text), charge)
		if err != nil {
			return
		}
		got, err := d.Draw(Options{ToleranceMM: 1, Largest: pt(100, 100), Charge: charge})
		if err != nil {
			return
		}
		require.NotEmpty(t, got.Strokes)
		for _, s := range got.Strokes {
			require.Greater(t, len(s), 1)
			for _, p := range s {
				require.True(t, p.Finite())
			}
		}
	})
}
