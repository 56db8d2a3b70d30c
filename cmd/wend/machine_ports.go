package main

import (
	"github.com/spf13/cobra"

	"wend/runtime/link"
)

func newMachinePorts(c console) *cobra.Command {
	var f machineFlags
	cmd := &cobra.Command{
		Use:   "ports",
		Short: "list the serial ports of this computer",
		Long: `Lists the serial ports, and where the system gives one, the lasting name of each: that
of the device, which does not change with the order of plugging in. It is the better
one for a profile.`,
		Example: `  wend machine ports`,
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			ports, err := link.Ports()
			if err != nil {
				return (&operator{seat: &seat{c: c, plain: f.plain}}).failed(err)
			}
			if f.json {
				if err := c.writeJSON(struct {
					Ports []link.PortName `json:"ports"`
				}{append([]link.PortName{}, ports...)}); err != nil {
					return exit(exitErrors)
				}
				return nil
			}
			for _, p := range ports {
				line := p.Name
				if p.Lasting != "" {
					line += "  " + p.Lasting
				}
				c.tell("%s\n", line)
			}
			if len(ports) == 0 {
				c.say("there are no serial ports; is the board plugged in and powered?")
			}
			return nil
		},
	}
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON object instead of text")
	return cmd
}
