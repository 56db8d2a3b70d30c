package gate

import (
	"math"
	"strconv"
	"strings"
)

// motionMode is a motion of group 1.
type motionMode uint8

const (
	none motionMode = iota
	rapid
	straight
	clockwise
	counterclockwise
)

func (m motionMode) String() string { return [...]string{"a motion", "G0", "G1", "G2", "G3"}[m] }

// act is what a line does beside motion and modes.
type act uint8

const (
	dwell act = 1 << iota
	assertPlace
	pause
	end
)

// modes are what lines leave behind for the lines after them.
type modes struct {
	motion      motionMode
	unit        float64 // mm of one unit
	relative    bool
	inverseTime bool
	feed        float64 // mm/min
}

func startModes() modes { return modes{unit: 1} }

// block is one line, read but not yet carried out.
type block struct {
	value  ['Z' + 1]float64
	given  ['Z' + 1]bool
	acts   act
	motion motionMode
	// percent tells that the line is a % alone, blank that it holds no word.
	percent, blank bool
	// What the line says of the modes; nil where it says nothing.
	inch, relative, inverseTime *bool
}

func (b *block) has(a act) bool { return b.acts&a != 0 }

// take changes the modes as a line says.
func (m *modes) take(b block) error {
	if b.inverseTime != nil {
		if m.inverseTime != *b.inverseTime {
			m.feed = 0 // a number of the other meaning
		}
		m.inverseTime = *b.inverseTime
	}
	if b.inch != nil {
		m.unit = 1
		if *b.inch {
			m.unit = 25.4 // the international inch, in mm
		}
	}
	if b.given['F'] && !m.inverseTime {
		// The unit of the line counts for its feed too, as the boards have it;
		// the speed limit of the machine holds in either case.
		m.feed = b.value['F'] * m.unit
	}
	if b.relative != nil {
		m.relative = *b.relative
	}
	if b.motion != none {
		m.motion = b.motion
	}
	return nil
}

// The codes that are accepted, with the modal group of each: two of one group
// on a line are refused (NISTIR 6556, section 3.4).
const (
	groupMotion = iota
	groupPlane
	groupDistance
	groupFeed
	groupUnit
	groupOnce
	groupStop
	groups
)

// parse reads a line. Every character must be accounted for.
//
// Beside the comments of the standard, a ";" begins one that goes to the end of
// the line (common practice, no source).
func parse(line string) (block, error) {
	b := block{blank: true}
	line = strings.TrimSuffix(line, "\r")
	if strings.Contains(line, "\r") {
		// Whoever ends lines so means several of them; taken for one, they
		// could say something else.
		return b, refuse("line", "a carriage return alone stands within it; lines end with LF or CR LF")
	}
	if len(line) > 256 {
		return b, refuse("line", "it has %d characters; the standard allows 256", len(line))
	}
	var seen [groups]string
	rest := line
	for {
		rest = strings.TrimLeft(rest, " \t")
		if rest == "" || rest[0] == ';' {
			return b, b.consistent(seen)
		}
		switch c := rest[0]; {
		case c == '%':
			if strings.TrimRight(rest[1:], " \t") != "" || strings.TrimLeft(line, " \t") != rest {
				return b, refuse("%", "it stands on a line of its own")
			}
			b.percent = true
			return b, nil
		case c == '(':
			length := strings.IndexByte(rest, ')')
			if length < 0 || strings.IndexByte(rest[1:length], '(') >= 0 {
				return b, refuse("(", "comments end on their line and do not nest")
			}
			rest = rest[length+1:]
			continue
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z':
			letter := c &^ 0x20
			value, text, after, ok := scanNumber(rest[1:])
			if !ok {
				return b, refuse(string(letter), "there is no number after it")
			}
			rest, b.blank = after, false
			if err := b.word(letter, value, text, &seen); err != nil {
				return b, err
			}
		default:
			return b, refuse(strconv.Quote(rest[:1]), "it is not a word of the standard that is accepted here")
		}
	}
}

// word takes one word of a line.
func (b *block) word(letter byte, value float64, text string, seen *[groups]string) error {
	name := string(letter) + text
	group := func(g int) error {
		if seen[g] != "" {
			return refuse(name, "%s stands on the same line", seen[g])
		}
		seen[g] = name
		return nil
	}
	yes, no := true, false
	switch letter {
	case 'G':
		switch value {
		case 0, 1, 2, 3:
			b.motion = [...]motionMode{rapid, straight, clockwise, counterclockwise}[int(value)]
			return group(groupMotion)
		case 4:
			b.acts |= dwell
			return group(groupOnce)
		case 17:
			return group(groupPlane)
		case 20:
			b.inch = &yes
			return group(groupUnit)
		case 21:
			b.inch = &no
			return group(groupUnit)
		case 90:
			b.relative = &no
			return group(groupDistance)
		case 91:
			b.relative = &yes
			return group(groupDistance)
		case 92:
			b.acts |= assertPlace
			return group(groupOnce)
		case 93:
			b.inverseTime = &yes
			return group(groupFeed)
		case 94:
			b.inverseTime = &no
			return group(groupFeed)
		}
		return refuse(name, "it is not accepted")
	case 'M':
		switch value {
		case 0:
			b.acts |= pause
			return group(groupStop)
		case 2, 30:
			b.acts |= end
			return group(groupStop)
		}
		return refuse(name, "it is not accepted")
	case 'X', 'Y', 'I', 'J', 'R', 'F', 'P', 'N':
		if b.given[letter] {
			return refuse(name, "%c stands twice on the line", letter)
		}
		if letter == 'F' && value < 0 || letter == 'N' && (strings.Trim(text, "0123456789") != "" || len(text) > 5) {
			return refuse(name, "the number cannot be")
		}
		b.given[letter], b.value[letter] = true, value
		return nil
	}
	return refuse(name, "it is not accepted")
}

// consistent refuses what cannot stand together on a line.
func (b *block) consistent(seen [groups]string) error {
	if b.has(assertPlace) && b.motion != none {
		return refuse(seen[groupOnce], "%s wants X and Y too", seen[groupMotion])
	}
	if b.given['P'] && !b.has(dwell) {
		return refuse("P", "there is no G4 on the line")
	}
	return nil
}

// scanNumber reads sign, digits and decimal point at the start of a text;
// blanks count nowhere (section 3.3). There is no exponent: E is no word.
func scanNumber(text string) (value float64, digits, rest string, ok bool) {
	var number []byte
	some, point := false, false
	i := 0
	for ; i < len(text); i++ {
		switch c := text[i]; {
		case c == ' ' || c == '\t':
			continue
		case (c == '+' || c == '-') && len(number) == 0:
		case c == '.' && !point:
			point = true
		case c >= '0' && c <= '9':
			some = true
		default:
			goto done
		}
		number = append(number, text[i])
	}
done:
	if !some {
		return 0, "", text, false
	}
	value, err := strconv.ParseFloat(string(number), 64)
	if err != nil || math.IsInf(value, 0) || math.Abs(value) > 1e9 {
		return 0, "", text, false
	}
	return value, string(number), text[i:], true
}
