package gcode

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"wend/lang/source"
	"wend/runtime/machine"
)

// lines is text with a limit on the length of each line, line end included.
type lines struct {
	text  []byte
	limit int
}

// remark adds a comment, on as many lines as it needs.
func (l *lines) remark(format string, args ...any) {
	room := l.limit - len("()\n")
	words := strings.Fields(plain(fmt.Sprintf(format, args...)))
	for len(words) > 0 {
		row := cutTo(words[0], room)
		words = words[1:]
		for len(words) > 0 && len(row)+1+len(words[0]) <= room {
			row += " " + words[0]
			words = words[1:]
		}
		l.text = append(append(append(l.text, '('), row...), ")\n"...)
	}
}

func (l *lines) code(text string) { l.text = append(append(l.text, text...), '\n') }

// pause stops the machine. The message is for the operator's display
// (section 3.3.4 of the standard); it is cut where the line ends.
func (l *lines) pause(message string) {
	message = cutTo(strings.Join(strings.Fields(plain(message)), " "), l.limit-len("M0 (MSG,)\n"))
	if message == "" {
		l.code("M0")
		return
	}
	l.code("M0 (MSG," + message + ")")
}

func cutTo(text string, room int) string {
	return text[:min(len(text), max(room, 0))]
}

func writeHeading(l *lines, p *machine.Profile, in *machine.Instructions, h Heading) {
	name := h.Program
	if name == "" {
		name = "a program"
	}
	seed := fmt.Sprintf(", seed %d", h.Seed)
	if h.Unseeded {
		seed = ""
	}
	l.remark("wend: %s, sheet %d of %d%s", name, h.Sheet, h.Sheets, seed)
	if p.BuiltIn {
		l.remark("machine: %s, built in, for the simulated machine only", p.Name)
	} else {
		l.remark("machine: %s", p.Name)
	}
	l.remark("%s mm of line, about %s", strconv.FormatFloat(h.LineMM, 'f', 0, 64), Duration(h.Seconds))
	l.remark("before the first move the stylus must stand at x %.2f y %.2f mm of the page", in.Stylus.X, in.Stylus.Y)
	if h.Wiped {
		l.remark("bring it there, then wipe the sheet")
	}
	unknown := p.UnknownSlack()
	if len(unknown) > 0 {
		l.remark("slack of %s not known yet, and not compensated", strings.Join(unknown, " and "))
	}
	switch {
	case len(unknown) == 2:
	case p.X.SlackSteps() == 0 && p.Y.SlackSteps() == 0:
		l.remark("the machine has no slack to compensate")
	case in.Compensated:
		l.remark("slack compensated: %s", standsInSlack(p, in.Gap))
	default:
		l.remark("slack not compensated")
	}
	l.remark("caution: nothing stops this machine at its edges. One person at the controls with a power switch in reach, never unattended. A software stop is no emergency stop. Hands, hair and sleeves away from gears and frame. Local rules come first.")
	l.code("G21 G90 G94 G17")
	decimals := p.CoordinateDecimals()
	x, y := newCoordinates(p.StepsPerMM().X, decimals), newCoordinates(p.StepsPerMM().Y, decimals)
	start := y.append(append(x.append([]byte("G92 X"), in.Start.X), " Y"...), in.Start.Y)
	l.code(string(start))
}

// standsInSlack says where each axis must stand in its slack.
func standsInSlack(p *machine.Profile, gap machine.Gap) string {
	slack := machine.Gap{X: int32(p.X.SlackSteps()), Y: int32(p.Y.SlackSteps())}
	if flankX, flankY := flank(gap.X, slack.X), flank(gap.Y, slack.Y); flankX != "" && flankY != "" {
		return fmt.Sprintf("each axis must have moved last to %s x and %s y", flankX, flankY)
	}
	left := p.AtSteps(machine.Steps{X: max(gap.X, 0), Y: max(gap.Y, 0)})
	return fmt.Sprintf("before the stylus follows to larger x the x motor must have %.3f mm to go, and to larger y the y motor %.3f mm", left.X, left.Y)
}

// flank is where an axis has moved to last if it rests on a flank of its slack,
// empty if it stands in between.
func flank(gap, slack int32) string {
	switch {
	case gap <= 0:
		return "larger"
	case gap >= slack:
		return "smaller"
	}
	return ""
}

// Duration says a time so that it can be waited for: in whole seconds, from
// an hour on in whole minutes, rounded up. It is said so in the heading of a file and
// wherever else a person reads it; the page of the window has it once more (lasting).
func Duration(seconds float64) string {
	whole := int(math.Ceil(seconds))
	switch {
	case whole < 60:
		return fmt.Sprintf("%d s", whole)
	case whole < 3600:
		return fmt.Sprintf("%d min %02d s", whole/60, whole%60)
	}
	minutes := (whole + 59) / 60
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}

// Length says a length so that it can be pictured.
func Length(mm float64) string {
	if mm >= 10_000 {
		return fmt.Sprintf("%.1f m", mm/1000)
	}
	return fmt.Sprintf("%.1f mm", mm)
}

// mainFile is the file that comments name by line alone: that of the first
// place.
func mainFile(in *machine.Instructions) *source.File {
	for _, place := range in.Places {
		if place.Known() {
			return place.File
		}
	}
	return nil
}
