// Package render shows diagnostics: Text to people, JSON to programs. Both show
// the same set in the same order; nothing but this package formats one.
package render

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"github.com/rivo/uniseg"

	"wend/lang/diag"
	"wend/lang/source"
)

// Style says how text is shown.
type Style struct {
	Color bool // use ANSI colours; they are never the only signal
	Plain bool // no drawn carets: places are said in words, for screen readers
	// Width is the columns of the terminal, where long texts are broken at the
	// ends of words; 0 is for streams that are none, on which a text is one line.
	Width int
	// Explain is the order that explains a code, written before it; empty: the
	// command.
	Explain string
}

// shownAtMost is how many diagnostics a person is shown in one go. The JSON
// form always has them all.
const shownAtMost = 20

// Text writes diagnostics for a person to read.
//
// A place is `file:line:column`, the form that editors and terminals can jump
// to (GNU Coding Standards, "Formatting Error Messages"); in plain style it is
// said in words.
func Text(w io.Writer, list diag.List, style Style) error {
	p := printer{style: style}
	for i, d := range list {
		if i == shownAtMost {
			fmt.Fprintf(&p.out, "and %d more\n", len(list)-i)
			break
		}
		if i > 0 && !style.Plain {
			p.out.WriteByte('\n')
		}
		p.diagnostic(d)
	}
	_, err := io.WriteString(w, p.out.String())
	return err
}

// plainColumns is how much of a line is read out in plain style.
const plainColumns = 400

// otherwiseColumns is how wide what is cut to the middle of a long line may be
// where there is no terminal.
const otherwiseColumns = 100

// narrowest is the width below which a terminal is left to break lines itself.
const narrowest = 20

type printer struct {
	style Style
	out   strings.Builder
}

const (
	bold   = "\x1b[1m"
	accent = "\x1b[1;34m"
	reset  = "\x1b[0m"
)

func (p *printer) columns() int {
	if p.style.Width > 0 {
		return p.style.Width
	}
	return otherwiseColumns
}

// text writes a text with a label before it, broken at the ends of words. Later
// lines begin with the indent.
func (p *printer) text(label, color, text, indent string) {
	p.out.WriteString(label + p.paint(color, p.broken(uniseg.StringWidth(label), text, indent)) + "\n")
}

// broken is a text that begins so many columns to the right, with line ends at
// the ends of words.
func (p *printer) broken(width int, text, indent string) string {
	if p.style.Width < narrowest {
		return text
	}
	var out strings.Builder
	for i, word := range strings.Split(text, " ") {
		length := uniseg.StringWidth(word)
		switch {
		case i > 0 && width+1+length > p.style.Width:
			out.WriteString("\n" + indent)
			width = len(indent)
		case i > 0:
			out.WriteByte(' ')
			width++
		}
		out.WriteString(word)
		width += length
	}
	return out.String()
}

func (p *printer) paint(color, text string) string {
	if !p.style.Color || color == "" {
		return text
	}
	return color + text + reset
}

func (p *printer) place(span source.Span) string {
	if !span.Known() {
		return "wend"
	}
	at, name := span.From(), Visible(span.File.Name)
	if p.style.Plain {
		return fmt.Sprintf("%s, line %d, column %d", name, at.Line, at.Column)
	}
	return fmt.Sprintf("%s:%d:%d", name, at.Line, at.Column)
}

func (p *printer) diagnostic(d diag.Diagnostic) {
	severity := ""
	if d.Severity == diag.Warning {
		severity = "warning: "
	}
	p.text(p.place(d.Span)+": "+severity, bold, Visible(d.Message), "    ")
	p.excerpt(d.Span, '^')
	for _, r := range d.Related {
		p.text("    see "+p.place(r.Span)+": ", "", Visible(r.Text), "        ")
		p.excerpt(r.Span, '-')
	}
	p.way(d)
	if d.Hint != "" {
		p.text("    hint: ", "", Visible(d.Hint), "          ")
		if strings.HasSuffix(d.Hint, ":") && len(d.Edits) > 0 {
			p.lines(d.Edits[0])
		}
	}
	explain := p.style.Explain
	if explain == "" {
		explain = "wend explain"
	}
	fmt.Fprintf(&p.out, "    more: %s %s\n", explain, d.Code)
}

// lines shows the lines that an edit leaves in place of those it touches; a hint
// that ends with a colon is about them.
func (p *printer) lines(e diag.Edit) {
	if !e.Span.Known() {
		return
	}
	text := e.Span.File.Text
	start := strings.LastIndexByte(text[:e.Span.Start], '\n') + 1
	end := len(text)
	if i := strings.IndexByte(text[e.Span.End:], '\n'); i >= 0 {
		end = e.Span.End + i
	}
	left := linesShown
	for line := range strings.SplitSeq(strings.TrimRight(text[start:e.Span.Start]+e.Text+text[e.Span.End:end], "\n"), "\n") {
		if left == 0 {
			p.out.WriteString("          …\n")
			return
		}
		left--
		shown := Visible(strings.TrimRight(line, " \r"))
		p.out.WriteString("          " + head(shown, p.columns()-10, "…") + "\n")
	}
}

// linesShown is how many lines of an edit are shown.
const linesShown = 16

// way says by which calls and passes the program came to the place, in one
// paragraph; a long way (deep recursion) is shortened to its ends.
func (p *printer) way(d diag.Diagnostic) {
	const ends = 5
	var steps []string
	for i, f := range d.Trail {
		if len(d.Trail) > 2*ends+1 && i >= ends && i < len(d.Trail)-ends {
			if i == ends {
				steps = append(steps, fmt.Sprintf("… %d more steps …", len(d.Trail)-2*ends))
			}
			continue
		}
		step := f.Text
		if f.Span.Known() {
			step += fmt.Sprintf(" (line %d", f.Span.From().Line)
			if f.Span.File != d.Span.File {
				step += " of " + f.Span.File.Name
			}
			step += ")"
		}
		steps = append(steps, step)
	}
	if len(steps) == 0 {
		return
	}
	line := "    way:"
	for i, step := range steps {
		if i < len(steps)-1 {
			step += ","
		}
		if uniseg.StringWidth(line)+1+uniseg.StringWidth(step) > p.columns() {
			p.out.WriteString(line + "\n")
			line = "        "
		}
		line += " " + step
	}
	p.out.WriteString(line + "\n")
}

// excerpt shows the line a span begins on, with a mark under what is meant.
func (p *printer) excerpt(span source.Span, mark rune) {
	if !span.Known() || span.File.Text == "" {
		return
	}
	from := span.From()
	line := span.File.Line(from.Line)
	start := span.Start - span.File.LineStart(from.Line)
	end := min(span.End-span.File.LineStart(from.Line), len(line))
	start = min(start, len(line))
	end = max(start, end)
	before, meant, after := Visible(line[:start]), Visible(line[start:end]), Visible(line[end:])
	line, start = before+meant+after, len(before)
	end = start + len(meant)
	if p.style.Plain {
		before, meant, after = window(line, start, end, plainColumns)
		shown := strings.TrimSpace(before + meant + after)
		fmt.Fprintf(&p.out, "    line: %s\n", shown)
		if meant != "" && shown != meant {
			fmt.Fprintf(&p.out, "    here: %s\n", meant)
		}
		return
	}
	number := fmt.Sprint(from.Line)
	room := max(20, p.columns()-len(number)-10) // room for the margin and two ellipses
	before, meant, after = window(line, start, end, room)
	margin := strings.Repeat(" ", len(number))
	fmt.Fprintf(&p.out, "    %s | %s\n", number, before+meant+after)
	width := max(1, uniseg.StringWidth(meant)+strings.Count(meant, "\t"))
	fmt.Fprintf(&p.out, "    %s | %s%s\n", margin, blank(before), p.paint(accent, strings.Repeat(string(mark), width)))
}

// window cuts a line that is too wide to what stands around the marked part.
func window(line string, start, end, room int) (before, meant, after string) {
	before, meant, after = line[:start], line[start:end], line[end:]
	if uniseg.StringWidth(line) <= room && len(line) <= 4*room {
		return before, meant, after
	}
	meant = head(meant, room/2, "…")
	left := room - uniseg.StringWidth(meant)
	before = tail(before, left/2)
	after = head(after, left-uniseg.StringWidth(before), "…")
	return before, meant, after
}

// head is the first columns of a text, with an ending if that is not all.
func head(text string, columns int, ending string) string {
	state, width, rest := -1, 0, text
	for len(rest) > 0 {
		var w int
		_, rest, w, state = uniseg.FirstGraphemeClusterInString(rest, state)
		if width += w; width > max(1, columns) {
			return text[:len(text)-len(rest)] + ending
		}
	}
	return text
}

// tail is the last columns of a text, with a beginning if that is not all.
func tail(text string, columns int) string {
	from := max(0, len(text)-4*columns-16)
	for from > 0 && from < len(text) && text[from]&0xc0 == 0x80 {
		from++
	}
	cut := text[from:]
	state := -1
	for uniseg.StringWidth(cut) > columns && len(cut) > 0 {
		_, cut, _, state = uniseg.FirstGraphemeClusterInString(cut, state)
		from = len(text) - len(cut)
	}
	if from == 0 {
		return text
	}
	return "…" + cut
}

// blank is what takes as much room as a text: tabs stay tabs.
func blank(text string) string {
	var out strings.Builder
	state := -1
	for len(text) > 0 {
		var cluster string
		var w int
		cluster, text, w, state = uniseg.FirstGraphemeClusterInString(text, state)
		if cluster == "\t" {
			out.WriteByte('\t')
		} else {
			out.WriteString(strings.Repeat(" ", w))
		}
	}
	return out.String()
}

// mostMarks is how many marks a letter is shown with; more would cover the
// lines above it, or fill the screen.
const mostMarks = 8

// Visible is a text as it can be shown. Characters that could steer a terminal
// or turn the order of what is read are written as escapes, such as \x1b; line
// breaks and tabs stay.
func Visible(text string) string {
	var out strings.Builder
	marks := 0
	for _, r := range text {
		if unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Me, r) {
			if marks++; marks <= mostMarks {
				out.WriteRune(r)
			}
			continue
		}
		marks = 0
		switch {
		case r == '\n' || r == '\t' || !steers(r):
			out.WriteRune(r)
		case r < 0x80:
			fmt.Fprintf(&out, `\x%02x`, r)
		default:
			fmt.Fprintf(&out, `\u%04x`, r)
		}
	}
	return out.String()
}

// VisibleJSON is a JSON text with escapes in place of the characters that could
// steer a terminal. It means the same: they stand in strings only.
func VisibleJSON(text string) string {
	var out strings.Builder
	for _, r := range text {
		if r != '\n' && steers(r) {
			fmt.Fprintf(&out, `\u%04x`, r)
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}

// steers reports whether a character may be an order to a terminal (control
// characters, Unicode category Cc), or turns the order of what is read (property
// Bidi_Control of the Unicode Character Database).
func steers(r rune) bool {
	return unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r)
}
