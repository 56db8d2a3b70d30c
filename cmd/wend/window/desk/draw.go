package desk

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/gcode"
	"wend/runtime/geom"
	"wend/runtime/plan"
)

// Kinds of messages in bytes. Each begins with its kind, the number of the
// request, the sheet or seed, and a count, four bytes each, little endian.
const (
	lineBytes uint32 = iota
	asDrawnBytes
	fileBytes
	variationBytes
)

func sourceOf(r Request) *source.File { return source.New(r.Path, r.Text) }

// program checks a text and draws it.
func (d *Desk) program(ctx context.Context, r Request) error {
	file := sourceOf(r)
	u := unitsOf(file)
	settings := d.told(r.ID)
	settings.Results = d.results
	loaded, list := engine.Load(file, settings)
	doc, _ := engine.Assisted(file, nil, nil, settings)
	if ctx.Err() != nil {
		return nil
	}
	d.tell(d.checked(r.ID, u, doc, list))
	done := Drawn{Type: "drawn", ID: r.ID, Page: d.page(), Machine: d.settings.Profile.Name, Sheets: []Sheet{}, Statements: []Statement{}, Said: []string{}}
	if loaded == nil {
		done.Messages = messages(u, doc, list)
		d.tell(done)
		return nil
	}
	line, more := loaded.Draw(ctx)
	if ctx.Err() != nil {
		return nil
	}
	list = append(list, more...)
	for _, s := range loaded.Said() {
		done.Said = append(done.Said, fmt.Sprintf("line %d: %s", s.Span.From().Line, s.Text))
	}
	if line != nil {
		done.Statements = statements(u, line)
		for n, sheet := range engine.WithLine(line) {
			ends, faults, err := loaded.Timeline(ctx, line, sheet)
			if err != nil {
				return err
			}
			if !list.Failed() {
				list = append(list, faults...)
			}
			d.send(lineMessage(r.ID, uint32(n), line.Sheets[sheet], ends), true)
			done.Sheets = append(done.Sheets, describe(loaded, line, sheet, ends))
		}
	}
	done.Messages = messages(u, doc, list)
	if line != nil && !list.Failed() {
		d.mu.Lock()
		d.last = &drawn{loaded, line}
		d.mu.Unlock()
	}
	if ctx.Err() == nil {
		d.tell(done)
	}
	return nil
}

func (d *Desk) page() PageSize {
	p := d.settings.Profile
	return PageSize{Width: p.Page().Width(), Height: p.Page().Height(), Margin: p.Area.MarginMM, LineWidth: p.Drawing.LineWidthMM}
}

func describe(p *engine.Program, line *plan.Plan, sheet int, ends []float32) Sheet {
	known := p.Describe(line, sheet)
	seconds := 0.0
	if len(ends) > 0 {
		seconds = float64(ends[len(ends)-1])
	}
	s := Sheet{
		Segments: known.Segments, LineMM: known.LineMM, VisibleMM: known.VisibleMM, Seconds: seconds,
		Bounds: [4]float64{known.Bounds.Min.X, known.Bounds.Min.Y, known.Bounds.Max.X, known.Bounds.Max.Y},
		Start:  [2]float64{known.Start.X, known.Start.Y}, End: [2]float64{known.End.X, known.End.Y},
	}
	s.Words = fmt.Sprintf("One line of %s in %s, %s on the %s. It begins at (%s, %s), ends at (%s, %s) and lies within x %s to %s and y %s to %s mm.",
		gcode.Length(known.LineMM), diag.Counted(known.Segments, "piece"), gcode.Duration(seconds), p.Profile.Name,
		diag.Tenths(known.Start.X), diag.Tenths(known.Start.Y), diag.Tenths(known.End.X), diag.Tenths(known.End.Y),
		diag.Tenths(known.Bounds.Min.X), diag.Tenths(known.Bounds.Max.X), diag.Tenths(known.Bounds.Min.Y), diag.Tenths(known.Bounds.Max.Y))
	return s
}

// statements are what the pieces of a line come from, in the order of its places.
func statements(u *units, line *plan.Plan) []Statement {
	all := make([]Statement, len(line.Places))
	for i, place := range line.Places {
		from, to := u.span(place.Span)
		all[i] = Statement{i, from, to}
	}
	return all
}

func header(kind, id, sheet, n uint32, room int) []byte {
	out := make([]byte, 0, 16+room)
	for _, v := range []uint32{kind, id, sheet, n} {
		out = binary.LittleEndian.AppendUint32(out, v)
	}
	return out
}

func appendPoints(out []byte, points []geom.Point) []byte {
	for _, p := range points {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(p.X)))
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(p.Y)))
	}
	return out
}

// pointsMessage is a line alone.
func pointsMessage(kind, id, sheet uint32, points []geom.Point) []byte {
	return appendPoints(header(kind, id, sheet, uint32(len(points)-1), 8*len(points)), points)
}

// lineMessage is a sheet's line with where each piece comes from and when it ends.
func lineMessage(id, n uint32, sheet *plan.Sheet, ends []float32) []byte {
	out := appendPoints(header(lineBytes, id, n, uint32(len(sheet.Place)), 16*len(sheet.Points)), sheet.Points)
	for _, place := range sheet.Place {
		out = binary.LittleEndian.AppendUint32(out, place)
	}
	for i := range sheet.Place {
		end := float32(0)
		if i < len(ends) {
			end = ends[i]
		}
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(end))
	}
	return out
}

// fileMessage is a file with its name.
func fileMessage(id uint32, content []byte, name string) []byte {
	out := append(header(fileBytes, id, 0, uint32(len(content)), len(content)+len(name)), content...)
	return append(out, name...)
}

// smallPoints is how many points a line has at most that is shown small.
const smallPoints = 4000

// small is a line with at most so many points, both ends among them.
func small(points []geom.Point, most int) []geom.Point {
	if len(points) <= most {
		return points
	}
	out := make([]geom.Point, most)
	for i := range out {
		out[i] = points[i*(len(points)-1)/(most-1)]
	}
	return out
}

// variations draws a program with several seeds.
func (d *Desk) variations(ctx context.Context, r Request) error {
	const most = 30
	if len(r.Seeds) > most {
		r.Seeds = r.Seeds[:most]
	}
	for _, seed := range r.Seeds {
		one, err := d.run(ctx, r, func(s *engine.Settings) { s.Seed = &seed })
		if err != nil {
			return err
		}
		if sheets := engine.WithLine(one.plan); len(sheets) > 0 {
			d.send(pointsMessage(variationBytes, r.ID, uint32(seed), small(one.plan.Sheets[sheets[0]].Points, smallPoints)), true)
		}
	}
	return nil
}
