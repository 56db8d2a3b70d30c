package link

import (
	"strings"

	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/machine"
)

// reader passes a text of instructions through a gate, line by line, as it is
// needed.
type reader struct {
	text   string
	gate   *gate.Gate
	offset int // of the next line
	start  int // of the one read last
	line   int // its number, from 1
	origin string
	note   string // of an operator's message
	items  []gate.Item
	moves  int
}

// next gives the next thing that the text asks for; false at its end. The error
// is a *gate.Refusal.
func (r *reader) next() (entry, bool, error) {
	for len(r.items) == 0 {
		if r.offset >= len(r.text) || r.gate.Ended() {
			return entry{}, false, nil
		}
		line := r.text[r.offset:]
		if end := strings.IndexByte(line, '\n'); end >= 0 {
			line = line[:end]
		}
		r.start, r.line = r.offset, r.line+1
		r.offset += len(line) + 1
		r.remarks(line)
		var err error
		if r.items, err = r.gate.Read(line); err != nil {
			return entry{}, false, err
		}
	}
	item := r.items[0]
	r.items = r.items[1:]
	if item.Kind == gate.Move || item.Kind == gate.Dwell {
		r.moves++
	}
	e := entry{Item: item, label: label{index: r.moves, line: r.line, origin: r.origin}}
	if item.Kind == gate.Pause {
		e.message = r.note
	}
	return e, true, nil
}

// remarks reads what comments say: which line of a program comes next, and
// messages to the operator (NISTIR 6556, section 3.3.4).
func (r *reader) remarks(line string) {
	r.note = ""
	for {
		open := strings.IndexByte(line, '(')
		if open < 0 {
			return
		}
		remark, rest, closed := strings.Cut(line[open+1:], ")")
		if !closed {
			return
		}
		switch trimmed := strings.TrimSpace(remark); {
		case len(trimmed) > 4 && strings.EqualFold(trimmed[:4], "MSG,"):
			r.note = strings.TrimSpace(trimmed[4:])
		case strings.HasPrefix(trimmed, "line ") || strings.Contains(trimmed, " line "):
			if n := strings.LastIndex(trimmed, "line "); strings.Trim(trimmed[n+5:], "0123456789") == "" && len(trimmed) > n+5 {
				r.origin = trimmed
			}
		}
		line = rest
	}
}

// Survey is what a text of instructions comes to.
type Survey struct {
	Moves   int // lines that will be sent
	LineMM  float64
	Seconds float64  // at the speeds that are set, without running up and down
	Bounds  geom.Box // of the motors, machine mm
	End     machine.Steps
	Pauses  int
}

// Look passes a whole text through a gate, from where the motors stand, before
// anything is sent. What the gate refuses is reported at its line.
func Look(p *machine.Profile, limits gate.Limits, name, text string, from machine.Steps) (Survey, diag.List) {
	g, err := gate.New(limits)
	if err != nil {
		return Survey{}, diag.List{diag.New("gate-refused", source.Span{}, diag.Args{"word": "the profile", "reason": err.Error()})}
	}
	at := p.AtSteps(from)
	if err := g.Declare(at.X, at.Y); err != nil {
		return Survey{}, diag.List{diag.New("gate-refused", source.Span{}, diag.Args{"word": "the position", "reason": err.Error()})}
	}
	s := Survey{Bounds: geom.EmptyBox().Include(at)}
	r := &reader{text: text, gate: g}
	for {
		e, more, err := r.next()
		if err != nil {
			return s, diag.List{r.fault(name, err)}
		}
		if !more {
			break
		}
		switch e.Kind {
		case gate.Move:
			s.LineMM += e.Length
			s.Seconds += e.Length / e.FeedMMS
			s.Bounds = s.Bounds.Include(geom.Point{X: e.X, Y: e.Y})
		case gate.Dwell:
			s.Seconds += e.Seconds
		case gate.Pause:
			s.Pauses++
		}
	}
	s.Moves = r.moves
	x, y := g.At()
	s.End = p.NearestStep(geom.Point{X: x, Y: y})
	return s, nil
}

// fault says what the gate refused, at its line.
func (r *reader) fault(name string, err error) diag.Diagnostic {
	file := source.New(name, r.text)
	span := source.Span{File: file, Start: r.start, End: r.start + len(file.Line(r.line))}
	args := diag.Args{"word": "this line", "reason": err.Error()}
	if refusal, ok := err.(*gate.Refusal); ok {
		args = diag.Args{"word": refusal.Word, "reason": refusal.Reason}
	}
	return diag.New("gate-refused", span, args)
}
