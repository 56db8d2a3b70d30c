package bench

import (
	"context"
	"errors"
	"io"
	"strings"
	"time"

	"wend/lang/diag"
	"wend/runtime/calibrate"
	"wend/runtime/machine"
)

// Eraser is an eraser board on an open port.
type Eraser struct {
	// Wire waits a little when it is read, and may give nothing then, without
	// an error.
	Wire io.ReadWriter
	Says machine.Eraser // what starts it, what it answers, how long it may take
	Now  func() time.Time
}

var _ calibrate.Eraser = (*Eraser)(nil)

// Wipe has the board wipe the sheet once: it sends what starts that, waits for
// what says that it is over, and tells how many seconds it took. An eraser that
// stays silent is a *diag.Fault: until somebody has looked, nothing else may
// move.
func (e *Eraser) Wipe(ctx context.Context) (seconds float64, err error) {
	began := e.Now()
	if _, err := io.WriteString(e.Wire, e.Says.Send); err != nil {
		return 0, err
	}
	end := began.Add(time.Duration(e.Says.TimeoutS * float64(time.Second)))
	var heard strings.Builder
	var chunk [64]byte
	for !strings.Contains(heard.String(), e.Says.Done) {
		switch {
		case ctx.Err() != nil:
			return 0, context.Cause(ctx)
		case e.Now().After(end):
			return 0, &diag.Fault{Code: "eraser-silent", Args: diag.Args{"seconds": int(e.Says.TimeoutS)}}
		}
		n, err := e.Wire.Read(chunk[:])
		heard.Write(chunk[:n])
		if err != nil && !(errors.Is(err, io.EOF) && n > 0) {
			return 0, err
		}
	}
	return e.Now().Sub(began).Seconds(), nil
}

// WipeClean has it wipe as many rounds as it needs, one after the other.
func (e *Eraser) WipeClean(ctx context.Context) error {
	for range max(1, e.Says.Rounds) {
		if _, err := e.Wipe(ctx); err != nil {
			return err
		}
	}
	return nil
}
