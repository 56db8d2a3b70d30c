package stdlib

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/language"

	"wend/internal/expression"
	"wend/lang/diag"
	"wend/lang/types"
	"wend/runtime/value"
)

// formWords are the functions that change how a text is written, or read a
// number from one.
func formWords() []value.Native {
	text := of(types.Text, "text")
	return []value.Native{
		textWord("upper", "The text in capital letters, as Unicode has them for all languages: ß becomes SS.",
			"note upper(\"fern\")   # FERN\n", func(s string) string { return cases.Upper(language.Und).String(s) }),
		textWord("lower", "The text in small letters, as Unicode has them for all languages.",
			"note lower(\"Fern and MOSS\")   # fern and moss\n", func(s string) string { return cases.Lower(language.Und).String(s) }),
		textWord("trim", "The text without the spaces and line breaks before and behind it.",
			"note \"<\" + trim(\"  fern \") + \">\"   # <fern>\n", func(s string) string { return strings.TrimFunc(s, unicode.IsSpace) }),
		{
			Builtin: &types.Builtin{
				Name:    "pad",
				Forms:   []types.Form{takes(types.Text, text, number("width"), optional(of(types.Text, "align")))},
				Doc:     "The text made so many characters wide with spaces: behind it, or as `align:` says, which is \"left\", \"center\" or \"right\". A text that is as wide already stays as it is.",
				Example: "note pad(\"fern\", 6) + \"|\"   # fern  |\nnote \"|\" + pad(\"12\", 6, align: \"right\")   # |    12\n",
			},
			Func: pad,
		},
		{
			Builtin: &types.Builtin{
				Name:    "fixed",
				Forms:   []types.Form{takes(types.Text, number("x"), number("digits"))},
				Doc:     "The number as a text with so many decimals (0 to 15), rounded as `round` does.",
				Example: "note fixed(2.5, 2)   # 2.50\nnote fixed(pi, 3)   # 3.142\n",
			},
			Func: fixed,
		},
		{
			Builtin: &types.Builtin{
				Name:    "number",
				Forms:   []types.Form{gives(text), takes(types.Any, text, of(types.Any, "other"))},
				Doc:     "The number that is written in a text: digits with at most one point between them, a sign before and an exponent behind them, spaces around. If it is none, another value is given instead, or without one it is an error.",
				Example: "note number(\"2.5\") * 2   # 5\nnote number(\"none\", 0)   # 0\n",
			},
			Func: func(h value.Host, args []value.Value) (value.Value, error) {
				if err := h.Charge(len(args[0].Text()), 0); err != nil {
					return value.Nothing, err
				}
				x, err := numberOf(args[0].Text())
				if err != nil && len(args) == 2 {
					args[1].Share()
					return args[1], nil
				}
				return value.Number(x), err
			},
		},
	}
}

// textWord makes a word that makes a text of a text.
func textWord(name, doc, example string, change func(string) string) value.Native {
	return value.Native{
		Builtin: &types.Builtin{Name: name, Forms: []types.Form{takes(types.Text, of(types.Text, "text"))}, Doc: doc, Example: example},
		Func: func(h value.Host, args []value.Value) (value.Value, error) {
			text := change(args[0].Text())
			return value.Text(text), h.Charge(len(text), len(text)+textBytes)
		},
	}
}

func pad(h value.Host, args []value.Value) (value.Value, error) {
	width := args[1].Number()
	if width < 0 || width != math.Trunc(width) {
		return value.Nothing, &diag.Fault{Code: "pad-width", Args: diag.Args{"value": show(width)}}
	}
	align := "left"
	if args[2].Kind() != types.Nothing {
		align = args[2].Text()
	}
	missing := int(min(max(0, width-float64(args[0].Length())), mostSpots))
	before := 0
	switch align {
	case "left":
	case "center":
		before = missing / 2
	case "right":
		before = missing
	default:
		return value.Nothing, &diag.Fault{Code: "pad-align", Args: diag.Args{"value": align, "known": "\"left\", \"center\" or \"right\""}}
	}
	size := len(args[0].Text()) + missing
	if err := h.Charge(size, size+textBytes); err != nil {
		return value.Nothing, err
	}
	return value.Text(strings.Repeat(" ", before) + args[0].Text() + strings.Repeat(" ", missing-before)), nil
}

func fixed(h value.Host, args []value.Value) (value.Value, error) {
	digits := args[1].Number()
	x := roundTo(args[0].Number(), digits)
	if !finite(x) {
		return value.Nothing, decimalsRange("fixed", digits)
	}
	text := strconv.FormatFloat(x+0, 'f', int(digits), 64)
	return value.Text(text), h.Charge(len(text), len(text)+textBytes)
}

// written is how a number is written in a text.
var written = expression.Of(`^[+-]?\d+(\.\d+)?([eE][+-]?\d+)?$`)

// numberOf reads a number.
func numberOf(text string) (float64, error) {
	trimmed := strings.TrimFunc(text, unicode.IsSpace)
	fault := func(hint string) error {
		return &diag.Fault{Code: "number-text", Args: diag.Args{"text": shorten(text), "hint": hint}}
	}
	if !written.MatchString(trimmed) {
		if pointed := strings.Replace(trimmed, ",", ".", 1); written.MatchString(pointed) && pointed != trimmed {
			return 0, fault("the decimal sign is a point: `" + pointed + "`")
		}
		return 0, fault("`number(text, 0)` gives 0 where there is none")
	}
	x, err := strconv.ParseFloat(trimmed, 64)
	if err != nil {
		return 0, fault("it is too large: numbers reach to about 1.8e308")
	}
	return x, nil
}

// shorten keeps messages short.
func shorten(text string) string {
	const most = 40
	if letters := []rune(text); len(letters) > most {
		return string(letters[:most]) + "…"
	}
	return text
}
