package desk

import (
	"bytes"
	"context"
	"fmt"
	"path"
	"strings"

	"wend/cmd/wend/engine"
	"wend/runtime/machine"
	"wend/runtime/preview"
)

// asDrawn gives the line that the simulated machine makes of what was drawn last.
func (d *Desk) asDrawn(ctx context.Context, r Request) error {
	d.mu.Lock()
	last := d.last
	d.mu.Unlock()
	if last == nil {
		return fmt.Errorf("nothing is drawn yet")
	}
	sheets := engine.WithLine(last.plan)
	if r.Sheet < 0 || r.Sheet >= len(sheets) {
		return fmt.Errorf("there is no sheet %d", r.Sheet+1)
	}
	sheet := sheets[r.Sheet]
	var text bytes.Buffer
	known, list := last.program.Lower(ctx, last.plan, sheet, machine.Gap{}, &text)
	if list.Failed() {
		return list
	}
	as, list := last.program.Simulate(ctx, last.plan, sheet, known, text.Bytes())
	if list.Failed() {
		return list
	}
	points := as.Enlarged(last.plan.Sheets[sheet].Points, max(1, min(r.Enlarged, 1000)))
	if len(points) == 0 {
		return fmt.Errorf("the simulated machine drew nothing")
	}
	d.send(pointsMessage(asDrawnBytes, r.ID, uint32(r.Sheet), points), true)
	return nil
}

// exports are the kinds of files that a sheet can be saved as.
var exports = map[string]func(context.Context, drawn, int, *bytes.Buffer) error{
	"png": func(ctx context.Context, one drawn, sheet int, w *bytes.Buffer) error {
		return preview.PNG(ctx, w, one.program.Picture(one.plan, sheet), preview.Options{})
	},
	"svg": func(_ context.Context, one drawn, sheet int, w *bytes.Buffer) error {
		return preview.SVG(w, one.program.Picture(one.plan, sheet), one.plan.Seed)
	},
	"gif": func(ctx context.Context, one drawn, sheet int, w *bytes.Buffer) error {
		return preview.GIF(ctx, w, one.program.Picture(one.plan, sheet), preview.Growth{})
	},
	"gcode": func(ctx context.Context, one drawn, sheet int, w *bytes.Buffer) error {
		if _, list := one.program.Lower(ctx, one.plan, sheet, machine.Gap{}, w); list.Failed() {
			return list
		}
		return nil
	},
}

// export makes a file of a sheet.
func (d *Desk) export(ctx context.Context, r Request) error {
	write, known := exports[r.Kind]
	if !known {
		return fmt.Errorf("a drawing is saved as png, svg, gif or gcode, not `%.20s`", r.Kind)
	}
	one, err := d.run(ctx, r, func(s *engine.Settings) { s.Results = d.results })
	if err != nil {
		return err
	}
	sheets := engine.WithLine(one.plan)
	if r.Sheet < 0 || r.Sheet >= len(sheets) {
		return fmt.Errorf("there is no sheet %d with line", r.Sheet+1)
	}
	var file bytes.Buffer
	if err := write(ctx, one, sheets[r.Sheet], &file); err != nil {
		return err
	}
	base := strings.TrimSuffix(path.Base(r.Path), ".wend")
	if r.Sheet > 0 {
		base = fmt.Sprintf("%s.sheet-%d", base, r.Sheet+1)
	}
	d.send(fileMessage(r.ID, file.Bytes(), base+"."+r.Kind), true)
	return nil
}
