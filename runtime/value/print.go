package value

import (
	"math"
	"strconv"
	"strings"

	"wend/lang/diag"
	"wend/lang/types"
)

// FormatNumber is a number as programs print it: with at most 4 decimals, never
// as -0; very large ones with an exponent.
func FormatNumber(x float64) string {
	if x >= 1e15 || x <= -1e15 {
		return strings.Replace(strconv.FormatFloat(x, 'e', -1, 64), "e+", "e", 1)
	}
	var buffer [32]byte
	digits := strconv.AppendFloat(buffer[:0], x, 'f', 4, 64)
	n := len(digits)
	for digits[n-1] == '0' {
		n--
	}
	if digits[n-1] == '.' {
		n--
	}
	if text := string(digits[:n]); text != "-0" {
		return text
	}
	return "0"
}

// MessageNumber is a number as messages show it: as programs print it, but short,
// and never as a whole number that it is not.
func MessageNumber(x float64) string {
	const widest = 18
	text := FormatNumber(x)
	switch hidden := x != math.Trunc(x) && !strings.Contains(text, "."); {
	case hidden && text != "0":
		text = strconv.FormatFloat(x, 'g', -1, 64)
	case hidden, len(text) > widest:
		text = strconv.FormatFloat(x, 'g', 6, 64)
	}
	return strings.NewReplacer("e+", "e", "e-0", "e-").Replace(text)
}

// String is the value as `note` and texts show it.
func (v Value) String() string {
	if v.Kind() == types.Text {
		return v.Text()
	}
	var out strings.Builder
	v.write(&out, 0)
	return out.String()
}

// Limits of what is printed of one value: a list of a million items helps nobody.
const (
	printedItems = 1000
	printedDepth = 20
)

func (v Value) write(out *strings.Builder, depth int) {
	number := func(x float64) { out.WriteString(FormatNumber(x)) }
	switch v.Kind() {
	case types.Number:
		number(v.num)
	case types.Bool:
		out.WriteString(strconv.FormatBool(v.Bool()))
	case types.Text:
		writeQuoted(out, v.Text())
	case types.Point:
		out.WriteByte('(')
		number(v.num)
		out.WriteString(", ")
		number(v.box.y)
		out.WriteByte(')')
	case types.Path:
		length := 0.0
		points := v.Path().Points
		for i := 1; i < len(points); i++ {
			length += points[i-1].Distance(points[i])
		}
		out.WriteString("path of " + diag.Counted(len(points), "point") + ", ")
		number(length)
		out.WriteString(" mm")
	case types.List:
		list := v.List()
		if depth == printedDepth {
			out.WriteString("[…]")
			return
		}
		out.WriteByte('[')
		for i, item := range list {
			if i > 0 {
				out.WriteString(", ")
			}
			if i == printedItems {
				out.WriteString("… " + strconv.Itoa(len(list)-i) + " more")
				break
			}
			item.write(out, depth+1)
		}
		out.WriteByte(']')
	case types.Record:
		v.Fields().write(out, depth)
	case types.Box:
		b := v.Box()
		out.WriteString("box from (")
		number(b.Min.X)
		out.WriteString(", ")
		number(b.Min.Y)
		out.WriteString(") to (")
		number(b.Max.X)
		out.WriteString(", ")
		number(b.Max.Y)
		out.WriteByte(')')
	case types.Image:
		width, height := v.Image().Size()
		out.WriteString("image of " + strconv.Itoa(width) + " by " + strconv.Itoa(height) + " pixels")
	case types.Function:
		out.WriteString(v.Function().Name())
	default:
		out.WriteString("nothing")
	}
}
