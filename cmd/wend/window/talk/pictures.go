package talk

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path"
	"strings"

	"wend/cmd/wend/engine"
	"wend/lang/diag"
	"wend/lang/source"
	"wend/runtime/geom"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// variationPoints is how many points a small line has at most.
const variationPoints = 4000

// mostVariations is how many seeds are drawn for one request.
const mostVariations = 100

// variations draws a text with some seeds, one after the other.
func (s *Session) variations(ctx context.Context, r *Request) error {
	if len(r.Seeds) > mostVariations {
		return fmt.Errorf("at most %d variations are drawn at once", mostVariations)
	}
	for _, seed := range r.Seeds {
		if err := s.variation(ctx, r, seed); err != nil || ctx.Err() != nil {
			return err
		}
	}
	return nil
}

func (s *Session) variation(ctx context.Context, r *Request, seed uint32) error {
	s.evaluate.Lock()
	defer s.evaluate.Unlock()
	settings, forced := s.settings, uint64(seed)
	settings.Seed = &forced
	program, list := engine.Load(source.New(r.Path, r.Text), settings)
	if program == nil {
		return list
	}
	drawn, list := program.Draw(ctx)
	if ctx.Err() != nil {
		return nil
	}
	if drawn == nil {
		return list
	}
	if sheets := engine.WithLine(drawn); len(sheets) > 0 {
		s.to.Binary(pointsMessage(variationBytes, r.ID, seed, thinned(drawn.Sheets[sheets[0]].Points, variationPoints)))
	}
	return nil
}

// thinned is a line with at most so many of its points, the first and last among
// them: for a small picture.
func thinned(points []geom.Point, most int) []geom.Point {
	if len(points) <= most {
		return points
	}
	out := make([]geom.Point, most)
	for i := range out {
		out[i] = points[i*(len(points)-1)/(most-1)]
	}
	return out
}

// instructions are those of a sheet, slack of the sheets before made up for.
func instructions(ctx context.Context, d *drawing, sheet int) (engine.Sheet, []byte, error) {
	var gap machine.Gap
	for i := 0; ; i++ {
		var text bytes.Buffer
		known, list := d.program.Lower(ctx, d.plan, i, gap, &text)
		if list.Failed() {
			return known, nil, list
		}
		if i == sheet {
			return known, text.Bytes(), nil
		}
		gap = known.EndGap
	}
}

// asDrawn gives what the simulated machine makes of what was drawn last.
func (s *Session) asDrawn(ctx context.Context, r *Request) error {
	s.mu.Lock()
	d := s.drawn
	s.mu.Unlock()
	if d == nil {
		return errors.New("nothing is drawn yet that the simulated machine could draw")
	}
	sheet, err := d.sheet(r.Sheet)
	if err != nil {
		return err
	}
	known, text, err := instructions(ctx, d, sheet)
	if err != nil {
		return err
	}
	as, list := d.program.Simulate(ctx, d.plan, sheet, known, text)
	if list.Failed() {
		return list
	}
	line := as.Line
	if r.Enlarged > 1 {
		line = as.Enlarged(d.plan.Sheets[sheet].Points, min(r.Enlarged, 1000))
	}
	if ctx.Err() == nil && len(line) > 0 {
		s.to.Binary(pointsMessage(asDrawnBytes, r.ID, uint32(r.Sheet), line))
	}
	return nil
}

// exports write the files that a page can ask for.
var exports = map[string]func(context.Context, *bytes.Buffer, *drawing, int) error{
	"png": func(ctx context.Context, w *bytes.Buffer, d *drawing, sheet int) error {
		return preview.PNG(ctx, w, d.program.Picture(d.plan, sheet), preview.Options{})
	},
	"svg": func(_ context.Context, w *bytes.Buffer, d *drawing, sheet int) error {
		return preview.SVG(w, d.program.Picture(d.plan, sheet), d.plan.Seed)
	},
	"gif": func(ctx context.Context, w *bytes.Buffer, d *drawing, sheet int) error {
		return preview.GIF(ctx, w, d.program.Picture(d.plan, sheet), preview.Growth{})
	},
	"gcode": func(ctx context.Context, w *bytes.Buffer, d *drawing, sheet int) error {
		_, text, err := instructions(ctx, d, sheet)
		w.Write(text)
		return err
	},
}

// export makes a file of a sheet.
func (s *Session) export(ctx context.Context, r *Request) error {
	write := exports[r.Kind]
	if write == nil {
		return fmt.Errorf("there is no file of the kind %q", diag.OneLine(r.Kind))
	}
	d, err := s.latest(ctx, r)
	if err != nil {
		return err
	}
	sheet, err := d.sheet(r.Sheet)
	if err != nil {
		return err
	}
	var content bytes.Buffer
	if err := write(ctx, &content, d, sheet); err != nil {
		return err
	}
	name := strings.TrimSuffix(path.Base(r.Path), path.Ext(r.Path))
	if name == "" || name == "." {
		name = "drawing"
	}
	if r.Sheet > 0 {
		name += fmt.Sprintf(".sheet-%d", r.Sheet+1)
	}
	if ctx.Err() == nil {
		s.to.Binary(fileMessage(r.ID, name+"."+r.Kind, content.Bytes()))
	}
	return nil
}
