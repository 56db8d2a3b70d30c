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

// toward is a heading as people say it: the nearest of eight directions.
type toward struct{ arrow, word string }

var directions = [8]toward{
	{"→", "right"}, {"↗", "up and right"}, {"↑", "up"}, {"↖", "up and left"},
	{"←", "left"}, {"↙", "down and left"}, {"↓", "down"}, {"↘", "down and right"},
}

func directionOf(heading float64) toward {
	return directions[int(math.Floor(heading/45+0.5))%8]
}

func coordinate(mm float64) string { return operate.Coordinate(mm) }

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
	if p.Plain {
		return fmt.Sprintf("heading %s degrees, %s", degrees(heading), to.word)
	}
	return fmt.Sprintf("heading %s° %s %s", degrees(heading), to.arrow, to.word)
}

// picture is the sheet at hand in the letters of the terminal, in a frame, with
// an arrow where the stylus is. In plain mode there is none.
func (p *Prompt) picture(s *state) string {
	if p.Plain || p.Size == nil {
		return ""
	}
	columns, rows := p.Size()
	return framed(p.braille(s, min(columns-4, 140), min(rows/2-3, 40)))
}

func (p *Prompt) braille(s *state, columns, rows int) []string {
	if s.program == nil || columns < 8 || rows < 3 {
		return nil
	}
	pic := s.program.Picture(s.drawn, len(s.drawn.Sheets)-1)
	lines := preview.Braille(pic, columns, rows)
	if column, row, ok := preview.Letter(pic.Page, columns, rows, s.Here()); ok && row < len(lines) {
		letters := []rune(lines[row])
		for len(letters) <= column {
			letters = append(letters, ' ')
		}
		letters[column] = []rune(directionOf(s.drawn.Heading).arrow)[0]
		lines[row] = string(letters)
	}
	return lines
}

// framed draws the edges of the page around its letters.
func framed(lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	width := 0
	for _, line := range lines {
		width = max(width, len([]rune(line)))
	}
	edge := strings.Repeat("─", width)
	var out strings.Builder
	out.WriteString("┌" + edge + "┐\n")
	for _, line := range lines {
		out.WriteString("│" + line + strings.Repeat(" ", width-len([]rune(line))) + "│\n")
	}
	out.WriteString("└" + edge + "┘\n")
	return out.String()
}
