package gcode

import "bytes"

// plain reads a line as nearly all lines of a long file are, in one pass: G1 with
// X, Y and F in this order, each at most once and after one blank, and perhaps a
// comment after one more. It does what scan, check and execute do together with
// such a line; any other line it leaves as it is, to them.
func (r *reader) plain(start int) (next int, ok bool) {
	text := r.text[start:]
	if r.anyones || !r.absolute || r.inverseTime || len(text) < len("G1 X0\n") || text[0] != 'G' || text[1] != '1' {
		return 0, false
	}
	x, i := plainWord(text, 2, 'X')
	y, j := plainWord(text, i, 'Y')
	feed, end := plainWord(text, j, 'F')
	if feed.is {
		feed.value *= r.unit
	} else {
		feed.value = r.feed
	}
	if !x.is && !y.is || !(feed.value > 0) {
		return 0, false
	}
	if end+1 < len(text) && text[end] == ' ' && text[end+1] == '(' {
		closing := bytes.IndexAny(text[end+2:min(len(text), longestLine+1)], "()\r\n")
		if closing < 0 || text[end+2+closing] != ')' {
			return 0, false
		}
		end += 2 + closing + 1
	}
	if end >= len(text) || text[end] != '\n' || end > longestLine {
		return 0, false
	}
	r.begun, r.moving, r.feed = true, straight, feed.value
	m := &r.now
	m.From, m.To, m.Feed = r.at, r.at, r.feed
	m.Start, m.End = r.base+start, r.base+start+end
	m.Lift, m.Loose = Lift{}, r.loose.x || r.loose.y
	if m.Arc != nil {
		m.Arc = nil
	}
	if x.is {
		m.To.X = float64(x.value*r.unit) + r.offset.X
	}
	if y.is {
		m.To.Y = float64(y.value*r.unit) + r.offset.Y
	}
	r.anchor(x.is, y.is)
	r.pass(m)
	return start + end + 1, true
}

// plainNumber is the number of a word, if the word is there.
type plainNumber struct {
	value float64
	is    bool
}

// plainWord reads a word that may stand at a place of a plain line, and gives
// the place after it. Where it is written in any other way than with a sign of
// minus at most, digits and a point at most, that is the place before it: the
// line then ends elsewhere than a plain one does.
func plainWord(text []byte, i int, letter byte) (word plainNumber, next int) {
	if len(text)-i < len(" X0\n") || text[i] != ' ' || text[i+1] != letter {
		return plainNumber{}, i
	}
	// Up to fifteen digits the quotient is the nearest float64, as in number, and
	// up to nine before the point are less than the largest number.
	const mostDigits, mostBefore = 15, 9
	k := i + 2
	negative := text[k] == '-'
	if negative {
		k++
	}
	first, point, whole := k, -1, uint64(0)
	for ; k < len(text); k++ {
		if digit := text[k] - '0'; digit <= 9 {
			whole = whole*10 + uint64(digit)
		} else if text[k] == '.' && point < 0 {
			point = k
		} else {
			break
		}
	}
	digits, decimals := k-first, 0
	if point >= 0 {
		digits--
		decimals = k - 1 - point
	}
	if digits == 0 || digits > mostDigits || digits-decimals > mostBefore {
		return plainNumber{}, i
	}
	value := float64(whole) / powersOfTen[decimals]
	if negative {
		value = -value
	}
	return plainNumber{value, true}, k
}
