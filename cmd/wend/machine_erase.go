package main

import (
	"context"

	"github.com/spf13/cobra"

	"wend/lang/diag"
	"wend/runtime/machine"
)

func newMachineErase(c console) *cobra.Command {
	var f machineFlags
	cmd := &cobra.Command{
		Use:   "erase",
		Short: "wipe the sheet, by the eraser board or by hand",
		Long: `Has the eraser board of the profile turn the toy over and back, as often as its rounds
say, and waits until it says that it is done; or asks you to wipe the sheet. Afterwards
the position is assumed where the eraser may have moved the stylus.`,
		Example: `  wend machine erase --machine bench.toml`,
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return c.withOperator(cmd.Context(), &f, func(ctx context.Context, o *operator) error {
				return o.failed(c.erase(ctx, &f, o))
			})
		},
	}
	f.add(cmd)
	return cmd
}

func (c console) erase(ctx context.Context, f *machineFlags, o *operator) error {
	settings, err := f.settings(c)
	if err != nil {
		return err
	}
	if f.port == "" && settings.Profile.Board.Port == "" && settings.Profile.Eraser.Kind == machine.EraserOperator {
		// Who wipes by hand needs no port. The next session assumes the position
		// in any case.
		o.Cautions()
		if o.Alone {
			return &diag.Fault{Code: "eraser-none", Hint: "a person wipes here, who is asked on a terminal: run it on one"}
		}
		if err := o.WipeByHand(ctx); err != nil {
			return err
		}
		o.told("wiped")
		return nil
	}
	connection, err := o.connect(ctx, settings, f.port, o.keys != nil)
	if err != nil {
		return err
	}
	defer connection.Close() //nolint:errcheck // nothing moves any more
	o.Cautions()
	if err := o.Wipe(ctx, &connection.Connection, false); err != nil {
		return err
	}
	_, _, certainty := connection.Where()
	o.told("wiped; the position is %s", certainty)
	return nil
}
