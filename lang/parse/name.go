package parse

import (
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// startsName and continuesName follow UAX #31, default identifiers, with _
// added to the start: XID_Start and XID_Continue as derived in Unicode's
// DerivedCoreProperties from the general categories.

func startsName(r rune) bool {
	if r < utf8.RuneSelf {
		return r == '_' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z'
	}
	return (unicode.IsLetter(r) || unicode.Is(unicode.Nl, r) || unicode.Is(unicode.Other_ID_Start, r)) &&
		!notInName(r) && !unicode.Is(notFirst, r)
}

func continuesName(r rune) bool {
	if r < utf8.RuneSelf {
		return r == '_' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9'
	}
	return unicode.In(r, unicode.L, unicode.Nl, unicode.Mn, unicode.Mc, unicode.Nd, unicode.Pc,
		unicode.Other_ID_Start, unicode.Other_ID_Continue) && !notInName(r)
}

func notInName(r rune) bool {
	return unicode.In(r, unicode.Pattern_Syntax, unicode.Pattern_White_Space) || unicode.Is(notClosed, r)
}

// The characters that the closure under NFKC takes out of ID_Start and
// ID_Continue (UAX #31, 5.1), from memory.
var (
	notClosed = &unicode.RangeTable{R16: []unicode.Range16{
		{0x037A, 0x037A, 1}, {0x309B, 0x309C, 1}, {0xFC5E, 0xFC63, 1}, {0xFDFA, 0xFDFB, 1}, {0xFE70, 0xFE7E, 2},
	}}
	notFirst = &unicode.RangeTable{R16: []unicode.Range16{
		{0x0E33, 0x0E33, 1}, {0x0EB3, 0x0EB3, 1}, {0xFF9E, 0xFF9F, 1},
	}}
)

func firstRune(text string) rune {
	r, _ := utf8.DecodeRuneInString(text)
	return r
}

// normal is a name as it is compared: in NFC.
func normal(name string) string {
	for i := 0; i < len(name); i++ {
		if name[i] >= utf8.RuneSelf {
			return norm.NFC.String(name)
		}
	}
	return name
}
