package link

import (
	"bytes"
	"context"
	"io"

	"wend/lang/diag"
	"wend/runtime/machine"
)

// Wipe has the eraser board wipe the sheet, in as many rounds as the profile
// says: for each it is sent a text, and waited for another one. The motors
// stand meanwhile; afterwards the position is assumed where the eraser disturbs
// the stylus. round is told the number of each, from 1.
func (l *Link) Wipe(ctx context.Context, eraser io.ReadWriter, round func(int)) error {
	if mode := l.Mode(); mode != Connected && mode != Armed {
		return l.refused("be wiped")
	}
	e := &l.profile.Eraser
	l.polling = 0
	for n := range e.Rounds {
		round(n + 1)
		if _, err := eraser.Write(append([]byte(e.Send), '\n')); err != nil {
			return &diag.Fault{Code: "link-gone", Args: diag.Args{"reason": err.Error()}}
		}
		var heard []byte
		var wrong error
		done, err := l.until(ctx, e.TimeoutS, 0, func() bool {
			var chunk [64]byte
			n, err := eraser.Read(chunk[:])
			if err != nil {
				wrong = &diag.Fault{Code: "link-gone", Args: diag.Args{"reason": err.Error()}}
				return true
			}
			heard = append(heard, chunk[:n]...)
			// Without a text to wait for, its time is the time-out.
			return e.Done != "" && bytes.Contains(heard, []byte(e.Done))
		})
		switch {
		case err != nil:
			return err
		case wrong != nil:
			return wrong
		case !done && e.Done != "":
			return &diag.Fault{Code: "eraser-silent", Args: diag.Args{"seconds": trimmed(e.TimeoutS)}}
		}
	}
	return l.Wiped()
}

// Wiped says that the sheet was wiped, by whatever means.
func (l *Link) Wiped() error {
	if l.profile.Eraser.DisturbsStylus || l.profile.Eraser.Kind == machine.EraserOperator {
		return l.Doubt()
	}
	return nil
}
