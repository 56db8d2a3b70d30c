package svg

import (
	"strconv"
	"strings"

	"golang.org/x/image/colornames"
)

// paleFrom is from where on the darkest of red, green and blue, 0 to 1, makes a
// colour that is white to the eye, and leaves nothing to hatch.
const paleFrom = 0.94

// colour reads of a colour what decides whether there is anything to draw: the
// darkest of its red, green and blue, and how far it covers what is behind it,
// both 0 to 1 (CSS Color 4, sections 4 to 6). What it cannot read is black and
// covers all.
func colour(text string) (darkest, alpha float64) {
	text = strings.ToLower(strings.TrimSpace(text))
	if c, named := colornames.Map[text]; named {
		return float64(min(c.R, c.G, c.B)) / 255, 1
	}
	if text == "transparent" {
		return 0, 0
	}
	if hex, ok := strings.CutPrefix(text, "#"); ok {
		return hexColour(hex)
	}
	name, rest, ok := strings.Cut(text, "(")
	parts := strings.FieldsFunc(strings.TrimRight(rest, " )"), func(r rune) bool { return r == ',' || r == '/' || r == ' ' })
	if !ok || len(parts) < 3 || len(parts) > 4 {
		return 0, 1
	}
	alpha = 1
	if len(parts) == 4 {
		if x, ok := share(parts[3]); ok {
			alpha = x
		}
	}
	if name != "rgb" && name != "rgba" {
		return 0, alpha
	}
	darkest = 1
	for _, part := range parts[:3] {
		x, ok := share(part)
		if !ok {
			return 0, alpha
		}
		if !strings.HasSuffix(part, "%") {
			x /= 255
		}
		darkest = min(darkest, x)
	}
	return darkest, alpha
}

// hexColour reads three, four, six or eight hexadecimal figures.
func hexColour(hex string) (darkest, alpha float64) {
	size := 1 + len(hex)/6
	if len(hex) != 3*size && len(hex) != 4*size {
		return 0, 1
	}
	darkest, alpha = 1, 1
	for i := 0; i < len(hex); i += size {
		x, err := strconv.ParseUint(hex[i:i+size], 16, 8)
		if err != nil {
			return 0, 1
		}
		most := float64(uint(1)<<(4*size) - 1)
		if i < 3*size {
			darkest = min(darkest, float64(x)/most)
		} else {
			alpha = float64(x) / most
		}
	}
	return darkest, alpha
}
