package main

import "github.com/spf13/cobra"

// newMachine is everything about the machine itself. Each command under it is
// a file of its own, machine_….go.
func newMachine(c console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "machine",
		Short: "design, describe, calibrate and move a machine by hand",
		Long: `The machine itself: its drive before it is built, its profile, and its first
calibration. The usual order is plan, new, tune, show.`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return noCommand(cmd, args[0])
			}
			return cmd.Help()
		},
	}
	cmd.AddCommand(
		newMachinePlan(c),
		newMachineNew(c),
		newMachineTune(c),
		newMachineShow(c),
		newMachinePorts(c),
		newMachineHere(c),
		newMachineJog(c),
		newMachineErase(c),
		newMachineStatus(c),
		newMachineWiring(c),
		newMachineCautions(c),
	)
	return cmd
}
