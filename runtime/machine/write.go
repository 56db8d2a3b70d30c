package machine

import (
	"fmt"
	"strconv"
	"strings"

	"wend/runtime/geom"
)

// Marshal writes a whole profile as TOML, each key with its unit or meaning
// beside it. Read gives the same profile back.
func Marshal(p *Profile) []byte {
	var out strings.Builder
	table := ""
	for i := range keys {
		k := &keys[i]
		if k.absent != nil && k.absent(p) {
			continue
		}
		if k.table != table {
			table = k.table
			fmt.Fprintf(&out, "\n[%s]\n", table)
		}
		line := k.name + " = " + literal(k.at(p))
		if k.remark != "" {
			line = fmt.Sprintf("%-34s # %s", line, k.remark)
		}
		out.WriteString(line + "\n")
	}
	return []byte(out.String())
}

func literal(field any) string {
	switch v := field.(type) {
	case *float64:
		return decimal(*v)
	case *int:
		return strconv.Itoa(*v)
	case *bool:
		return strconv.FormatBool(*v)
	case *string:
		return quoted(*v)
	case *EraserKind:
		return quoted(string(*v))
	case *geom.Point:
		return "[" + decimal(v.X) + ", " + decimal(v.Y) + "]"
	}
	panic(fmt.Sprintf("machine: a key of type %T", field))
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// quoted is a basic string of TOML.
func quoted(text string) string {
	var out strings.Builder
	out.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			out.WriteRune('\\')
			out.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&out, `\u%04X`, r)
		default:
			out.WriteRune(r)
		}
	}
	out.WriteByte('"')
	return out.String()
}
