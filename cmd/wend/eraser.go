package main

import (
	"context"
	"errors"
	"io"
	"strings"
	"time"

	"wend/lang/diag"
	"wend/runtime/machine"
)

// wipe has an eraser board wipe the sheet: it sends what starts one round and
// waits for what says that it is over, so many rounds as the profile wants.
// Reading the wire waits a little and may give nothing, without an error. An
// eraser that stays silent is a *diag.Fault: until somebody has looked,
// nothing else may move.
func wipe(ctx context.Context, wire io.ReadWriter, e machine.Eraser, now func() time.Time) error {
	for range max(1, e.Rounds) {
		if _, err := io.WriteString(wire, e.Send); err != nil {
			return err
		}
		end := now().Add(time.Duration(e.TimeoutS * float64(time.Second)))
		var heard strings.Builder
		var chunk [64]byte
		for !strings.Contains(heard.String(), e.Done) {
			switch {
			case ctx.Err() != nil:
				return ctx.Err()
			case now().After(end):
				return &diag.Fault{Code: "eraser-silent", Args: diag.Args{"seconds": int(e.TimeoutS)}}
			}
			n, err := wire.Read(chunk[:])
			heard.Write(chunk[:n])
			if err != nil && !(errors.Is(err, io.EOF) && n > 0) {
				return err
			}
		}
	}
	return nil
}
