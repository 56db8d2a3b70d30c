package talk

import (
	"context"
	"fmt"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/assist"
	"wend/lang/ast"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/lang/types"
	"wend/runtime/eval"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/plan"
)

// program says what is wrong with a text, then draws it.
func (s *Session) program(ctx context.Context, r *Request) error {
	k := s.readsAnew(r)
	s.to.Text(s.checked(r.ID, k))
	s.evaluate.Lock()
	defer s.evaluate.Unlock()
	if ctx.Err() != nil {
		return nil
	}
	profile := s.settings.Profile
	page := profile.Page()
	answer := Drawn{
		Type: "drawn", ID: r.ID, Sheets: []Sheet{}, Statements: []Statement{}, Said: []string{}, Machine: profile.Name,
		Page: Page{page.Width(), page.Height(), profile.Area.MarginMM, profile.Drawing.LineWidthMM},
	}
	program, list := k.draft.Load(s.progress(ctx, r))
	var drawn *plan.Plan
	ways := map[uint32][]diag.Frame{} // to each place of the plan
	if program != nil {
		var more diag.List
		drawn, more = program.DrawFollowed(ctx, engine.Follower{
			Line:   s.line(ctx, r.ID),
			Placed: func(place uint32, trail []diag.Frame) { ways[place] = trail },
		})
		list = append(list, more...)
		for _, said := range program.Said() {
			answer.Said = append(answer.Said, said.Text)
		}
	}
	if drawn != nil && len(engine.WithLine(drawn)) > 0 {
		named := statements(ctx, program, drawn, k, ways)
		answer.Statements = named.all
		gap := machine.Gap{}
		for i, sheet := range drawn.Sheets {
			times, more := program.Times(ctx, drawn, i, gap)
			if ctx.Err() != nil {
				return nil
			}
			gap = times.EndGap
			if !list.Failed() {
				list = append(list, more...)
			}
			if len(sheet.Place) > 0 {
				s.to.Binary(piecesMessage(r.ID, len(answer.Sheets), named.of[i], times.At))
				answer.Sheets = append(answer.Sheets, described(sheet, times.Seconds))
			}
		}
		s.mu.Lock()
		s.drawn = newDrawing(r.Text, program, drawn)
		s.mu.Unlock()
	}
	if ctx.Err() != nil {
		return nil
	}
	answer.Messages = messages(list.Sorted(), k, drawn, page)
	s.to.Text(answer)
	return nil
}

// line sends the line of each sheet that has one while it is drawn, as long as
// somebody waits for it.
func (s *Session) line(ctx context.Context, id uint32) func(sheet int, stretch []geom.Point) {
	shown, last, sent := -1, -1, 0
	return func(sheet int, stretch []geom.Point) {
		if sheet != last {
			shown, last, sent = shown+1, sheet, 0
		}
		if ctx.Err() == nil {
			s.to.Binary(lineMessage(id, shown, sent, stretch))
		}
		sent += len(stretch) - 1
	}
}

// described is a sheet in figures and in words.
func described(sheet *plan.Sheet, seconds float64) Sheet {
	length, b := sheet.LengthMM(), sheet.Bounds()
	place := func(p geom.Point) string { return fmt.Sprintf("(%s, %s)", diag.Tenths(p.X), diag.Tenths(p.Y)) }
	words := fmt.Sprintf("One line of %s, drawn in %s, %s to %s mm from the left and %s to %s mm from the bottom; it begins at %s and ends at %s.",
		gcode.Length(length), gcode.Duration(seconds), diag.Tenths(b.Min.X), diag.Tenths(b.Max.X), diag.Tenths(b.Min.Y), diag.Tenths(b.Max.Y),
		place(sheet.Points[0]), place(sheet.Points[len(sheet.Points)-1]))
	return Sheet{LineMM: length, Seconds: seconds, Words: words}
}

// statementsOf are the statements that drew a line, and which of them drew which
// piece, by sheet.
type statementsOf struct {
	all []Statement
	of  [][]uint32

	drawn *plan.Plan
	read  *reading
	index map[statementKey]uint32
}

// statementKey tells statements apart: where one stands, and the way there.
type statementKey struct {
	place uint32
	way   string
}

// fullTrails is up to how many pieces each has a trail of its own. Of larger
// drawings each statement has that by which it was come to first, without the
// passes.
const fullTrails = 2000

// statements names the statement of each piece, with the way to it. ways are those
// to places of the plan that are known.
func statements(ctx context.Context, program *engine.Program, drawn *plan.Plan, k *reading, ways map[uint32][]diag.Frame) *statementsOf {
	out := &statementsOf{drawn: drawn, read: k, index: map[statementKey]uint32{}}
	pieces := 0
	for _, sheet := range drawn.Sheets {
		pieces += len(sheet.Place)
		out.of = append(out.of, make([]uint32, len(sheet.Place)))
	}
	if pieces <= fullTrails {
		var wanted []eval.Segment
		for i, sheet := range drawn.Sheets {
			for j := range sheet.Place {
				wanted = append(wanted, eval.Segment{Sheet: i, Index: j})
			}
		}
		trails, _ := program.Trails(ctx, wanted) // without them each statement stands alone
		for _, at := range wanted {
			out.of[at.Sheet][at.Index] = out.name(drawn.Sheets[at.Sheet].Place[at.Index], trails[at], true)
		}
		return out
	}
	// The first piece of each place, in their order.
	var firsts []eval.Segment
	seen := make([]bool, len(drawn.Places))
	for i, sheet := range drawn.Sheets {
		for j, place := range sheet.Place {
			if !seen[place] {
				seen[place] = true
				firsts = append(firsts, eval.Segment{Sheet: i, Index: j})
			}
		}
	}
	placeOf := func(at eval.Segment) uint32 { return drawn.Sheets[at.Sheet].Place[at.Index] }
	var wanted []eval.Segment
	for _, at := range firsts {
		if _, known := ways[placeOf(at)]; !known {
			wanted = append(wanted, at)
		}
	}
	trails, _ := program.Trails(ctx, wanted)
	named := make([]uint32, len(drawn.Places))
	for _, at := range firsts {
		place := placeOf(at)
		way, known := ways[place]
		if !known {
			way = trails[at]
		}
		named[place] = out.name(place, way, false)
	}
	for i, sheet := range drawn.Sheets {
		for j, place := range sheet.Place {
			out.of[i][j] = named[place]
		}
	}
	return out
}

// name is the index of the statement of a place that was come to by some way.
func (n *statementsOf) name(place uint32, frames []diag.Frame, passes bool) uint32 {
	way := trailOf(frames, passes)
	this := statementKey{place, strings.Join(way, "\n")}
	at, known := n.index[this]
	if known {
		return at
	}
	at = uint32(len(n.all))
	n.index[this] = at
	statement := Statement{ID: int(at), From: -1, To: -1, Trail: way}
	here := func(span source.Span) bool { return span.File != nil && span.File.Name == n.read.file.Name }
	if span := n.drawn.Places[place].Span; here(span) {
		statement.From, statement.To = n.read.units.span(span)
	} else if len(frames) > 0 && here(frames[0].Span) {
		// What a used file drew was called for in this one.
		statement.From, statement.To = n.read.units.span(frames[0].Span)
	}
	n.all = append(n.all, statement)
	return at
}

// trailOf is a trail in words, each with its line.
func trailOf(frames []diag.Frame, passes bool) []string {
	out := []string{}
	for _, f := range frames {
		if !passes && strings.HasPrefix(f.Text, "pass ") {
			continue
		}
		text := f.Text
		if f.Span.Known() {
			text += fmt.Sprintf(", line %d", f.Span.From().Line)
		}
		out = append(out, text)
	}
	return out
}

// colours name what words and signs mean, for colouring them.
var colours = [...]string{
	assist.KeywordMeaning: "keyword", assist.NumberMeaning: "number", assist.TextMeaning: "text", assist.CommentMeaning: "comment",
	assist.OperatorMeaning: "operator", assist.FunctionMeaning: "word", assist.FigureMeaning: "figure", assist.VariableMeaning: "variable",
	assist.ParameterMeaning: "parameter", assist.ModuleMeaning: "word", assist.FieldMeaning: "variable",
}

// checked is what is known of a text before it is drawn.
func (s *Session) checked(id uint32, k *reading) Checked {
	out := Checked{Type: "checked", ID: id, Messages: messages(k.list, k, nil, geom.Box{}), Colours: [][3]any{}, Measures: []Measure{}, Seeds: [][2]int{}}
	for _, c := range k.document.Meanings() {
		from, to := k.units.span(c.Span)
		colour := colours[c.Meaning]
		if c.Library {
			colour = "word"
		}
		out.Colours = append(out.Colours, [3]any{from, to, colour})
	}
	for _, m := range k.document.Measured() {
		from, to := k.units.span(m.Span)
		measure := Measure{From: from, To: to, Value: m.Value, Unit: m.Written, Kind: "other"}
		switch m.Unit {
		case types.Length:
			measure.Kind = "length"
			if m.Written == "" {
				measure.Unit = "mm"
			}
		case types.Angle:
			measure.Kind = "angle"
			if m.Written == "" {
				measure.Unit = "deg"
			}
		}
		out.Measures = append(out.Measures, measure)
	}
	ast.Walk(k.document.Tree, func(n ast.Node) bool {
		call, ok := n.(*ast.Call)
		if !ok {
			return true
		}
		if word, ok := call.Fn.(*ast.NameExpr); ok && word.Name == "seed" && len(call.Args) == 1 {
			from, to := k.units.span(call.Args[0].Value.Place())
			out.Seeds = append(out.Seeds, [2]int{from, to})
		}
		return true
	})
	return out
}

// messages are diagnostics with places in the text. Of one about another file the
// name and line are said, and it stands where the text names that file.
func messages(list diag.List, k *reading, drawn *plan.Plan, page geom.Box) []Message {
	out := []Message{}
	var off map[source.Span]spot
	if drawn != nil && list.Failed() {
		off = beyond(drawn, page)
	}
	for _, d := range list {
		m := Message{
			Severity: d.Severity.String(), Code: string(d.Code), Title: strings.ReplaceAll(string(d.Code), "-", " "), Text: d.Message, Hint: outside(d.Hint),
			From: -1, To: -1, Line: 1, Column: 1, Edits: []Edit{},
		}
		span := d.Span
		if span.File != nil && span.File.Name != k.file.Name {
			m.Text = fmt.Sprintf("in %s, line %d: %s", span.File.Name, span.From().Line, d.Message)
			span = namedIn(k.file, span.File.Name)
		}
		if span.Known() {
			m.From, m.To = k.units.span(span)
			at := span.From()
			m.Line, m.Column = at.Line, at.Column
		}
		for _, mend := range k.document.Mends(diag.List{d}, 0, len(k.file.Text)) {
			from, to := k.units.span(mend.Edit.Span)
			m.Edits = append(m.Edits, Edit{Label: mend.Title, Changes: []Change{{from, to, mend.Edit.Text}}})
		}
		for _, f := range d.Trail {
			if f.Span.Known() {
				m.Text += fmt.Sprintf(" (%s, line %d)", f.Text, f.Span.From().Line)
			}
		}
		if at, leaves := off[d.Span]; leaves && d.Severity == diag.Error {
			m.Sheet, m.Place = at.sheet, &[2]float64{at.place.X, at.place.Y}
		}
		out = append(out, m)
	}
	return out
}

// outside is a hint for somebody at a page, who gives no flags.
func outside(hint string) string {
	return strings.ReplaceAll(hint, "`--limits high`", "`wend build --limits high` outside the window")
}

// namedIn is where a text names a file, or its start.
func namedIn(file *source.File, name string) source.Span {
	for from := 0; ; {
		i := strings.IndexByte(file.Text[from:], '"')
		if i < 0 {
			return source.Span{File: file}
		}
		begin := from + i + 1
		j := strings.IndexByte(file.Text[begin:], '"')
		if j < 0 {
			return source.Span{File: file}
		}
		if path := file.Text[begin : begin+j]; path != "" && strings.HasSuffix(name, path) {
			return source.Span{File: file, Start: begin - 1, End: begin + j + 1}
		}
		from = begin + j + 1
	}
}

// spot is a place on a sheet, as the page counts them.
type spot struct {
	sheet int
	place geom.Point
}

// beyond is where the lines of statements leave the page first, of those that do.
func beyond(drawn *plan.Plan, page geom.Box) map[source.Span]spot {
	first := map[source.Span]spot{}
	for shown, i := range engine.WithLine(drawn) {
		sheet := drawn.Sheets[i]
		for j, place := range sheet.Place {
			end := sheet.Points[j+1]
			if page.Contains(end) {
				continue
			}
			statement := drawn.Places[place].Span
			if _, known := first[statement]; !known {
				first[statement] = spot{shown, end}
			}
		}
	}
	return first
}
