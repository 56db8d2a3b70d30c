package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"wend/cmd/wend/operate"
	"wend/cmd/wend/sending"
	"wend/lang/diag"
	"wend/runtime/gate"
	"wend/runtime/geom"
	"wend/runtime/link"
)

type jogFlags struct {
	machineFlags
	to string
}

func newMachineJog(c console) *cobra.Command {
	var f jogFlags
	cmd := &cobra.Command{
		Use:   "jog",
		Short: "move the stylus by arrow keys, or walk to a place",
		Long: `Each arrow key moves the stylus once; + and - change how far; Enter or Escape ends.
Every move draws. While nobody knows where the stylus is, a key moves it by at most
0.5 mm, slowly, and after 30 mm you are asked again; nothing but your eyes keeps it from
the edge then. Otherwise it stays on the page.

--to walks to a place of the page instead.`,
		Example: `  wend machine jog --machine bench.toml --port /dev/ttyUSB0
  wend machine jog --to 20,15 --machine bench.toml`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			var to *geom.Point
			if f.to != "" {
				p, err := parsePoint(f.to)
				if err != nil {
					return usagef("--to takes two numbers of mm, such as 20,15, not `%s`", f.to)
				}
				to = &p
			}
			return c.withOperator(cmd.Context(), &f.machineFlags, func(ctx context.Context, o *operator) error {
				return o.failed(c.jog(ctx, &f, o, to))
			})
		},
	}
	f.add(cmd)
	cmd.Flags().StringVar(&f.to, "to", "", "walk to `X,Y` in page mm")
	return cmd
}

func (c console) jog(ctx context.Context, f *jogFlags, o *operator, to *geom.Point) error {
	if to == nil && o.keys == nil {
		return usagef("%s; --to X,Y walks to a place", errNoKeys)
	}
	settings, err := f.settings(c)
	if err != nil {
		return err
	}
	connection, err := o.connect(ctx, settings, f.port, o.keys != nil)
	if err != nil {
		return err
	}
	defer connection.Close() //nolint:errcheck // nothing moves any more
	l := connection.link
	if err := o.Settle(ctx, l); err != nil {
		return err
	}
	if to == nil {
		o.Cautions()
		return c.jogByKeys(ctx, o, l)
	}
	if err := sending.Walk(ctx, &o.Conversation, &connection.Connection, settings.Profile, *to); err != nil {
		return err
	}
	_, at, certainty := l.Where()
	o.told("the stylus stands at (%.2f, %.2f), %s", at.X, at.Y, certainty)
	return nil
}

var errNoKeys = errors.New("this needs a terminal that gives single key presses")

// jogStrides are how far one key press moves, in mm.
var jogStrides = [...]float64{0.1, 0.2, 0.5, 1, 2, 5, 10}

func (c console) jogByKeys(ctx context.Context, o *operator, l *link.Link) error {
	stride := 2
	c.say("arrow keys move, + and - change how far, Enter ends")
	var waiting []operate.Key
	next := func() (operate.Key, error) {
		if len(waiting) == 0 {
			return o.keys.Key(ctx)
		}
		key := waiting[0]
		waiting = waiting[1:]
		return key, nil
	}
	for {
		_, at, certainty := l.Where()
		mm := jogStrides[stride]
		where := fmt.Sprintf("at (%.2f, %.2f), %s", at.X, at.Y, certainty)
		if certainty == link.Lost {
			mm = min(mm, gate.NudgeMM)
			where = "lost"
		}
		fmt.Fprintf(c.stderr, "\r\x1b[K%s; one key moves %g mm", where, mm)
		key, err := next()
		if err != nil {
			return nil
		}
		var by geom.Point
		switch key {
		case operate.KeyUp:
			by.Y = mm
		case operate.KeyDown:
			by.Y = -mm
		case operate.KeyRight:
			by.X = mm
		case operate.KeyLeft:
			by.X = -mm
		case '+':
			stride = min(stride+1, len(jogStrides)-1)
			continue
		case '-':
			stride = max(stride-1, 0)
			continue
		case operate.KeyEnter, operate.KeyEscape, operate.KeyCtrlC, operate.KeyCtrlD:
			fmt.Fprintln(c.stderr)
			return nil
		default:
			continue
		}
		others, err := o.press(ctx, l, by)
		if err != nil {
			return err
		}
		// One motion for one key press: arrows pressed meanwhile are dropped.
		waiting = slices.DeleteFunc(others, operate.Key.Arrow)
	}
}

// press moves for one key press, and gives the keys that were pressed
// meanwhile. The edge of the page is no error.
func (o *operator) press(ctx context.Context, l *link.Link, by geom.Point) ([]operate.Key, error) {
	others, err := o.Pressed(ctx, func(ctx context.Context, op link.Operator) error { return l.Jog(ctx, by, op) })
	var refusal *gate.Refusal
	var fault *diag.Fault
	switch {
	case errors.As(err, &refusal):
		fmt.Fprint(o.c.stderr, "\r\x1b[K")
		o.c.say("%s", refusal.Reason)
		if err := o.Consent(ctx, "look where the stylus is; type `more` to go on moving it, Enter alone not to: ", "more", false); err != nil {
			return nil, err
		}
		l.AskedAgain()
		return nil, nil
	case errors.As(err, &fault) && fault.Code == "position-outside":
		fmt.Fprint(o.c.stderr, "\r\x1b[K")
		o.c.say("the edge of the page is nearer than that")
		return nil, nil
	}
	return others, err
}
