package live

import (
	"fmt"
	"math"
	"strings"

	"wend/cmd/wend/operate"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/preview"
)

var directions = [8]string{"right", "up and right", "up", "up and left", "left", "down and left", "down", "down and right"}

// directionOf is a heading as people say it: the nearest of eight directions.
func directionOf(heading float64) string {
	return directions[int(math.Floor(heading/45+0.5))%8]
}

func place(p geom.Point) string { return operate.Place(p) }

func degrees(heading float64) string {
	text := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.2f", heading), "0"), ".")
	if text == "360" {
		text = "0"
	}
	return text
}

// standing says where the stylus stands, which way it faces and how long the
// line is.
func (p *Prompt) standing(s *state) string {
	last := len(s.drawn.Sheets) - 1
	length := s.Length(Mark{last, 0}, s.End())
	line := "line so far " + gcode.Length(length)
	if last > 0 {
		line += fmt.Sprintf(" on sheet %d", last+1)
	}
	return fmt.Sprintf("at %s, %s, %s", place(s.Here()), p.facing(s.drawn.Heading), line)
}

// facing says a heading as a number, an arrow and a word.
func (p *Prompt) facing(heading float64) string {
	to := directionOf(heading)
	if p.Plain || p.ASCII {
		return fmt.Sprintf("heading %s degrees, %s", degrees(heading), to)
	}
	return fmt.Sprintf("heading %s° %c %s", degrees(heading), preview.Arrow(heading, false), to)
}

// Rows of the window that are not the picture's: the entry above it, and below
// where the stylus stands and the next prompt; with a machine also what is to be
// drawn, the question and the progress. A narrow window breaks these lines.
const (
	rowsAround       = 3
	rowsOfMachine    = 5
	narrowColumns    = 60
	rowsAroundNarrow = 2
	rowsOfSource     = 2*contextLines + 2 // while a program is stepped through
)

// picture is the sheet at hand in the letters of the terminal, as large as the
// window has room for, with an arrow where the stylus is. In plain mode there
// is none. Some more rows are kept free below it.
func (p *Prompt) picture(s *state, below int) string {
	columns, rows := p.window()
	if p.Plain || s.program == nil || columns == 0 {
		return ""
	}
	around := rowsAround + below
	if p.machine != nil {
		around += rowsOfMachine
	}
	if columns < narrowColumns {
		around += rowsAroundNarrow
	}
	room := preview.Terminal{Columns: columns - 1, Rows: max(rows-around, min(rows/2, 8)), ASCII: p.ASCII}
	var out strings.Builder
	for _, line := range room.Sheet(s.program.Picture(s.drawn, len(s.drawn.Sheets)-1), s.Here(), s.drawn.Heading) {
		out.WriteString(line + "\n")
	}
	return out.String()
}
