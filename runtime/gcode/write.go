package gcode

import (
	"context"
	"io"
	"math"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"wend/runtime/machine"
)

// Heading is what a file says about itself.
type Heading struct {
	Program string // the program's name
	Sheet   int    // from 1
	Sheets  int
	Seed    uint64
	// Unseeded tells that nothing in the line is left to chance: it comes from a
	// file.
	Unseeded bool
	// Wiped tells that the sheet is wiped after the stylus has been brought to
	// the start; otherwise the start is where the stylus stands anyway.
	Wiped   bool
	Seconds float64
	LineMM  float64
}

// Write writes one sheet as RS-274/NGC text (NISTIR 6556): absolute
// millimetres, straight moves alone, a new feed only where it changes, a
// coordinate only where it changes but never none. Lines end in LF.
func Write(ctx context.Context, w io.Writer, p *machine.Profile, in *machine.Instructions, h Heading) error {
	head := &lines{limit: lineLimit(p)}
	writeHeading(head, p, in, h)
	if _, err := w.Write(head.text); err != nil {
		return err
	}
	if err := writeMoves(ctx, w, p, in, head.limit); err != nil {
		return err
	}
	_, err := io.WriteString(w, "M2\n")
	return err
}

// standardLineLimit is the longest line of the standard (section 3.3).
const standardLineLimit = 256

func lineLimit(p *machine.Profile) int { return min(p.Board.LineLimitBytes, standardLineLimit) }

// movesPerPart is how many moves are turned into text at a time.
const movesPerPart = 1 << 14

// writeMoves shares the parts among the cores and writes them in order. What a
// part needs of the one before (coordinates, feed, source line) is in the
// instructions, so the text does not depend on how it is shared.
func writeMoves(ctx context.Context, w io.Writer, p *machine.Profile, in *machine.Instructions, limit int) error {
	text := newMoveText(p, in, limit)
	// A writer that keeps the text is told how much will come, so that it need
	// not hold most of it twice in growing.
	if w, ok := w.(interface{ Grow(int) }); ok {
		w.Grow(text.length())
	}
	parts := (len(in.Moves) + movesPerPart - 1) / movesPerPart
	workers := max(1, min(parts, runtime.GOMAXPROCS(0)))
	buffers := make([][]byte, workers)
	for first := 0; first < parts; first += workers {
		if err := ctx.Err(); err != nil {
			return err
		}
		var group sync.WaitGroup
		count := min(workers, parts-first)
		for k := range count {
			group.Go(func() {
				from := (first + k) * movesPerPart
				buffers[k] = text.part(buffers[k][:0], from, min(from+movesPerPart, len(in.Moves)))
			})
		}
		group.Wait()
		for k := range count {
			if _, err := w.Write(buffers[k]); err != nil {
				return err
			}
		}
	}
	tail := &lines{limit: limit}
	for _, pause := range in.Pauses {
		if pause.Before == len(in.Moves) {
			tail.pause(pause.Message)
		}
	}
	_, err := w.Write(tail.text)
	return err
}

// moveText turns moves into lines.
type moveText struct {
	in     *machine.Instructions
	x, y   coordinates
	origin []string // "(line 12)" for each place, empty where unknown
	limit  int
}

func newMoveText(p *machine.Profile, in *machine.Instructions, limit int) *moveText {
	decimals := p.CoordinateDecimals()
	s := p.StepsPerMM()
	t := &moveText{
		in: in, limit: limit,
		x: newCoordinates(s.X, decimals), y: newCoordinates(s.Y, decimals),
		origin: make([]string, len(in.Places)),
	}
	main := mainFile(in)
	for i, place := range in.Places {
		switch {
		case !place.Known():
		case place.File == main:
			t.origin[i] = " (line " + strconv.Itoa(place.File.LineOf(place.Start)) + ")"
		default:
			t.origin[i] = " (" + plain(place.File.Name) + " line " + strconv.Itoa(place.File.LineOf(place.Start)) + ")"
		}
	}
	return t
}

func (t *moveText) originOf(i int) string {
	if place := t.in.Moves[i].Place; int(place) < len(t.origin) {
		return t.origin[place]
	}
	return ""
}

// length is about how many bytes the text has, and seldom less: judged by
// samples from all over the moves.
func (t *moveText) length() int {
	const samples, size = 64, 64
	n := len(t.in.Moves)
	if n <= samples*size {
		return len(t.part(nil, 0, n))
	}
	var text []byte
	for k := range samples {
		from := k * (n / samples)
		text = t.part(text, from, from+size)
	}
	perMove := float64(len(text)) / (samples * size)
	return int(1.05 * perMove * float64(n))
}

func (t *moveText) part(out []byte, from, to int) []byte {
	at, feed, origin := t.in.Start, uint32(0), ""
	if from > 0 {
		before := &t.in.Moves[from-1]
		at, feed, origin = before.To, before.Feed, t.originOf(from-1)
	}
	pauses := t.in.Pauses
	for len(pauses) > 0 && pauses[0].Before < from {
		pauses = pauses[1:]
	}
	for i := from; i < to; i++ {
		for len(pauses) > 0 && pauses[0].Before == i {
			waiting := &lines{text: out, limit: t.limit}
			waiting.pause(pauses[0].Message)
			out, pauses = waiting.text, pauses[1:]
		}
		move := &t.in.Moves[i]
		start := len(out)
		out = append(out, "G1"...)
		if move.To.X != at.X || move.To.Y == at.Y {
			out = t.x.append(append(out, " X"...), move.To.X)
		}
		if move.To.Y != at.Y {
			out = t.y.append(append(out, " Y"...), move.To.Y)
		}
		if move.Feed != feed {
			out = strconv.AppendUint(append(out, " F"...), uint64(move.Feed), 10)
		}
		if now := t.originOf(i); now != origin {
			origin = now
			if len(out)-start+len(now) < t.limit {
				out = append(out, now...)
			}
		}
		out = append(out, '\n')
		at, feed = move.To, move.Feed
	}
	return out
}

// coordinates writes whole steps as machine mm with a fixed number of
// decimals, without trailing zeros. All is done in whole numbers of the last
// decimal, so there is no "-0", and halves go away from zero.
type coordinates struct {
	unitsPerStep float64 // units of the last decimal in one step
	decimals     int
}

func newCoordinates(stepsPerMM float64, decimals int) coordinates {
	units := int64(1)
	for range decimals {
		units *= 10
	}
	return coordinates{unitsPerStep: float64(units) / stepsPerMM, decimals: decimals}
}

func (c *coordinates) append(out []byte, steps int32) []byte {
	value := int64(math.Round(float64(steps) * c.unitsPerStep))
	if value < 0 {
		out = append(out, '-')
		value = -value
	}
	// From the last digit on.
	var digits [24]byte
	first := len(digits)
	rest := uint64(value)
	for range c.decimals {
		if digit := byte(rest % 10); digit > 0 || first < len(digits) {
			first--
			digits[first] = '0' + digit
		}
		rest /= 10
	}
	if first < len(digits) {
		first--
		digits[first] = '.'
	}
	for more := true; more; more = rest > 0 {
		first--
		digits[first] = '0' + byte(rest%10)
		rest /= 10
	}
	return append(out, digits[first:]...)
}

// plain is text that may stand in a comment: printable ASCII without the
// brackets that would end it, and without the characters that boards act upon
// wherever they appear. Accents are dropped; other characters become "-".
func plain(text string) string {
	var out strings.Builder
	for _, r := range norm.NFD.String(text) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case r == '(' || r == ')' || r == '?' || r == '!' || r == '~' || r == '%' || r == ';' || r < ' ' || r > '~':
			out.WriteByte('-')
		default:
			out.WriteRune(r)
		}
	}
	return out.String()
}
