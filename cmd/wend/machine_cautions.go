package main

import (
	"github.com/spf13/cobra"

	"wend/cmd/wend/operate"
)

func newMachineCautions(c console) *cobra.Command {
	return &cobra.Command{
		Use:   "cautions",
		Short: "what must be known before a machine moves",
		Long: `The cautions that are shown whole before a machine moves for the first time on a day,
and as one line afterwards.`,
		Example: `  wend machine cautions`,
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			for _, caution := range operate.Cautions() {
				c.tell("%s\n", c.paragraph(c.stdout, "", caution))
			}
			return nil
		},
	}
}
